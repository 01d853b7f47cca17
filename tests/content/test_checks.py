"""A sources file against all that cites it: what nothing cites, and what the program does."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from PIL import Image

from consult.body.population_file import available, load_named
from consult.content.checks import (
    PROGRAM,
    cited_by,
    logo_problems,
    photo_problems,
    sources_problems,
)
from consult.content.editing.live import LiveCheck
from consult.fit.rules import RuleSource
from consult.paths import shipped_trees
from consult.tree.floor import the_floor
from consult.tree.readability import PLAIN_WORDS_FILE as PLAIN_WORDS
from consult.tree.sources import SOURCES_FILE, Sources, shipped_sources
from tests.picture.test_svg_logo import LOGO
from tests.tree.test_sources import PAGE

UNUSED = PAGE.replace("a_page:", "unused_page:")


@pytest.fixture
def copied(tmp_path: Path) -> Path:
    """A copy of the trees to spoil."""
    return Path(shutil.copytree(shipped_trees(), tmp_path / "trees"))


def test_everything_that_ships_is_cited() -> None:
    """No entry is there for show."""
    assert sources_problems(shipped_trees() / SOURCES_FILE) == []


def test_an_entry_that_nothing_cites_is_told(copied: Path) -> None:
    """At its name, as a warning: it does no harm, but nobody knows what it is for."""
    path = copied / SOURCES_FILE
    path.write_text(path.read_text("utf-8") + UNUSED, "utf-8")
    (problem,) = sources_problems(path)
    assert (problem.rule, problem.severity) == ("unused-source", "warning")
    assert "'unused_page'" in problem.message
    assert path.read_text("utf-8").splitlines()[problem.where.line - 1] == "  unused_page:"


def test_a_draft_that_cites_it_counts(copied: Path) -> None:
    """Texts being edited are looked at in place of the files."""
    path, tree = copied / SOURCES_FILE, copied / "work.yaml"
    path.write_text(path.read_text("utf-8") + UNUSED, "utf-8")
    draft = tree.read_text("utf-8").replace("source: hse_breaks", "source: unused_page")
    assert draft != tree.read_text("utf-8")
    assert [one.rule for one in sources_problems(path, {tree: draft})] == []


def test_a_broken_file_has_its_own_mistakes_only(copied: Path) -> None:
    """What is not cited cannot be known while names are missing."""
    path = copied / SOURCES_FILE
    path.write_text("sources: Ours\n", "utf-8")
    assert [one.rule for one in sources_problems(path)] == ["missing-name"]


# -- the program's own ----------------------------------------------------------------------------


def test_every_rule_of_the_fit_has_its_entry() -> None:
    """Each constant of ``fit.rules.RuleSource`` is names of the list, and says at least one."""
    named = {name: cited for name, cited in vars(RuleSource).items() if name.isupper()}
    assert len(named) > 10
    for name, cited in named.items():
        assert cited, name
        assert set(cited) <= shipped_sources().entries.keys(), name


def test_every_sign_of_the_floor_has_its_entry() -> None:
    """The safety floor says of each warning sign who calls it one."""
    for sign in the_floor().signs.values():
        assert sign.source, sign.name
        assert set(sign.source) <= shipped_sources().entries.keys(), sign.name


@pytest.mark.parametrize("name", available())
def test_every_number_of_a_population_has_its_entry(name: str) -> None:
    """Means, spreads, errors of the tape and what people say of themselves."""
    population = load_named(name)
    assert population.source
    assert set(population.source) <= population.cites <= shipped_sources().entries.keys()


def test_what_the_program_cites_is_said() -> None:
    """So that an entry no tree cites is not deleted."""
    used = cited_by(shipped_trees())
    assert used["parvez_2018"] == [PROGRAM]
    assert used["invented"] == ["callers.yaml"]
    assert used["aberystwyth_12_points"][0] == PROGRAM
    assert "desk.yaml" in used["aberystwyth_12_points"]
    assert used.keys() == shipped_sources().entries.keys()


# -- while a folder is edited ---------------------------------------------------------------------


def live(folder: Path, **changed: str) -> set[str]:
    """The rules broken in a folder with some of its texts changed, wording aside."""
    texts = {path.name: path.read_text("utf-8") for path in folder.glob("*.yaml")}
    found = LiveCheck(folder).problems({**texts, **changed})
    wording = {"long-reason", "long-sentence", "plain-word", "whoever", "hard-to-follow"}
    return {one.rule for one in found} - wording


def test_the_editor_sees_the_same(copied: Path) -> None:
    """A name mistyped in the list makes the tree wrong at once, and the entry unused."""
    text = (copied / SOURCES_FILE).read_text("utf-8")
    assert live(copied) == set()
    spoilt = text.replace("\n  hfes_100:\n", "\n  hfes_101:\n")
    assert live(copied, **{SOURCES_FILE: spoilt}) == {"unused-source"}
    assert live(copied, **{SOURCES_FILE: text.replace("opened", "read")}) >= {"wrong-word"}
    words = (copied / PLAIN_WORDS).read_text("utf-8").replace("gliders: glides", "Gliders: glides")
    assert live(copied, **{PLAIN_WORDS: words}) == {"wrong-form"}


def test_after_a_change_of_the_list_trees_are_checked_again(copied: Path) -> None:
    """One check after the other, as the editor does it: nothing is remembered too long."""
    texts = {path.name: path.read_text("utf-8") for path in copied.glob("*.yaml")}
    check = LiveCheck(copied)
    clean = check.problems(texts)
    cites = {
        **texts,
        "work.yaml": texts["work.yaml"].replace("source: hse_breaks", "source: new"),
        "contacts.yaml": texts["contacts.yaml"].replace("hscni_out_of_hours", "new"),
    }
    found = set(check.problems(cites)) - set(clean)
    told = {(one.rule, Path(one.where.file).name) for one in found}
    assert told >= {("unknown-source", "work.yaml"), ("unknown-source", "contacts.yaml")}
    added = {**cites, SOURCES_FILE: texts[SOURCES_FILE] + UNUSED.replace("unused_page", "new")}
    left = set(check.problems(added)) - set(clean)
    assert {one.rule for one in left} <= {"unused-source"}


def test_a_source_that_nothing_has_is_a_text() -> None:
    """Old trees cite texts; they are shown as they are."""
    (one,) = Sources().of(["A book I once read"])
    assert str(one) == "A book I once read"


# -- missing and broken pictures are told where they are named, and stop nothing ------------------


RANGE = """range: small
seats:
  - code: S-1
    photo: good.png
  - code: S-2
    photo: gone.png
