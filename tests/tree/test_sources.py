"""The list of sources: every name that is cited has its entry, and every entry can be looked up."""

from __future__ import annotations

from dataclasses import fields
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from consult.marked.marks import load_marked
from consult.paths import shipped_trees, trees_folder
from consult.problems import Where
from consult.tree.check import check_tree
from consult.tree.sources import (
    COMMON_PRACTICE,
    FROM_MEMORY,
    SOURCES_FILE,
    Source,
    Sources,
    citation,
    cited_in,
    load_sources,
    shipped_sources,
    sources_beside,
)

NAMES = st.from_regex(r"[a-z][a-z0-9_]{0,12}", fullmatch=True)
PAGE = """\
  a_page:
    title: A page
    publisher: A public body
    year: 2020
    place: https://example.org/page
    says: Sit well.
    have: opened
"""
TREE = """\
tree: t
title: A tree
version: 1
first: one
questions:
  one: {{ask: Where?, answer: text, read_by: people, next: end}}
advice:
  - {{name: a, topic: t, when: known(one), say: Sit well., because: It helps., source: {source}}}
"""


def write(folder: Path, entries: str) -> Path:
    path = folder / SOURCES_FILE
    path.write_text(f"sources: Ours\nentries:\n{entries}", "utf-8")
    return path


def told(folder: Path, source: str) -> list[tuple[str, str, str]]:
    """Rule, severity and what would be right, of a tree that cites ``source``."""
    path = folder / "t.yaml"
    path.write_text(TREE.format(source=source), "utf-8")
    return [(one.rule, one.severity, one.fix) for one in check_tree(path)]


# -- what ships -----------------------------------------------------------------------------------


def shipped_files() -> list[Path]:
    return sorted(trees_folder().rglob("*.yaml"))


def test_every_name_cited_has_its_entry() -> None:
    """No file of the trees cites a text, or a name that is not in the list."""
    entries = sources_beside(trees_folder())[0]
    assert entries is not None
    count = 0
    for path in shipped_files():
        marked, _ = load_marked(path)
        assert marked is not None
        for steps, name in cited_in(marked.data):
            assert name in entries.entries, f"{marked.value(*steps)}: {name}"
            count += 1
    assert count > 400


def test_every_entry_that_exists_can_be_looked_up() -> None:
    """Each says what it is and what it says; and who, when and where, unless there is no text."""
    for name, one in shipped_sources().entries.items():
        assert one.id == name
        assert one.title
        assert one.says
        published = (one.publisher, one.year, one.place)
        assert all(published) if one.have != "no source" else not any(published), name


def test_names_that_the_program_knows() -> None:
    """The two entries that the code itself names are there."""
    assert {COMMON_PRACTICE, FROM_MEMORY} <= shipped_sources().entries.keys()


# -- the file -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("cut", "rule"),
    [
        ("    title: A page\n", "missing-name"),
        ("    says: Sit well.\n", "missing-name"),
        ("    have: opened\n", "missing-name"),
        ("    publisher: A public body\n", "no-place"),
        ("    year: 2020\n", "no-place"),
        ("    place: https://example.org/page\n", "no-place"),
    ],
)
def test_what_an_entry_needs(tmp_path: Path, cut: str, rule: str) -> None:
    """An entry that lacks a part cannot be looked up, and no tree can lean on such a file."""
    found, problems = load_sources(write(tmp_path, PAGE.replace(cut, "")))
    assert found is None
    assert [(one.rule, one.where.line) for one in problems] == [(rule, 3)]


def test_nothing_published_without_a_text(tmp_path: Path) -> None:
    """What has no source names no publisher: that would look as if it had one."""
    found, problems = load_sources(write(tmp_path, PAGE.replace("opened", "no source")))
    assert found is None
    assert {one.rule for one in problems} == {"no-source-published"}
    assert [one.where.line for one in problems] == [5, 6, 7]


def test_how_we_have_it_is_one_of_four(tmp_path: Path) -> None:
    """Nobody can claim to have read something in other words."""
    _, problems = load_sources(write(tmp_path, PAGE.replace("opened", "read")))
    assert [one.rule for one in problems] == ["wrong-word"]
    assert "second-hand" in problems[0].fix


def test_a_folder_adds_to_what_ships_and_may_replace(tmp_path: Path) -> None:
    """A maker's list stands before the one that ships, and need not repeat it."""
    own = PAGE + PAGE.replace("a_page", "nhs_dvt")
    write(tmp_path, own)
    found, problems = sources_beside(tmp_path)
    assert problems == []
    assert found is not None
    assert found.entries["a_page"].title == "A page"
    assert found.entries["nhs_dvt"].title == "A page"
    assert found.entries.keys() > shipped_sources().entries.keys()


