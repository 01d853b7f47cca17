"""Pages of text over a call: the first call beside its follow-up, and why this chair."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.call.fit_json import choice_lines
from consult.call.follow_up import FirstCall, already_given
from consult.call.reasons import reason_lines, reasons
from consult.call.state import request_of, with_chair
from consult.call.wording import figure_name
from consult.summary.closing import card_steps, parts_line
from consult.summary.model import summarise
from consult.summary.templates import long_date

if TYPE_CHECKING:
    from collections.abc import Iterator

    from consult.call.basis import Basis
    from consult.call.follow_up import ThenAndNow
    from consult.call.state import State
    from consult.records.call_trees import Beside, FirstCalls


def first_call(firsts: FirstCalls, said: str, basis: Basis) -> FirstCall:
    """What the call of a reference gives to one led with ``basis``; or why it gives nothing."""
    found = firsts.first(said, basis)
    if isinstance(found, str):
        return FirstCall(said, found)
    kept, told = found.kept, summarise(found.basis, with_chair(found.basis, found.state))
    parts, steps = parts_line(told), card_steps(told)
    thing = found.basis.thing
    words = [f"First call: {kept.reference}, {long_date(kept.call.today)}."]
    words.append(f"{thing.capitalize()}: {parts}." if parts else f"It has no {thing}.")
    if found.state.stopped is not None:
        words[1:] = ["It was stopped, so it has no card."]
    given = already_given(basis.tree, kept.call, kept.caller_name, kept.reference)
    return FirstCall(said, " ".join(words), given, steps)


def then_and_now(found: Beside | str) -> str:
    """The page, or why there is none."""
    if isinstance(found, str):
        return found
    told = [f"First call: {found.kept.reference}, {long_date(found.kept.call.today)}."]
    if found.anew:
        told.append("Its questions have changed since, so its results are worked out again.")
    blocks = [_block(line) for line in found.lines] or ["There is nothing to compare yet."]
    return "\n\n".join([" ".join(told), *blocks])


def _block(line: ThenAndNow) -> str:
    values = {"then": line.then, "good": line.good, "now": line.now}
    shown = ", ".join(f"{name} {value}" for name, value in values.items() if value)
    rest = [f"  {text}" for text in (shown, line.do, line.because) if text]
    return "\n".join([line.topic, *rest])


def why_text(basis: Basis, now: State) -> str:
    """Why this chair, for a state whose chair has been chosen; about a tenth of a second."""
    assert basis.range is not None
    assert now.fit is not None
    assert now.chosen is not None
    if basis.range.fitting is not None:
        lines = [*choice_lines(now.chosen, now.call.system)]
        figures = [*now.fit.requirements.values()]
        lines += [
            f"{figure_name(requirement.name, now.fit)}: {requirement.reason}"
            for requirement in figures
        ]
        return "\n".join(f"- {line}" for line in lines)
    request = request_of(basis.range, now)
    reach = request.range.reach()
    why = reasons(request, basis.population, now.fit, now.chosen, reach=reach)
    sections = list(reason_lines(now.chosen, why, basis.population, now.call.system))
    came_back = list(_came_back(basis, now))
    if came_back:
        sections.append(("What came of such chairs", came_back))
    return "\n\n".join(
        "\n".join([title, *(f"- {line}" for line in lines)]) for title, lines in sections
    )


def _came_back(basis: Basis, now: State) -> Iterator[str]:
    """Parts of the chair that came back with a fault before, by what was learned."""
    faults = basis.learned.of("fault")
    ordered = now.chosen.ordered if now.chosen else None
    for part in ordered.parts.values() if ordered else ():
        if faults.get(part.code):
            yield f"Of 100 chairs with {part.name}, {faults[part.code]:.0f} came back with a fault."
