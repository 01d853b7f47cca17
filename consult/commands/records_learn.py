"""``consult records learn``: propose values from the maker's own calls; accept or undo them."""

from __future__ import annotations

import os
from argparse import Namespace
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import asdict
from pathlib import Path
from statistics import mean
from typing import NamedTuple

from consult.call.basis import Basis, load_basis
from consult.call.state import with_chair
from consult.call.worth import seconds_of
from consult.commands import clock
from consult.commands.installation import loaded_basis, write_out
from consult.commands.outcome import Outcome, complain, number_of, tell
from consult.commands.records_outcomes import measure_label
from consult.commands.records_text import cut, print_exact, table
from consult.content.callers.simulation import CallerSource, led_state
from consult.learning import comparison, estimates
from consult.paths import default_tree, shipped_trees
from consult.problems import listed
from consult.records import afterwards
from consult.records.place import home_path
from consult.records.store import Store
from consult.tree import shares
from consult.tree.learned import AcceptedValue, Learned, learned_file, learned_text

_UNITS = {"time": "s", "share": "of 100", "error": "mm", "mean": "mm", "fault": "of 100"}
_OF = {"time": "answer", "share": "answer", "fault": "chair", "mean": "caller", "error": "measure"}
NOT_YOURS = (
    "The settings in use are those that come with consult. Make your own folder first: "
    "consult begin FOLDER"
)


class _Found(NamedTuple):
    """What was found in the records."""

    finished: int
    looked_at: int = 0
    """Calls; none before the first look."""
    tested: int = 0
    proposed: Mapping[str, comparison.Comparison] = {}


def learn(store: Store, options: Namespace) -> Outcome:
    """Show the proposed and accepted values; accept, or undo, those named."""
    path = home_path(options.tree) if options.tree else default_tree()
    basis = loaded_basis(path)
    result = _Found(afterwards.count_finished(store, basis.tree.name))
    if look := comparison.look_at(result.finished):
        with afterwards.uncollected():
            proposals = comparison.proposals(look, _comparisons(store, basis, look))
        result = _Found(
            result.finished,
            look.calls,
            proposals.tested,
            {change.name: change for change in proposals.found},
        )
    if options.accept or options.take_back:
        return _change(path, basis, result, options)
    if options.json:
        return print_exact(_json(basis, result))
    tell(*_lines(basis, result))
    if options.effect and result.proposed:
        after = _accepted(basis.learned, result, result.proposed, "")
        tell("", *learned_effect_lines(path, basis, after))
    return Outcome.DONE


def _comparisons(
    store: Store, basis: Basis, look: comparison.Look
) -> Iterator[comparison.Comparison]:
    """All assumed values, each compared with the calls."""
    latest = afterwards.Stretch(basis.tree.name, max(0, look.calls - comparison.LATEST), look.calls)
    timed = afterwards.times_taken(
        store,
        latest,
        shortest=estimates.SHORTEST,
        longest=estimates.LONGEST,
        a_second=estimates.A_SECOND,
    )
    yield from estimates.compare_times(basis.tree, timed)
    typed = afterwards.words_counted(store, latest, estimates.questions_compared(basis.tree))
    file = Path(basis.tree.files[0]).with_name(shares.SHARES_FILE)
    unlearned = (shares.load_shares(file)[0] if file.is_file() else None) or shares.NO_SHARES
    yield from estimates.compare_answers(basis.tree, basis.shares, unlearned, typed)
    past = afterwards.past_calls(store, stretch=latest)
    shipped = basis.population.base or basis.population
    yield from estimates.compare_errors(basis.population, shipped, past)
    if basis.range is not None:
        kinds = {part.code: kind for kind, parts in basis.range.parts.items() for part in parts}
        yield from estimates.compare_parts(past, kinds, basis.learned.of("fault"))
    said = afterwards.said_with_consent(
        store, latest, estimates.body_questions(basis), most=estimates.MOST_CALLERS
    )
    estimated = (estimates.told_body(basis, answers, clock.today()) for answers in said)
    bodies = [body for body in estimated if body is not None]
    yield from estimates.compare_means(basis.population, bodies, basis.learned.of("mean"))


def _change(path: Path, basis: Basis, result: _Found, options: Namespace) -> Outcome:
    """Write the file of learned values atomically."""
    in_force = basis.learned.in_force
    for name in options.accept:
        if name not in result.proposed:
            known = listed(result.proposed) or "nothing"
            return complain(f"{cut(name, 60)} is not proposed. Proposed now: {known}.")
    for name in options.take_back:
        if name not in in_force:
            known = listed(in_force) or "nothing"
            return complain(f"{cut(name, 60)} was not accepted. In use: {known}.")
    file = learned_file(path.parent)
    if file.parent == shipped_trees():
        return complain(NOT_YOURS)
    by = options.by or os.environ.get("CONSULT_ADVISER", "")
    learned = _accepted(basis.learned, result, options.accept, by)
    for name in options.take_back:
        learned = learned.without(name, clock.today(), by)
    write_out(file, learned_text(learned))
    for name in options.accept:
        accepted_value = learned.in_force[name]
        print(
            f"{name} is {_amount(name, accepted_value.value)} from the next call on (version "
            f"{learned.version(name)}). To take it back: consult records learn --take-back {name}"
        )
    for name in options.take_back:
        before = learned.in_force.get(name)
        value = before.value if before else in_force[name].shipped
        print(f"{name} is {_amount(name, value)} again from the next call on.")
    return Outcome.DONE


