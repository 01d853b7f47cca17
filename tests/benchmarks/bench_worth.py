"""How long it takes to say what every open question is worth, and to choose: print, never assert.

    OMP_NUM_THREADS=1 python -m tests.benchmarks.bench_worth

The pool is every question of the shipped seating tree that measures, sets a deciding fact or is
read by a need. Best and median of many, the cases taken in turn.
"""

from __future__ import annotations

import time
from dataclasses import replace
from statistics import median

from consult.call.basis import Basis
from consult.call.call import Answer
from consult.call.facts import Facts
from consult.call.gains import gains_of
from consult.call.route import read
from consult.call.worth import LEAST, seconds_of
from consult.content.callers import FILE, load_shares
from consult.fit.choose import choose
from consult.paths import trees_folder
from consult.tree.model import DECIDING, Question
from tests.call.calls import TODAY, seating

ROUNDS = 40
CASES = (
    {"stature": "172 cm", "sex": "female"},
    {"stature": "172 cm", "sex": "female", "weight": "80 kg", "desk_kind": "fixed"},
    {"stature": "158 cm", "sex": "female", "weight": "60 kg", "desk_height": "73 cm"},
)


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
        understood = read(question, Answer(name, said), TODAY).understood
        assert understood is not None
        known.learn(question, understood, confirmed=False)
    return known


def main() -> None:
    """Print the times, and what is worth most in each case."""
    shares, _ = load_shares(trees_folder() / FILE)
    assert shares is not None
    basis = replace(seating(), shares=shares)
    worths: list[list[float]] = [[] for _ in CASES]
    chosen: list[list[float]] = [[] for _ in CASES]
    found: list[dict[str, float]] = [{} for _ in CASES]
    for _ in range(ROUNDS):
        for at, answers in enumerate(CASES):
            known = known_of(basis, answers)
            start = time.perf_counter()
            request = known.request()
            assert request is not None
            found[at] = gains_of(known, request, *open_pool(known))
            middle = time.perf_counter()
            choose(replace(request, kept={}))
            worths[at].append(1000 * (middle - start))
            chosen[at].append(1000 * (time.perf_counter() - middle))
    for at, answers in enumerate(CASES):
        print(f"{', '.join(answers)}: {len(found[at])} open")
        for name, took in (("worth", worths[at]), ("choosing", chosen[at])):
            print(f"  {name}: best {min(took):.1f} ms, median {median(took):.1f} ms")
        questions = basis.tree.questions
        rates = {name: gain / seconds_of(questions[name]) for name, gain in found[at].items()}
        for name in sorted(rates, key=lambda one: -rates[one])[:10]:
            print(f"    {name}: {found[at][name]:.4f}, {rates[name] / LEAST:.1f} times the least")


if __name__ == "__main__":
    main()
