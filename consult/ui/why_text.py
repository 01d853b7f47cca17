"""The page that explains a chair, as plain text."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.call.reasons import reason_lines, reasons
from consult.call.state import request_of

if TYPE_CHECKING:
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
    sections = reason_lines(now.chosen, why, basis.population, now.call.system)
    return "\n\n".join(
        "\n".join([title, *(f"- {line}" for line in lines)]) for title, lines in sections
    )
