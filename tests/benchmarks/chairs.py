"""Choosing a chair, and what every open question is worth, beside the least that NumPy needs.

The lower bound holds every distinct reach of the range against every body once and adds up, for
each chair, bits that are packed already; it ranks, tells and explains nothing.
"""

from __future__ import annotations

import tracemalloc
from collections.abc import Callable
from dataclasses import replace
from functools import partial

import numpy as np

from consult.body.estimate import Estimate, estimate
from consult.body.population import Population, load_population
from consult.call.basis import Basis
from consult.call.call import Answer
from consult.call.facts import Facts
from consult.call.gains import worth_of_pool
from consult.call.route import read_answer
from consult.fit.choose import choose
from consult.fit.ranking import weigh
from consult.fit.replies import FACTS, SEX
from consult.fit.request import FitRequest
from consult.fit.workplace import Desk, Workplace
from consult.fit.worth import worth
from consult.paths import trees_folder
from consult.range.file import load_range
from consult.range.model import Range
from consult.tree.model import DECIDING, Question
from consult.tree.shares import SHARES_FILE, load_shares
from tests.benchmarks.measure import Family, Size, Work
from tests.call.calls import TODAY, seating
from tests.fit.slow_choose import part, range_of

PLACE = Workplace(Desk("fixed", 720.0, 25.0))
BOUND = "the least in NumPy"
KINDS = {5_000: (9, 9, 8, 4, 2), 20_000: (12, 12, 12, 4, 3), 100_000: (18, 18, 16, 5, 4)}
"""About so many chairs -> seats, lifts, arms, castors and backs that make them."""
TOLD = {"stature": "172 cm", "sex": "female", "weight": "80 kg", "desk_kind": "fixed"}


def large_range(chairs: int = 20_000) -> Range:
    """A made-up range of about so many chairs."""
    return made_range(*KINDS[chairs])


def made_range(seats: int, lifts: int, arms: int, castors: int, backs: int) -> Range:
    """A range of so many parts and two footrests, hardly two chairs with the same numbers."""
    parts = []
    for at in range(seats):
        depth = (380.0 + 5 * at, 430.0 + 6 * at)
        seat = {"depth": depth, "width": 430.0 + 9 * at, "compression": 1.5 * at}
        parts.append(part("seat", f"SEAT-{at}", price=100.0 + at, rating=140.0 + at, **seat))
    for at in range(lifts):
        reach = (380.0 + 9 * at, 460.0 + 12 * at)
        parts.append(part("gas_lift", f"LIFT-{at}", seat_height=reach, stated="unloaded"))
    for at in range(arms):
        height = (170.0 + 3 * at, 240.0 + 4 * at)
        parts.append(part("arms", f"ARMS-{at}", height=height, stated="unloaded"))
    for at in range(castors):
        parts.append(part("castors", f"CAST-{at}", adds=4.0 * at))
    for at in range(backs):
        parts.append(part("back", f"BACK-{at}", rating=142.0 + 4 * at))
    parts += [part("footrest", "REST-LOW", height=(40.0, 110.0)), part("footrest", "REST-HIGH")]
    return range_of(*parts)


def chairs(size: Size) -> Family:
    """The demo range, and larger ones."""
    family = Family("chairs", size)
    people = load_population()
    demo, problems = load_range(trees_folder() / "range.yaml")
    assert demo is not None, problems
    more = [people.measure("stature", 1700.0), people.measure("popliteal_height", 410.0)]
    who = estimate(people, more, "female")
    ranges = {"the demo range": demo}
    ranges |= {f"{count:,} chairs": large_range(count) for count in size.chairs}
    for name, range_ in ranges.items():
        request = FitRequest(range_, who, PLACE)
        heard = (*who.dimensions, *FACTS, SEX)
        works: dict[str, Work] = {
            f"choose, {name}": partial(_choose, request),
            f"what all is worth, {name}": partial(_worth, request, people, heard),
        }
        notes = {name: f"at most {_memory(work):.0f} MB" for name, work in works.items()}
        rounds = size.rounds if range_ is demo else size.few
        family.against(BOUND, lower_bound(range_, who), works, rounds=rounds, notes=notes)
    _pool(family, demo, who)
    return family


def _pool(family: Family, demo: Range, who: Estimate) -> None:
    """Every open question of the shipped tree, features that needs ask for among them."""
    shares, problems = load_shares(trees_folder() / SHARES_FILE)
    assert shares is not None, problems
    known = known_of(replace(seating(), shares=shares), TOLD)
    pool = open_pool(known)

    def work() -> object:
        request = known.request()
        assert request is not None
        return worth_of_pool(known, fresh(request), *pool)

    works = {"every open question of the demo tree": work}
    family.against(BOUND, lower_bound(demo, who), works, rounds=family.size.few)


def lower_bound(range_: Range, who: Estimate) -> Callable[[], object]:
    """The arithmetic alone, on arrays laid out beforehand."""
    weighed = weigh(FitRequest(range_, who, PLACE, n=2000, seed=1))
    chairs, rests = weighed.chairs, len(weighed.rests) + 1
    low, high = np.full(2000, 400.0), np.full(2000, 450.0)
    reaches = np.concatenate([*[chairs.heights] * rests, chairs.seats[:, :2], chairs.arms[:, :2]])
    masks, sets = weighed.masks, weighed.sets

    def run() -> object:
        np.packbits((reaches[:, :1] <= high) & (reaches[:, 1:] >= low), axis=1)
        rest = masks.seats[chairs.seat_of[sets]] & masks.arms[chairs.arms_of[sets]]
        bits = masks.heights[chairs.height_of[sets]] & rest[:, None]
        return np.bitwise_count(bits).sum(axis=2)

    return run


def _choose(request: FitRequest) -> object:
    return choose(fresh(request))


def _worth(request: FitRequest, people: Population, heard: tuple[str, ...]) -> object:
    return worth(fresh(request), people, heard)


def fresh(request: FitRequest) -> FitRequest:
    """The same of which nothing has been worked out yet, neither in it nor with its range."""
    for name in ("met", "worth"):
        request.range.kept.pop(name, None)
    return replace(request, kept={})


def _memory(work: Callable[[], object]) -> float:
    """MB that it holds at most, of Python and NumPy."""
    work()
    tracemalloc.start()
    try:
        work()
        return tracemalloc.get_traced_memory()[1] / 1e6
    finally:
        tracemalloc.stop()


def open_pool(known: Facts) -> tuple[list[Question], list[Question]]:
    """What may be asked now, and what only once more is known."""
    tree = known.basis.tree
    needed = frozenset[str]().union(*(need.when.names for need in tree.needs))
    left = [
        one
        for one in tree.questions.values()
        if one.name not in known.understood
        and one.answer not in ("text", "date")
        and (one.measures or one.sets in DECIDING or one.name in needed)
    ]
    spared = [one for one in left if one.spared(known.lookup)]
    return [one for one in left if one not in spared], spared


def known_of(basis: Basis, answers: dict[str, str]) -> Facts:
    """What is known after these answers."""
    known = Facts(basis, "metric")
    for name, said in answers.items():
        question = basis.tree.questions[name]
        understood = read_answer(question, Answer(name, said), TODAY).understood
        assert understood is not None
        known.learn(question, understood, confirmed=False)
    return known