def test_a_folder_without_a_list_has_the_one_that_ships(tmp_path: Path) -> None:
    """So a tree of the maker's own can cite at once."""
    beside, _ = sources_beside(tmp_path)
    assert beside is not None
    assert beside.entries == shipped_sources().entries
    assert told(tmp_path, "nhs_dvt") == []


def test_the_list_that_ships_is_read_as_it_is_edited() -> None:
    """An entry taken out of the draft is gone, though the program still has it."""
    path = shipped_trees() / SOURCES_FILE
    draft = path.read_text("utf-8").replace("\n  nhs_dvt:\n", "\n  renamed:\n")
    found, _ = sources_beside(shipped_trees(), {path: draft})
    assert found is not None
    assert "nhs_dvt" not in found.entries
    assert "renamed" in found.entries


def test_a_broken_list_is_told_once(tmp_path: Path) -> None:
    """Its own mistakes are named, and no name is called unknown because of them."""
    write(tmp_path, PAGE.replace("    title: A page\n", ""))
    assert [rule for rule, _, _ in told(tmp_path, "a_page")] == ["missing-name"]


# -- what is cited --------------------------------------------------------------------------------


def test_an_unknown_name_is_an_error_in_its_place(tmp_path: Path) -> None:
    """With the name that was meant, at the line and column of the name."""
    path = tmp_path / "t.yaml"
    path.write_text(TREE.format(source="[nhs_dvt, nhs_dtv]"), "utf-8")
    (problem,) = check_tree(path)
    assert (problem.rule, problem.severity) == ("unknown-source", "error")
    assert problem.fix == "Did you mean 'nhs_dvt'?"
    line = path.read_text("utf-8").splitlines()[problem.where.line - 1]
    assert line[problem.where.column - 1 :].startswith("nhs_dtv]")


def test_a_name_like_no_other_is_to_be_added(tmp_path: Path) -> None:
    """Where nothing is near, the way out is an entry of that name."""
    assert told(tmp_path, "zzzzzz") == [
        ("unknown-source", "error", "Add an entry 'zzzzzz' to sources.yaml.")
    ]


def test_a_text_of_an_old_tree_is_still_read(tmp_path: Path) -> None:
    """It is warned of, so that a version from before the list can still be led."""
    write(tmp_path, PAGE)
    ((rule, severity, fix),) = told(tmp_path, "A book I once read")
    assert (rule, severity) == ("source-text", "warning")
    assert COMMON_PRACTICE in fix


def test_a_folder_from_before_the_list_is_warned_once(tmp_path: Path) -> None:
    """However many texts it cites: what has to be done is one thing, the list."""
    path = tmp_path / "t.yaml"
    path.write_text(TREE.format(source="[A book I once read, Another book]"), "utf-8")
    (problem,) = check_tree(path)
    assert (problem.rule, problem.severity) == ("source-text", "warning")
    assert problem.where == Where(str(tmp_path / SOURCES_FILE), 1, 1)


def test_a_choice_called_source_is_no_source(tmp_path: Path) -> None:
    """Only what says where a piece comes from is looked up."""
    path = tmp_path / "t.yaml"
    choices = "{ask: Where?, answer: choice, choices: {source: A}, read_by: people, next: end}"
    text = TREE.format(source="nhs_dvt").replace(
        "{ask: Where?, answer: text, read_by: people, next: end}", choices
    )
    path.write_text(text, "utf-8")
    assert [one.rule for one in check_tree(path)] == []


@given(known=st.sets(NAMES), cited=st.lists(NAMES))
def test_what_is_known_is_no_problem_and_all_else_is(known: set[str], cited: list[str]) -> None:
    """A name is refused if and only if it has no entry; entries come once, in the order cited."""
    sources = Sources({name: Source(name, name.upper()) for name in known})
    where = Where("t.yaml", 1, 1)
    for name in cited:
        problem = sources.problem(name, where)
        assert (problem is None) == (name in known)
    found = sources.of(cited)
    assert [one.id or one.title for one in found] == list(dict.fromkeys(cited))
    assert all(bool(one.id) == (one.title.lower() in known) for one in found if one.id)


@given(st.text(), st.text(), st.text())
def test_a_source_on_one_line_says_all_of_it(title: str, publisher: str, place: str) -> None:
    """Title, publisher, year and place; second-hand and from memory are never left out."""
    one = Source("x", title, publisher, "2020", place, "It says.", "second-hand")
    for part in (title, publisher, "2020", place, "second-hand"):
        assert part in str(one)
    assert citation([one, one]) == f"{one}; {one}"


def test_no_field_of_an_entry_is_lost_in_the_export() -> None:
    """What a file may say of an entry, the export says."""
    names = {one.name for one in fields(Source)}
    assert names == {"id", "title", "publisher", "year", "place", "says", "have"}
