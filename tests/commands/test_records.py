"""``consult records`` listing, finding and showing calls."""

from __future__ import annotations

import unicodedata
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from cryptography.fernet import Fernet
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from consult.commands import records
from consult.commands.records_text import cut, width
from consult.records.encryption import MISSING
from consult.records.store import Store, open_store
from tests.commands.runs import Run
from tests.long import every_case
from tests.records.samples import NOW, VERSIONS, append, call_of, keep
from tests.records.test_store import ODD
from tests.test_cli import HEAVY, loaded_by

# -- ``consult records`` listing, finding and showing calls ---------------------------------------

ACTIONS = (
    *("list", "find", "show", "export", "report", "delete", "purge", "backup", "restore"),
    *("check", "where"),
)
DAY = timedelta(days=1)


def tame(text: str) -> bool:
    """Whether a terminal obeys nothing in it."""
    return not [
        sign for sign in text if unicodedata.category(sign) in ("Cc", "Cs") and sign != "\n"
    ]


def begun(store: Store, at: datetime) -> str:
    """A call begun at a time."""
    return store.begin(call_of(), VERSIONS, "Ann", at).reference


def test_the_newest_calls_come_first(run: Run, records: Store) -> None:
    """A line a call: reference, day, status, adviser, caller; where more are kept, it is said."""
    made = [keep(records, call_of(("a", "1")), name=f"Ada {n}").reference for n in range(3)]
    done = run("records", "list", "--limit", "2")
    head, first, second, more = done.out.splitlines()
    assert head.split() == ["Reference", "Begun", "Status", "Adviser", "Caller"]
    assert first.startswith(made[2])
    assert first.split()[3:] == ["open", "Ann", "Ada", "2"]
    assert second.startswith(made[1])
    assert "there are more" in more
    assert "there are more" not in run("records", "list", "--limit", "3").out


def test_days_and_status(run: Run, records: Store) -> None:
    """The last day named is within, and only calls that stand as asked for are listed."""
    noon = datetime(2026, 3, 10, 12)
    one, two, three = (begun(records, noon + n * DAY) for n in range(3))
    records.hold(records.take_over(two, "Ann", noon, anyway=True), noon)

    def found(*flags: str) -> list[str]:
        return [call["reference"] for call in run("records", "list", "--json", *flags).json]

    assert found() == [three, two, one]
    assert found("--from", "2026-03-11") == [three, two]
    assert found("--to", "2026-03-11") == [two, one]
    assert found("--from", "2026-03-11", "--to", "2026-03-11") == [two]
    assert found("--status", "held") == [two]
    assert found("--from", "0001-01-01", "--to", "9999-12-31") == [three, two, one]
    assert run("records", "list", "--from", "2026-03-12", "--to", "2026-03-11").code == 2


@pytest.mark.parametrize(
    "flags", [("--from", "soon"), ("--limit", "0"), ("--limit", "x"), ("--status", "lost")]
)
@pytest.mark.usefixtures("records")
def test_flags_that_mean_nothing(run: Run, flags: tuple[str, ...]) -> None:
    """They are refused with the usage."""
    done = run("records", "list", *flags)
    assert (done.code, done.out) == (2, "")
    assert "usage:" in done.err


def test_calls_are_found_by_name_and_reference(run: Run, records: Store) -> None:
    """Whoever is on the line gives one or the other; nobody found is no mistake."""
    reference = keep(records, call_of(("a", "1")), name="Zoë O'Neill").reference
    for text in ("zoe", "oneill z", reference.lower()):
        (found,) = run("records", "find", text, "--json").json
        assert (found["reference"], found["caller_name"]) == (reference, "Zoë O'Neill")
    done = run("records", "find", "nobody")
    assert (done.code, done.out) == (0, "No calls found.\n")
    assert run("records", "find", "nobody", "--json").json == []


