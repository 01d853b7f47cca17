"""A published version that was changed by hand is noticed by versions, check and a call."""

from __future__ import annotations

from pathlib import Path

import pytest

from consult.content.library.library import Library, begin_draft
from consult.ui.app import ConsultApp
from tests.commands.runs import Run
from tests.content.library.libraries import library_in_use, published

WORDS = "has changed since it was published. Restore it from a backup."


@pytest.fixture
def library(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Library:
    """A library with one version."""
    monkeypatch.setenv("CONSULT_RECORDS", str(tmp_path / "r.db"))
    found = library_in_use(tmp_path, monkeypatch)
    begin_draft(found)
    published(found, "Who rings?")
    return found


@pytest.fixture
def altered(library: Library) -> Path:
    """A file of the live version, changed by hand so that no reader of trees minds."""
    path = library.live().folder / "seating.yaml"
    path.chmod(0o644)
    path.write_text(path.read_text().replace("Who rings?", "Who is it?"))
    return path


def test_as_published_nothing_is_said(run: Run, library: Library) -> None:
    """The usual case."""
    for words in (("versions",), ("check", str(library.live().folder / "seating.yaml"))):
        assert WORDS not in run(*words).err + run(*words).out


def test_versions_and_check_notice(run: Run, altered: Path, tmp_path: Path) -> None:
    """With exit code 1; a check of other files has nothing to do with it."""
    done = run("versions")
    assert done.code == 1
    assert WORDS in done.err
    done = run("check", str(altered))
    assert done.code == 1
    assert WORDS in done.out
    assert WORDS not in run("check", str(tmp_path / "shipped" / "seating.yaml")).out


@pytest.mark.usefixtures("altered")
def test_a_call_notices(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    """The adviser is told at the start, and the call begins."""
    told: list[str] = []

    def began(app: ConsultApp) -> None:
        assert app.at_desk is not None
        told.extend(app.at_desk.kept.notices)

    monkeypatch.setattr(ConsultApp, "run", began)
    monkeypatch.setenv("TEXTUAL_DRIVER", "none")
    assert run("call").code == 0
    assert [WORDS in one for one in told] == [True]
