"""``consult records learn``: propose values from the maker's own calls; accept or undo them."""

from __future__ import annotations

import os
from argparse import Namespace
from collections.abc import Callable, Iterator, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from statistics import mean

from consult.call.basis import Basis, load_basis
from consult.call.state import with_chair
from consult.call.worth import seconds_of
from consult.commands import clock
from consult.commands.installation import loaded_basis
from consult.commands.out_file import write_out
from consult.commands.outcome import Outcome, complain, number_of
from consult.commands.records_outcomes import measure_label
from consult.commands.records_text import cut, exact_json, table
from consult.content.callers.simulation import CallerSource, led_state
from consult.learning.comparison import (
    FIRST,
    LATEST,
    Comparison,
    Look,
    Proposals,
    kind_of,
    look_at,
    proposals,
)
from consult.learning.estimates import (
    A_SECOND,
    LONGEST,
    MOST_CALLERS,
    SHORTEST,
    body_questions,
    compare_answers,
    compare_errors,
    compare_means,
    compare_parts,
    compare_times,
    questions_compared,
    told_body,
)
from consult.paths import default_tree, shipped_trees
from consult.problems import listed
from consult.records.afterwards import (
    Stretch,
    count_finished,
    past_calls,
    said_with_consent,
    times_taken,
    uncollected,
    words_counted,
)
from consult.records.place import home_path
from consult.records.store import Store
from consult.tree.learned import AcceptedValue, Learned, learned_file, learned_text
from consult.tree.shares import FILE as SHARES_FILE
from consult.tree.shares import NO_SHARES, Shares, load_shares

_UNITS = {"time": "s", "share": "of 100", "error": "mm", "mean": "mm", "fault": "of 100"}
_OF = {"time": "answer", "share": "answer", "fault": "chair", "mean": "caller", "error": "measure"}
NOT_YOURS = (
    "The settings in use are those that come with consult. Make your own folder first: "
    "consult begin FOLDER"
)


@dataclass(frozen=True, slots=True)
class _Found:
    """What was found in the records."""

    finished: int
    proposed: Proposals | None
    """None before the first look."""

    @property
    def by_name(self) -> dict[str, Comparison]:
        return {one.name: one for one in self.proposed.found} if self.proposed else {}


def learn(store: Store, options: Namespace) -> Outcome:
    """Show the proposed and accepted values; accept, or undo, those named."""
    path = home_path(options.tree) if options.tree else default_tree()
    basis = loaded_basis(path)
    finished = count_finished(store, basis.tree.name)
    look = look_at(finished)
    with uncollected():
        proposed = proposals(look, _comparisons(store, basis, look)) if look else None
    found = _Found(finished, proposed)
    if options.accept or options.take_back:
        return _change(path, basis, found, options)
    if options.json:
        print(exact_json(_json(basis, found)))
        return Outcome.DONE
    print("\n".join(_lines(basis, found)))
    if options.effect and found.by_name:
        after = _accepted(basis.learned, found, list(found.by_name), "")
        print("\n".join(["", *effect_lines(path, basis, after)]))
    return Outcome.DONE


def _comparisons(store: Store, basis: Basis, look: Look) -> Iterator[Comparison]:
    """All assumed values, each compared with the calls."""
    latest = Stretch(basis.tree.name, max(0, look.calls - LATEST), look.calls)
    timed = times_taken(store, latest, shortest=SHORTEST, longest=LONGEST, a_second=A_SECOND)
    yield from compare_times(basis.tree, timed)
    typed = words_counted(store, latest, questions_compared(basis.tree))
    yield from compare_answers(basis.tree, basis.shares, _shipped_shares(basis), typed)
    past = past_calls(store, stretch=latest)
    shipped = basis.population.base or basis.population
    yield from compare_errors(basis.population, shipped, past)
    if basis.range is not None:
        kinds = {one.code: kind for kind, parts in basis.range.parts.items() for one in parts}
        yield from compare_parts(past, kinds, basis.learned.of("fault"))
    said = said_with_consent(store, latest, body_questions(basis), most=MOST_CALLERS)
    told = (told_body(basis, one, clock.today()) for one in said)
    bodies = [one for one in told if one is not None]
    yield from compare_means(basis.population, bodies, basis.learned.of("mean"))


def _shipped_shares(basis: Basis) -> Shares:
    """The shares of the callers file, without anything learned."""
    file = Path(basis.tree.files[0]).with_name(SHARES_FILE)
    return (load_shares(file)[0] if file.is_file() else None) or NO_SHARES


def _change(path: Path, basis: Basis, found: _Found, options: Namespace) -> Outcome:
    """Write the file of learned values atomically."""
    unknown = [name for name in options.accept if name not in found.by_name]
    if unknown:
        known = listed(found.by_name) if found.by_name else "nothing"
        return complain(f"{cut(unknown[0], 60)} is not proposed. Proposed now: {known}.")
    absent = [name for name in options.take_back if name not in basis.learned.in_force]
    if absent:
        known = listed(basis.learned.in_force) if basis.learned.in_force else "nothing"
        return complain(f"{cut(absent[0], 60)} was not accepted. In use: {known}.")
    file = learned_file(path.parent)
    if file.parent == shipped_trees():
        return complain(NOT_YOURS)
    by = options.by or os.environ.get("CONSULT_ADVISER", "")
    learned = _accepted(basis.learned, found, options.accept, by)
    for name in options.take_back:
        learned = learned.without(name, clock.today(), by)
    write_out(file, learned_text(learned))
    for name in options.accept:
        one = learned.in_force[name]
        print(
            f"{name} is {_amount(name, one.value)} from the next call on (version "
            f"{learned.version(name)}). To take it back: consult records learn --take-back {name}"
        )
    for name in options.take_back:
        before = learned.in_force.get(name)
        value = before.value if before else basis.learned.in_force[name].shipped
        print(f"{name} is {_amount(name, value)} again from the next call on.")
    return Outcome.DONE


