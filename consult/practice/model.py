"""An invented caller: body, truth, manner of speaking and what goes wrong on the way.

Everything that a reply needs is in the persona, so that nothing is read while a call is led.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, get_args

if TYPE_CHECKING:
    from consult.body.measured import Sex
    from consult.practice.ways import Ways
    from consult.tree.model import Question

Guidance = Literal["guided", "partly_guided", "unaided"]
"""guided: the tree's question is on the screen; partly guided: only the names of open questions;
unaided: nothing but the caller."""
LEVELS: tuple[Guidance, ...] = get_args(Guidance)
"""The easiest first."""
_CALLED: dict[str, Guidance] = {level: level for level in LEVELS}
_CALLED |= {"loose": "partly_guided", "bare": "unaided"}
"""By name; the last ones are those in courses and records of earlier versions."""


def level_called(name: str) -> Guidance:
    """The level of that name, as it is or was called; ValueError where there is none."""
    if name not in _CALLED:
        raise ValueError(f"There is no level called '{name}'.")
    return _CALLED[name]


def level_words(level: Guidance) -> str:
    """The level as people read it."""
    return level.replace("_", " ")


Units = Literal["metric", "imperial", "mixed"]

BehaviourKind = Literal[
    "mixes_units",
    "rounds",
    "vague",
    "volunteers",
    "wrong_tape",
    "shoes_on",
    "contradicts",
    "hurry",
    "sign_in_passing",
    "refuses_consent",
    "for_somebody_else",
    "interrupted",
    "presses",
]

OPENING = "opening"
"""As ``Behaviour.at``: shown in the caller's first words, before anything is asked."""
STOP = "stop"
"""As ``Behaviour.at``: shown when a stop was said."""

MEASUREMENT: frozenset[str] = frozenset(["wrong_tape", "shoes_on", "rounds"])
"""Kinds that make a figure wrong; having it coached or asked again mends it."""
WITHHOLDS: frozenset[str] = frozenset(
    ["vague", "hurry", "for_somebody_else", "interrupted", "presses"]
)
"""Kinds that give no answer the first time (``tells`` lacks the question); ask again or coach."""
IN_PASSING: frozenset[str] = frozenset(["volunteers", "sign_in_passing", "contradicts"])
"""Kinds that say something of another question, ``Behaviour.about``."""
ALREADY_SHOWS: frozenset[str] = frozenset(["mixes_units", "rounds", "for_somebody_else"])
"""Kinds that may leave ``at`` empty: they then show wherever they can."""


@dataclass(frozen=True, slots=True)
class Manner:
    """How a caller speaks all through the call."""

    units: Units = "metric"
    """mixed: stature and weight in feet and stones, the rest now this, now that."""
    chatty: bool = False
    hurry: bool = False
    vague: float = 0.0
    """Share of answers (0 to 1) with an "about" or an "I suppose"; the meaning stays."""
    rounds: bool = False
    """Says figures to the whole centimetre or half inch only."""
    way: str = "plain"
    """A way of speaking in words.yaml."""


@dataclass(frozen=True, slots=True)
class Behaviour:
    """One thing the adviser has to notice.

    ``wrong_tape`` and ``shoes_on`` add ``off`` to the figure at ``at`` until it is coached or asked
    again. ``rounds`` says it coarsely until then. ``vague``, ``hurry`` and ``for_somebody_else``
    give no answer until then. ``volunteers``, ``sign_in_passing`` and ``contradicts`` add, to the
    first reply at ``at``, that ``about`` is ``answer``; only that of ``contradicts`` is untrue.
    ``refuses_consent`` says no the first time; asked again later the caller says what is true.
    ``presses`` wants a question about warning signs left out, or a stop taken back, once.
    """

    name: str
    kind: BehaviourKind
    at: str
    """Question at which it shows; ``OPENING``; ``STOP``; '' wherever it can (``ALREADY_SHOWS``)."""
    says: tuple[str, ...]
    """Literal words, one of them said; may be empty where words.yaml has some for the kind."""
    explain: str
    """For the score page: what was the matter, and what a good adviser does."""
    off: float = 0.0
    """mm or kg added to the figure; may be negative. Of shoes_on: the heel, where not stated."""
    about: str = ""
    """The other question spoken of, of kinds ``IN_PASSING``."""
    answer: str = ""
    """What is said of ``about``, in words the tree understands."""
    mends: tuple[str, ...] = ()
    """Said before the mended answer; empty: as words.yaml has it."""
    because: str = ""
    """What the adviser says the question is for, when asking it again."""
    off_to: float | None = None
    """Of a trait: the other end of what ``off`` is drawn from."""
    denied_first: bool = False
    """Of sign_in_passing: asked ``about`` before the remark, the caller first says none."""


@dataclass(frozen=True, slots=True, eq=False)
class Persona:
    """One invented caller as drawn for a seed."""

    name: str
    title: str
    turns_out: str
    """What the call was really about, for after it; '' where the title says it."""
    opening: tuple[str, ...]
    """First words, one of them said."""
    sex: Sex
    """Of the one who will sit on the chair."""
    body: Mapping[str, float]
    """True value of every dimension of the population, mm or kg."""
    truth: Mapping[str, str]
    """Every question of the tree -> what is true, in words the tree takes; '?' for not known.

    Of a body measure the true figure, not what the caller's tape gives.
    """
    manner: Manner
    behaviours: tuple[Behaviour, ...]
    measured: Mapping[str, float]
    """Question with a figure -> the caller's own careful reading, mm, kg or plain, unrounded.

    Of a body measure the true value and a small error of self-measuring; else the truth.
    """
    questions: Mapping[str, Question]
    """The questions of the tree."""
    says: Mapping[str, Mapping[str, tuple[str, ...]]]
    """Question -> choice (or yes, no, ?) -> the caller's own words for it."""
    ways: Ways
    """The shared ways of speaking."""

    def behaviour(self, name: str) -> Behaviour:
        """The behaviour of a name that showed."""
        return next(behaviour for behaviour in self.behaviours if behaviour.name == name)
