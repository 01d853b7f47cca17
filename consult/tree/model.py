"""A tree as the rest of the program sees it: frozen, checked, each piece with its place in a file.

Lengths are in mm and masses in kg throughout, but conditions read a question in its own unit
(see ``trees/LANGUAGE.md``).
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from consult.moves import Moves
    from consult.problems import Where
    from consult.tree.condition import Condition
    from consult.tree.nodes import Lookup
    from consult.tree.quantities import Adjusts
    from consult.tree.sources import Cited

AnswerKind = Literal["length", "mass", "count", "choice", "choices", "yes-no", "text", "date"]
Level = Literal["note", "refer", "stop"]
Strength = Literal["must", "prefer"]

END = "end"
"""Where a route goes when the tree, or an included sub-tree, is done."""

TOPICS = "topics"
"""The fact that a question sets whose choices are topics to open."""

CARD_STEPS = (
    *("seat_height", "footrest", "seat_depth", "back", "lumbar", "armrests", "desk", "screen"),
)
"""The steps of a set-up card that a question may go through."""

SETS = {
    "sex": ("choice",),
    "stature_origin": ("choice",),
    "heel": ("length",),
    "desk_kind": ("choice",),
    "desk_height": ("length",),
    "desk_thickness": ("length",),
    "desk_lowest": ("length",),
    "desk_highest": ("length",),
    "close_to_desk": ("yes-no", "choice"),
    "lenses": ("choice",),
    "caller_name": ("text",),
    "caller_contact": ("text",),
    "delivery_address": ("text",),
    "delivery_country": ("choice", "text"),
    "needed_by": ("choice", "text", "date"),
    "request": ("text",),
    "reasons": ("choices",),
    "agreed": ("choice",),
    "agreed_parts": ("text",),
    "agreed_because": ("choices",),
    "headrest": ("choice",),
    "foot_ring": ("choice",),
    "fabric": ("choice",),
    "pieces": ("count",),
    "consent": ("yes-no",),
    TOPICS: ("choices",),
    "follow_up": ("date",),
    "first_reference": ("text",),
    "chair_height": ("length",),
    "chair_depth": ("length",),
    "chair_arms": ("length",),
    "lowest_seat": ("length",),
}
"""Facts a question may set besides body measures -> the answer kinds that can carry each."""

SETS_CHOICES = {
    "sex": ("female", "male"),
    "stature_origin": ("measured", "remembered"),
    "desk_kind": ("fixed", "adjustable", "none"),
    "close_to_desk": ("close", "clear"),
    "lenses": ("none", "single", "varifocal"),
    "agreed": ("recommended", "other", "none"),
}
"""Choice names a fact understands. Other choice names are allowed and read as 'not known'."""

DECIDING = ("sex", "desk_kind", "desk_height", "desk_lowest", "desk_thickness", "heel")
"""Facts on which it depends how likely a chair fits."""

NAME_WORD = re.compile(r"[^\W\d_]+|\d+")
"""One word of a name as people type it; a figure is a word of its own."""


@lru_cache(maxsize=4096)
def plain_name(text: str) -> str:
    """A name as it is looked up: small letters, one space wherever its words part."""
    return " ".join(word.casefold() for word in NAME_WORD.findall(text))


@dataclass(frozen=True, slots=True)
class Route:
    """Where to go next; ``when=None`` is the otherwise."""

    when: Condition | None
    go: str
    where: Where


@dataclass(frozen=True)
class Question:
    name: str
    where: Where
    ask: str
    answer: AnswerKind
    routes: tuple[Route, ...]
    coach: str = ""
    """How to talk the caller through a measurement."""
    called: tuple[str, ...] = ()
    """Short names an adviser may type for it, as written."""
    choices: Mapping[str, str] = field(default_factory=dict)
    """Choice name -> label, in the order shown."""
    exclusive: str | None = None
    """The choice that cannot stand beside others ('none of these')."""
    measures: str | None = None
    """Body dimension this answer measures."""
    sets: str | None = None
    """Workplace or call fact this answer sets; a key of SETS."""
    card: str | None = None
    """Step of the caller's set-up card that it goes through."""
    unit: str | None = None
    """Unit of a bare number and of conditions: cm, mm, m, in, kg, st, lb; None for other kinds."""
    expect: tuple[float, float] | None = None
    """Usual values in mm, kg, or the plain number of a count; outside asks to re-measure."""
    unknown_allowed: bool = True
    private: Literal["health", "personal"] | None = None
    stored_with_consent: bool = False
    """Asked of everybody, also without consent; then its answer is never stored."""
    cautioned: bool = False
    """Each of its choices but the exclusive one raises a caution by itself."""
    signs: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """Choice name -> the warning signs of the safety floor that it names."""
    doubt: str | None = None
    """The choice of a caller who is not sure about a warning sign."""
    skip_when: Condition | None = None
    """Not asked when this is true."""
    ask_when: Condition | None = None
    """Asked only when this is true."""
    pool: str | None = None
    """The pool it is asked in, while it is worth its time; None where the way itself asks it."""
    topic: str | None = None
    """The topic it belongs to."""
    gate: Condition | None = None
    """What opens its topic; until then it is not asked, but an early answer counts."""
    for_order_team: bool = False
    """The answer stands on the order."""
    seconds: float | None = None
    """How long it takes by the maker's own calls; None: as estimated from its words."""

    @cached_property
    def asked_if(self) -> tuple[Condition, ...]:
        """The conditions that decide whether it is asked."""
        conditions = (self.skip_when, self.ask_when, self.gate)
        return tuple(condition for condition in conditions if condition is not None)

    @cached_property
    def asked_by(self) -> frozenset[str]:
        """All names that those conditions read."""
        return frozenset().union(*(condition.names for condition in self.asked_if))

    @cached_property
    def words(self) -> tuple[int, int]:
        """How many words are said to ask it, choices included, and how many to coach it."""
        asked = " ".join((self.ask, *self.choices.values()))
        return len(asked.split()), len(self.coach.split())

    @property
    def asked_as_told(self) -> bool:
        """Whether its ``ask_when`` reads its own answer: an early answer brings it into the
        call."""
        return self.ask_when is not None and self.name in self.ask_when.names

    def spared(self, lookup: Lookup, *, opened: bool = False) -> bool:
        """Whether the question is left out, given what is known.

        ``opened``: its topic counts as open whatever opens it, as for an early answer.
        """
        skip, only, gate = self.skip_when, self.ask_when, self.gate
        if gate is not None and not opened and gate.evaluate(lookup) is not True:
            return True
        if skip is not None and skip.evaluate(lookup) is True:
            return True
        return only is not None and only.evaluate(lookup) is not True

    @property
    def names(self) -> tuple[str, ...]:
        """All it is known by, its own name first, as ``plain_name`` has them."""
        return tuple(dict.fromkeys(plain_name(name) for name in (self.name, *self.called)))


