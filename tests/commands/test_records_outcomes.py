"""``consult records outcome``, ``outcomes`` and ``own-figures``."""

from __future__ import annotations

from html.parser import HTMLParser
from pathlib import Path

import pytest

from consult.call.call import CAME, ODDS
from consult.call.closing_lines import ChairOutcome, MeasuredAgain, StatedOdds
from consult.records.afterwards import past_calls
from consult.records.erase import erase
from consult.records.store import Store
from tests.commands.conftest import RecordsWith
from tests.commands.runs import Run
from tests.records.samples import NOW, call_of, keep

FEW = "fewer than 5"


def finished(store: Store, fits: float = 0.9, *more: tuple[str, str]) -> str:
    """A finished call that ended with odds; its reference."""
    odds = StatedOdds(fits, 20, ("SEAT-M",), 540)
    opened = keep(store, call_of(("caller_name", "Ada"), *more, (ODDS, odds.text)))
    store.finish(opened, NOW)
    return opened.reference


def followed(store: Store, outcome: ChairOutcome) -> None:
    """A follow-up call that says what came of a chair."""
    store.finish(keep(store, call_of((CAME, outcome.text))), NOW)


def filled(store: Store) -> list[str]:
    """Thirty calls: twenty kept, six exchanged, two returned for nothing, two not asked."""
    names = [finished(store) for _ in range(30)]
    for at, name in enumerate(names[:28]):
        again = {"popliteal_height": MeasuredAgain("estimated", 400, 385)}
        outcome = ChairOutcome(name, "kept")
        if 20 <= at < 26:
            outcome = ChairOutcome(
                *(name, "exchanged", ("seat",), "fit"),
                off={"seat_height": -15},
                again=again,
                blamed="popliteal_height",
            )
        elif at >= 26:
            outcome = ChairOutcome(name, "returned", because="other")
        followed(store, outcome)
    return names


def test_the_figures(run: Run, records_with: RecordsWith) -> None:
    """Odds beside what was observed, and no count below five."""
    records_with(filled)
    told = run("records", "outcomes", "--json").json
    assert told["calls"] == 30
    assert told["came"] == {
        "kept": 20,
        "exchanged": "5 or more",
        "returned": FEW,
        "unknown": FEW,
    }
    (band,) = told["bands"]
    assert (band["calls"], band["stated"], band["observed"]) == (26, 0.9, round(20 / 26, 3))
    assert band["interval"][0] < 20 / 26 < band["interval"][1]
    assert told["parts"] == {"SEAT-M": {"calls": 26, "failed": 6, "stated": 0.9}}
    assert told["estimated"] == {"popliteal_height": {"calls": 6, "mean_mm": -15, "sd_mm": 0}}
    assert told["question_would_have_helped"] == {"popliteal_height": 6}
    assert told["advisers"] == {}
    assert told["minutes"] == [{"from": 9, "to": 10, "calls": 30}]
    shown = [line.split() for line in run("records", "outcomes").out.splitlines()]
    assert ["90", "to", "100", "26", "90.0", "76.9", "56.4", "to", "91.0"] in shown
    assert ["Lower", "leg", "6"] in shown
    assert run("records", "outcomes", "--to", "2020-01-01").out.startswith("No finished call")


def test_an_adviser_who_agreed(run: Run, records_with: RecordsWith) -> None:
    """Each agrees for themselves, and may take it back."""
    records_with(filled)
    assert run("records", "own-figures", "show").out == "No adviser has agreed.\n"
    assert run("records", "own-figures", "agree", "--adviser", "Ann").code == 0
    assert run("records", "own-figures", "show").out == "Ann\n"
    told = run("records", "outcomes", "--json").json
    assert told["advisers"] == {"Ann": {"calls": 26, "failed": 6, "stated": 0.9}}
    run("records", "own-figures", "withdraw", "--adviser", "Ann")
    assert run("records", "outcomes", "--json").json["advisers"] == {}


