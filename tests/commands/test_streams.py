"""Output that goes nowhere, closed streams and Ctrl+C, seen in processes of their own."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from shutil import copytree
from types import SimpleNamespace

import pytest

from consult import __main__
from consult.commands import outcome, records_export, records_text
from consult.paths import demo_folder, trees_folder
from consult.records.kept import Kept
from consult.records.store import Store, open_store
from tests.commands.runs import Run
from tests.long import AT_MOST, LONG
from tests.records.samples import call_of, keep

pytestmark = pytest.mark.skipif(os.name != "posix", reason="streams as POSIX has them")
DEMO = str(sorted(demo_folder().glob("0*.yaml"))[0])
PRINTING = {
    "help": ("--help",),
    "list": ("records", "list"),
    "long list": ("records", "list", "--json"),
    "replay": ("replay", DEMO, "--json"),
    "pdf": ("replay", DEMO, "--summary", "pdf"),
    "fit": ("fit", "--stature", "170cm"),
}


def shell(line: str, *words: str) -> subprocess.CompletedProcess[str]:
    """What a shell makes of a line in which ``$@`` is the program."""
    program = (sys.executable, "-m", "consult", *words)
    return subprocess.run(
        ["bash", "-c", line, "bash", *program],
        capture_output=True,
        text=True,
        timeout=AT_MOST,
        check=False,
    )


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Records with more calls than a pipe or a buffer holds in a list."""
    file = tmp_path_factory.mktemp("many") / "records.db"
    store = open_store(file)
    for number in range(60):
        keep(store, call_of(("caller_name", f"Ada {number}")))
    store.close()
    return file


@pytest.fixture
def many(written: Path, tmp_path: Path, records: Store) -> Iterator[Store]:
    """A copy of them where the command line finds it."""
    records.close()
    copytree(written.parent, tmp_path / "kept", dirs_exist_ok=True)
    store = open_store()
    yield store
    store.close()


FULL, CLOSED = ('"$@" > /dev/full', "the disk is full"), ('"$@" >&-', "standard output is closed")
LOST = [(name, *way) for way in (FULL, CLOSED) for name in PRINTING]
"""Every command in both ways; in a short run a little text and much of it."""


@pytest.mark.usefixtures("many")
@pytest.mark.parametrize(
    ("name", "line", "why"),
    [
        one
        for one in LOST
        if LONG or (one[0] in ("help", "long list") and one[1:] == FULL) or one[0] == "help"
    ],
)
def test_output_that_is_lost(name: str, line: str, why: str) -> None:
    """One sentence, no traceback, and an exit code that says so."""
    done = shell(line, *PRINTING[name])
    assert done.stderr == f"consult: The output could not be written: {why}.\n"
    assert done.returncode == 3