@dataclass(frozen=True, slots=True)
class Caution:
    """Safety text. A ``stop`` ends product advice."""

    name: str
    where: Where
    level: Level
    when: Condition
    say: str
    contact: str | None = None
    """Key of the contacts file: whom to ring, by country."""
    source: Cited = ()
    forbids: Mapping[str, str] = field(default_factory=dict)
    """What nothing in the call may do while it applies: seat -> lower."""

    @property
    def keeps_seat_up(self) -> bool:
        """The seat may not be set lower than it is today, or than the caller was told."""
        return self.forbids.get("seat") == "lower"


@dataclass(frozen=True, slots=True)
class Advice:
    """Text given when a condition holds."""

    name: str
    where: Where
    when: Condition
    topic: str
    say: str
    because: str = ""
    source: Cited = ()
    contradicts: tuple[str, ...] = ()
    """Names of advice that nobody may be given together with this."""
    country: str = ""
    """Two letters: for callers of this country alone, as a law is; '' for all."""
    employer: str = ""
    """What the workplace needs, as the document for the employer says it; '' where nothing."""
    moves: Moves = field(default_factory=dict)
    """What it has the caller move -> which way: seat -> lower."""
    may_move: Moves = field(default_factory=dict)
    """The same for what it moves only under a condition that its own words state."""
    adjusts: Adjusts | None = None
    """The figure it changes that the fit counts with."""

    def holds_in(self, country: str) -> bool:
        """Whether it is for callers of a country: GB, or GB-NIR, which is part of it."""
        return self.country in ("", country.partition("-")[0])


@dataclass(frozen=True, slots=True)
class Need:
    """A feature of the chair that the answers call for."""

    name: str
    where: Where
    when: Condition
    feature: str
    strength: Strength
    because: str = ""
    source: Cited = ()
    adjusts: Adjusts | None = None
    """The figure it changes that the fit counts with."""


@dataclass(frozen=True, slots=True)
class Always:
    """What must hold at the end of every call: where ``when`` is true, ``then`` is true as well.

    Both may name outcomes: ``call.stopped``, ``caution.<name>``, ``advice.<name>``,
    ``need.<name>``, ``asked.<question>``.
    """

    name: str
    where: Where
    when: Condition
    then: Condition
    because: str
    source: Cited = ()


