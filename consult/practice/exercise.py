"""An exercise: a call led with an invented caller through the same session as a real one.

Nothing is read from a clock: times come in as arguments.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from consult.call.basis import Basis
from consult.call.by_name import BY_NAME, fact_named
from consult.call.call import Call
from consult.call.offer import Reply
from consult.call.raised import Raised
from consult.call.session import Session
from consult.call.state import State
from consult.call.wording import question_label
from consult.practice.log import (
    Act,
    Again,
    Ask,
    Close,
    Closed,
    Coach,
    Entered,
    Event,
    Hinted,
    Lifted,
    Log,
    Recommend,
    Say,
    Spoke,
    Turn,
)
from consult.practice.model import MEASUREMENT, WITHHOLDS, Behaviour, Guidance, Persona
from consult.practice.speech import reply
from consult.practice.truth import holds
from consult.scale import format_length
from consult.sentence import of_thing
from consult.units import Unclear

HINT_COST = 1
"""Points that a hint takes from the score; said before it is given."""


def hint_for(
    session: Session, persona: Persona, turns: Sequence[Turn], entries: Sequence[Entered]
) -> Hinted:
    """The most urgent: a warning to say, something heard and not entered, a figure to doubt."""
    to_say = session.now.to_say
    if to_say:
        return _hint(f"A caution must be read out now: {to_say[0].say}")
    asking, stopped = session.asking, session.now.stopped is not None
    # After a stop the sign was acted on, under whichever question it was entered.
    told = None if stopped else _unheard(persona, turns, session) or _doubtful(persona, turns)
    if told is not None:
        return told
    if stopped and asking is None:
        return _hint("Product advice has stopped and nothing is left to ask. End the call.")
    if asking is None:
        return _hint("Everything was asked. Recommend the chair, and end the call.")
    last = turns[-1] if turns else None
    answered = last is not None and last.about == asking.name and asking.name in last.tells
    if answered and not (entries and entries[-1].question == asking.name):
        label = question_label(asking.name)
        return _hint(f"The caller answered. Enter what you heard: {label}.", asking.name)
    return _hint(f"Ask now: {asking.ask}", asking.name)


def _hint(text: str, about: str = "") -> Hinted:
    return Hinted(text, about, HINT_COST)


def _unheard(persona: Persona, turns: Sequence[Turn], session: Session) -> Hinted | None:
    """A remark about another question that was not entered."""
    for turn in turns:
        for behaviour in map(persona.behaviour, turn.shown):
            if behaviour.kind in ("volunteers", "sign_in_passing") and not _entered(
                session, behaviour
            ):
                label = question_label(behaviour.about)
                message = f"In turn {turn.number} the caller said something that belongs to"
                return _hint(
                    f"{message} “{label}”. Enter it: /{behaviour.about} …", behaviour.about
                )
    return None


def _entered(session: Session, remark: Behaviour) -> bool:
    """Whether a remark was entered; of a sign, whether it is part of the answer that stands."""
    answer = session.now.call.latest().get(remark.about)
    if answer is None or remark.kind != "sign_in_passing":
        return answer is not None
    return holds(session.basis.tree.questions[remark.about], remark.answer, answer.said)


def _doubtful(persona: Persona, turns: Sequence[Turn]) -> Hinted | None:
    """Something that showed, and that nothing was done about since."""
    for place, turn in enumerate(turns, 1):
        for behaviour in map(persona.behaviour, turn.shown):
            at = behaviour.about if behaviour.kind == "contradicts" else turn.about
            doubtful = behaviour.kind in MEASUREMENT | WITHHOLDS | {"contradicts"}
            if doubtful and not any(later.about == at for later in turns[place:]):
                return _hint(f"Turn {turn.number}: {behaviour.explain}", at)
    return None


EXERCISE_OVER = "This exercise is finished."


class Exercise:
    """One practice call. Turns come from the caller; answers go into ``session``.

    ``session`` is for showing and for what the exercise has no method of; whatever counts for the
    score has to go through the methods here, so that it stands in the log.
    """

    def __init__(
        self, basis: Basis, persona: Persona, seed: int, level: Guidance, at: datetime
    ) -> None:
        """Begin at ``at``, whose day is the day of the call."""
        self.basis = basis
        self.persona = persona
        self.seed = seed
        self.level: Guidance = level
        self.session = Session(basis, Call(at.date()), at)
        tree = basis.tree
        self.log = Log(persona.name, tree.name, tree.version, seed, level, at)
        """Everything that happened so far, in order."""

    @property
    def turns(self) -> tuple[Turn, ...]:
        return self.log.turns

    @property
    def over(self) -> bool:
        """The call was ended; nothing more can be done."""
        return self.log.closed is not None

    # -- the conversation ---------------------------------------------------------------------

    def opening(self, at: datetime | None = None) -> Turn:
        """The caller's first words; asked for again, the same."""
        turns = self.turns
        return turns[0] if turns else self._spoken(None, at)

    def ask(self, question: str, at: datetime | None = None) -> Turn:
        """Ask a question by its name; the answer line then belongs to it.

        Raises KeyError where the tree has no such question.
        """
        return self._asked(Ask(question), question, at)

    def coach(self, question: str, at: datetime | None = None) -> Turn:
        """Read the coaching out and ask; otherwise as ``ask``."""
        return self._asked(Coach(question), question, at)

    def again(self, question: str, at: datetime | None = None) -> Turn:
        """Have it measured or said once more; otherwise as ``ask``."""
        return self._asked(Again(question), question, at)

    def say(self, raised: Raised, at: datetime) -> Turn:
        """Say a caution to the caller, in its words."""
        self._open()
        self.session.said(raised, at)
        caution = raised.caution
        return self._spoken(Say(caution.name, caution.level, raised.say), at)

    def recommend(self, at: datetime) -> Turn:
        """Name the chair worked out from what was entered, and its seat height."""
        self._open()
        return self._spoken(self._recommendation(), at)

    def close(self, at: datetime) -> None:
        """End the call; ended before, nothing changes."""
        if not self.over:
            self._spoken(Close(), at)
            self._add(Closed(at))

    # -- the desk -----------------------------------------------------------------------------

    def enter(self, said: str, at: datetime) -> Reply:
        """Enter what was heard; for any question also "/name value"."""
        self._open()
        meant = self._meant(said)
        before = self.session.now.call
        answered = self.session.offer(said, at)
        call = self.session.now.call
        took, confirmed, recorded = None, False, ""
        if len(call.answers) > len(before.answers):
            last = call.answers[-1]
            # A reading that was taken belongs to the question it was proposed for.
            meant, recorded = last.question, last.said
            took, confirmed = last.took, last.confirmed
        self._add(
            Entered(said, meant, answered.taken, answered.tell, at, took, confirmed, recorded)
        )
        return answered

    def lift(self, reason: str, at: datetime) -> Reply:
        """Lift the stops in force for a stated reason, as at the desk."""
        self._open()
        lifted = self.session.lift(reason, at)
        self._add(Lifted(reason, lifted.taken, at))
        return lifted

    def hint(self) -> Hinted:
        """What to do next, for ``HINT_COST`` points."""
        self._open()
        log = self.log
        hinted = hint_for(self.session, self.persona, log.turns, log.entries)
        self._add(hinted)
        return hinted

    # -- the rest -----------------------------------------------------------------------------

    def _add(self, event: Event) -> None:
        self.log = replace(self.log, events=(*self.log.events, event))

    def _open(self) -> None:
        if self.over:
            raise ValueError(EXERCISE_OVER)

    def _asked(self, act: Act, name: str, at: datetime | None) -> Turn:
        self._open()
        question = self.basis.tree.questions[name]
        if question is not self.session.asking:
            self.session.ask(question)
        return self._spoken(act, at)

    def _spoken(self, act: Act | None, at: datetime | None) -> Turn:
        turn = reply(self.persona, self.seed, self.turns, act)
        self._add(Spoke(turn, at))
        return turn

    def _meant(self, said: str) -> str:
        """The question a text answers, by name; '' where none can be told."""
        asking = self.session.asking
        if said.startswith(BY_NAME) and not said.startswith(2 * BY_NAME):
            try:
                return fact_named(self.basis.tree, said.removeprefix(BY_NAME)).question.name
            except Unclear:
                return ""
        return asking.name if asking else ""

    def _recommendation(self) -> Recommend:
        now = self.session.whole()
        codes, seat = parts_and_seat(now)
        if now.stopped is not None:
            seat = None
        height = format_length(seat, "both") if seat is not None else ""
        if now.stopped is None and codes and now.picked is not None:
            named = ", ".join(part.name for part in now.picked.parts.values())
            set_to = f" Set the seat to {height}." if height else ""
            return Recommend(codes, seat, f"I suggest this {now.thing}: {named}.{set_to}")
        words = "I can't recommend a chair for you today."
        if height:
            words = f"I'm not recommending a chair, but set your seat to {height}."
        return Recommend((), seat, of_thing(words, now.thing))


def parts_and_seat(now: State) -> tuple[tuple[str, ...], float | None]:
    """Codes of the parts of the chair that a call comes to, and its seat height in mm."""
    height = now.fit.quantities.get("seat_height") if now.fit else None
    seat = float(height) if height is not None and not isinstance(height, bool) else None
    parts = now.picked.parts.values() if now.picked is not None else ()
    return tuple(part.code for part in parts), seat
