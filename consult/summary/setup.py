"""Setting up the chair and the desk, step by step, in the order in which it is done.

The order, the checks without tools and the words are common practice, no source; the numbers come
from the fit, or from the picked chair where it comes no nearer.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Set
from dataclasses import dataclass, replace

from consult.call.state import State
from consult.call.wording import figure_name
from consult.fit.requirements import Fit
from consult.fit.rules import KEYBOARD_ABOVE
from consult.fit.settings import Picked
from consult.fit.workplace import Workplace
from consult.moves import Moves
from consult.range.parts import Kind, Part, chair_has
from consult.sentence import CHAIR, Sentence
from consult.summary.lines import AdviceLine, SetupStep
from consult.tree.placeholders import blanks

STEP_OF_TOPIC = {
    "seat_angle": "back",
    "standing": "desk",
    "table": "desk",
    "thigh_room": "desk",
    "laptop": "screen",
    "paper": "screen",
    "long_hours": "breaks",
}
"""Advice topic -> the step it belongs under, where the step has another name."""

FIGURE_OF_STEP = {
    "seat_height": "seat_height",
    "footrest": "footrest_height",
    "seat_depth": "seat_depth",
    "armrests": "armrest_height",
    "screen": "screen_top",
    "desk": "desk_height",
}
"""Step -> the figure it sets."""

_SAME = 5.0
"""mm; a setting nearer to the figure than that is the figure, to anybody sitting on it."""


def setup_steps(state: State, advice: Iterable[AdviceLine]) -> tuple[SetupStep, ...]:
    """The steps, each with the advice that belongs under it; none where there is no fit."""
    fit = state.set_up
    if fit is None:
        return ()
    if state.thing != CHAIR:
        return tuple(_declared(fit, state.picked))
    under: dict[str, tuple[str, ...]] = {}
    advised: set[tuple[str, str]] = set()
    for advice_line in advice:
        topic = STEP_OF_TOPIC.get(advice_line.topic, advice_line.topic)
        under[topic] = (*under.get(topic, ()), advice_line.name)
        advised.update(advice_line.moves.items())
    steps = enumerate(_Setup(fit, state.picked, state.workplace, advised).steps(), start=1)
    placed = (replace(step, order=at, advice=under.get(step.topic, ())) for at, step in steps)
    return tuple(replace(step, repeated=_repeated(state, step)) for step in placed)


def _declared(fit: Fit, picked: Picked | None) -> Iterator[SetupStep]:
    """A step for each figure of a product that a file declares."""
    for order, (name, requirement) in enumerate(fit.requirements.items(), 1):
        value = (
            picked.settings.get(name, requirement.target)
            if picked is not None
            else requirement.target
        )
        sentence = Sentence(f"{figure_name(name, fit)}: <value>.", {"value": value})
        yield SetupStep(order, name, sentence, requirement.reason, value)


def _repeated(state: State, step: SetupStep) -> tuple[str, ...]:
    """The advice under a step that names its figure and no other, where the step names it too.

    Where the chair comes no nearer than the step says, the figure is the step's own.
    """
    figure = FIGURE_OF_STEP.get(step.topic)
    if step.topic == "desk" and state.picked is not None and "desk_raiser" in state.picked.parts:
        figure = "desk_raise"
    if figure is None or "value" not in step.do.lengths:
        return ()
    only = {f"fit.{figure}"}
    return tuple(
        given.advice.name
        for given in state.advice
        if given.advice.name in step.advice
        and given.because
        and {name for name, _ in blanks(given.advice.say)} == only
    )


@dataclass(frozen=True, slots=True)
class _Setup:
    fit: Fit
    picked: Picked | None
    workplace: Workplace
    advised: Set[tuple[str, str]]
    """What the caller was advised to move, and which way."""

    def steps(self) -> Iterator[SetupStep]:
        yield self._shoes()
        yield self._seat_height()
        if self._footrest_used():
            yield self._step(
                "footrest",
                "Put a footrest under your feet, its top <value> above the floor.",
                "Put something firm under your feet until they rest flat.",
                "Both feet rest flat on it, and there is room to move them.",
                {"footrest": "add"},
            )
        elif self._part("footrest") is not None:
            yield _plain(
                "footrest",
                "Only use the footrest if your feet don't rest flat on the floor.",
                "Both feet rest flat, on the floor or on the footrest.",
            )
        yield self._step(
            "seat_depth",
            "Sit right back. Have the seat <value> deep, from its front edge to the back support.",
            "Sit right back. Slide the seat until its front edge is clear of your knee.",
            "Two to four fingers fit between the front edge and the back of your knee.",
            {"seat_depth": "set"},
        )
        yield _plain(
            "back",
            f"Unlock the back.{self._leans()} Set its tension so that it supports you when you "
            f"lean.{self._seat_tilts()}",
            "It moves back with you, and you come up again without effort.",
            {"back": "unlock"},
        )
        message = "Bring the lumbar support to the hollow of your back, just above the belt."
        if fixed := self._fixed("lumbar"):
            message = "Sit right back, against the lumbar support."
        check = "It fills the hollow above your belt and does not push you forward."
        yield _plain("lumbar", message, check, {} if fixed else {"lumbar": "set"})
        if self._has_arms():
            fixed = self._fixed("arms")
            message = "The armrests stand" if fixed else "Set the armrests"
            yield self._step(
                "armrests",
                f"{message} <value> above the seat, with you sitting on it.",
                "Let your arms hang. Bring the armrests up until they just touch your elbows.",
                self._arms_check(),
                {} if fixed else {"armrests": "set"},
            )
        yield self._desk()
        yield self._screen()
        yield _plain(
            "breaks",
            "Stand up or do something else for five to ten minutes in every hour.",
            "You change how you sit before you feel stiff.",
        )

    def _leans(self) -> str:
        """How far the back of the chosen chair goes; '' where the range does not say."""
        part = self._part("back")
        if part is None or (span := part.tilt) is None:
            return ""
        forward = f" It also comes {_degrees(-span[0])} forward." if span[0] < 0 else ""
        return f" It leans back {_degrees(span[1])}.{forward}" if span[1] > 0 else forward

    def _seat_tilts(self) -> str:
        """The same of its seat."""
        part = self._part("seat")
        if part is None or (span := part.tilt) is None or span[0] == span[1]:
            return ""
        ends = zip(span, ("forward", "back"), strict=True)
        ways = [f"{_degrees(abs(end))} {way}" for end, way in ends if end]
        return f" The seat tilts {' and '.join(ways)}."

    def _part(self, kind: Kind) -> Part | None:
        """Of the chosen chair."""
        return self.picked.parts.get(kind) if self.picked is not None else None

    def _shoes(self) -> SetupStep:
        heel = self.workplace.heel
        known = "The figures allow for a heel of <value>."
        guessed = "Nobody measured the heel, so the figures allow for <value>."
        message = f"Put on the shoes you work in. {known if heel is not None else guessed}"
        height = self.workplace.under_feet
        check = "In other shoes, move the seat by as much as the heels differ."
        if self._is("seat_kept_up"):
            check = "In other shoes, leave the seat at its height."
        return SetupStep(0, "shoes", Sentence(message, {"value": height}), check, height)

    def _is(self, quantity: str) -> bool:
        return self.fit.quantities.get(quantity) is True

    def _seat_height(self) -> SetupStep:
        message = "Set the top of the seat <value> above the floor, with you sitting on it."
        unsaid = "Raise or lower the seat until your feet are flat on the floor."
        feet_next = self._footrest_used()
        if kept_up := self._is("seat_kept_up"):
            if self.workplace.lowest_seat is None:
                message = (
                    f"Measure the seat you have now, and go no lower. If that allows it: {message}"
                )
            feet = "come in the next step" if feet_next else "are flat"
            unsaid, check = message, f"Your knees are no higher than your hips. Your feet {feet}."
        elif feet_next:
            check = f"{self._elbows()} Your feet come in the next step."
        else:
            check = "Your feet are flat on the floor, and nothing presses under your thighs."
        way = "raise" if feet_next and not kept_up else "set"
        return self._step("seat_height", message, unsaid, check, {"seat": way})

    def _elbows(self) -> str:
        """Where the elbows are once seat and desk are set as the steps say."""
        if any(note.say.lengths.get("left", 0) > KEYBOARD_ABOVE for note in self.fit.notes):
            return "The keys are still above your elbows."
        return "Your elbows are level with the desk."

    def _desk(self) -> SetupStep:
        check = f"Your shoulders are loose. {self._elbows()}"
        level = "Bring the top of the desk level with your elbows."
        desk = self.workplace.desk
        if desk.kind == "fixed" and desk.height is not None:
            return self._fixed_desk(level, check)
        text = {
            "adjustable": "Bring the top of the desk to <value> above the floor.",
            "none": "Look for a desk whose top is <value> above the floor, or adjusts around it.",
        }.get(desk.kind or "", "A desk whose top is <value> above the floor would suit you.")
        if desk.kind == "adjustable" and self._is("desk_too_low"):
            check = "It is all the way up. It stays too low until it stands on longer feet."
        moves = {"desk": "set"} if desk.kind == "adjustable" else {}
        return self._step("desk", text, level, check, moves)

    def _fixed_desk(self, level: str, check: str) -> SetupStep:
        """What is done about a desk that does not move, as its notes and the advice have it."""
        high, low = self._is("desk_too_high"), self._is("desk_too_low")
        lower = any(note.moves.get("desk") == "lower" for note in self.fit.notes)
        raised = self._footrest_used() and not lower
        if self._is("thigh_room_short") and not low and not (high and (raised or lower)):
            message = (
                "Take out what hangs above your lap, but no rail that holds the desk together."
            )
            check = "A flat hand fits between your thighs and what is above them."
            return _plain("desk", message, check, {"under_desk": "remove"})
        if high and not raised:
            message = "The desk is still too high. A lower desk or a keyboard tray would suit you."
            return _plain("desk", message, check, {"desk": "lower"})
        if not low or high:
            message = "Leave the desk as it is. The seat is set to suit it."
            return _plain("desk", message, check, {"desk": "leave"})
        if ("desk", "leave") in self.advised:
            message = "Leave the desk, and put keyboard, mouse and screen on a firm board."
            return _plain("desk", message, check, {"desk": "leave"})
        message = "Raise the desk by <value>, so that it stands firm."
        if self._part("desk_raiser") is not None:
            message = "Raise the desk by <value> on the desk feet that come with the chair."
        return self._step("desk", message, level, check, {"desk": "raise"}, figure="desk_raise")

    def _screen(self) -> SetupStep:
        check = "Looking straight ahead, your eyes are level with the top of the screen."
        if self.workplace.lenses == "varifocal":
            check = "You read the top line without tipping your head back."
        away = "Put the screen where you read it well, about an arm's length away"
        said, unsaid = "its top <value> above the floor", "and bring its top to your eyes"
        moves = {"screen": "set"}
        return self._step("screen", f"{away}, {said}.", f"{away}, {unsaid}.", check, moves)

    def _step(
        self, topic: str, said: str, unsaid: str, check: str, moves: Moves, figure: str = ""
    ) -> SetupStep:
        """A step with its number, or without where there is none."""
        name = figure or FIGURE_OF_STEP[topic]
        # What the fit asks, whatever the picked chair can do.
        asked, quantity = self.fit.requirements.get(name), self.fit.quantities.get(name)
        own = asked.target if asked else None if isinstance(quantity, bool) else quantity
        value = self.picked.settings.get(name, own) if self.picked is not None else own
        if value is None:
            return _plain(topic, unsaid, check, moves)
        lengths = {"value": value}
        if own is not None and abs(value - own) >= _SAME:
            said += " This is the nearest the chair comes to your own figure, <own>."
            lengths["own"] = own
        return SetupStep(0, topic, Sentence(said, lengths), check, value, moves=moves)

    def _footrest_used(self) -> bool:
        """Needed, and not spared by a seat that stays low enough for the feet."""
        picked, needed = self.picked, self._is("footrest_needed")
        if not needed or picked is None or "seat_height" not in picked.settings:
            return needed
        wanting = any(short.requirement == "footrest_height" for short in picked.shortfalls)
        return wanting or "footrest_height" in picked.settings

    def _has_arms(self) -> bool:
        arms = self._part("arms")
        # Advice to do without them counts until a chair is chosen.
        advised = ("armrests", "remove") not in self.advised
        return advised if arms is None else arms.height is not None

    def _fixed(self, kind: Kind) -> bool:
        """Whether the picked part has no height to set."""
        part = self._part(kind)
        return part is not None and (part.height is None or part.height[0] == part.height[1])

    def _arms_check(self) -> str:
        touch = "Your shoulders are loose, and the pads just touch your elbows."
        no_desk = self.workplace.desk.kind == "none"
        if no_desk or self.fit.quantities.get("arms_meet_desk") is False:
            return touch
        # How close somebody sits is not always known, and these arms need not meet the desk.
        parts = self.picked.parts.values() if self.picked is not None else ()
        if chair_has(parts, "arms_slide_back"):
            aside = "slide them back"
        elif chair_has(parts, "arms_swing_away"):
            aside = "swing them away"
        elif self._fixed("arms"):
            return touch
        else:
            aside = "set them lower"
        return f"{touch} If they meet the desk when you sit close to it, {aside}."


def _degrees(degrees: float) -> str:
    return "1 degree" if degrees == 1 else f"{degrees:g} degrees"


def _plain(topic: str, text: str, check: str, moves: Moves | None = None) -> SetupStep:
    return SetupStep(0, topic, Sentence(text), check, None, moves=moves or {})
