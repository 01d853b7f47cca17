"""One form of money wherever a person reads it."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

import consult
from consult.scale import dearer, money

ROOT = Path(consult.__file__).parent
DATA = {"order.py", "export.py", "reading.py", "batch_results.py", "records_export.py"}
"""Files that write amounts for programs: a plain number in a column of its own."""


@pytest.mark.parametrize(
    ("amount", "words"),
    [(12.5, "EUR 12.50"), (1234.5, "EUR 1,234.50"), (0, "no charge"), (0.001, "no charge")],
)
def test_the_currency_comes_before_the_amount(amount: float, words: str) -> None:
    """With cents, and thousands apart; what costs nothing is said to."""
    assert money(amount, "EUR") == words


def test_few_cells_have_no_cents() -> None:
    """In the narrow line of the call screen."""
    assert money(1234.5, "EUR", whole=True) == "EUR 1,234"


@pytest.mark.parametrize(
    ("amount", "words"), [(58, "EUR 58.00 more"), (-0.5, "EUR 0.50 less"), (0.001, "")]
)
def test_a_difference_says_which_way(amount: float, words: str) -> None:
    """No sign to be overlooked."""
    assert dearer(amount, "EUR") == words


def test_no_other_module_writes_money() -> None:
    """No text outside puts an amount beside a currency or a price."""
    found = []
    for file in ROOT.rglob("*.py"):
        if file.name in DATA or file.name == "money.py":
            continue
        text = file.read_text("utf-8")
        for node in ast.walk(ast.parse(text)) if re.search(r"\.[0-9]f", text) else ():
            if isinstance(node, ast.FormattedValue) and node.format_spec is not None:
                of, how = ast.unparse(node.value), ast.unparse(node.format_spec)
                if re.search(r"price|cost\b|total\b|pence", of) and re.search(r"\.[0-9]f", how):
                    found.append((file.name, of))
    assert not found
