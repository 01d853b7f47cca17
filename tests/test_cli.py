"""The command line as a whole: it starts fast, explains itself, and keeps its exit codes."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from consult import __version__
from consult.cli import _COMMANDS, main
from consult.commands.outcome import Outcome
from consult.paths import demo_folder, trees_folder
from consult.records.store import open_store
from tests.long import AT_MOST

COMMANDS = ("call", "replay", "check", "fit")
HEAVY = {"textual", "numpy", "yaml", "jsonschema", "sqlalchemy"}
LOADED = """
import sys
lines = eval(sys.argv[1])
sys.argv[1:] = lines[0]
from consult.cli import main
for argv in lines:
    try:
        main(argv)
    except SystemExit:
        pass
import json
print()
print(json.dumps(sorted({name.partition(".")[0] for name in sys.modules})))
"""


def loaded_by(*lines: tuple[str, ...]) -> set[str]:
    """The packages a fresh process has loaded once the command lines were handled."""
    done = subprocess.run(
        [sys.executable, "-c", LOADED, repr(lines)],
        capture_output=True,
        text=True,
        check=True,
        timeout=AT_MOST,
    )
    return set(json.loads(done.stdout.splitlines()[-1]))


def left(*argv: str) -> int:
    """The exit code where the parser itself ends the program."""
    with pytest.raises(SystemExit) as caught:
        main(argv)
    return int(caught.value.code or 0)


def test_help_loads_nothing_heavy() -> None:
    """Help, version and a mistyped flag answer at once: no screens, no arithmetic, no YAML.

    Nor does any command load what only its run needs, however its help is asked for.
    """
    commands = [(*command.split(), asked) for command in _COMMANDS for asked in ("--help", "-h")]
    packages = loaded_by(
        *(("--help",), ("--version",), ("--nonsense",), ("records", "list", "--help")), *commands
    )
    assert "consult" in packages
    assert not packages & HEAVY


@pytest.mark.parametrize("command", ["impact a b", "records list"])
def test_an_unknown_flag_shows_the_usage_of_its_command(
    command: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Not that of all commands, which says nothing of its flags."""
    assert left(*command.split(), "--nonsense") == Outcome.BAD_USE
    said = capsys.readouterr().err
    name = command.removesuffix(" a b")
    assert said.startswith(f"usage: consult {name} [-h]")
    assert f"consult {name}: error: unrecognized arguments: --nonsense" in said


def test_a_file_may_be_called_like_the_help() -> None:
    """After -- stands no option, and the command runs."""
    assert "numpy" in loaded_by(("replay", "--", "--help"))


@pytest.mark.parametrize(
    ("argv", "needless"),
    [
        (("records", "list"), {"numpy", "yaml", "jinja2", "textual"}),
        (("check", str(trees_folder() / "my_chair.yaml")), {"textual", "fpdf"}),
        (
            ("replay", str(sorted(demo_folder().glob("*"))[0])),
            {"jinja2", "jsonschema", "fpdf", "textual"},
        ),
        (("fit", "--json"), {"jinja2", "jsonschema", "sqlalchemy", "textual"}),
    ],
    ids=lambda each: each[0] if isinstance(each, tuple) else "",
)
def test_a_start_loads_only_what_it_needs(
    argv: tuple[str, ...],
    needless: set[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """No screens but for a call, no templates where nothing is written, no validator where files
    are right."""
    monkeypatch.setenv("CONSULT_RECORDS", str(tmp_path / "records.db"))
    if argv[0] == "records":
        open_store().close()
    packages = loaded_by(argv)
    assert not packages & needless
    assert packages & {"numpy", "sqlalchemy"}, "it has run"


@pytest.mark.parametrize(
    ("modules", "there", "needless"),
    [
        ("consult.ui.app", "consult.ui.opening", {"numpy", "consult.call.session"}),
        (
            "consult.commands.call_desk, consult.ui.calls",
            "consult.ui.call_screen",
            {"jinja2", "markdown_it", "sqlalchemy", "jsonschema", "fpdf"},
        ),
        (
            "consult.commands.practise, consult.ui.practice.app",
            "consult.ui.practice.start_screen",
            {"numpy", "consult.call.session", "consult.ui.call_screen", "jinja2", "sqlalchemy"},
        ),
    ],
)
def test_a_call_loads_what_it_needs_when_it_does(
    modules: str, there: str, needless: set[str]
) -> None:
    """Its first question comes before any figures; what writes documents, and what opens the
    records, once it is asked for. The list of practice callers comes before what leads a call."""
    code = f"import sys, consult.commands.call, {modules}; print(*sys.modules)"
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    )
    loaded = set(done.stdout.split())
    assert there in loaded
    assert not loaded & needless


def test_help_names_every_command(capsys: pytest.CaptureFixture[str]) -> None:
    """The first help lists all commands, an example and the limits."""
    assert left("--help") == 0
    said = " ".join(capsys.readouterr().out.split())
    for command in COMMANDS:
        assert command in said
    assert "example: consult" in said
    assert "Not medical advice" in said


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_explains_itself_by_example(
    command: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Each command has help, exit code 0, and an example of itself."""
    assert left(command, "--help") == 0
    assert f"example: consult {command}" in capsys.readouterr().out


def test_version(capsys: pytest.CaptureFixture[str]) -> None:
    """The version is that of the package."""
    assert left("--version") == 0
    assert capsys.readouterr().out == f"consult {__version__}\n"


@pytest.mark.parametrize(
    "argv",
    [
        ("dance",),
        ("--units", "ells"),
        ("call", "--units", "ells"),
        ("replay",),
        ("check", "--yaml"),
        ("fit", "--stature"),
        ("call", "extra"),
    ],
)
def test_bad_usage(argv: tuple[str, ...], capsys: pytest.CaptureFixture[str]) -> None:
    """What the command line does not know leaves exit code 2 and the usage on stderr."""
    assert left(*argv) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith("usage: consult")


@pytest.mark.parametrize(
    ("argv", "words"),
    [
        ((), "needs a terminal"),
        (("call",), "needs a terminal"),
        (("call", "--tree", "no_such.yaml"), "There is no tree file no_such.yaml"),
        (("call", "--from", "no_such.yaml"), "no such file"),
        (("--tree", "no_such.yaml"), "There is no tree file no_such.yaml"),
        (("--tree", "no_such.yaml", "call"), "There is no tree file no_such.yaml"),
    ],
)
def test_a_call_that_cannot_begin(
    argv: tuple[str, ...], words: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """No terminal, no tree, no call file: each is said in words, exit code 2; flags before the
    command count as well as those after it."""
    assert main(argv) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert words in err


def test_a_call_of_a_broken_tree_does_not_begin(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A tree with mistakes is refused with their places, before any caller is kept waiting."""
    file = tmp_path / "little.yaml"
    file.write_text("tree: little\nfirst: none\n", "utf-8")
    assert main(["call", "--tree", str(file)]) == 2
    assert f"{file}:1:" in capsys.readouterr().err


def test_module_and_exit_code() -> None:
    """``python -m consult`` is the program, and its exit code reaches the shell."""
    done = subprocess.run(
        [sys.executable, "-m", "consult", "fit", "--stature", "62"],
        capture_output=True,
        text=True,
        check=False,
        timeout=AT_MOST,
    )
    assert done.returncode == 2
    assert "Did they say 62 in" in done.stderr
