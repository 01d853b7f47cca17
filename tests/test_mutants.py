"""The table of mutants tells of the rules as they stand now."""

from __future__ import annotations

import ast

import pytest

from tests.mutants import MUTANTS, ROOT


def test_each_rule_to_break_is_found() -> None:
    """Where a line was reworded or moved, so must be its entry; more than one would be a guess."""
    texts = {
        file: (ROOT / "consult" / file).read_text(encoding="utf-8")
        for file in {file for file, *_ in MUTANTS}
    }
    lost = [
        f"{file} holds {count} times: {rule}"
        for file, rule, _, _ in MUTANTS
        if (count := texts[file].count(rule)) != 1
    ]
    assert lost == []


def test_each_mutant_can_be_read() -> None:
    """What is no Python fails every test, whether or not one knows the rule."""
    for file, rule, broken, _ in MUTANTS:
        text = (ROOT / "consult" / file).read_text(encoding="utf-8")
        assert broken != rule
        try:
            ast.parse(text.replace(rule, broken, 1))
        except SyntaxError as error:
            pytest.fail(f"{file}: {rule} -> {broken}: {error}")


def test_each_has_tests_that_stand() -> None:
    """A folder or file of tests that is gone notices nothing, yet fails."""
    named = {path for *_, tests in MUTANTS for path in tests}
    assert [path for path in sorted(named) if not (ROOT / path).exists()] == []


def test_no_mutant_stands_twice() -> None:
    """The same break before the same tests is only time."""
    assert len(MUTANTS) == len(set(MUTANTS))
