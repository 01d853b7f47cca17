"""``consult batch``."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from consult.call.batch import PersonRow
from consult.cli import _parser
from consult.commands import batch
from consult.commands.batch_results import ResultRow, at_team_prices, csv_text, safe, total_lines
from consult.commands.outcome import Progress
from consult.paths import demo_folder
from consult.range.model import Range
from consult.range.parts import Part
from tests.call.calls import HOSTILE
from tests.commands.runs import Run

EXAMPLE = demo_folder() / "team" / "people.csv"
HEAD = "reference,who sits,sex,consent,height,leg,note\n"
ADA = "A-1,caller,women,no,162,41,window\n"
BEN = "B-2,caller,men,no,181,45,\n"
BAD = "C-3,caller,women,no,162,16.5,\n"


@pytest.fixture
def people(tmp_path: Path) -> Callable[..., Path]:
    """Writes a file of people."""

    def write(*lines: str, encoding: str = "utf-8") -> Path:
        path = tmp_path / "people.csv"
        path.write_bytes("".join(lines).encode(encoding))
        return path

    return write


def table(path: Path, delimiter: str = ",") -> list[dict[str, str]]:
    """The results as a spreadsheet reads them."""
    text = path.read_bytes().decode("utf-8-sig")
    return list(csv.DictReader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True))


def job_of(*argv: str) -> batch.Job:
    """The job of a command line that must be in order."""
    job = batch._job(_parser().parse_args(["batch", *argv]))
    assert isinstance(job, batch.Job)
    return job


# -- what comes out ---------------------------------------------------------------------------


@pytest.mark.any_day
def test_the_example(run: Run, tmp_path: Path) -> None:
    """Nine invented people get a chair, and the tenth, whose leg is in inches, is asked back."""
    out = tmp_path / "results.csv"
    done = run("batch", str(EXAMPLE), "--out", str(out))
    assert done.code == 1
    rows = table(out)
    assert [row["reference"] for row in rows] == [f"T-{n:02}" for n in range(1, 11)]
    assert [row["line"] for row in rows if row["status"] != "done"] == ["9"]
    assert "people.csv:9:9: error: lower leg: 16.5 cm is short" in done.err
    assert "10 rows, 9 done." in done.out
    assert "With errors: line 9." in done.out
    for row in rows:
        if row["status"] == "done":
            assert row["seat_code"]
            assert 0 < int(row["fits_of_100"]) <= 100
            assert bool(row["seat_height_cm"]) or bool(row["seat_height_in"])


def test_the_order_adds_up(run: Run, tmp_path: Path) -> None:
    """Every part of every chair is ordered once, and the prices are those of the parts."""
    out = tmp_path / "results.csv"
    done = run("batch", str(EXAMPLE), "--out", str(out))
    rows = [row for row in table(out) if row["status"] == "done"]
    ordered = {
        line.split()[2]: int(line.split()[0]) for line in done.out.splitlines() if " x " in line
    }
    codes = [row[name] for row in rows for name in row if name.endswith("_code") and row[name]]
    assert ordered == {code: codes.count(code) for code in set(codes)}
    together = sum(float(row["price_GBP"]) for row in rows)
    assert f"Together GBP {together:,.2f}" in done.out


def test_a_bad_row_stops_no_other(run: Run, people: Callable[..., Path], tmp_path: Path) -> None:
    """The row after a bad one is worked out; the bad one is told by line and column."""
    out = tmp_path / "out.csv"
    done = run("batch", str(people(HEAD, ADA, BAD, "\n", BEN)), "--out", str(out))
    assert done.code == 1
    assert [(row["line"], row["status"]) for row in table(out)] == [
        ("2", "done"),
        ("3", "bad"),
        ("5", "done"),
    ]
    assert "people.csv:3:6: error: leg: " in done.err


def test_all_well(run: Run, people: Callable[..., Path], tmp_path: Path) -> None:
    """Where every row is done the exit code says so, and quiet means quiet."""
    done = run("batch", str(people(HEAD, ADA)), "--out", str(tmp_path / "o.csv"), "--quiet")
    assert (done.code, done.out, done.err) == (0, "", "")


def test_columns_in_another_order_give_the_same(
    run: Run, people: Callable[..., Path], tmp_path: Path
) -> None:
    """Moving columns about moves nothing else."""
    out = tmp_path / "out.csv"
    run("batch", str(people(HEAD, ADA, BAD, BEN)), "--out", str(out))
    first = out.read_bytes()
    turned = [
        ",".join(reversed(line.rstrip("\n").split(","))) + "\n" for line in (HEAD, ADA, BAD, BEN)
    ]
    run("batch", str(people(*turned)), "--out", str(out))
    assert out.read_bytes() == first


def test_json_lines(run: Run, people: Callable[..., Path], tmp_path: Path) -> None:
    """A line a row, lengths in mm, for programs."""
    out = tmp_path / "out.jsonl"
    assert run("batch", str(people(HEAD, ADA, BAD)), "--out", str(out), "--json").code == 1
    first, second = (json.loads(line) for line in out.read_text("utf-8").splitlines())
    assert first["status"] == "done"
    assert 300 < first["settings"]["seat_height"] < 600
    assert second["bad"][0]["column"] == 6


def test_units(run: Run, people: Callable[..., Path], tmp_path: Path) -> None:
    """There is a column for each unit somebody reads, and each row fills its own."""
    out = tmp_path / "out.csv"
    path = people("height,units\n", "162,imperial\n", "181,\n")
    run("batch", str(path), "--out", str(out))
    first, second = table(out)
    assert first["seat_height_in"]
    assert not first["seat_height_cm"]
    assert second["seat_height_cm"]
    assert not second["seat_height_in"]
    run("batch", str(path), "--out", str(out), "--units", "imperial")
    assert "seat_height_cm" not in table(out)[0]


def test_stand(run: Run, people: Callable[..., Path], tmp_path: Path) -> None:
    """An odd measure keeps its row back, unless all are said to stand."""
    path, out = people("height,leg,heel\n", "162,41,9 cm\n"), str(tmp_path / "out.csv")
    assert run("batch", str(path), "--out", out).code == 1
    assert run("batch", str(path), "--out", out, "--stand").code == 0


# -- health -----------------------------------------------------------------------------------

ILL = "reference,consent,pains,signs,pain list,care,height,leg\n"


def test_health_is_refused(run: Run, people: Callable[..., Path], tmp_path: Path) -> None:
    """A column about health is refused as a whole, with why."""
    out = tmp_path / "out.csv"
    done = run("batch", str(people(ILL, "x,yes,neck,,,,,\n")), "--out", str(out))
    assert done.code == 2
    assert "Column C, “pains”, asks about health." in done.err
    assert not out.exists()


def test_results_tell_nothing_about_health(
    run: Run, people: Callable[..., Path], tmp_path: Path
) -> None:
    """Whatever was said about health, but for a stop, only the parts and what hangs on them may
    differ; the person at the screen is told whom to speak to."""
    told = []
    for health in ("nowhere,none,none,none", "numb_hands,none,none,past_illness"):
        path = people(ILL, f"x,yes,{health},162,41\n")
        out = tmp_path / "out.jsonl"
        done = run("batch", str(path), "--out", str(out), "--with-health", "--json")
        assert done.code == 0
        told.append((json.loads(out.read_text("utf-8")), done.err))
    (well, quiet), (ill, warned) = told
    chair = {"parts", "price", "lead_days", "p_fits", "settings", "why"}
    assert {n: v for n, v in ill.items() if n not in chair} == {
        n: v for n, v in well.items() if n not in chair
    }
    assert "Speak to this person" not in quiet
    assert "people.csv:2:1: warning: Speak to this person" in warned


def test_a_stop_does_not_say_why(run: Run, people: Callable[..., Path], tmp_path: Path) -> None:
    """That somebody was stopped is kept; what for is not, anywhere."""
    path = people(ILL, "x,yes,legs,saddle_numb,night_pain,none,162,41\n")
    out = tmp_path / "out.csv"
    done = run("batch", str(path), "--out", str(out), "--with-health")
    (row,) = table(out)
    assert row["status"] == "stopped"
    assert row["why"].startswith("This row was stopped for safety")
    assert row["cautions"] == row["seat_code"] == row["ask_next"] == ""
    assert "Stopped for safety: line 2." in done.out
    everything = out.read_text("utf-8") + done.out + done.err
    assert not any(word in everything for word in ("saddle", "numb", "night", "emergency", "legs"))


def test_a_stop_for_another_reason_tells_nothing_else(
    run: Run, people: Callable[..., Path], tmp_path: Path
) -> None:
    """A stop that has nothing to do with health is told with its reason, and that alone."""
    path = people("who sits,consent,pains,care\n", "young_person,yes,numb_hands,pregnant\n")
    out = tmp_path / "out.csv"
    assert run("batch", str(path), "--out", str(out), "--with-health").code == 0
    (row,) = table(out)
    assert (row["status"], row["cautions"]) == ("stopped", "under_eighteen")
    assert row["why"].startswith("Our chairs and figures are for adults")


# -- what goes in -----------------------------------------------------------------------------


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252"])
def test_however_it_was_saved(
    delimiter: str, encoding: str, run: Run, people: Callable[..., Path], tmp_path: Path
) -> None:
    """Commas, semicolons or tabs, three character sets: the same people."""
    lines = ["reference,leg,height,note\n", "Zoë,41½,162,–\n"]
    path = people(*(line.replace(",", delimiter) for line in lines), encoding=encoding)
    out = tmp_path / "out.csv"
    done = run("batch", str(path), "--out", str(out))
    assert done.code == 0, done.err
    assert table(out, delimiter)[0]["reference"] == "Zoë"
    assert ("read as Windows-1252" in done.err) == (encoding == "cp1252")


@pytest.mark.parametrize("mark", ["sep=|\r\n", "\ufeffsep=|\n", '"sep=|"\n', "SEP=|||\n"])
def test_a_line_that_tells_the_separator(
    mark: str, run: Run, people: Callable[..., Path], tmp_path: Path
) -> None:
    """As spreadsheets write it before the headings: it is obeyed, counted as a line, and no row."""
    lines = ["reference|leg|note\n", "Ada;x|41|a, b\n", "\n", "Bo|16.5|\n"]
    path, out = people(mark, *lines), tmp_path / "out.csv"
    done = run("batch", str(path), "--out", str(out))
    assert "people.csv:5:2: error: leg" in done.err
    rows = table(out, "|")
    assert [(row["line"], row["reference"]) for row in rows] == [("3", "Ada;x"), ("5", "Bo")]
    assert rows[0]["note"] == "a, b"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("sep=;\n", "is empty"),
        ("sep=;", "is empty"),
        ("sep=;\n\nleg\n41\n", "line 2 is empty"),
        ("sep=;\nleg\n", "no rows below it"),
        ("sep=x\nleg\n41\n", "“sep=x”, is not the name of a question"),
    ],
)
def test_a_separator_and_nothing_else(
    text: str, said: str, run: Run, people: Callable[..., Path], tmp_path: Path
) -> None:
    """What is wrong below it is told as ever; a letter separates nothing."""
    done = run("batch", str(people(text)), "--out", str(tmp_path / "out.csv"))
    assert done.code == 2
    assert said in done.err


def test_line_breaks_in_quotes(run: Run, people: Callable[..., Path], tmp_path: Path) -> None:
    """A row is told by the line it begins at, whatever stands in the cells before it."""
    path = people("leg,note\n", '41,"one\r\ntwo\nthree"\n', "16.5,\n")
    out = tmp_path / "out.csv"
    done = run("batch", str(path), "--out", str(out))
    assert [row["line"] for row in table(out)] == ["2", "5"]
    assert table(out)[0]["note"] == "one two three"
    assert "people.csv:5:1" in done.err


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "is empty"),
        ("\nleg\n41\n", "line 1 is empty"),
        ("leg\n", "no rows below it"),
        ('leg,note\n41,x\n42,"never closed\n43,y\n', ":3: this row cannot be read"),
        ("leg,shoe size\n41,9\n", "Column B, “shoe size”, is not the name of a question"),
        ("leg\n" + "9" * 200_000, ":2: a cell here is longer than"),
    ],
)
def test_a_file_that_cannot_be_read(
    text: str, said: str, run: Run, people: Callable[..., Path], tmp_path: Path
) -> None:
    """What is wrong and where, in words; nothing is written."""
    done = run("batch", str(people(text)), "--out", str(tmp_path / "out.csv"))
    assert done.code == 2
    assert said in done.err
    assert not list(tmp_path.glob("out*"))


@pytest.mark.parametrize("data", [b"\xff\xfel\x00e\x00g\x00\n\x00", b"leg\n\x81\n"])
def test_other_character_sets(data: bytes, run: Run, tmp_path: Path) -> None:
    """Neither UTF-8 nor Windows-1252: how to save it is said."""
    path = tmp_path / "people.csv"
    path.write_bytes(data)
    done = run("batch", str(path), "--out", str(tmp_path / "out.csv"))
    assert done.code == 2
    assert "with UTF-8" in done.err


@pytest.mark.parametrize("out", [".", "nowhere/out.csv", "people.csv"])
def test_a_place_the_results_cannot_go(
    out: str, run: Run, people: Callable[..., Path], tmp_path: Path
) -> None:
    """Told before anything is worked out, and the people are never overwritten."""
    path = people(HEAD, ADA)
    before = path.read_bytes()
    assert run("batch", str(path), "--out", str(tmp_path / out)).code == 2
    assert path.read_bytes() == before


@pytest.mark.parametrize(
    "cell",
    [
        "=cmd|' /C calc'!A0",
        "+1+1",
        "-2+3",
        "@SUM(A1)",
        "\t=1+1",
        " =1+1",
        "＝1+1",
        "\x1b[2Jgone",
        "nul\x00byte",
        "x" * 10_000,
        *HOSTILE,
    ],
)
def test_hostile_cells(cell: str) -> None:
    """Nothing carried through is worked out, obeyed by a terminal, or spoils another cell."""
    row: dict[str, Any] = {
        "line": 2,
        "reference": cell,
        "status": "bad",
        "why": cell,
        "units": "metric",
        "settings": {},
        "p_fits": None,
        "parts": [],
        "price": None,
        "lead_days": None,
        "cautions": [],
        "ask_next": [],
        "not_used": [],
        "note": cell,
    }
    text = csv_text([row], ",", "GBP").removeprefix("\ufeff")
    (read,) = csv.DictReader(io.StringIO(text, newline=""), strict=True)
    for name in ("reference", "why", "note"):
        assert read[name] == safe(cell)
        assert not read[name].lstrip().startswith(tuple("=+-@＝＋－＠"))
        assert not any(ord(char) < 32 or 0x7F <= ord(char) < 0xA0 for char in read[name])
        assert "\u202e" not in read[name]
    assert len(text.splitlines()) == 2


def test_hostile_cells_go_in(run: Run, tmp_path: Path) -> None:
    """In a reference, a note or an answer, they come to a result like any other."""
    cells = ["=cmd|x", "\x1b[31m", "\u202eabc", "x" * 10_000, "nul\x00byte", 'say "no"']
    path, out = tmp_path / "people.csv", tmp_path / "out.csv"
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(["id", "note", "name", "leg"])
        writer.writerows([cell, cell, cell, "41"] for cell in cells)
        writer.writerows([cell, cell, "", cell] for cell in cells)
    done = run("batch", str(path), "--out", str(out))
    assert done.code == 1
    rows = table(out)
    assert [row["status"] for row in rows] == ["done"] * len(cells) + ["bad"] * len(cells)
    assert [row["reference"] for row in rows[: len(cells)]] == [safe(cell) for cell in cells]
    assert "\x1b" not in done.out + done.err + out.read_text("utf-8")


# -- broken off, and worked out once -----------------------------------------------------------


def test_broken_off(
    run: Run, people: Callable[..., Path], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Ctrl+C leaves the results of before as they were, and no measures of people beside them."""
    path, out = people(HEAD, ADA, BAD, BEN), tmp_path / "out.csv"
    run("batch", str(path), "--out", str(out))
    whole, real = out.read_bytes(), batch.one_row

    def broken_off(job: batch.Job, row: PersonRow) -> tuple[ResultRow, bool]:
        if row.line == 4:
            raise KeyboardInterrupt
        return real(job, row)

    with monkeypatch.context() as patched:
        patched.setattr(batch, "one_row", broken_off)
        assert run("batch", str(path), "--out", str(out)).code == 130
    assert out.read_bytes() == whole
    assert {file.name for file in tmp_path.iterdir()} == {"people.csv", "out.csv"}