def test_long_names_are_cut_in_lists_alone(run: Run, records: Store) -> None:
    """An ellipsis stands for what is left out; the account of the call has all of it."""
    name = "Ab" * 5_000
    reference = keep(records, call_of(("a", "1")), name=name).reference
    done = run("records", "list")
    assert "AbAbA…" in done.out
    assert max(map(len, done.out.splitlines())) < 100
    assert name in run("records", "show", reference).out


def test_columns_stand_below_each_other(run: Run, records: Store) -> None:
    """Wide letters and accents count as the terminal shows them."""
    for adviser in ("李雷", "Zoe\u0308", "Bo"):
        records.begin(call_of(), VERSIONS, adviser, NOW)
    lines = run("records", "list").out.splitlines()
    assert len({width(line[: line.index("no name")]) for line in lines[1:]}) == 1
    assert width("李") == 2


@given(st.text(max_size=50) | st.sampled_from(ODD), st.integers(1, 12))
def test_a_cut_text_fits(text: str, most: int) -> None:
    """Never wider than asked, never more signs than a few for each place."""
    shown = cut(text, most)
    assert width(shown) <= most
    assert len(shown) <= 4 * most + 1
    assert tame(shown)


def test_the_account_of_a_call(run: Run, records: Store, tmp_path: Path) -> None:
    """Who, when, with which versions, each answer with its note, cautions, summaries."""
    call = call_of(("stature", "157 cm"), ("pain", "lower back"), ("stature", "158 cm"))
    noted = replace(call.answers[0], note="by the door\nnot sure", confirmed=True)
    call = replace(call, answers=(noted, *call.answers[1:]))
    call = call.handle("plain", at=NOW).handle("back_stop", lifted="seen by a doctor", at=NOW)
    opened = keep(records, call, True, "Ada Fenwick")
    (tmp_path / "there.txt").touch()
    for name in ("there.txt", "gone.txt"):
        records.note_summary(opened.id, tmp_path / name, NOW)
    records.finish(opened, NOW)
    told = run("records", "show", opened.reference.lower()).out
    for words in (
        f"Call {opened.reference}\n  Caller        Ada Fenwick\n",
        "seating 2026.11",
        "tarnbeck 3",
        "Consent       given",
        "confirmed, amended later)\n      157 cm\n      Note: by the door\n            not sure\n",
        "2. pain",
        "plain: said to the caller (after answer 3",
        "back_stop: lifted (after answer 3",
        "      seen by a doctor\n",
        f"  {tmp_path / 'there.txt'}\n  {tmp_path / 'gone.txt'}\n    (no longer there)\n",
    ):
        assert words in told
    assert "Open since" not in told


def test_health_that_is_not_kept_is_said(run: Run, records: Store) -> None:
    """An account without health answers does not look as if there had been nothing to say."""
    call = call_of(("a", "1"), ("pain", "secret")).handle("back_stop", lifted="secret", at=NOW)
    told = run("records", "show", keep(records, call, False).reference).out
    assert "Consent       refused" in told
    assert "not stored, because the caller did not consent" in told
    assert "a stop (name not stored): lifted" in told
    assert "secret" not in told


