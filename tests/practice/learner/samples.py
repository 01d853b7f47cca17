"""What the tests of the learner's record share: finished exercises made by hand."""

from __future__ import annotations

from datetime import date, timedelta

from hypothesis import strategies as st

from consult.practice.learner.done import Done, Met
from consult.practice.model import LEVELS, Guidance
from consult.practice.scoring.points import ScoreItem

DAY = date(2026, 11, 25)

HOSTILE_NAMES = (
    "../../etc/passwd",
    "CON",
    "a/b\\c:d",
    "[red]Ann[/red] [",
    "=SUM(A1)",
    "\u202eright to left\u202c שלום",
    "\N{SLIGHTLY SMILING FACE}",
    "Ann\nBob",
    "\x00\x1b[31m",
    "\ud83d half",
    "x" * 10_000,
    ".",
    "-rf",
)


def done(
    day: int = 0,
    caller: str = "somebody",
    learner: str = "Ann",
    *,
    level: Guidance = "guided",
    seed: int = 1,
    got: float = 80.0,
    passed: bool = True,
    noticed: dict[str, bool | None] | None = None,
    lost: tuple[str, ...] = (),
    kept: tuple[str, ...] = (),
) -> Done:
    """An exercise ``day`` days after DAY; criteria ``lost`` and ``kept``, kinds ``noticed``."""
    marks = (
        *(ScoreItem(one, f"{one} of the call", 2.0, 5.0, why="It was late.") for one in lost),
        *(ScoreItem(one, f"{one} of the call", 5.0, 5.0) for one in kept),
    )
    met = tuple(Met(f"a_{kind}", kind, was) for kind, was in (noticed or {}).items())
    return Done(
        learner=learner,
        day=DAY + timedelta(days=day),
        caller=caller,
        seed=seed,
        level=level,
        total=got,
        out_of=100.0,
        passed=passed,
        marks=marks,
        met=met,
    )


_texts = st.text(st.characters(), max_size=20)
_numbers = st.floats(allow_nan=False, allow_infinity=False)

dones = st.builds(
    Done,
    learner=_texts.filter(lambda one: bool(one.strip())),
    day=st.dates(),
    caller=_texts,
    seed=st.integers(),
    level=st.sampled_from(LEVELS),
    total=_numbers,
    out_of=_numbers,
    passed=st.booleans(),
    marks=st.lists(
        st.builds(
            ScoreItem,
            *(_texts, _texts, _numbers, _numbers, st.booleans()),
            *(st.integers(), _texts, _texts, _texts),
        ),
        max_size=2,
    ).map(tuple),
    met=st.lists(st.builds(Met, _texts, _texts, st.none() | st.booleans()), max_size=2).map(tuple),
    log=st.dictionaries(_texts, st.integers() | _texts, max_size=2),
)
"""Exercises with any text in them."""
