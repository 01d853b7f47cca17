"""The pieces a call summary is made of; every field name is the key of the exported summary.

Lengths are in mm, masses in kg. Text that holds lengths is kept unwritten until the reader's units
are known; text that came filled in from the call is in the units of the call.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date as Day  # noqa: N812 - a field below is called date

from consult.call.understand import AnswerValue
from consult.call.wording import HowKnown
from consult.fit.requirements import MeasuredFrom, NoteLevel
from consult.fit.settings import Shortfall
from consult.moves import Moves
from consult.range.parts import Kind
from consult.sentence import Sentence
from consult.tree.sources import Source, citation
from consult.units import System


@dataclass(frozen=True, slots=True)
class CallLine:
    """Which call it was."""

    date: Day
    caller: str
    units: System
    country: str
    finished: bool | None
    """None where the reader may not see it."""
    stopped: str | None
    """The caution that ended product advice; 'safety' where its name would tell too much."""
    reference: str
    """What to ask for when ringing again; '' for a call that is not in the records."""
    adviser: str
    """Who held the call; '' where nobody was named."""


@dataclass(frozen=True, slots=True)
class SenderLine:
    """Who the document is from; '' for what the settings do not say."""

    name: str
    address: str
    telephone: str
    email: str
    logo: str
    """Name of its picture file."""
    signature: str
    """Under the adviser's name in an e-mail."""


@dataclass(frozen=True, slots=True)
class MadeWith:
    """What the call was computed from."""

    tree: str
    tree_version: str
    range: str | None
    range_version: str | None
    population: str
    population_caution: str


class Cites:
    """A piece of a summary that says where it comes from."""

    __slots__ = ()
    sources: tuple[Source, ...]

    @property
    def source(self) -> str:
        """The same on one line, as templates from before there were entries ask for it."""
        return citation(self.sources)


@dataclass(frozen=True, slots=True)
class Figure(Cites):
    """One requirement of the set-up."""

    target: float
    low: float
    high: float
    """Infinite where there is no upper limit; written as null."""
    sd: float
    measured_from: MeasuredFrom
    reason: str
    sources: tuple[Source, ...]
    origin: HowKnown
    """Whether it rests on what was measured; 'given' for what stands as it stands."""


@dataclass(frozen=True, slots=True)
class DeliveryLine:
    """Where the chair goes, and when it is needed."""

    contact: str = ""
    address: str = ""
    country: str = ""
    needed_by: str = ""
    late: str = ""
    """That the chair can only be sent after the day it is wanted; '' where it is not so."""


@dataclass(frozen=True, slots=True)
class OrderAnswer:
    """An answer that the order team reads."""

    question: str
    say: str
    """In words."""


@dataclass(frozen=True, slots=True)
class StoredLine:
    """What is stored of the caller, and for how long."""

    health: bool
    """Answers about health too, with the caller's consent."""
    days: int
    """Until the call is deleted, from the last change of it."""
    health_days: int
    """The same for answers about health."""


@dataclass(frozen=True, slots=True)
class DoubtLine:
    """A measure to take again."""

    dimension: str
    z: float
    level: str
    message: str


@dataclass(frozen=True, slots=True)
class CautionLine(Cites):
    """A caution and the words that were said."""

    name: str | None
    """None where the caution may only be told of in general words."""
    level: NoteLevel
    say: str
    contact: str
    sources: tuple[Source, ...]
    lifted: str = ""
    """Why a stop no longer holds though its signs are there; '' while it holds."""
    contact_sources: tuple[Source, ...] = ()
    """Where the words of the contact come from, and whether that is from memory."""
    urgent: bool = False
    """Whoever it sends the caller to is to be rung today."""

    @property
    def contact_source(self) -> str:
        """``contact_sources`` on one line, as older templates ask for it."""
        return citation(self.contact_sources)


@dataclass(frozen=True, slots=True)
class NoteLine(Cites):
    """Something about the workplace that the fit found."""

    name: str
    level: NoteLevel
    say: Sentence
    sources: tuple[Source, ...]
    moves: Moves = field(default_factory=dict)
    """What it moves -> which way."""
    may_move: Moves = field(default_factory=dict)
    """The same under a condition that its own words state."""


@dataclass(frozen=True, slots=True)
class AdviceLine(Cites):
    """A piece of advice from the tree."""

    name: str
    topic: str
    say: str
    because: str
    sources: tuple[Source, ...]
    moves: Moves = field(default_factory=dict)
    """What it moves -> which way."""
    may_move: Moves = field(default_factory=dict)
    """The same under a condition that its own words state."""
    beside: str = ""
    """Its sentences that name no figure: what is left to say where a step names its figure."""


@dataclass(frozen=True, slots=True)
class SummaryNeed(Cites):
    """A feature the answers call for."""

    name: str
    feature: str
    strength: str
    because: str
    sources: tuple[Source, ...]
    met: bool | None
    """Whether the specification has it; None where there is no specification."""