def test_a_missing_key_is_said(run: Run, records: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where health answers cannot be read here, the account, the JSON and the export say so."""
    monkeypatch.setenv("CONSULT_KEY", Fernet.generate_key().decode())
    sealed = open_store()
    reference = keep(sealed, call_of(("a", "1"), ("pain", "secret")), True).reference
    sealed.close()
    assert "secret" in run("records", "show", reference).out
    assert "the key is set" in run("records", "where").out
    monkeypatch.delenv("CONSULT_KEY")
    assert MISSING in run("records", "show", reference).out
    assert run("records", "show", reference, "--json").json["trouble"] == MISSING
    assert "the key is missing" in run("records", "where").out
    out = str(Path(str(records.database.path)).with_name("out.json"))
    assert MISSING in run("records", "export", "--format", "json", "--out", out).err


def odd_call(store: Store, text: str) -> str:
    """A call with a text wherever one can be; its reference."""
    call = call_of((text, text), ("pain", text))
    noted = tuple(replace(one, note=text) for one in call.answers)
    call = replace(call, country=text, answers=noted).handle(text, lifted=text, at=NOW)
    versions = replace(VERSIONS, tree=text, range=text)
    opened = store.begin(call, versions, text, NOW)
    append(store, opened, call, True, text)
    return opened.reference


@given(st.text(max_size=30) | st.sampled_from(ODD))
@settings(
    max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_no_output_acts_on_the_terminal(run: Run, records: Store, text: str) -> None:
    """Whatever was typed, no control character is printed of a call."""
    reference = odd_call(records, text)
    for words in (("show", reference), ("show", reference, "--json"), ("list", "--limit", "1")):
        done = run("records", *words)
        assert done.code == 0
        assert tame(done.out + done.err), words


def test_no_list_or_figure_acts_on_the_terminal(run: Run, records: Store) -> None:
    """Nor by anything that looks at many calls, nor where what was asked for is odd."""
    for text in ODD:
        odd_call(records, text)
    for words in (("list",), ("list", "--json"), ("find", "x"), ("report",), ("check",)):
        done = run("records", *words)
        assert done.code == 0
        assert tame(done.out + done.err), words
    for text in ODD:
        for words in (("show", f"no{text}"), ("delete", f"no{text}")):
            done = run("records", *words)
            assert done.code == 2
            assert tame(done.out + done.err), words


def test_no_text_passes_for_ours(run: Run, records: Store) -> None:
    """A line break in what was said begins a line that is set in, at the margin of answers."""
    call = call_of(("a", "x\nSummaries written\n  /etc/none"))
    told = run("records", "show", keep(records, call, name="Ada\nConsent given").reference).out
    assert "\nSummaries written" not in told
    assert "\nConsent" not in told


@pytest.mark.parametrize("words", [("show", "ZZZ-ZZZ"), ("show", "what?"), ("delete", "ZZZ-ZZZ")])
@pytest.mark.usefixtures("records")
def test_a_reference_nobody_has(run: Run, words: tuple[str, ...]) -> None:
    """One plain sentence, exit code 2."""
    done = run("records", *words)
    assert (done.code, done.out) == (2, "")
    assert len(done.err.splitlines()) == 1


@pytest.mark.usefixtures("records")
def test_records_that_are_none(run: Run, tmp_path: Path) -> None:
    """A place mistyped is not made, and another file is not taken for records."""
    missing, other = tmp_path / "typo.db", tmp_path / "notes.txt"
    other.write_text("notes\n" * 100)
    for place, words in ((missing, "no records"), (other, "does not contain stored calls")):
        for argv in (
            ("records", "--records", str(place), "list"),
            ("records", "list", "--records", str(place)),
            ("--records", str(place), "records", "list"),
        ):
            done = run(*argv)
            assert (done.code, done.out) == (2, "")
            assert words in done.err
    assert not missing.exists()
    assert run("records", "list").code == 0


@pytest.mark.parametrize("action", ACTIONS)
def test_every_action_has_an_example(run: Run, action: str) -> None:
    """Its help ends with a line that can be typed."""
    done = run("records", action, "--help")
    assert done.code == 0
    assert f"example: consult records {action}" in done.out


@every_case(records._ACTIONS)
def test_every_action_has_its_function(action: str) -> None:
    """It is found by name only when somebody asks for it, so here each is."""
    assert callable(records._action(action))


def test_a_list_loads_no_papers(tmp_path: Path) -> None:
    """What writes documents takes longer to load than a list takes."""
    place = tmp_path / "records.db"
    open_store(place).close()
    found = loaded_by(("records", "list", "--records", str(place)))
    assert "sqlalchemy" in found
    assert not found & {"jinja2", "numpy"}


def test_help_loads_nothing_heavy() -> None:
    """The arguments are explained without opening a database."""
    assert not loaded_by(("records", "export", "--help")) & set(HEAVY)
