"""Where things come from, in the case file and the export: whole entries, no bare names."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

import pytest

from consult.call.basis import load_basis
from consult.call.state import state, with_chair
from consult.call.transcript import load_transcript
from consult.paths import demo_folder, trees_folder
from consult.summary.blocks import parsed
from consult.summary.model import Summary, summarise
from consult.summary.readers import READERS, for_reader
from consult.summary.render import Writer
from consult.summary.wording import Wording
from consult.tree.sources import Source, shipped_sources

FILES = sorted(demo_folder().glob("*.yaml"))[:6]


@cache
def writer(path: Path) -> Writer:
    transcript, _ = load_transcript(path)
    assert transcript is not None
    basis, _ = load_basis(trees_folder() / f"{transcript.tree}.yaml")
    assert basis is not None
    return Writer(basis, with_chair(basis, state(basis, transcript.call)))


def summary_of(path: Path) -> Summary:
    return summarise(writer(path).basis, writer(path).state)


def plain(text: str) -> str:
    """Without spaces: a long address is broken over lines."""
    return "".join(text.split())


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_the_case_file_says_where_everything_comes_from(path: Path) -> None:
    """Title, publisher, place and how we have it of every source that anything in it cites."""
    summary = summary_of(path)
    said = plain(writer(path).write("text", "file").decode())
    assert summary.sources
    for one in summary.sources:
        assert plain(str(one)) in said
        assert one in shipped_sources().entries.values()


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_the_export_has_entries_and_no_bare_names(path: Path) -> None:
    """Each figure, caution, piece of advice and need has its sources in full."""
    made = json.loads(json.dumps(summary_of(path).as_json()))
    cited = [*made["fit"].values(), *made["cautions"], *made["advice"], *made["needs"]]
    assert cited
    for one in cited:
        assert one["sources"]
        for entry in one["sources"]:
            assert entry.keys() == {*("id", "title", "publisher", "year", "place", "says", "have")}
            assert entry["title"] != entry["id"]


def test_others_hear_of_no_source() -> None:
    """What a source is about may tell of an illness: the employer and the order team see none."""
    summary = summary_of(FILES[0])
    seen = {reader: for_reader(summary, reader).sources for reader in READERS}
    assert {reader for reader, found in seen.items() if found} == {"caller", "file"}


def test_sources_come_once_in_the_order_of_the_document() -> None:
    """However many things cite one."""
    found = summary_of(FILES[0]).sources
    assert len(set(found)) == len(found)
    first = next(iter(summary_of(FILES[0]).fit.values())).sources
    assert found[: len(first)] == first


def test_a_template_from_before_still_has_its_words() -> None:
    """``source`` and ``contact_source`` were texts; a published version asks for them so."""
    summary = summary_of(FILES[0])
    template = "{% for one in s.fit.values() %}\n- {{ one.source }}\n{% endfor %}\n"
    blocks = Wording({"old": template}).blocks("old", summary, "metric", {})
    assert blocks == parsed(
        "".join(f"- {one.source}\n" for one in summary.fit.values()), lambda text: text, {}
    )
    assert all(one.source for one in summary.fit.values())


def test_a_text_of_an_old_tree_stands_for_itself() -> None:
    """It has no publisher, and nothing is made up for it."""
    assert str(Source("", "A book")) == "A book"
