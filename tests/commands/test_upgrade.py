"""A newer consult with other questions: said at the desk and by versions, until it is noted."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from consult.commands import publish as publish_command
from consult.commands import publish_judge
from consult.commands.outcome import Outcome
from consult.content.library.files import read_files
from consult.content.library.library import BEGUN, Library
from consult.content.library.verify import came_anew
from consult.paths import shipped_trees
from consult.problems import Problem, Where
from consult.ui.app import ConsultApp
from consult.ui.calls import CallsAtDesk
from tests.commands.conftest import run as run
from tests.commands.runs import Run

NEWS = "This version of consult came with other questions"
MODULES = (
    *("consult.paths", "consult.content.library.library", "consult.content.library.verify"),
    "consult.commands.versions",
)


@pytest.fixture
def shipped(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The trees that come with the program, to be changed."""
    folder = Path(shutil.copytree(shipped_trees(), tmp_path / "shipped"))
    for module in MODULES:
        monkeypatch.setattr(f"{module}.shipped_trees", lambda: folder)
    return folder


@pytest.fixture
def home(run: Run, tmp_path: Path, shipped: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A maker's folder, begun from them; its draft stands in as published."""
    assert shipped.is_dir()
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    folder = tmp_path / "boyne"
    assert run("begin", str(folder), "--maker", "Boyne Seating", "--country", "IE").code == 0
    library = folder / "library"
    shutil.copytree(library / "draft", library / "versions" / "1")
    shutil.copy(shipped / "range.yaml", library / "versions" / "1" / "range.yaml")
    (library / "live").write_text("1\n")
    monkeypatch.setenv("CONSULT_FOLDER", str(folder))
    return folder


def edit(folder: Path, old: str, new: str, name: str = "safety.yaml") -> None:
    """Another text in a sub-tree, if nothing else is said in the one about warning signs."""
    file = folder / name
    text = file.read_text("utf-8")
    assert old in text
    file.write_text(text.replace(old, new, 1), "utf-8")


def test_other_texts_of_warning_signs_are_told(run: Run, home: Path, shipped: Path) -> None:
    """Safety first, the right way round, until they are noted as taken."""
    assert NEWS not in run("versions").out
    edit(shipped, "One swollen, warm or throbbing leg", "One leg swollen, hot or throbbing")
    assert NEWS in run("versions").out
    every = run("changes", "begun", "shipped")
    assert every.code == Outcome.DONE
    line = next(one for one in every.out.splitlines() if "swollen, hot" in one)
    assert line.index("swollen, hot") < line.index("One swollen, warm")
    assert run("changes", "live", "shipped", "--taken").code == Outcome.BAD_USE
    assert came_anew(Library(home / "library"))
    assert run("changes", "begun", "shipped", "--taken").code == Outcome.DONE
    assert NEWS not in run("versions").out
    assert not came_anew(Library(home / "library"))


@pytest.mark.usefixtures("home")
def test_of_a_folder_begun_today_nothing_differs(run: Run, shipped: Path) -> None:
    """The demonstration's chairs, its settings and the pages are nobody's news."""
    made = run("changes", "begun", "shipped")
    assert made.out == "There are no differences.\n"
    edit(shipped, "tarnbeck", "other", "range.yaml")
    (shipped / "GUIDE.md").write_text("Another page.")
    assert run("changes", "begun", "shipped").out == made.out


def test_it_is_said_when_a_call_starts(
    run: Run, home: Path, shipped: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """To the adviser, with whom to tell; and not where nothing but the demo's prices changed."""
    opened: list[CallsAtDesk] = []

    def run_app(app: ConsultApp) -> None:
        assert app.at_desk is not None
        opened.append(app.at_desk)

    monkeypatch.setenv("TEXTUAL_DRIVER", "none")
    monkeypatch.setenv("CONSULT_RECORDS", str(tmp_path / "records.db"))
    monkeypatch.setattr(ConsultApp, "run", run_app)
    prices = shipped / "range.yaml"
    prices.write_text(prices.read_text("utf-8").replace("price: 176", "price: 177"), "utf-8")
    assert run("call").code == Outcome.DONE
    assert not any(NEWS in one for one in opened[-1].kept.notices)
    edit(shipped, "One swollen, warm or throbbing leg", "One leg swollen, hot or throbbing")
    assert run("call").code == Outcome.DONE
    assert any(NEWS in one and "content lead" in one for one in opened[-1].kept.notices)
    shutil.rmtree(home / "library" / BEGUN)
    assert run("call").code == Outcome.DONE
    assert not any(NEWS in one for one in opened[-1].kept.notices)
    assert "does not know" in run("changes", "begun", "shipped").err


@pytest.fixture
def sound(monkeypatch: pytest.MonkeyPatch) -> list[Problem]:
    """What the check says of a draft; what it says of real ones is tested elsewhere, and slow."""
    found: list[Problem] = []
    monkeypatch.setattr(publish_judge, "folder_problems", lambda *_: tuple(found))
    return found


LEG = ("One swollen, warm or throbbing leg", "One leg swollen, hot or throbbing")
PIECE = "safety.yaml:questions.warning_signs.choices.swollen_leg"


def test_what_the_maker_left_alone_is_taken(
    run: Run, home: Path, shipped: Path, sound: list[Problem]
) -> None:
    """Their own changes stay beside it, also in the same file; then it is news no more."""
    assert sound == []
    draft = home / "library" / "draft"
    ask = "Where shall we send it?"
    edit(shipped, *LEG)
    edit(draft, ask, "Where to?", "agreement.yaml")
    edit(shipped, "Read it back.", "Read it back to them.", "agreement.yaml")
    made = run("changes", "begun", "shipped", "--merge")
    assert (made.code, made.err) == (Outcome.DONE, "")
    assert "Taken: safety.yaml\n" in made.out
    assert LEG[1] in (draft / "safety.yaml").read_text("utf-8")
    text = (draft / "agreement.yaml").read_text("utf-8")
    assert "Where to?" in text
    assert "Read it back to them." in text
    assert ask not in text
    assert not came_anew(Library(home / "library"))


def test_of_what_both_changed_the_makers_stays_until_told(
    run: Run, home: Path, shipped: Path, sound: list[Problem]
) -> None:
    """All three wordings are shown, safety first, with what to type for either."""
    assert sound == []
    draft, mine = home / "library" / "draft", "One warm leg"
    edit(shipped, *LEG)
    edit(draft, LEG[0], mine)
    edit(shipped, "Where shall we send it?", "Where does it go?", "agreement.yaml")
    edit(draft, "Where shall we send it?", "Where to?", "agreement.yaml")
    address = "agreement.yaml:questions.delivery_address.ask"
    made = run("changes", "begun", "shipped", "--merge")
    assert made.code == Outcome.FAILED
    assert made.out.index(f"!! {PIECE}") < made.out.index(f"- {address}")
    assert all(text in made.out for text in (LEG[0], mine, LEG[1], f"--take {PIECE}"))
    assert mine in (draft / "safety.yaml").read_text("utf-8")
    assert came_anew(Library(home / "library"))
    wrong = run("changes", "begun", "shipped", "--merge", "--take", "size.yaml:title")
    assert (wrong.code, "size.yaml:title" in wrong.err) == (Outcome.BAD_USE, True)
    made = run("changes", "begun", "shipped", "--merge", "--take", PIECE, "--keep", address)
    assert made.code == Outcome.DONE
    assert LEG[1] in (draft / "safety.yaml").read_text("utf-8")
    assert "Where to?" in (draft / "agreement.yaml").read_text("utf-8")
    assert not came_anew(Library(home / "library"))


def test_a_merge_that_has_mistakes_changes_nothing(
    run: Run, home: Path, shipped: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """They are listed; a draft with mistakes of its own is not touched at all."""
    wrong = Problem(Where("agreement.yaml", 3, 1), "No question 'x'.", "Add it.", "unknown")
    told = [(), (wrong,), (wrong,)]
    monkeypatch.setattr(publish_judge, "folder_problems", lambda *_: told.pop(0))
    edit(shipped, *LEG)
    before = read_files(home / "library" / "draft")
    made = run("changes", "begun", "shipped", "--merge")
    assert (made.code, "No question 'x'." in made.out) == (Outcome.BAD_USE, True)
    assert read_files(home / "library" / "draft") == before
    assert came_anew(Library(home / "library"))
    assert "consult check" in run("changes", "begun", "shipped", "--merge").err


def test_publishing_without_the_solver_is_refused_at_once(
    run: Run, home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With how to install it, and before anything is worked out."""
    monkeypatch.setattr(publish_command, "find_spec", lambda _: None)
    monkeypatch.setattr(publish_command, "publish", lambda *_: pytest.fail("it was judged"))
    assert (home / "library" / "draft").is_dir()
    made = run("publish", "--reason", "Our own range")
    assert (made.code, "consult[content]" in made.err) == (Outcome.BAD_USE, True)
