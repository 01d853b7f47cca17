"""Simulated callers, the effect of an edit on them, proofs, and a publication."""

from __future__ import annotations

import tempfile
from dataclasses import replace
from functools import partial
from importlib.util import find_spec
from itertools import count
from pathlib import Path

from consult.call.basis import Basis
from consult.call.state import State, with_chair
from consult.content.callers.simulation import CallerSource, drawn, led_state
from consult.content.effect.compared import effect
from consult.paths import trees_folder
from consult.tree.shares import load_shares
from tests.benchmarks.measure import STEPS, Family, Size, Work, python_steps
from tests.benchmarks.starts import installed, seconds_of_child
from tests.call.calls import TODAY, basis_of, seating

_PROVEN = ("my_chair", "seating")
"""The trees that are proven: not the largest, and that."""
CHECK = "a check of everything"
_EDITS = {
    "a few words published": ("seating.yaml", "What made you ring us "),
    "a condition published": ("sharing.yaml", "when: sharers > "),
}
"""Name -> the file, and what stands before the words that are changed."""
_SHIPPED = {"a few words published": "today", "a condition published": "3"}


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
    """A reference for each batch of callers, as there is no library that does the same.

    All of it is in one process; at the command line there is one per core. What is left where no
    pool asks shows that nearly all of a caller's time goes into what is worth asking.
    """
    family = Family("callers", size)
    shares, problems = load_shares(trees_folder() / "callers.yaml")
    assert shares is not None, problems
    basis, seeds = seating(), count(1)

    def source() -> CallerSource:
        """Others each time, so that nothing that is kept helps."""
        return CallerSource(shares, basis.population, next(seeds), TODAY)

    def led(there: Basis, *, chair: bool = False) -> list[State]:
        fresh, numbers = source(), range(1, size.callers + 1)
        ended = (led_state(there, fresh, number) for number in numbers)
        return [with_chair(there, now) if chair else now for now in ended]

    def changed(after: Basis, who: CallerSource) -> object:
        return effect(basis, after, drawn(who, size.callers), [])

    many, same = f"{size.callers} callers", source()
    changed(without_a_caution(basis), same)
    family.against(
        STEPS,
        python_steps,
        {
            f"led, {many}": lambda: led(basis),
            f"led, nothing asked of a pool, {many}": lambda: led(replace(basis, ask_pools=False)),
            f"led, with a chair each, {many}": lambda: led(basis, chair=True),
            f"effect, no chair touched, {many}": lambda: changed(
                without_a_caution(basis), source()
            ),
            f"effect, every chair touched, {many}": lambda: changed(
                without_a_seat(basis), source()
            ),
            f"effect on the same callers again, {many}": lambda: changed(
                without_a_caution(basis), same
            ),
        },
        rounds=size.few,
    )
    for one in family.figures[:3]:
        print(f"  {one.name}: {size.callers / one.median:.0f} callers a second")
    return family


def proof(size: Size) -> Family:
    """The proof of a tree for every possible caller, from the beginning."""
    family = Family("proof", size)
    if find_spec("z3") is None:
        print("  not measured: the solver of the extra 'content' is not installed")
        return family
    from consult.content.prove.kept import prove

    works: dict[str, Work] = {}
    for name in _PROVEN if size.prove else _PROVEN[:1]:
        basis = basis_of(name)
        works[f"proof of {name}"] = partial(prove, basis.tree, basis)
    family.against(STEPS, python_steps, works, rounds=1)
    return family


def publish(size: Size) -> Family:
    """An edit goes live, with all that a publication proves and tries on 300 callers.

    What an edit does not touch was proven by the first publication, as on any day but that one.
    """
    family = Family("publish", size)
    if not size.prove:
        print("  not measured with --quick: the first publication proves every tree")
        return family
    took: dict[str, list[float]] = {CHECK: [], **{name: [] for name in _EDITS}}
    with tempfile.TemporaryDirectory() as name:
        library = Path(name) / "library"
        environment = installed(str(Path(name) / "records.db"))
        environment |= {"CONSULT_TREES": str(library), "CONSULT_ADVISER": "Ann"}
        seconds_of_child(["-m", "consult", "draft"], environment)
        for number in range(min(size.few, 4)):
            found = {CHECK: seconds_of_child(["-m", "consult", "check"], environment)}
            for edit, (file, before) in _EDITS.items():
                path = library / "draft" / file
                text, new = path.read_text("utf-8"), f"{before}{number + 4}"
                last = f"{before}{number + 3}" if number else before + _SHIPPED[edit]
                assert last in text
                path.write_text(text.replace(last, new, 1), "utf-8")
                words = ["-m", "consult", "publish", "--reason", edit]
                found[edit] = seconds_of_child(words, environment)
            if number:
                for what, seconds in found.items():
                    took[what].append(seconds)
            else:
                print(f"  the first, which prove every tree: {sum(found.values()):.0f} s")
    for edit in _EDITS:
        family.add(edit, took[edit], CHECK, took[CHECK])
    return family
