"""A file in place is whole: the old one or the new one, and for this user only."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest

from consult.records.errors import CannotKeep
from consult.records.place import home_path, write_whole
from tests.call.calls import HOSTILE


@pytest.mark.parametrize("text", HOSTILE)
def test_any_text(text: str, tmp_path: Path) -> None:
    """Every awkward text is written to the character."""
    file = tmp_path / "new" / "text"
    write_whole(file, text)
    assert file.read_bytes().decode("utf-8", "surrogatepass") == text.replace("\n", os.linesep)


@pytest.mark.skipif(os.name != "posix", reason="permissions as POSIX has them")
def test_for_this_user_only(tmp_path: Path) -> None:
    """Neither the file nor its new folder can be read by others."""
    file = tmp_path / "calls" / "text"
    write_whole(file, "private")
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert stat.S_IMODE(file.parent.stat().st_mode) & 0o077 == 0


def test_home_folders(monkeypatch: pytest.MonkeyPatch) -> None:
    """One's own is filled in, that of a user nobody knows is told, and other paths stay."""
    monkeypatch.setenv("HOME", "/home/ada")
    assert home_path("~/x") == Path("/home/ada/x")
    assert home_path(Path("a/~b")) == Path("a/~b")
    with pytest.raises(CannotKeep, match="~no-such-user/x starts with a user"):
        home_path("~no-such-user/x")
