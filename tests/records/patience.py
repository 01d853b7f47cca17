"""Records under test are waited for, however busy the machine is."""

from __future__ import annotations

import pytest

from consult.records.desk_calls import DeskCalls
from tests.long import AT_MOST


@pytest.fixture(autouse=True)
def patient(monkeypatch: pytest.MonkeyPatch) -> None:
    """A desk waits five seconds for its records and goes on without; a test never does."""
    monkeypatch.setattr(DeskCalls.__init__, "__defaults__", (AT_MOST,))
