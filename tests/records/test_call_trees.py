"""A call goes on with the version it began with; a new one begins with what is live."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import pytest

from consult.call.basis import Basis, load_basis
from consult.call.call import Call, private_of
from consult.call.state import state_so_far
from consult.paths import trees_folder
from consult.records.call_trees import Beside, FirstCalls, LiveTrees, earlier, led_with
from consult.records.desk_calls import DeskCalls
from consult.records.kept import Versions, versions_of
from consult.records.store import open_store
from tests.call.calls import call_of
from tests.content.library.libraries import SHIPPED, write

NOON = datetime(2026, 11, 25, 12, 0)
FOLLOWING = """\
tree: following
title: Following
version: 2
first: which
questions:
  which:
    ask: Which call?
    answer: text
    sets: first_reference
    next: end
"""


@pytest.fixture
def versions(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A library of version 1 and version 2, which is live."""
    library = tmp_path / "library"
    for version in ("1", "2"):
        seating = SHIPPED["seating.yaml"].replace("2026.11", version)
        seating = seating.replace("Who is there?", f"Question of version {version}?")
        texts = {**SHIPPED, "seating.yaml": seating, "following.yaml": FOLLOWING}
        write(library / "versions" / version, texts)
    (library / "live").write_text("2\n")
    monkeypatch.setenv("CONSULT_TREES", str(library))
    return library


def basis_in(folder: Path, tree: str = "seating") -> Basis:
    found, problems = load_basis(folder / f"{tree}.yaml")
    assert found is not None, problems
    return found


def test_the_version_a_call_began_with(versions: Path) -> None:
    """Out of the library; read once, as it never changes."""
    old, live = basis_in(versions / "versions" / "1"), basis_in(trees_folder())
    assert live.tree.version == "2"
    found = led_with(versions_of(old), live)
    assert found.tree.questions["hello"].ask == "Question of version 1?"
    assert led_with(versions_of(old), live) is found
    assert led_with(versions_of(live), live) is live


@pytest.mark.parametrize(
    ("tree", "version"),
    [
        ("seating", "3"),
        ("other", "1"),
        ("../1/seating", "1"),
        ("seating", "../versions/1"),
        ("", ""),
    ],
)
@pytest.mark.usefixtures("versions")
def test_a_version_that_is_not_here(tree: str, version: str) -> None:
    """The call goes on with what the desk has; no name of the records leads out of the library."""
    live = basis_in(trees_folder())
    assert led_with(Versions(tree, version), live) is live
    assert earlier(Versions(tree, version), live.population) is None


def test_a_folder_of_another_version_is_not_taken(versions: Path) -> None:
    """A folder that was renamed by hand holds another version than its name says."""
    (versions / "versions" / "1").rename(versions / "versions" / "7")
    live = basis_in(trees_folder())
    assert earlier(Versions("seating", "7"), live.population) is None


def test_a_kept_call_says_what_it_goes_on_with(versions: Path, tmp_path: Path) -> None:
    """With its own version: which. With another: that it is worked out anew. Else no word."""
    old, live = basis_in(versions / "versions" / "1"), basis_in(trees_folder())
    kept = DeskCalls(old, tmp_path / "r.db", "Ann", lambda: NOON)
    kept.start()
    name = kept.new(NOON)
    kept.keep(name, state_so_far(old, call_of({"hello": "Ada"})))
    kept.hold(name)
    assert isinstance(kept.open(name), Call)
    assert kept.unsaid(name) == ""
    kept.hold(name)
    other = DeskCalls(live, tmp_path / "r.db", "Bea", lambda: NOON)
    other.start()
    assert isinstance(other.open(name, basis=old), Call)
    assert (
        other.unsaid(name) == "This call continues with version 1 of the questions, as it started."
    )
    other.hold(name)
    assert isinstance(other.open(name), Call)
    assert "seating 1, now seating 2. Its results are worked out again" in other.unsaid(name)


def test_a_new_call_is_kept_with_its_own_version(versions: Path, tmp_path: Path) -> None:
    """At a desk that was opened with an older one."""
    old, live = basis_in(versions / "versions" / "1"), basis_in(trees_folder())
    kept = DeskCalls(old, tmp_path / "r.db", "Ann", lambda: NOON)
    kept.start()
    for basis, version in ((None, "1"), (live, "2")):
        name = kept.new(NOON, basis)
        kept.keep(name, state_so_far(basis or old, call_of({"hello": "Ada"})))
        store = open_store(tmp_path / "r.db")
        assert store.read(name).versions.tree_version == version
        store.close()


def test_a_first_call_is_compared_as_it_was_led(versions: Path, tmp_path: Path) -> None:
    """Its questions are those of then, unless they are in the library no more."""
    old = basis_in(versions / "versions" / "1")
    second = basis_in(trees_folder(), "following")
    store = open_store(tmp_path / "r.db")
    call = call_of({"hello": "Ada"})
    opened = store.begin(call, versions_of(old), "Ann", NOON, "7K3-M2Q")
    store.append(opened, call, consent=None, caller_name="", private=private_of(old.tree), at=NOON)
    store.close()
    now = state_so_far(second, call_of({"which": "7K3-M2Q"}))
    found = FirstCalls(tmp_path / "r.db").beside(now, second)
    assert isinstance(found, Beside)
    assert not found.anew
    for file in (versions / "versions" / "1").glob("*.yaml"):
        file.rename(file.with_suffix(".gone"))
    from consult.records.call_trees import _loaded

    _loaded.cache_clear()
    found = FirstCalls(tmp_path / "r.db").beside(now, second)
    assert isinstance(found, Beside)
    assert found.anew


def test_a_desk_that_stays_open(versions: Path) -> None:
    """Told once that another version is live; a call that begins then is led with it."""
    (versions / "live").write_text("1\n")
    live = LiveTrees(basis_in(trees_folder()))
    assert live.news() == ""
    assert live.now() == (live.basis, "")
    (versions / "live").write_text("2\n")
    assert "new version of the questions is live" in live.news()
    assert live.news() == ""
    basis, told = live.now()
    assert basis.tree.version == "2"
    assert told == "This call uses version 2 of the questions. The last one used 1."
    assert live.now() == (basis, "")
    (versions / "live").write_text("1\n")
    assert live.now()[0].tree.version == "1"
    assert live.news() == ""


def test_a_desk_goes_on_where_what_is_live_cannot_be_read(versions: Path) -> None:
    """A damaged library stops no call: the adviser is told."""
    live = LiveTrees(basis_in(trees_folder()))
    (versions / "live").write_text("nonsense/..")
    basis, told = live.now()
    assert basis.tree.version == "2"
    assert "still uses version 2" in told
