"""The keys of the content desk."""

from __future__ import annotations

from consult.ui.edit.keys import EDIT_FOOT, EDIT_HELP, EDIT_KEYS, edit_bindings, foot


def test_one_table_of_keys() -> None:
    """Bindings, help and foot have every key that the table has."""
    assert len(edit_bindings()) == len(EDIT_KEYS)
    for key in EDIT_KEYS:
        assert key.does in EDIT_HELP
        assert key.key not in EDIT_FOOT or key.label in foot().plain
    assert len(foot().plain) <= 80