def test_rows_that_are_alike_are_worked_out_once(
    run: Run, people: Callable[..., Path], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """And come out as each would by itself, with its own line, reference and note."""
    twin = ADA.replace("A-1", "A-2").replace("window", "at the door")
    short = BAD.replace("C-3", "C-4").removesuffix(",\n") + "\n"
    other = ADA.replace("162", "163")
    rows, out = [ADA, BEN, BAD, twin, short, other, BEN], tmp_path / "out.csv"
    alone = []
    for number, row in enumerate(rows, 2):
        run("batch", str(people(HEAD, row)), "--out", str(out))
        alone.append({**table(out)[0], "line": str(number)})
    real, asked = batch.one_row, list[int]()

    def counted(job: batch.Job, row: PersonRow) -> tuple[ResultRow, bool]:
        asked.append(row.line)
        return real(job, row)

    monkeypatch.setattr(batch, "one_row", counted)
    run("batch", str(people(HEAD, *rows)), "--out", str(out))
    assert table(out) == alone
    assert asked == [2, 3, 4, 7]


def test_a_country_nobody_knows(
    run: Run, people: Callable[..., Path], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is told as before a call; one that is known may be named."""
    argv = ("batch", str(people(HEAD, ADA)), "--out", str(tmp_path / "out.csv"))
    assert run(*argv, "--country", "Irland").err == run("call", "--country", "Irland").err
    assert job_of(*argv[1:], "--country", "Ireland").terms.country == "IE"
    monkeypatch.setenv("CONSULT_COUNTRY", "Irland")
    assert run(*argv).code == 2


def test_only_this_user_reads_the_results(
    run: Run, people: Callable[..., Path], tmp_path: Path
) -> None:
    """Measures of people are nobody else's on this machine."""
    out = tmp_path / "out.csv"
    run("batch", str(people(HEAD, ADA)), "--out", str(out))
    assert out.stat().st_mode & 0o077 == 0


# -- the screen -------------------------------------------------------------------------------


class Screen(io.StringIO):
    """Standard error as a terminal."""

    def isatty(self) -> bool:
        return True


def test_progress_is_for_a_terminal_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """One line that rewrites itself and is taken away; nothing in a file or when quiet."""
    screen = Screen()
    monkeypatch.setattr("sys.stderr", screen)
    with Progress(4) as shown:
        shown.at(1)
        assert "1 of 4" in screen.getvalue()
    assert screen.getvalue().endswith(" \r")
    assert "\n" not in screen.getvalue()
    for silent, quiet in ((io.StringIO(), False), (Screen(), True)):
        monkeypatch.setattr("sys.stderr", silent)
        with Progress(4, quiet=quiet) as shown:
            shown.at(1)
        assert silent.getvalue() == ""


def test_nobody_done() -> None:
    """There is nothing to order then, and that is no error."""
    rows = [{"line": 2, "status": "bad"}, {"line": 4, "status": "bad"}]
    assert list(total_lines(rows, "GBP")) == ["2 rows, 0 done.", "With errors: lines 2, 4."]


def test_a_table_has_the_prices_for_as_many_as_it_orders() -> None:
    """Each part by how many of it all rows order together; the parts of a model in the model."""
    seat = Part("seat", "S", "Seat", 100.0, 5, quantity_prices=((2, 90.0), (3, 80.5)))
    back = Part("back", "B", "Back", 50.0, 5)
    whole = Part("model", "M", "Model", 120.0, 5, quantity_prices=((2, 110.0),))
    range_ = Range("r", "m", "1", "EUR", {"seat": (seat,), "back": (back,), "model": (whole,)})

    def row(line: int, *parts: tuple[str, str, str]) -> dict[str, Any]:
        listed = [{"kind": k, "code": c, "name": c, "within": w} for k, c, w in parts]
        return {"line": line, "status": "done", "parts": listed, "price": 1.0, "lead_days": 5}

    free = (("seat", "S", ""), ("back", "B", ""))
    in_model = (("model", "M", ""), ("seat", "S", "M"))
    rows = [row(2, *free), row(3, *free), row(4, *in_model), {"line": 5, "status": "bad"}]
    found = at_team_prices(rows, range_)
    assert [one.get("price") for one in found] == [140.0, 140.0, 120.0, None]
    assert "Together EUR 400.00, ready in 5 days." in list(total_lines(found, "EUR"))
    three = at_team_prices([row(line, *free) for line in (2, 3, 4)], range_)
    assert [one["price"] for one in three] == [130.5] * 3
    plain = replace(range_, parts={"seat": (replace(seat, quantity_prices=()),), "back": (back,)})
    assert at_team_prices(rows[:2], plain) == rows[:2]
