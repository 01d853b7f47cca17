"""A maker's own folder: made once, used by every command, joined by a second computer."""

from __future__ import annotations

import shutil
import stat
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from consult.commands import publish_judge
from consult.commands.check import trees_in
from consult.content.library.library import Library
from consult.content.library.verify import came_anew
from consult.paths import (
    default_tree,
    home_folder,
    is_unpublished,
    library_folder,
    shipped_trees,
    trees_folder,
)
from consult.records.place import records_place
from consult.tree.settings import settings_of
from tests.commands.runs import Ran, Run
from tests.commands.test_publish import unproven

OWN = ("--maker", "Boyne Seating", "--country", "IE")


@pytest.fixture
def boyne(run: Run, tmp_path: Path) -> Path:
    """A folder made with two options."""
    folder = tmp_path / "boyne"
    made = run("begin", str(folder), *OWN, "--telephone", "+353 1 555 0100")
    assert made.code == 0, made.err
    return folder


def test_what_is_usual_in_the_country_is_taken(boyne: Path) -> None:
    """Euro and metric for Ireland, a greeting with the name; nothing of the demonstration."""
    own = settings_of(boyne)
    assert (own.maker, own.country, own.currency, own.units) == (
        "Boyne Seating",
        "IE",
        "EUR",
        "metric",
    )
    assert own.greeting == "Hello, Boyne Seating."
    assert own.sender.telephone == "+353 1 555 0100"
    draft = boyne / "library" / "draft"
    assert not (draft / "range.yaml").exists()
    assert not (draft / "settings.yaml").exists()
    for path in boyne.rglob("*"):
        assert not path.is_file() or b"Tarnbeck" not in path.read_bytes(), path


def test_every_command_uses_it(run: Run, boyne: Path) -> None:
    """Trees, records and settings of the folder, until it is left."""
    assert trees_folder() == boyne / "library" / "draft"
    assert records_place() == boyne / "records" / "records.db"
    told = run("check")
    assert told.code == 0, told.out
    assert f"Trees: {trees_folder()} (the draft; nothing is published yet)" in told.out
    assert f"Settings: {boyne / 'settings.yaml'} (Boyne Seating)" in told.out
    assert f"Settings: {boyne / 'settings.yaml'} (Boyne Seating)" in run("versions").out
    assert run("begin", "--leave").code == 0
    assert trees_folder() == shipped_trees()
    assert (boyne / "settings.yaml").exists()


def test_no_call_before_something_is_published(run: Run, boyne: Path) -> None:
    """Nobody is advised by the demonstration's chairs, nor by an unproven draft."""
    assert is_unpublished()
    for command in ("call", "serve"):
        told = run(command)
        assert told.code == 2
        assert f"Nothing is published in {boyne} yet" in told.err
    (library_folder() / "live").write_text("2026.12\n")
    assert not is_unpublished()