@dataclass(frozen=True, slots=True)
class Topic:
    """A part of the tree that is asked only where it is opened."""

    name: str
    """The name of its sub-tree."""
    where: Where
    title: str
    changes: str
    """What it could change, for the list that it is opened from."""
    questions: tuple[str, ...]
    """In the order of the files."""
    open_when: Condition | None = None
    """It opens by itself when this is true."""


@dataclass(frozen=True)
class Tree:
    """A main tree with its included sub-trees flattened into one list of questions.

    What is read for every answer of a call is worked out once.
    """

    name: str
    title: str
    version: str
    first: str
    questions: Mapping[str, Question]
    cautions: tuple[Caution, ...]
    advice: tuple[Advice, ...]
    needs: tuple[Need, ...]
    fits: bool = True
    """Whether a set-up and a chair are worked out; not in a call that only looks back at one."""
    declared: bool = False
    """Whether what is fitted is declared in the file beside it, and is no chair."""
    advises: Literal["the_sitter", "a_buyer"] = "the_sitter"
    """Whom it advises: who sits on the chair, or a buyer of chairs for several people."""
    after_stop: str | None = None
    """Question the call goes to when a stop caution ends product advice; None ends the call."""
    files: tuple[str, ...] = ()
    """Every file it was read from, the main one first."""
    always: tuple[Always, ...] = ()
    """Promises about every call, of all its files."""
    topics: Mapping[str, Topic] = field(default_factory=dict)
    """In the order of the main tree."""

    @property
    def openers(self) -> tuple[Question, ...]:
        """The questions whose answers open topics."""
        return tuple(question for question in self.questions.values() if question.sets == TOPICS)

    def adviser_opens(self, topic: str) -> Question:
        """The question by which the adviser opens a topic: it names itself, and is never asked."""
        as_told = (question for question in self.openers if question.asked_as_told)
        return next(question for question in as_told if topic in question.choices)

    @cached_property
    def setting(self) -> Mapping[str, tuple[str, ...]]:
        """Fact of the workplace or the call -> the questions whose answers set it."""
        by_fact: dict[str, tuple[str, ...]] = {}
        for name, question in self.questions.items():
            if question.sets is not None:
                by_fact[question.sets] = (*by_fact.get(question.sets, ()), name)
        return by_fact

    @cached_property
    def question_named(self) -> Mapping[str, str]:
        """Every name a question is known by, in the tree's order -> the question's own name."""
        return {name: asked.name for asked in self.questions.values() for name in asked.names}

    @cached_property
    def longest_name(self) -> int:
        """How many words the longest of those names has."""
        return max((len(name.split()) for name in self.question_named), default=0)

    @cached_property
    def needs_by_name(self) -> Mapping[str, tuple[Need, ...]]:
        """Name -> the needs whose condition reads it."""
        needs: dict[str, tuple[Need, ...]] = {}
        for need in self.needs:
            for name in need.when.names:
                needs[name] = (*needs.get(name, ()), need)
        return needs

    @cached_property
    def keeping_seat_up(self) -> tuple[Caution, ...]:
        """The cautions that keep the seat from being set lower."""
        return tuple(caution for caution in self.cautions if caution.keeps_seat_up)

    @cached_property
    def stops(self) -> tuple[Caution, ...]:
        """The cautions that end product advice."""
        return tuple(caution for caution in self.cautions if caution.level == "stop")

    @cached_property
    def stops_by_question(self) -> Mapping[str, tuple[Caution, ...]]:
        """Question -> the stops that an answer to it may raise, in the order of the tree."""
        return {
            name: tuple(stop for stop in self.stops if stop.when.derived or name in stop.when.names)
            for name in self.questions
        }

    @cached_property
    def leaving_desk(self) -> tuple[Advice, ...]:
        """The advice that leaves the desk, or what it stands on, as it is."""
        left = {("desk", "leave"), ("desk_feet", "leave")}
        return tuple(advice for advice in self.advice if left & advice.moves.items())

    @cached_property
    def adjusting(self) -> tuple[Advice | Need, ...]:
        """What changes a figure that the fit counts with."""
        pieces: list[Advice | Need] = [*self.advice, *self.needs]
        return tuple(piece for piece in pieces if piece.adjusts is not None)

    @cached_property
    def read_by_workplace(self) -> frozenset[str]:
        """Names read by what bears on the workplace: cautions that forbid, and what adjusts."""
        names = [caution.when.names for caution in self.cautions if caution.forbids]
        for piece in self.adjusting:
            assert piece.adjusts is not None, "adjusting has no other"
            names += [piece.when.names, frozenset((piece.adjusts.question,))]
        return frozenset().union(*names)
