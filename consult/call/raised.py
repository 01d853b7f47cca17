"""The way of a call under its stops, and the cautions it raises, with the exact words to say."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from consult.call.call import Call, Handled, Private, marked_stopped, private_of
from consult.call.facts import Facts
from consult.call.route import Step, read_answer, walk
from consult.call.stops import (
    WITHHELD,
    LiftedStops,
    health_off_the_way,
    last_lift,
    latched,
    said_to_caller,
    stops_of,
)
from consult.call.wording import blank_words
from consult.tree.floor import the_floor
from consult.tree.placeholders import fill, in_units

if TYPE_CHECKING:
    from collections.abc import Callable

    from consult.call.basis import Basis
    from consult.tree.model import Caution
    from consult.tree.nodes import Lookup
    from consult.tree.sources import Source


@dataclass(frozen=True, slots=True)
class Raised:
    """A caution that applies, with the exact words to say."""

    caution: Caution
    say: str
    contact: str
    """Whom to contact, in the words of the caller's country; '' if nobody in particular."""
    said: Handled | None = None
    """When it was said to the caller; None where that was not noted."""
    lifted: Handled | None = None
    """The reason a stop was lifted although its signs are still there."""
    was_lifted: Handled | None = None
    """The reason an active stop was lifted before; something new raised it again."""
    sources: tuple[Source, ...] = ()
    """What the caution cites."""
    contact_sources: tuple[Source, ...] = ()
    """Where the words of the contact come from, and whether that is from memory."""
    outranked: bool = False
    """A stop in force sends the caller to somebody sooner: these words are not said beside it."""

    @property
    def in_force(self) -> bool:
        """A stop that ends product advice now."""
        return self.caution.level == "stop" and self.lifted is None

    @property
    def unsaid(self) -> bool:
        """Words that the caller must hear, and has not heard yet."""
        dealt_with = self.said is not None or self.lifted is not None or self.outranked
        return self.caution.level != "note" and not dealt_with


@dataclass(frozen=True, slots=True, eq=False)
class WayUnderStops:
    """The questions of a call as far as its stops let it go, and what was learned on them."""

    steps: list[Step]
    stopped: Caution | None
    """The stop that ended it; None where none is in force."""
    facts: Facts
    """What was learned on the way."""
    told: Facts
    """The same with everything ever said about health."""
    lifts: LiftedStops


def way_under_stops(basis: Basis, call: Call) -> WayUnderStops:
    """Lead a call along its tree, until its end or a stop that is in force."""
    lifts = LiftedStops(basis.tree, call, lambda count: _known_after(basis, call, count))

    def ends(caution: Caution, lookup: Lookup) -> bool:
        return lifts.lifted(caution, lookup) is None

    answers = call.latest()
    facts = Facts(basis, call.system, thorough=call.thorough)
    steps, stopped = walk(basis.tree, answers, facts, call.today, ends)
    full = _with_health(basis, call, facts, steps)
    if stopped is None:
        stops = stops_of(basis.tree, call)
        held = next((c for c in stops if _holds(c, call, full) and ends(c, full.lookup)), None)
        if held is not None:
            facts = Facts(basis, call.system, thorough=call.thorough)
            steps, stopped = walk(basis.tree, answers, facts, call.today, ends, held)
            full = _with_health(basis, call, facts, steps)
    return WayUnderStops(steps, stopped, facts, full, lifts)


def _known_after(basis: Basis, call: Call, count: int) -> Lookup:
    """What was known once so many answers had been given, as if no stop had ended the way."""
    earlier = replace(call, answers=call.answers[:count])
    # Nothing is asked here, so no pool need look for what is worth it.
    facts = Facts(replace(basis, ask_pools=False), call.system)
    steps, _ = walk(basis.tree, earlier.latest(), facts, call.today, lambda *_: False)
    return _with_health(basis, earlier, facts, steps).lookup