def test_the_environment_overrides(
    run: Run, boyne: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """CONSULT_TREES and CONSULT_RECORDS come before the folder, CONSULT_FOLDER before the note."""
    monkeypatch.setenv("CONSULT_RECORDS", str(tmp_path / "elsewhere.db"))
    assert records_place() == tmp_path / "elsewhere.db"
    other = tmp_path / "other"
    assert run("begin", str(other), "--maker", "Other", "--country", "DE").code == 0
    assert home_folder() == other
    monkeypatch.setenv("CONSULT_FOLDER", str(boyne))
    assert trees_folder() == boyne / "library" / "draft"
    monkeypatch.setenv("CONSULT_TREES", str(shipped_trees()))
    assert trees_folder() == shipped_trees()


def test_the_check_of_the_folder_checks_what_would_be_published(boyne: Path) -> None:
    """The draft, whatever is live; what is live where there is none. Another folder is itself."""
    library = boyne / "library"
    shutil.copytree(library / "draft", library / "versions" / "1")
    (library / "live").write_text("1\n")
    assert trees_in(boyne) == library / "draft"
    assert trees_in(library / "versions" / "1") == library / "versions" / "1"
    shutil.rmtree(library / "draft")
    assert trees_in(boyne) == library / "versions" / "1"


def test_a_second_computer_joins(run: Run, boyne: Path) -> None:
    """The folder named again is used and not changed; options there are refused."""
    before = (boyne / "settings.yaml").read_bytes()
    assert run("begin", "--leave").code == 0
    told = run("begin", str(boyne))
    assert told.code == 0
    assert "The folder of Boyne Seating is in use from now on" in told.out
    assert run("begin", str(boyne), "--country", "DE").code == 2
    assert (boyne / "settings.yaml").read_bytes() == before


def test_mistakes_are_told_together_and_nothing_is_made(run: Run, tmp_path: Path) -> None:
    """Missing and wrong options, with what would be right."""
    folder = tmp_path / "new"
    told = run("begin", str(folder))
    assert told.code == 2
    assert "--maker, --country or --currency" in told.err
    told = run("begin", str(folder), "--maker", "M", "--country", "Erewhon", "--currency", "euro")
    assert told.code == 2
    assert "two capital letters" in told.err
    assert "three capital letters" in told.err
    assert not folder.exists()
    (tmp_path / "full").mkdir()
    (tmp_path / "full" / "letter.txt").touch()
    told = run("begin", str(tmp_path / "full"), *OWN)
    assert "is not empty" in told.err


def test_own_country_comes_first(boyne: Path) -> None:
    """Where a chair goes, in both trees that ask."""
    for name in ("wishes.yaml", "team_order.yaml"):
        text = (boyne / "library" / "draft" / name).read_text("utf-8")
        text = text[text.index("  delivery_country:") :]
        assert text[text.index("    choices:") :].splitlines()[1:3] == [
            "      ireland: Ireland",
            "      united_kingdom: United Kingdom",
        ]


def test_a_country_without_words_is_told(run: Run, tmp_path: Path) -> None:
    """Callers there would hear no emergency number: the maker has to add it."""
    told = run("begin", str(tmp_path / "fr"), "--maker", "M", "--country", "FR")
    assert told.code == 0
    assert "has no words for FR" in told.out
    assert "ring in an emergency" in told.out


def test_records_are_for_this_user(boyne: Path) -> None:
    """Health answers lie there."""
    assert stat.S_IMODE((boyne / "records").stat().st_mode) == 0o700


def test_asked_line_by_line(run: Run, tmp_path: Path, typed: Callable[..., None]) -> None:
    """In a terminal it asks; Enter takes what stands in brackets, a wrong answer is asked again."""
    lines = ["Boyne Seating", "Erewhon", "Ireland", "euro", "eur", *[""] * 6]
    typed(*lines)
    told = run("begin", str(tmp_path / "boyne"))
    assert told.code == 0, told.err
    assert "[EUR]" in told.out
    assert "two capital letters" in told.out
    own = settings_of(tmp_path / "boyne")
    assert (own.country, own.currency) == ("IE", "EUR")


def test_broken_off(run: Run, tmp_path: Path, typed: Callable[..., None]) -> None:
    """The end of input makes nothing."""
    typed("Boyne Seating")
    told: Ran = run("begin", str(tmp_path / "boyne"))
    assert told.code == 2
    assert not (tmp_path / "boyne").exists()


@pytest.fixture
def typed(monkeypatch: pytest.MonkeyPatch) -> Callable[..., None]:
    """Somebody at a terminal, who types these lines."""

    class Terminal:
        def __init__(self, lines: tuple[str, ...]) -> None:
            self.lines = list(lines)

        def isatty(self) -> bool:
            return True

        def readline(self) -> str:
            return f"{self.lines.pop(0)}\n" if self.lines else ""

    def type_(*lines: str) -> None:
        monkeypatch.setattr(sys, "stdin", Terminal(lines))

    return type_


def test_another_product_from_begin_to_a_call(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A folder without chairs is sound as it begins; with the worked example in it, the example is
    published without a reason for anything weaker, and is what calls begin with."""
    # That the example is proven is tried beside the guide.
    monkeypatch.setattr(publish_judge, "proofs_of", unproven)
    folder = tmp_path / "desks"
    assert run("begin", str(folder), *OWN, "--another-product", "A Desk").code != 0
    made = run("begin", str(folder), *OWN, "--another-product", "desk")
    assert made.code == 0, made.err
    assert "fitting.yaml" in made.out
    draft = folder / "library" / "draft"
    begun = {path.name for path in draft.glob("*.yaml")}
    assert begun == {"desk_fitting.yaml", "safety.yaml", "contacts.yaml"}
    checked = run("check")
    assert checked.code == 0, checked.out + checked.err
    example = shipped_trees() / "examples" / "desk_fitting"
    for name in ("desk_fitting.yaml", "fitting.yaml", "callers.yaml"):
        (draft / name).write_bytes((example / name).read_bytes())
    listed = run("range", "columns").out + run("range", "template").out
    assert "FRAME-TWO;Two-stage frame;340" in listed
    assert "chair" not in listed
    table = tmp_path / "parts.csv"
    assert run("range", "export", "--draft", "--out", str(table)).code == 0
    table.write_text(table.read_text("utf-8").replace(";340;", ";345;"), "utf-8")
    taken = run("range", "import", str(table), "--callers", "0")
    assert "8 parts (3 frames, 3 tops, 2 controls) make 18 desks." in taken.out
    assert "price: 345" in (draft / "fitting.yaml").read_text("utf-8")
    assert "chair" not in run("practise", "--list").out
    published = run("publish", "--reason", "Our desks", "--callers", "10")
    assert published.code == 0, published.out + published.err
    assert "chair" not in published.out
    assert default_tree().name == "desk_fitting.yaml"
    assert not came_anew(Library(library_folder()))
    (draft / "safety.yaml").unlink()
    gone = run("publish", "--reason", "No signs", "--callers", "10")
    assert gone.code != 0
