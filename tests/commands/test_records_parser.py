"""Earlier names of commands and options: still accepted, and not in the help."""

from __future__ import annotations

import pytest

from consult import cli
from tests.commands.runs import Run

# -- earlier names of commands and options: still accepted, and not in the help -------------------


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (("effect", "a", "b"), ("impact", "a", "b")),
        (("bring-back", "1", "--reason", "x"), ("restore", "1", "--reason", "x")),
        (("records", "erase", "7K3-M2Q"), ("records", "delete", "7K3-M2Q")),
        (("records", "paper", "7K3-M2Q"), ("records", "document", "7K3-M2Q")),
        (("practise", "--erase"), ("practise", "--delete")),
        (("practise", "--level", "bare"), ("practise", "--level", "unaided")),
        (("serve", "--desks", "3"), ("serve", "--tabs", "3")),
    ],
)
def test_an_old_name_means_the_new_one(old: tuple[str, ...], new: tuple[str, ...]) -> None:
    parser = cli._parser()
    assert parser.parse_args(old) == parser.parse_args(new)


@pytest.mark.parametrize("words", [(), ("records",), ("practise",), ("serve",)])
def test_the_help_shows_new_names_only(run: Run, words: tuple[str, ...]) -> None:
    shown = run(*words, "--help").out.split()
    assert not {"effect", "bring-back", "erase", "paper", "--erase", "--desks"} & set(shown)


def test_a_level_that_is_none(run: Run) -> None:
    """Is told with those there are, in words that are no name of the program's."""
    said = run("practise", "--level", "hard")
    assert said.code == 2
    assert "'hard' is no level. Choose guided, partly_guided or unaided." in said.err
