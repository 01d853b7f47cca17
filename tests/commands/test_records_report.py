"""``consult records report``: figures that point at nobody."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from consult.call.call import private_of
from consult.commands.records_report import told_count, told_part, told_shares, told_within
from consult.records.store import Store
from tests.call.calls import seating
from tests.commands.runs import Run
from tests.records.samples import NOW, VERSIONS, call_of, keep

SIGN = "quillfeather"
FEW = "fewer than 5"
TREE = seating().tree
STOP = next(one.name for one in TREE.cautions if one.level == "stop")
NOTE = next(one.name for one in TREE.cautions if one.name not in private_of(TREE).telling)


def filled(store: Store) -> None:
    """Twelve calls, each with the sign wherever a person can put it."""
    for number in range(12):
        why = SIGN if number == 0 else "1, 2" if number < 7 else "1"
        call = call_of(
            ("caller_name", SIGN),
            ("reasons", why),
            ("stature", "?" if number < 6 else f"157 {SIGN}"),
            ("weight", "?" if number < 2 else "40"),
            (SIGN, SIGN),
            ("pain", SIGN),
        )
        if number < 3:
            call = call.add(replace(call.answers[0], question="sex"))
        call = replace(
            call, country=SIGN, answers=tuple(replace(one, note=SIGN) for one in call.answers)
        )
        call = call.handle(NOTE, at=NOW).handle(SIGN, lifted=SIGN, at=NOW).handle(SIGN, at=NOW)
        if number < 2:
            call = call.handle(STOP, lifted=SIGN, at=NOW)
        opened = keep(store, call, True, SIGN)
        store.note_summary(opened.id, Path(f"/{SIGN}.txt"), NOW)
        with_sign = replace(VERSIONS, tree=SIGN, range=SIGN, population=SIGN)
        if number == 0:
            store.begin(call, with_sign, SIGN, NOW)
        store.finish(opened, NOW, stopped=number < 2)


def test_the_figures(run: Run, records: Store) -> None:
    """Calls per reason, how often each question is not known, how long it takes, cautions."""
    filled(records)
    told = run("records", "report", "--json").json
    assert told["calls"] == 13
    assert told["by_status"] == {"finished": "5 or more", "open": FEW, "stopped": FEW}
    assert told["reasons"] == {"feet_dangle": 11, "too_deep": 6, "other": FEW}
    questions = told["questions"]
    assert questions["stature"] == {
        "calls": 12,
        "unknown": 6,
        "unknown_share": 0.5,
        "timed": 12,
        "seconds": 2.5,
    }
    assert questions["caller_name"]["unknown"] == 0
    assert questions["weight"]["unknown"] == FEW
    assert questions["weight"]["unknown_share"] is None
    assert questions["sex"] == {
        "calls": FEW,
        "unknown": None,
        "unknown_share": None,
        "timed": FEW,
        "seconds": None,
    }
    assert told["cautions"] == {NOTE: 12, "other": 12}
    assert told["stops_lifted"] == {"other": 12, STOP: FEW}
    text = run("records", "report").out
    assert text.startswith("13 calls\n")
    assert "Feet don't reach the floor 11" in [" ".join(one.split()) for one in lines(text)]
    assert "6 (50%)" in text
    assert ["stature", "12", "6", "(50%)", "2", "s", "12"] in [one.split() for one in lines(text)]


def lines(text: str) -> list[str]:
    """Those of an output."""
    return text.splitlines()


SMALL = """
tree: {name}
title: Small
version: 1
first: {first}
questions:
  {first}:
    ask: Why?
    answer: choices
    choices: {{one: The one, two: The two}}{sets}
    next: {after}
"""
SETTLED = """
  went:
    ask: This one?
    answer: choice
    choices: {recommended: As suggested, other: Others, none: No chair}
    sets: agreed
    next: whatever
  whatever:
    ask: Why?
    answer: choices
    choices: {price: The price, looks: The looks}
    sets: agreed_because
    next: end
