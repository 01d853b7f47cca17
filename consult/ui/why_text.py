"""The page that explains a chair, as plain text."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.call.reasons import reason_lines, reasons
from consult.call.state import request_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from consult.call.basis import Basis
    from consult.call.state import State


def why_text(basis: Basis, now: State) -> str:
    """Why this chair, for a state whose chair has been chosen; about a tenth of a second."""
    assert basis.range is not None
    assert now.fit is not None
    assert now.chosen is not None
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
