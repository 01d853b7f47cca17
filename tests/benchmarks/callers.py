"""Simulated callers, the effect of an edit on them, and the proof of a tree."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from importlib.util import find_spec
from itertools import count

from consult.call.basis import Basis
from consult.call.state import with_chair
from consult.content.callers.simulation import CallerSource, drawn, led_state
from consult.content.effect.compared import effect
from consult.paths import trees_folder
from consult.tree.shares import load_shares
from tests.benchmarks.measure import STEPS, Family, Size, python_steps
from tests.call.calls import TODAY, basis_of, seating

_PROVEN = "my_chair"
"""The tree that is proven: not the largest."""


def without_a_caution(basis: Basis) -> Basis:
    """An edit that touches no chair."""
    return replace(basis, tree=replace(basis.tree, cautions=basis.tree.cautions[1:]))


def without_a_seat(basis: Basis) -> Basis:
    """An edit that touches every chair."""
    assert basis.range is not None
    parts = dict(basis.range.parts)
    parts["seat"] = parts["seat"][1:]
    return replace(basis, range=replace(basis.range, parts=parts))


def callers(size: Size) -> Family:
    """A reference for each batch of callers, as there is no library that does the same."""
    family = Family("callers", size)
    shares, problems = load_shares(trees_folder() / "callers.yaml")
    assert shares is not None, problems
    basis, seeds = seating(), count(1)

    def source() -> CallerSource:
        """Others each time, so that nothing that is kept helps."""
        return CallerSource(shares, basis.population, next(seeds), TODAY)

    def led(chair: bool) -> Iterator[object]:
        fresh = source()
        for number in range(1, size.callers + 1):
            now = led_state(basis, fresh, number)
            yield with_chair(basis, now) if chair else now

    def changed(after: Basis) -> object:
        return effect(basis, after, drawn(source(), size.callers), [])

    many = f"{size.callers} callers"
    family.against(
        STEPS,
        python_steps,
        {
            f"led, {many}": lambda: list(led(chair=False)),
            f"led, with a chair each, {many}": lambda: list(led(chair=True)),
            f"effect, no chair touched, {many}": lambda: changed(without_a_caution(basis)),
            f"effect, every chair touched, {many}": lambda: changed(without_a_seat(basis)),
        },
        rounds=size.few,
    )
    for one in family.figures[:2]:
        print(f"  {one.name}: {size.callers / one.median:.0f} callers a second")
    if size.prove and find_spec("z3") is not None:
        from consult.content.prove.kept import prove

        proven = basis_of(_PROVEN)
        works = {f"proof of {_PROVEN}": lambda: prove(proven.tree, proven)}
        family.against(STEPS, python_steps, works, rounds=1)
    elif size.prove:
        print("  no proof measured: the solver of the extra 'content' is not installed")
    return family
