"""What a file declares of a kind of product: its kinds of part, and what is asked of them.

Every quantity is a sum of body dimensions and answers, held against a sum of numbers of the parts.
Lengths in mm, masses in kg.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from consult.range.parts import Kind, Part, Span

Test = Literal["within", "at_most", "at_least"]


HEEL = "heel"
"""Stands for the shoes, with what the program takes where nobody measured them."""


BODY = "body."


@dataclass(frozen=True, slots=True)
class LinearSum:
    """A sum of names, each with a factor, and a fixed mm or kg."""

    terms: tuple[tuple[float, str], ...]
    fixed: float = 0.0
    units: frozenset[str] = field(default=frozenset(), compare=False)
    """mm, kg or both, of the figures in it."""

    @property
    def names(self) -> tuple[str, ...]:
        """Everything it is made of."""
        return tuple(name for _, name in self.terms)


@dataclass(frozen=True, slots=True)
class DeclaredQuantity:
    """What is asked of the parts: a figure of body and answers, and what of the parts meets it."""

    name: str
    label: str
    """As screens and documents call it."""
    short: str
    """The same for a narrow panel."""
    figure: LinearSum
    test: Test
    parts: LinearSum
    """``within``: the reach of the parts meets the acceptable band; ``at_most`` and ``at_least``:
    the figure is no more, or no less, than theirs."""
    below: float
    above: float
    """mm by which a setting may miss the figure."""
    reason: str
    source: tuple[str, ...]

    @property
    def dimensions(self) -> dict[str, float]:
        """Body dimension -> factor."""
        return {
            name.removeprefix(BODY): factor
            for factor, name in self.figure.terms
            if name.startswith(BODY)
        }


@dataclass(frozen=True, slots=True)
class Fitting:
    """What a file declares."""

    thing: str
    """What is chosen, as screens and documents call it: desk."""
    kinds: tuple[Kind, ...]
    """Of each, what is chosen has one part."""
    quantities: tuple[DeclaredQuantity, ...]
    usual: Mapping[str, float]
    """Question -> what counts where its answer is not known."""
    masses: frozenset[str]
    """``kind.number`` of those in kg; every other is a length."""
    features: Mapping[str, frozenset[str]]
    """Kind -> what its parts may have."""
    numbers: Mapping[str, Mapping[str, Span]]
    """Code -> name -> the reach of a part, or one figure twice."""
    dimensions: tuple[str, ...]
    """Body dimensions that it reads."""

    def reach(self, amount: LinearSum, parts: Mapping[Kind, Part]) -> Span:
        """What the parts come to, at the least and at the most."""
        low = high = amount.fixed
        codes: Mapping[str, str] = {kind: part.code for kind, part in parts.items()}
        for factor, name in amount.terms:
            kind, _, number = name.partition(".")
            ends = sorted(factor * end for end in self.numbers[codes[kind]][number])
            low, high = low + ends[0], high + ends[1]
        return low, high
