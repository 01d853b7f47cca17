"""The keys of the content desk."""

from __future__ import annotations

from consult.ui.edit.keys import FOOT, HELP, KEYS, bindings, foot


def test_one_table_of_keys() -> None:
    """Bindings, help and foot have every key that the table has."""
    assert len(bindings()) == len(KEYS)
    for key in KEYS:
        assert key.does in HELP
        assert key.key not in FOOT or key.label in foot().plain
    assert len(foot().plain) <= 80