"""


def small(folder: Path, first: str, sets: str = "", more: str = "") -> str:
    """A tree that asks why people ring, and what was agreed."""
    path = folder / "small.yaml"
    after = "went" if more else "end"
    sets = f"\n    sets: {sets}" if sets else ""
    path.write_text(SMALL.format(name="small", first=first, sets=sets, after=after) + more)
    return str(path)


@pytest.mark.parametrize(("first", "sets"), [("why", "reasons"), ("reasons", "")])
def test_reasons_are_found_by_what_the_question_sets(
    run: Run, records: Store, tmp_path: Path, first: str, sets: str
) -> None:
    """Whatever its name; where none sets them, by the name."""
    for _ in range(5):
        keep(records, call_of((first, "1")))
    told = run("records", "report", "--tree", small(tmp_path, first, sets), "--json").json
    assert told["reasons"] == {"one": 5}


def test_what_was_agreed(run: Run, records: Store, tmp_path: Path) -> None:
    """How often the chair suggested was taken, others were, and why; the choices in words."""
    for said, count in (("1", 9), ("2", 7), ("3", 6)):
        for number in range(count):
            why = SIGN if number == 0 else "1" if number == 1 else "1, 2"
            call = call_of(("went", said), ("whatever", why))
            records.finish(keep(records, call), NOW)
    keep(records, call_of(("went", "1")))
    tree = small(tmp_path, "why", more=SETTLED)
    told = run("records", "report", "--tree", tree, "--json").json
    # The one call still open is hidden, and with it the least of how they stand.
    assert told["by_status"] == {"finished": "5 or more", "open": FEW}
    assert told["chosen"] == {
        "agreed": {"recommended": 9, "other": 7, "none": "5 or more"},
        "because": {"price": 6, "looks": 5, "other": FEW},
    }
    text = run("records", "report", "--tree", tree).out
    assert "What finished calls agreed on\n" in text
    assert ["As", "suggested", "9"] in [one.split() for one in lines(text)]
    assert ["The", "price", "6"] in [one.split() for one in lines(text)]
    assert SIGN not in text


def test_few_that_were_not_asked(run: Run, records: Store, tmp_path: Path) -> None:
    """How many were not asked is told as every count is."""
    for said in ["1"] * 8 + ["2"] * 2 + ["?"] * 6:
        records.finish(keep(records, call_of(("went", said))), NOW)
    for _ in range(5):
        records.finish(keep(records, call_of(("why", "1"))), NOW)
    told = run("records", "report", "--tree", small(tmp_path, "why", more=SETTLED), "--json").json
    assert told["by_status"] == {"finished": 21}
    assert told["chosen"]["agreed"] == {
        "recommended": 8,
        "other": FEW,
        "no clear answer": 6,
        "not asked": "5 or more",
    }


def test_nothing_of_what_is_not_asked(run: Run, records: Store, tmp_path: Path) -> None:
    """A tree without the question has no such section."""
    records.finish(keep(records, call_of(("went", "1"))), NOW)
    tree = small(tmp_path, "why")
    assert "chosen" not in run("records", "report", "--tree", tree, "--json").json
    assert "agreed" not in run("records", "report", "--tree", tree).out


def test_our_own_tree_asks_what_was_agreed(run: Run, records: Store) -> None:
    """Why people ring, what they agreed on and why are found in it."""
    for _ in range(5):
        records.finish(keep(records, call_of(("agreed", "2"), ("agreed_because", "1"))), NOW)
    told = run("records", "report", "--json").json
    assert told["chosen"] == {"agreed": {"other": 5}, "because": {"price": 5}}


def test_the_length_of_calls(run: Run, records: Store) -> None:
    """The median of finished calls and how many were timed, unless these are few."""
    for number in range(6):
        call = call_of(("stature", "157"), ("weight", "60"))
        slow = tuple(replace(one, took=60.0 * (number + 1)) for one in call.answers)
        timed = replace(call, answers=slow)
        records.finish(keep(records, timed), NOW)
        if number == 3:
            assert run("records", "report", "--json").json["length"] == {
                "timed": FEW,
                "seconds": None,
            }
    told = run("records", "report", "--json").json
    assert told["length"] == {"timed": 6, "seconds": 420.0}
    text = run("records", "report").out
    assert "A finished call usually takes 7 minutes (6 timed).\n" in text


def test_nobody_is_in_the_report(run: Run, records: Store) -> None:
    """No name, no word said, no note, no reason, no path, no reference."""
    filled(records)
    for flags in ((), ("--json",)):
        done = run("records", "report", *flags)
        assert done.code == 0
        assert SIGN not in done.out + done.err
        assert not [one for one in records.latest(20) if one.reference in done.out]


def test_small_figures_are_not_told(run: Run, records: Store) -> None:
    """Of four calls no figure at all is told, in text or JSON."""
    for _ in range(4):
        keep(records, call_of(("reasons", "1"), ("stature", "?")).handle(NOTE, at=NOW))
    told = run("records", "report", "--json").json
    assert told["calls"] == FEW
    assert told["by_status"] == {"open": FEW}
    assert told["reasons"] == {"feet_dangle": FEW}
    assert told["cautions"] == {NOTE: FEW}
    assert told["questions"]["stature"]["unknown"] is None
    text = run("records", "report").out
    assert text.startswith(f"Calls: {FEW}\n")
    assert not [sign for sign in text.replace(FEW, "") if sign.isdigit()]


@pytest.mark.any_day
def test_days(run: Run, records: Store) -> None:
    """Only calls begun on the days asked for are counted, the last day too."""
    noon = datetime(2026, 3, 10, 12)
    for day in range(3):
        for _ in range(5 + day):
            records.begin(call_of(), VERSIONS, "Ann", noon + timedelta(days=day))

    def counted(*flags: str) -> int:
        told = run("records", "report", "--json", *flags).json
        return int(told["calls"])

    assert counted() == 18
    assert counted("--from", "2026-03-11") == 13
    assert counted("--to", "2026-03-11") == 11
    assert counted("--from", "2026-03-11", "--to", "2026-03-11") == 6
    assert run("records", "report", "--from", "2027-01-01").out == (
        "No calls were started in that time.\n"
    )
    assert run("records", "report", "--from", "2026-03-12", "--to", "2026-03-11").code == 2


@pytest.mark.usefixtures("records")
def test_another_tree(run: Run, tmp_path: Path) -> None:
    """A tree that is none is told as by every command."""
    assert run("records", "report", "--tree", str(tmp_path / "no.yaml")).code == 2
    (tmp_path / "bad.yaml").write_text("tree: [")
    done = run("records", "report", "--tree", str(tmp_path / "bad.yaml"))
    assert (done.code, done.out) == (2, "")
    assert "bad.yaml:" in done.err


@given(st.integers(0, 40), st.integers(0, 40))
def test_no_small_group_can_be_worked_out(one: int, other: int) -> None:
    """Neither of two groups that make a whole is told where either has one to four people."""
    told = told_part(one, one + other)
    assert isinstance(told, int) == (not (0 < one < 5 or 0 < other < 5))
    assert isinstance(told_count(one), int) == (one == 0 or one >= 5)


@given(
    st.dictionaries(st.sampled_from("abcd"), st.integers(1, 30), min_size=1),
    st.sampled_from([FEW, "5 or more"]),
)
def test_a_hidden_whole_is_not_told_by_its_parts(shares: dict[str, int], whole: str) -> None:
    """Where a total is hidden, never all of its parts are told."""
    told = told_within(shares, whole)
    assert any(isinstance(one, str) for one in told.values())
    assert told_within(shares, sum(shares.values())) == told_shares(shares)


@given(st.dictionaries(st.sampled_from("abcd"), st.integers(1, 30), min_size=1))
def test_no_small_share_can_be_worked_out(shares: dict[str, int]) -> None:
    """Small shares are hidden, and with them one that would tell them by what is left."""
    told = told_shares(shares)
    words = Counter(one for one in told.values() if isinstance(one, str))
    assert all(told[name] == FEW for name, count in shares.items() if count < 5)
    large = [count for count in shares.values() if count >= 5]
    assert words["5 or more"] == (1 if words[FEW] and large else 0)