backs:
  - {code: B-1, photo: bad.jpg}
  - {code: B-2, photo: ../good.png}
"""


def test_each_is_told_at_its_line_and_column(tmp_path: Path) -> None:
    """As warnings: documents leave the picture out."""
    Image.new("RGB", (9, 9)).save(tmp_path / "good.png")
    (tmp_path / "bad.jpg").write_bytes(b"junk")
    file = tmp_path / "range.yaml"
    file.write_text(RANGE)
    told = list(photo_problems(file))
    assert [(one.where.line, one.where.column) for one in told] == [(6, 12), (8, 24), (9, 24)]
    assert {(one.rule, one.severity) for one in told} == {("photo", "warning")}
    assert [one.message.split(".")[0] for one in told] == [
        "There is no file gone",
        "bad",
        "'",
    ]
    assert all(one.fix for one in told)


def test_a_range_that_cannot_be_read_has_none(tmp_path: Path) -> None:
    """What is wrong with it is told elsewhere."""
    file = tmp_path / "range.yaml"
    for text in ("", "[", "- a", "seats: 3", "seats: [3]", "seats: [{photo: [a]}]"):
        file.write_text(text)
        assert not list(photo_problems(file))


def test_a_logo_is_told_of_in_the_settings(tmp_path: Path) -> None:
    """A drawing (SVG) is good, and few e-mail programs show one: it has a PNG beside it."""
    file = tmp_path / "settings.yaml"
    file.write_text("settings: 1\nsender:\n  logo: logo.gif\n")
    (told,) = logo_problems(file)
    assert (told.where.line, told.where.column) == (3, 9)
    assert "no PNG, SVG or JPEG" in told.message
    file.write_text("settings: 1\nsender:\n  logo: logo.svg\n")
    (tmp_path / "logo.svg").write_text(LOGO.replace("<path", "<script/><path"))
    (told,) = logo_problems(file)
    assert "logo.svg:2:1: <script> cannot be in a logo" in told.message
    (tmp_path / "logo.svg").write_text(LOGO)
    (told,) = logo_problems(file)
    assert "There is no file logo.png" in told.message
    assert "E-mails leave it out" in told.fix
    Image.new("RGB", (9, 9)).save(tmp_path / "logo.png")
    assert not list(logo_problems(file))
    file.write_text("settings: 1\nsender:\n  logo: logo.png\n")
    assert not list(logo_problems(file))
