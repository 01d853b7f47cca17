"""Proofs that are stored: read again for the same tree, and proven anew once there is a solver."""

from __future__ import annotations

from pathlib import Path

import pytest

from consult.content.prove import kept
from consult.content.prove.model import Proofs
from tests.call.calls import seating


def test_a_solver_installed_later_is_used(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What was stored without it is not taken for all that can be proven."""
    asked: list[bool] = []
    there = False

    def prove(*_: object, **__: object) -> Proofs:
        asked.append(there)
        return Proofs("seating", (), (), (), (), "" if there else "no solver")

    monkeypatch.setattr(kept, "prove", prove)
    monkeypatch.setattr(kept, "find_spec", lambda _: object() if there else None)
    basis = seating()
    assert kept.proofs_of(basis, tmp_path).not_proven == "no solver"
    assert kept.proofs_of(basis, tmp_path).not_proven == "no solver"
    there = True
    assert kept.proofs_of(basis, tmp_path).not_proven == ""
    assert asked == [False, True]


def test_proofs_without_witnesses_stand_apart(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whoever wants witnesses proves anew; whoever wants none takes what is there."""
    asked: list[bool] = []

    def prove(*_: object, witnesses: bool) -> Proofs:
        asked.append(witnesses)
        return Proofs("seating", (), (), (), (), f"witnesses: {witnesses}")

    monkeypatch.setattr(kept, "prove", prove)
    basis = seating()
    for witnesses in (False, False, True, True):
        found = kept.proofs_of(basis, tmp_path, witnesses=witnesses)
        assert found.not_proven == f"witnesses: {witnesses}"
    assert asked == [False, True]
    for file in tmp_path.glob("*-bare.json"):
        file.unlink()
    assert kept.proofs_of(basis, tmp_path, witnesses=False).not_proven == "witnesses: True"