def test_bytes_that_are_lost(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    """The same, on an output as the program opens it."""
    with Path("/dev/full").open("wb") as full:
        output = outcome._text(outcome._Output(full.fileno(), "w", closefd=False), None)
        monkeypatch.setattr(sys, "stdout", output)
        done = run(*PRINTING["pdf"])
    assert done.err == "consult: The output could not be written: the disk is full.\n"
    assert done.code == 3


@pytest.mark.usefixtures("many")
def test_a_reader_that_has_read_enough() -> None:
    """Nothing is said; the exit code is that of a closed pipe."""
    done = shell('set -o pipefail; "$@" | head -c 10', "records", "list", "--json", "--limit", "60")
    assert (done.stderr, len(done.stdout)) == ("", 10)
    assert done.returncode in (0, 141)
    done = shell('set -o pipefail; "$@" | true', "records", "list", "--json", "--limit", "60")
    assert (done.stderr, done.returncode) == ("", 141)


@pytest.mark.parametrize("words", [("call",), ("edit",), ("practise", "--learner", "Ann")])
def test_no_terminal_to_type_at(run: Run, words: tuple[str, ...]) -> None:
    """What needs one says so."""
    done = run(*words)
    assert done.code == 2
    assert "terminal" in done.err


@pytest.mark.parametrize("line", ['"$@" <&-', '"$@" <&- >&- 2>&-'])
def test_an_input_that_is_closed(line: str) -> None:
    """Is no terminal either."""
    done = shell(line, "call")
    assert "Traceback" not in done.stderr
    assert done.returncode == 2
    assert ("terminal" in done.stderr) == ("2>&-" not in line)


@pytest.mark.usefixtures("many")
def test_messages_that_nobody_can_read(tmp_path: Path) -> None:
    """They change neither the work nor the exit code."""
    words = ("records", "export", "--format", "json", "--out", str(tmp_path / "all.json"))
    assert shell('"$@" 2>/dev/full', *words).returncode == 0
    assert shell('"$@" 2>/dev/full', *words).returncode == 2


def test_records_are_not_opened_in_place_of_a_closed_stream(many: Store) -> None:
    """What is printed must not land in them."""
    before = many.latest(limit=99)
    shell('"$@" <&- >&- 2>&-', "records", "check")
    assert many.latest(limit=99) == before


@pytest.mark.parametrize(
    ("words", "where"),
    [
        (("callers", str(trees_folder() / "my_chair.yaml")), "consult.commands.callers.led_state"),
        (
            ("check", "--prove", str(trees_folder() / "my_chair.yaml")),
            "consult.commands.prove._basis",
        ),
        (("impact", str(trees_folder()), str(trees_folder())), "consult.commands.callers._bases"),
        (("records", "check"), "consult.commands.records_care.integrity"),
    ],
)
@pytest.mark.usefixtures("many")
def test_broken_off(
    run: Run, words: tuple[str, ...], where: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Ctrl+C ends any command with one line and the exit code shells give it."""

    def pressed(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(where, pressed)
    done = run(*words)
    assert (done.code, done.err.strip()) == (130, "consult: Interrupted."), done


@pytest.mark.usefixtures("many")
def test_an_export_broken_off(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Leaves no file."""
    real, count = records_text.kept_json, [0]

    def pressed(kept: Kept) -> dict[str, object]:
        count[0] += 1
        if count[0] > 5:
            raise KeyboardInterrupt
        return real(kept)

    monkeypatch.setattr(records_export, "kept_json", pressed)
    (tmp_path / "here").mkdir()
    out = str(tmp_path / "here" / "all.json")
    assert run("records", "export", "--format", "json", "--out", out).code == 130
    assert not list((tmp_path / "here").iterdir())


def test_ctrl_c_before_anything_is_loaded(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A sentence and the code for it, and no list of what was being loaded."""

    class Pressed:
        def find_spec(self, name: str, *_: object) -> None:
            if name == "consult.cli":
                raise KeyboardInterrupt

    monkeypatch.delitem(sys.modules, "consult.cli", raising=False)
    monkeypatch.setattr(sys, "meta_path", [Pressed(), *sys.meta_path])
    monkeypatch.setattr(__main__, "gc", SimpleNamespace(freeze=int, set_threshold=str))
    assert __main__.run() == 130
    assert capsys.readouterr().err == "consult: Interrupted.\n"


SWALLOWING = {
    "in its clean-up": """
class Left:
    def __del__(self):
        signal.raise_signal(signal.SIGINT)
def run(options):
    Left()
    threading.Event().wait(60)
""",
    "by catching everything": """
def run(options):
    try:
        signal.raise_signal(signal.SIGINT)
    except:
        pass
    threading.Event().wait(60)
""",
    "as another error": """
def run(options):
    try:
        signal.raise_signal(signal.SIGINT)
    except KeyboardInterrupt:
        raise RuntimeError("argument 1: KeyboardInterrupt")
""",
    "inside text that is run": """
def run(options):
    exec("signal.raise_signal(signal.SIGINT)")
""",
}


ONE_AFTER_THE_OTHER = """
import os, signal, sys, threading
from consult import cli
for code in eval(sys.argv[1]):
    if not os.fork():
        exec(code)
        cli._run = run
        sys.exit(cli.main(["fit"]))
    print(os.waitstatus_to_exitcode(os.wait()[1]), flush=True)
"""


def test_ctrl_c_that_a_library_swallows() -> None:
    """The command is broken off all the same."""
    done = subprocess.run(
        [sys.executable, "-c", ONE_AFTER_THE_OTHER, repr([*SWALLOWING.values()])],
        capture_output=True,
        text=True,
        timeout=AT_MOST,
        check=False,
    )
    told = (done.stdout.split(), done.stderr.splitlines())
    assert told == (["130"] * len(SWALLOWING), ["consult: Interrupted."] * len(SWALLOWING))