def _accepted(learned: Learned, result: _Found, names: Iterable[str], by: str) -> Learned:
    calls, day = result.looked_at, clock.today().isoformat()
    wanted = [result.proposed[name] for name in names]
    return learned.with_accepted(
        *(
            AcceptedValue(change.name, change.value, round(change.shipped, 2), calls, day, by)
            for change in wanted
        )
    )


def _lines(basis: Basis, result: _Found) -> Iterator[str]:
    finished = f"{number_of(result.finished, 'finished call')} of {basis.tree.name}"
    if not result.looked_at:
        yield f"{finished}. The first look is at {comparison.FIRST}."
    else:
        values = number_of(result.tested, "value")
        yield f"The first {result.looked_at} of {finished}; {values} compared."
        if not result.proposed:
            yield "Nothing to propose: no difference is large enough, or sure enough."
    if result.proposed:
        yield ""
        yield "Proposed"
        head = ("Name", "In use", "Proposed", "From", "Effect on a call")
        rows = [
            (
                cut(name, 50),
                _amount(name, change.now),
                _amount(name, change.value),
                number_of(change.count, _OF[comparison.kind_of(name)]),
                _effect(change, result.looked_at),
            )
            for name, change in result.proposed.items()
        ]
        yield from (f"  {line}" for line in table(head, rows))
        yield "To accept one: consult records learn --accept NAME"
    in_force = basis.learned.in_force
    if in_force:
        yield ""
        yield "In use"
        titles = ("Name", "Value", "Shipped", "Since", "From", "By")
        used = [
            (
                cut(name, 50),
                _amount(name, value.value),
                _amount(name, value.shipped),
                value.on,
                number_of(value.calls, "call"),
                cut(value.by, 30),
            )
            for name, value in in_force.items()
        ]
        yield from (f"  {line}" for line in table(titles, used))
        yield "To take one back: consult records learn --take-back NAME"


def _effect(change: comparison.Comparison, calls: int) -> str:
    """What a value changes, as far as is known without simulating calls."""
    kind = comparison.kind_of(change.name)
    by = (change.value - change.now) * change.count / calls
    return {
        "time": f"{by:+.0f} s in a call as led now",
        "share": "which questions are worth asking",
        "mean": f"{measure_label(change.name.partition('.')[2]).lower()} is estimated "
        f"{abs(change.value - change.now):.0f} mm "
        f"{'higher' if change.value > change.now else 'lower'}",
        "error": "intervals are wider" if change.value > change.now else "intervals are narrower",
        "fault": f"odds of {100 - change.value:.0f} of {100 - change.now:.0f} with this part",
    }[kind]


def _amount(name: str, value: float) -> str:
    return f"{value:.3g} {_UNITS[comparison.kind_of(name)]}"


def _json(basis: Basis, result: _Found) -> dict[str, object]:
    return {
        "finished": result.finished,
        "looked_at": result.looked_at,
        "compared": result.tested,
        "proposed": {
            name: {
                "in_use": change.now,
                "shipped": change.shipped,
                "value": change.value,
                "observations": change.count,
                "unit": _UNITS[comparison.kind_of(name)],
            }
            for name, change in result.proposed.items()
        },
        "accepted": [asdict(value) for value in basis.learned.accepted],
    }


# -- the impact of proposals on simulated callers -------------------------------------------------

CALLERS_LED = 60
_SEED = 1


def learned_effect_lines(path: Path, basis: Basis, after: Learned) -> list[str]:
    """Compare the same simulated callers with the current values and with the proposals.

    Both are timed with the proposed seconds, so that only the questions asked differ.
    """
    with_them, _ = load_basis(path, basis.population, learned=after)
    assert with_them is not None
    seconds = {name: seconds_of(question) for name, question in with_them.tree.questions.items()}
    # Who rings is the same in both.
    source = CallerSource(basis.shares, basis.population, _SEED, clock.today())
    return [
        f"{CALLERS_LED} simulated callers, timed by the proposals:",
        f"  {'with the values in use':<22} {_came_to(basis, source, seconds)}",
        f"  {'with the proposals':<22} {_came_to(with_them, source, seconds)}",
    ]


def _came_to(basis: Basis, source: CallerSource, seconds: Mapping[str, float]) -> str:
    led = (
        with_chair(basis, led_state(basis, source, number)) for number in range(1, CALLERS_LED + 1)
    )
    calls = [
        (len(now.steps), sum(seconds[step.question.name] for step in now.steps), ordered.p_fits)
        for now in led
        if now.chosen is not None and (ordered := now.chosen.ordered) is not None
    ]
    if not calls:
        return "no chair in any of these calls"
    questions, took, fits = map(mean, zip(*calls, strict=True))
    return f"{questions:.1f} questions, {took / 60:.1f} minutes, {100 * fits:.1f} of 100 chairs fit"
