"""How work grows with what it is done on: the same work on 1, 10 and 100 times as much.

The reference of each is itself on the smallest, in turn in the same run; the order is the power of
the size that the time grows with between the two largest.
"""

from __future__ import annotations

import tempfile
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import ExitStack, closing
from datetime import timedelta
from functools import partial
from itertools import count
from pathlib import Path

from consult.body.estimate import estimate
from consult.body.population import load_population
from consult.fit.choose import choose
from consult.fit.request import FitRequest
from consult.records.backup import backup
from consult.records.erase import purge
from consult.records.report import Asks, report
from consult.records.store import Store, open_store
from consult.tree.check import check_tree
from consult.tree.load import load_tree
from tests.benchmarks.chairs import PLACE, fresh, made_range
from tests.benchmarks.made_calls import fill
from tests.benchmarks.made_trees import tree
from tests.benchmarks.measure import Family, Size, order_of
from tests.benchmarks.trees import afresh
from tests.records.samples import NOW

_QUESTIONS, _CALLS = 30, 1_000
_RANGES = {1: (6, 6, 6, 3, 2), 10: (12, 12, 10, 4, 2), 100: (24, 24, 22, 5, 2)}
"""Parts that make about 1,200 chairs, and 10 and 100 times as many."""

Works = Mapping[int, Callable[[], object]]


def growth(size: Size) -> Family:
    """A table of load, check, choose, find, report and purge."""
    family = Family("growth", size)
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        paths = {n: folder / f"big_{n}.yaml" for n in size.grown}
        edited = partial(_edited, folder, count())
        _grown(family, "load", {n: partial(load_tree, paths[n]) for n in paths}, edited)
        _grown(family, "check", {n: partial(check_tree, paths[n]) for n in paths}, edited)
        _grown(family, "choose", {n: _choice(n) for n in size.grown})
        stores = {n: _store(stack, folder, n) for n in size.grown}
        _grown(family, "find", {n: partial(s.find, "ada b") for n, s in stores.items()})
        _grown(family, "report", {n: partial(_report, s) for n, s in stores.items()})
        copies = {n: folder / f"copy_{n}.db" for n in size.grown}
        purges = {n: partial(_purge, copy) for n, copy in copies.items()}
        _grown(family, "purge", purges, lambda n: _copied(stores[n], copies[n]))
    return family


def _grown(
    family: Family, name: str, works: Works, before: Callable[[int], object] = lambda _: None
) -> None:
    took: dict[int, list[float]] = {factor: [] for factor in works}
    for number in range(family.size.few + 1):
        for factor, work in works.items():
            before(factor)
            start = time.process_time()
            work()
            if number:
                took[factor].append(time.process_time() - start)
    least = [min(found) for found in took.values()]
    order = order_of(list(took), least) if len(least) > 1 else 0.0
    for factor, found in list(took.items())[1:]:
        note = f"n^{order:.2f}" if factor == max(took) else ""
        family.add(f"{name}, {factor}x as much", found, f"{name}, 1x", took[1], note)


def _edited(folder: Path, marks: Iterator[int], factor: int) -> None:
    """A text that nobody has seen, or what was found of it earlier would be found again."""
    text = tree(_QUESTIONS * factor, next(marks))
    text = text.replace("tree: big", f"tree: big_{factor}", 1)
    (folder / f"big_{factor}.yaml").write_text(text, encoding="utf-8")
    afresh()


def _copied(store: Store, copy: Path) -> None:
    for left in copy.parent.glob(f"{copy.name}*"):
        left.unlink()
    backup(store, copy)


def _purge(copy: Path) -> None:
    with closing(open_store(copy)) as store:
        purge(store, NOW + timedelta(days=400))


def _choice(factor: int) -> Callable[[], object]:
    people = load_population()
    who = estimate(people, [people.measure("stature", 1700.0)], "female")
    request = FitRequest(made_range(*_RANGES[factor]), who, PLACE)
    return lambda: choose(fresh(request))


def _store(stack: ExitStack, folder: Path, factor: int) -> Store:
    store = open_store(str(folder / f"records_{factor}.db"))
    stack.callback(store.close)
    fill(store, _CALLS * factor)
    return store


def _report(store: Store) -> object:
    day = timedelta(days=3_000)
    asks = Asks("why")
    return report(
        store,
        NOW - day,
        NOW + day,
        asks=asks,
        read=lambda _, said: (said,),
        unknown=lambda _: False,
    )
