"""The ``run`` of every command test."""

from __future__ import annotations

import pytest

from tests.commands.runs import Ran, Run, ran


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    """Runs one command and gives back what came of it."""

    def once(*argv: str) -> Ran:
        return ran(argv, capsys.readouterr)

    return once
