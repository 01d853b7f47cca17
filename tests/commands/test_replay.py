"""Replaying call files on the command line."""

from __future__ import annotations

from pathlib import Path

import pytest

from consult.paths import demo_folder
from tests.commands.runs import Run
from tests.long import LONG

DEMOS = sorted(map(str, demo_folder().glob("*.yaml")))
HEAD = "transcript: A call\ntree: seating\ntoday: 2026-11-25\n"


def written(folder: Path, text: str) -> str:
    file = folder / "call.yaml"
    file.write_text(text, "utf-8")
    return str(file)


def test_all_demo_calls(run: Run) -> None:
    """Each file is one line, its title after the verdict."""
    made = run("replay", *DEMOS)
    assert (made.code, made.err) == (0, "")
    assert len(made.out.splitlines()) == len(DEMOS)
    assert all(line.startswith("as expected ") for line in made.out.splitlines())


def test_not_as_expected(run: Run, tmp_path: Path) -> None:
    """What did not come out is told with its place, exit code 1."""
    file = written(tmp_path, HEAD + "answers: []\nexpect:\n  finished: yes\n")
    made = run("replay", file)
    assert made.code == 1
    assert made.err == f"{file}:6:3: error: finished: no came out.\n"
    assert made.out.startswith("NOT as expected ")


def test_an_answer_to_no_question(run: Run, tmp_path: Path) -> None:
    """An answer the tree has no question for fails the file, but the rest is replayed."""
    file = written(tmp_path, HEAD + "answers:\n  - statur: 160\n")
    made = run("replay", file)
    assert made.code == 1
    assert "Did you mean 'stature'?" in made.err


@pytest.mark.parametrize(
    "text", ["", "a: [", HEAD, HEAD.replace("seating", "no_such") + "answers: []\n"]
)
def test_a_file_that_cannot_be_used(run: Run, tmp_path: Path, text: str) -> None:
    """A broken file, or one of a tree there is not, is bad use: exit code 2, nothing printed."""
    made = run("replay", written(tmp_path, text))
    assert (made.code, made.out) == (2, "")
    assert made.err


def test_missing_folder_and_binary(run: Run, tmp_path: Path) -> None:
    """None of them is a call file; each says so in words."""
    binary = tmp_path / "call.yaml"
    binary.write_bytes(bytes(range(256)))
    for name, words in (
        (tmp_path / "none.yaml", "no such file"),
        (tmp_path, "not a file"),
        (binary, "UTF-8"),
    ):
        made = run("replay", str(name))
        assert made.code == 2
        assert words in made.err


def test_one_bad_file_does_not_stop_the_rest(run: Run, tmp_path: Path) -> None:
    """The good files are replayed; the exit code is that of the worst."""
    made = run("replay", written(tmp_path, ""), DEMOS[0])
    assert made.code == 2
    assert made.out.startswith("as expected ")


def test_json_of_one_call(run: Run) -> None:
    """One file is one object with everything that came out, in mm and kg."""
    made = run("replay", "--json", DEMOS[0])
    assert made.code == 0
    call = made.json
    assert call["file"] == DEMOS[0]
    assert call["as_expected"] is True
    assert call["body"]["stature"].keys() == {"mean", "sd", "low", "high", "origin"}
    assert call["fit"]["seat_height"].keys() >= {"target", "low", "high"}
    assert 400 < call["fit"]["seat_height"]["target"] < 650
    assert {"cautions", "advice", "plausibility", "missing"} <= call.keys()


def test_json_of_several_calls(run: Run) -> None:
    """Several files are a list, in the order named."""
    made = run("replay", "--json", DEMOS[1], DEMOS[0])
    assert [call["file"] for call in made.json] == [DEMOS[1], DEMOS[0]]


def test_json_of_a_stopped_call_has_no_product(run: Run) -> None:
    """After a stop neither fit nor advice is given out, in JSON as little as on screen."""
    files = [name for name in DEMOS if name.endswith("_stop.yaml")]
    calls = run("replay", "--json", *files).json
    assert len(calls) == len(files) > 1
    for call in calls:
        assert call["fit"] == {}
        assert call["advice"] == []
        assert call["cautions"][0]["level"] == "stop"


@pytest.mark.parametrize("form", ["text", "md"])
@pytest.mark.parametrize("file", DEMOS if LONG else DEMOS[::8])
def test_summaries(run: Run, file: str, form: str) -> None:
    """Every demo call has its summary, with its limits said."""
    made = run("replay", "--summary", form, file)
    assert made.code == 0
    assert "not medical advice" in " ".join(made.out.split())


def test_hostile_answers_do_not_reach_the_terminal(run: Run, tmp_path: Path) -> None:
    """Control characters in title and answers are shown, never obeyed."""
    text = HEAD.replace("A call", r'"\e[31mred\a"')
    file = written(tmp_path, text + 'answers:\n  - caller_name: "[b]\\e[2J \\u202e\\x07"\n')
    for flags in ((), ("--summary", "text"), ("--summary", "md")):
        made = run("replay", file, *flags)
        assert made.code == 0
        assert "\x1b" not in made.out + made.err
        assert "\x07" not in made.out + made.err
    assert run("replay", "--json", file).code == 0


def test_bad_use(run: Run) -> None:
    """No file, or two forms at once, is refused with the usage."""
    for flags in ((), ("--json", "--summary", "md", DEMOS[0]), ("--summary", "doc", DEMOS[0])):
        made = run("replay", *flags)
        assert made.code == 2
        assert "usage:" in made.err


def test_demo_calls_where_no_checkout_is(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """By the name of their folder, as the documents write them; a file of one's own comes first."""
    monkeypatch.chdir(tmp_path)
    told = run("replay", "transcripts_demo/0[12]*.yaml")
    assert (told.code, told.out.count("as expected")) == (0, 2), told.err
    assert "There is no such file" in run("replay", "transcripts_demo/none*.yaml").err
    own = tmp_path / "transcripts_demo" / "01.yaml"
    own.parent.mkdir()
    own.write_text("transcript: [")
    assert f"{own.relative_to(tmp_path)}:2:1: " in run("replay", "transcripts_demo/01.yaml").err