@dataclass(frozen=True, slots=True)
class PartLine:
    """One part of the chair, or of what goes beside it."""

    kind: Kind
    code: str
    name: str
    price: float
    find: str
    """Where its adjustment is; '' where it has none."""
    also: tuple[str, ...] = ()
    """Codes ordered with it, at no price of their own."""
    within: str = ""
    """Code of the fixed model that it comes in, and is paid with; '' where it is ordered apart."""
    guarantee: str = ""
    """How long; '' where the range does not say."""
    photo: str = ""
    """Name of its photograph's file; '' where there is none."""
    tilt_find: str = ""
    """Where the lever of its tilt is; '' where it does not say."""


@dataclass(frozen=True, slots=True)
class Worded:
    """A finished sentence, once in each way of showing units."""

    in_units: Mapping[System, str]

    def text(self, system: System) -> str:
        """The sentence in the reader's units."""
        return self.in_units[system]


@dataclass(frozen=True, slots=True)
class Measures:
    """A sentence whose values are all masses, all statures or all other lengths."""

    template: str
    values: Mapping[str, float]
    write: Callable[[float, System], str]

    def text(self, system: System) -> str:
        """The sentence in the reader's units."""
        text = self.template
        for name, value in self.values.items():
            text = text.replace(f"<{name}>", self.write(value, system))
        return text


@dataclass(frozen=True, slots=True)
class AgreedLine:
    """The chair the caller settled on."""

    chair: str
    """'recommended', 'other' or 'none' (no chair for now)."""
    other: tuple[str, ...]
    """Codes of the parts that are other than suggested."""
    because: str
    """Why, as the caller said; '' where it was not said."""
    suggested: tuple[str, ...]
    """Codes of the chair suggested, where another was agreed on."""


@dataclass(frozen=True, slots=True)
class Specification:
    """What to order, how it is set, and how sure it is."""

    parts: tuple[PartLine, ...]
    settings: Mapping[str, float]
    pieces: int
    """How many of it are ordered."""
    price: float
    """Of the chair and what goes beside it, for one of so many."""
    delivery: PartLine | None
    """What sending it costs; None where the range does not say."""
    delivery_open: bool
    """Delivery comes on top, and the range does not say what it costs to this country."""
    fabric_open: bool
    """The range lists fabrics, and none was chosen."""
    total: float
    """Of all pieces, with delivery."""
    currency: str
    vat: str
    """'included' in the price or 'excluded'; '' where the range does not say."""
    lead_days: int
    """Working days until it can be sent."""
    ready: Day | None
    """The day it can be sent if it is ordered on the day of the call, bank holidays not counted."""
    arrives: Day | None
    """The day it arrives then; None where the range does not say how long it is on the way."""
    shortfalls: tuple[Shortfall, ...]
    p_fits: float | None
    """Share of people with the caller's measures whom it fits; None where there is no chair."""
    se: float | None
    agreed: AgreedLine | None
    """None where nothing was said of it."""
    tied: int
    """Other chairs that fit as likely; only price, lead time or their place put them behind."""
    compromises: tuple[str, ...]
    """Preferred features it lacks, and 'footrest' where it needs one."""
    why_not: tuple[Worded, ...]
    """Why the cheapest and the near misses were not chosen; empty where that would tell of a
    withheld answer."""
    ask_next: str | None
    """The measure worth asking for next, or that enough is known; None where neither."""
    settled: bool
    """No further measure would change the chair."""
    other_populations: tuple[Worded, ...]
    """What would differ had another population been estimated from."""


@dataclass(frozen=True, slots=True)
class SetupStep:
    """One thing to do, in its place in the order."""

    order: int
    topic: str
    do: Sentence
    check: str
    """How to see without tools that it is right."""
    value_mm: float | None
    advice: tuple[str, ...] = ()
    """Names of the advice that belongs under this step."""
    repeated: tuple[str, ...] = ()
    """Those of it whose words only say the step's own number once more: the why is enough."""
    moves: Moves = field(default_factory=dict)
    """What it moves -> which way."""


@dataclass(frozen=True, slots=True)
class RemedyLine:
    """What to try where the set-up feels wrong, as the card says it."""

    feels: str
    do: str
    moves: Moves = field(default_factory=dict)
    may_move: Moves = field(default_factory=dict)
    """What comes second, where the first did not help."""


@dataclass(frozen=True, slots=True)
class AnswerLine:
    """One answer, as it was said and as it was understood."""

    question: str
    ask: str
    said: str
    value: AnswerValue | None
    private: str | None
    status: str
    note: str
    meant: Measures
    """The value in words: the label of "2", the length of "five two"; '' for free text."""


@dataclass(frozen=True, slots=True)
class KnownLine:
    """A body dimension and how it is known."""

    dimension: str
    label: str
    """The dimension in plain words."""
    say: Measures
    note: str = ""
    """What the adviser noted beside the measure."""