def _with_health(
    basis: Basis, call: Call, facts: Facts, steps: list[Step], *, refused: bool = False
) -> Facts:
    """The facts with what was said about health aside from the way.

    Of a caller who refused consent that is only what everybody is asked.
    """
    off = health_off_the_way(basis.tree, call, (step.question.name for step in steps))
    if refused:
        off = tuple(name for name in off if basis.tree.questions[name].stored_with_consent)
    if not off:
        return facts
    facts_told, answers = facts.copy(), call.latest()
    for name in off:
        step = read_answer(basis.tree.questions[name], answers[name], call.today)
        if step.understood is not None:
            facts_told.learn(step.question, step.understood, answers[name].confirmed)
    return facts_told


def _holds(caution: Caution, call: Call, facts: Facts) -> bool:
    return latched(call, caution) or caution.when.evaluate(facts.lookup) is True


def cautions_raised(
    basis: Basis, call: Call, way: WayUnderStops, country: str, *, consent: bool | None
) -> tuple[Raised, ...]:
    """Those that apply, the gravest first, else in the order of the tree.

    What was said about health aside from the questions asked counts for what can hurt; once
    consent is refused, for nothing but a stop, unless everybody is asked it.
    """
    refers = way.told
    if consent is False:
        refers = _with_health(basis, call, way.facts, way.steps, refused=True)
    counts = {"stop": way.told, "refer": refers, "note": way.facts}
    raised: list[Raised] = []
    others = [caution for caution in basis.tree.cautions if caution.level != "stop"]
    for caution in [*stops_of(basis.tree, call), *others]:
        facts = counts[caution.level]
        off = way.lifts.lifted(caution, facts.lookup)
        applies = caution.when.evaluate(facts.lookup) is True
        if not (applies or (caution.level == "stop" and latched(call, caution))):
            continue
        if caution is WITHHELD and (off or _accounted_for(basis, raised)):
            continue
        before = None if off else last_lift(call, caution)
        key, contact, elsewhere = caution.contact, "", ""
        says_who: tuple[Source, ...] = ()
        if key is not None:
            contact = basis.contacts.words(country, key)
            says_who = basis.sources.of(basis.contacts.source(country, key))
            elsewhere = basis.contacts.elsewhere.get(key, "")
        words = in_units(caution.say, call.system)
        say = fill(words, _caution_words(contact, facts))
        if caution.level == "stop" and elsewhere:
            say = f"{say} {elsewhere}"
        said = said_to_caller(call, caution)
        sources = basis.sources.of(caution.source)
        raised.append(Raised(caution, say, contact, said, off, before, sources, says_who))
    gravest = max((_urgency(entry) for entry in raised if entry.in_force), default=0)
    raised = [replace(entry, outranked=0 < _urgency(entry) < gravest) for entry in raised]
    level = {"stop": 0, "refer": 1, "note": 2}
    return tuple(
        sorted(
            raised,
            key=lambda raised: (level[raised.caution.level], bool(raised.lifted), raised.outranked),
        )
    )


def _urgency(raised: Raised) -> int:
    return the_floor().urgency(raised.caution.contact)


def _accounted_for(basis: Basis, raised: list[Raised]) -> bool:
    """Whether a stop that tells of health is in force by name, so that none without one is said."""
    telling = private_of(basis.tree).telling
    return any(entry.caution.name in telling and entry.lifted is None for entry in raised)


def _caution_words(contact: str, facts: Facts) -> Callable[[str], str | None]:
    return lambda name: contact if name == "contact" else blank_words(name, facts)


def needs_mark(
    private: Private, call: Call, cautions: tuple[Raised, ...], consent: bool | None
) -> bool:
    """Whether a mark is wanted that a stop was raised, where nothing else of it may be stored.

    So anybody who continues the call knows of the stop, even if this screen crashes.
    """
    raised = any(
        caution.in_force and caution.caution.name in private.telling for caution in cautions
    )
    return raised and consent is not True and not marked_stopped(private, call.handled)
