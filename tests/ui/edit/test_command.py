"""The command that opens the content desk."""

from __future__ import annotations

import pytest

from consult.cli import main


def test_it_needs_a_terminal(capsys: pytest.CaptureFixture[str]) -> None:
    """In a pipe it says what to use instead."""
    assert main(["edit"]) == 2
    assert "needs a terminal" in capsys.readouterr().err


def test_a_folder_that_is_not_there(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is named, and nothing opens."""
    monkeypatch.setattr("sys.stdin.isatty", lambda: True, raising=False)
    monkeypatch.setattr("sys.stdout.isatty", lambda: True, raising=False)
    assert main(["edit", "/no/such/folder"]) == 2
    assert "There is no folder /no/such/folder" in capsys.readouterr().err
