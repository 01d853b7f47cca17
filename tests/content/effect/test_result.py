"""The effect in plain English."""

from __future__ import annotations

from pathlib import Path

from consult.content.effect.result import Effect, ImpactRow, Lengths, Sample, impact_lines
from tests.content.effect.edits import demo, edited
from tests.content.effect.test_compared import FEVER, STOP

WEARY = (
    ("  tired:\n", "  weary:\n"),
    ("first: tired", "first: weary"),
    ("when: tired", "when: weary"),
)
SAMPLE = Sample("simulated caller 3", 3, ("tired: yes",))


def of(*rows: ImpactRow) -> Effect:
    """An effect of these rows alone."""
    lengths = Lengths(5.0, 5.0, 6, 6)
    return Effect("little", "1", "1", 100, 1, (), rows, (), 9, lengths, (4, 4), {}, ())


def test_nothing() -> None:
    """One line says who was led through, the next that nothing changes."""
    assert impact_lines(of()) == [
        "little 1: 100 simulated callers (seed 1) run before and after the edit.",
        "Nothing changes in the sample of 100 simulated callers (seed 1): same questions, "
        "cautions, advice and chairs. Callers who were not in it may hear something else.",
    ]


def test_a_lost_caution_is_loud_and_first(tmp_path: Path) -> None:
    """Right under the first line, with who loses it, when it was said, and an example."""
    fever = demo("A fever", None, tired="no", signs="fever")
    lines = impact_lines(edited(tmp_path, (FEVER, ""), demos=[fever]))
    assert lines[1].startswith(
        "!! WARNING REMOVED: 'fever_refer' (refer) was deleted from the tree, for "
    )
    assert lines[1].endswith(" and demo call “A fever”.")
    assert "It was said when the caller says “A fever”" in lines[2]
    assert "For example simulated caller " in lines[3]


def test_a_lowered_stop(tmp_path: Path) -> None:
    """It says what it was and what it is now."""
    lines = impact_lines(edited(tmp_path, ("level: stop", "level: note")))
    assert "!! WARNING LOWERED: 'numb_stop' (stop) is now only note, for " in lines[1]
    assert "CALLS THAT A STOP NO LONGER ENDS:" in lines


def test_nobody_met_it(tmp_path: Path) -> None:
    """A caution gone is told though nobody met it, and what nobody met is named at the end."""
    lines = impact_lines(edited(tmp_path, (FEVER, ""), count=0))
    assert "No caller in the sample had met it." in lines[1]
    assert lines[-1].startswith("No caller in the sample met 'numb_stop'")


def test_stopped_before(tmp_path: Path) -> None:
    """A caution lost to an earlier stop says so."""
    tired = STOP.replace("numb_stop", "tired_stop").replace("numb in signs", "tired")
    lines = impact_lines(edited(tmp_path, (STOP, STOP + tired)))
    assert any("For all of them, another stop now ends the call." in line for line in lines)


def test_rows() -> None:
    """Each kind under its heading, how many callers, and an example."""
    lines = impact_lines(
        of(
            ImpactRow("chair", "another chair", 25, 100, (), SAMPLE),
            ImpactRow("setting", "seat_height", 3, 100, ("One", "Two"), SAMPLE, by=(-12.0, 30.0)),
            ImpactRow("setting", "seat_depth", 1, 100, (), SAMPLE, by=(8.0, 8.0)),
            ImpactRow("setting", "footrest_height, not set before", 1, 100, (), SAMPLE),
            ImpactRow("caution gained", "fever", 2, 100, (), SAMPLE, level="refer"),
        )
    )
    assert "No warning is removed in the sample of 100 simulated callers (seed 1)." in lines
    assert "Something changes for 9 of 100 simulated callers (9.0 %)." in lines
    assert "  another chair: 25 of 100 simulated callers (25 %)" in lines
    assert "     For example simulated caller 3: tired: yes." in lines
    assert (
        "  seat height from 1.2 cm less to 3.0 cm more: 3 of 100 simulated callers (3.0 %) "
        "and demo calls “One”, “Two”" in lines
    )
    assert "  seat depth 0.8 cm more: 1 of 100 simulated callers (1.0 %)" in lines
    assert "  footrest height, not set before: 1 of 100 simulated callers (1.0 %)" in lines
    assert "  'fever' (refer): 2 of 100 simulated callers (2.0 %)" in lines
    assert lines.index("Cautions said to more callers:") < lines.index("A different chair:")


def test_many_rows_are_counted() -> None:
    """A dozen of a kind are read; the rest are counted."""
    many = [ImpactRow("advice lost", f"advice_{at}", 1, 100, (), SAMPLE) for at in range(20)]
    lines = impact_lines(of(*many))
    assert sum(line.startswith("  'advice_") for line in lines) == 12
    assert "  and 8 more, each for at most as many callers as these" in lines


def test_longer_calls_and_new_names(tmp_path: Path) -> None:
    """Both are told in a line of their own."""
    lines = impact_lines(edited(tmp_path, (STOP, ""), *WEARY))
    assert "'tired' is now called 'weary'." in lines
    assert any(line.startswith("A call has 5.0 questions on average (before") for line in lines)
    assert any(line.startswith("A stop ends 0 calls of 40; before, it ended ") for line in lines)
