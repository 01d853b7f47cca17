"""The list of sources on the command line: as text, as JSON, as a page."""

from __future__ import annotations

from html import unescape
from pathlib import Path

import pytest

from consult.tree.sources import shipped_sources
from tests.commands.runs import Run


def test_every_entry_is_listed_with_all_of_it(run: Run) -> None:
    """Name, title, publisher, year, place, what it says, how we have it and who cites it."""
    made = run("sources")
    assert (made.code, made.err) == (0, "")
    said = " ".join(made.out.split())
    for one in shipped_sources().entries.values():
        for part in (one.id, one.title, one.publisher, one.year, one.says, one.have):
            assert " ".join(part.split()) in said, one.id
        # An address is never broken over two lines.
        assert one.place in said
    assert all(len(line) <= 78 or "://" in line for line in made.out.splitlines())


def test_one_entry(run: Run) -> None:
    """A name shows that entry alone, and the files that cite it."""
    made = run("sources", "hse_good_posture")
    assert made.out.startswith("hse_good_posture\n  Good posture")
    assert "2022" in made.out
    assert "Cited in: the program, desk.yaml" in made.out
    assert "Aberystwyth" not in made.out


def test_json(run: Run) -> None:
    """For other programs: the same, with the files."""
    made = run("sources", "invented", "--json")
    (one,) = made.json
    assert one["id"] == "invented"
    assert one["have"] == "no source"
    assert one["cited_in"] == ["callers.yaml"]


def test_an_unknown_name(run: Run) -> None:
    """What was meant is said."""
    made = run("sources", "hse_god_posture")
    assert (made.code, made.out) == (2, "")
    assert "Did you mean 'hse_good_posture'?" in made.err


def test_a_page(run: Run, tmp_path: Path) -> None:
    """Every entry can be linked to by its name, and its address followed."""
    out = tmp_path / "sources.html"
    assert run("sources", "--out", str(out)).code == 0
    page = out.read_text("utf-8")
    said = " ".join(unescape(page).split())
    for one in shipped_sources().entries.values():
        assert f'id="{one.id}"' in page
        assert " ".join(one.title.split()) in said
        if one.place.startswith("http") and " " not in one.place:
            assert f'href="{one.place}"' in page
    assert "<script" not in page


def test_a_list_of_the_makers_own(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its entries stand with those that ship, and nothing in it becomes markup or a link."""
    monkeypatch.setenv("CONSULT_TREES", str(tmp_path))
    entry = "{title: <b>Bold</b>, publisher: Us, year: 2026, place: 'javascript:alert(1)', "
    text = f"sources: Ours\nentries:\n  ours: {entry}says: Sit., have: opened}}\n"
    (tmp_path / "sources.yaml").write_text(text, "utf-8")
    out = tmp_path / "page.html"
    assert run("sources", "--out", str(out)).code == 0
    page = out.read_text("utf-8")
    assert "&lt;b&gt;Bold&lt;/b&gt;" in page
    assert 'href="javascript' not in page
    assert 'id="nhs_dvt"' in page


def test_a_broken_list(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Its mistakes are told with their place, and nothing is listed."""
    monkeypatch.setenv("CONSULT_TREES", str(tmp_path))
    (tmp_path / "sources.yaml").write_text("sources: Ours\nentries: {}\n", "utf-8")
    made = run("sources")
    assert (made.code, made.out) == (1, "")
    assert f"{tmp_path / 'sources.yaml'}:2:" in made.err