def test_nobody_agrees_without_a_name(
    run: Run, records: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Said in words, exit 2."""
    assert records is not None
    monkeypatch.delenv("CONSULT_ADVISER", raising=False)
    made = run("records", "own-figures", "agree")
    assert (made.code, "--adviser" in made.err) == (2, True)


def test_one_command_says_what_came_of_a_chair(run: Run, records: Store) -> None:
    """It is stored with the call, which stays finished, with its adviser, and intact."""
    name = finished(records)
    made = run(
        *("records", "outcome", name.lower(), "exchanged", "--part", "gas_lift"),
        *("--because", "fault", "--off", "seat_height=-15", "--blame", "popliteal_height"),
    )
    assert (made.code, made.err) == (0, "")
    assert "exchanged gas_lift because of fault; seat_height off by -15 mm" in made.out
    (past,) = past_calls(records)
    assert past.outcome == ChairOutcome(
        *(name, "exchanged", ("gas_lift",), "fault"),
        off={"seat_height": -15},
        blamed="popliteal_height",
    )
    kept = records.read(name)
    assert (kept.status, kept.adviser, len(kept.call.answers)) == ("finished", "Ann", 3)
    assert run("records", "outcome", name, "kept").code == 0
    (past,) = past_calls(records)
    assert past.outcome == ChairOutcome(name, "kept")
    assert run("records", "check").code == 0


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (("returned",), "Give --because"),
        (("kept", "--because", "fit"), "Give --because"),
        (("kept", "--part", "seat"), "--part goes with exchanged"),
        (("adjusted", "--off", "knee=3"), "Write --off as seat_height=-15"),
    ],
)
def test_what_cannot_have_come_of_it(
    run: Run, records: Store, given: tuple[str, ...], said: str
) -> None:
    """Said in words, exit 2, and nothing stored."""
    name = finished(records)
    made = run("records", "outcome", name, *given)
    assert (made.code, said in made.err) == (2, True)
    assert [one.outcome for one in past_calls(records)] == [None]


def test_of_which_call(run: Run, records: Store) -> None:
    """Not of one that is unknown, on hold, or open elsewhere; not of a word that is none."""
    assert "No call with the reference" in run("records", "outcome", "222-222", "kept").err
    assert "not a call reference" in run("records", "outcome", "Ada", "kept").err
    opened = keep(records, call_of(("caller_name", "Ada")))
    assert "open" in run("records", "outcome", opened.reference, "kept").err
    records.hold(opened, NOW)
    assert "is held" in run("records", "outcome", opened.reference, "kept").err


def test_a_deleted_call_is_in_no_figure(run: Run, records: Store) -> None:
    """Neither with its odds nor with what a follow-up call said of it."""
    names = filled(records)
    erase(records, names[0], NOW)
    told = run("records", "outcomes", "--json").json
    assert (told["calls"], told["came"]["kept"]) == (29, 19)


def test_nothing_of_health_is_read(run: Run, records: Store) -> None:
    """A word said about health, or in a note, is in no output."""
    for _ in range(6):
        finished(records, 0.9, ("pain", "quillfeather"))
    assert "quillfeather" not in run("records", "outcomes", "--json").out


class _Tags(HTMLParser):
    """The tags of a page, and what they bring in."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.places: list[str | None] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.places += [value for name, value in attrs if name in ("src", "href")]


def test_the_page(run: Run, records_with: RecordsWith, tmp_path: Path) -> None:
    """Two plots with their words, every table, and nothing from outside; never overwritten."""
    records_with(filled)
    place = tmp_path / "outcomes.html"
    assert run("records", "outcomes", "--out", str(place)).code == 0
    text = place.read_text("utf-8")
    read = _Tags()
    read.feed(text)
    assert read.tags.count("svg") == 2
    assert read.tags.count("table") == 7
    assert read.places == []
    assert "script" not in read.tags
    assert "26 calls: 90 of 100 stated, 77 observed" in text
    again = run("records", "outcomes", "--out", str(place))
    assert (again.code, "--force" in again.err) == (2, True)