def _accepted(learned: Learned, found: _Found, names: Sequence[str], by: str) -> Learned:
    if not names:
        return learned
    assert found.proposed is not None
    calls, day = found.proposed.look.calls, clock.today().isoformat()
    wanted = [found.by_name[name] for name in names]
    return learned.with_accepted(
        *(
            AcceptedValue(one.name, one.value, round(one.shipped, 2), calls, day, by)
            for one in wanted
        )
    )


def _lines(basis: Basis, found: _Found) -> Iterator[str]:
    if found.proposed is None:
        yield (
            f"{number_of(found.finished, 'finished call')} of {basis.tree.name}. The first look "
            f"is at {FIRST}."
        )
    else:
        look = found.proposed.look
        yield (
            f"The first {look.calls} of {number_of(found.finished, 'finished call')} of "
            f"{basis.tree.name}; {number_of(found.proposed.tested, 'value')} compared."
        )
        if not found.by_name:
            yield "Nothing to propose: no difference is large enough, or sure enough."
    if found.by_name:
        yield ""
        yield "Proposed"
        head = ("Name", "In use", "Proposed", "From", "Effect on a call")
        yield from (f"  {line}" for line in table(head, map(_row(found), found.by_name.values())))
        yield "To accept one: consult records learn --accept NAME"
    in_force = basis.learned.in_force
    if in_force:
        yield ""
        yield "In use"
        rows = [
            (
                cut(name, 50),
                _amount(name, one.value),
                _amount(name, one.shipped),
                one.on,
                number_of(one.calls, "call"),
                cut(one.by, 30),
            )
            for name, one in in_force.items()
        ]
        titles = ("Name", "Value", "Shipped", "Since", "From", "By")
        yield from (f"  {line}" for line in table(titles, rows))
        yield "To take one back: consult records learn --take-back NAME"


def _row(found: _Found) -> Callable[[Comparison], tuple[str, ...]]:
    assert found.proposed is not None
    calls = found.proposed.look.calls

    def row(one: Comparison) -> tuple[str, ...]:
        return (
            cut(one.name, 50),
            _amount(one.name, one.now),
            _amount(one.name, one.value),
            number_of(one.count, _OF[kind_of(one.name)]),
            _effect(one, calls),
        )

    return row


def _effect(one: Comparison, calls: int) -> str:
    """What a value changes, as far as is known without simulating calls."""
    kind = kind_of(one.name)
    by = (one.value - one.now) * one.count / calls
    return {
        "time": f"{by:+.0f} s in a call as led now",
        "share": "which questions are worth asking",
        "mean": f"{measure_label(one.name.partition('.')[2]).lower()} is estimated "
        f"{abs(one.value - one.now):.0f} mm {'higher' if one.value > one.now else 'lower'}",
        "error": "intervals are wider" if one.value > one.now else "intervals are narrower",
        "fault": f"odds of {100 - one.value:.0f} of {100 - one.now:.0f} with this part",
    }[kind]


def _amount(name: str, value: float) -> str:
    return f"{value:.3g} {_UNITS[kind_of(name)]}"


def _json(basis: Basis, found: _Found) -> dict[str, object]:
    look = found.proposed.look if found.proposed else None
    return {
        "finished": found.finished,
        "looked_at": look.calls if look else 0,
        "compared": found.proposed.tested if found.proposed else 0,
        "proposed": {
            name: {
                "in_use": one.now,
                "shipped": one.shipped,
                "value": one.value,
                "observations": one.count,
                "unit": _UNITS[kind_of(name)],
            }
            for name, one in found.by_name.items()
        },
        "accepted": [asdict(one) for one in basis.learned.accepted],
    }


# -- the impact of proposals on simulated callers -------------------------------------------------

CALLERS = 60
_SEED = 1


def effect_lines(path: Path, basis: Basis, after: Learned) -> list[str]:
    """Compare the same simulated callers with the current values and with the proposals.

    Both are timed with the proposed seconds, so that only the questions asked differ.
    """
    with_them, _ = load_basis(path, basis.population, learned=after)
    assert with_them is not None
    # Who rings is the same in both.
    source = CallerSource(basis.shares, basis.population, _SEED, clock.today())
    told = [
        f"{CALLERS} simulated callers, timed by the proposals:",
        _line("with the values in use", basis, source, with_them),
        _line("with the proposals", with_them, source, with_them),
    ]
    return told


def _line(what: str, basis: Basis, source: CallerSource, timed_by: Basis) -> str:
    questions: list[int] = []
    seconds: list[float] = []
    fits: list[float] = []
    for number in range(1, CALLERS + 1):
        now = with_chair(basis, led_state(basis, source, number))
        if now.chosen is None or now.chosen.ordered is None:
            continue
        questions.append(len(now.steps))
        seconds.append(_seconds([one.question.name for one in now.steps], timed_by))
        fits.append(now.chosen.ordered.p_fits)
    if not questions:
        return f"  {what:<22} no chair in any of these calls"
    return (
        f"  {what:<22} {mean(questions):.1f} questions, {mean(seconds) / 60:.1f} minutes, "
        f"{100 * mean(fits):.1f} of 100 chairs fit"
    )


def _seconds(asked: Sequence[str], timed_by: Basis) -> float:
    return sum(seconds_of(timed_by.tree.questions[name]) for name in asked)
