"""Looks for a caller of whom something is true: thought up by the solver, or drawn at random."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from consult.content.prove.model import Caller, Found

if TYPE_CHECKING:
    from consult.content.prove.solving import Solving, Verdict
    from consult.content.prove.symbols import Formula
    from consult.content.prove.trying import Trying, Wanted

_THOUGHT_UP = 3


@dataclass(frozen=True, slots=True, eq=False)
class Seeking:
    """Every caller found was tried on the real call."""

    trying: Trying
    solving: Solving | None
    """None where there is no solver: then nothing is ever impossible, only not found."""

    def find(
        self, formula: Formula, wanted: Wanted, names: Collection[str]
    ) -> tuple[Found, Caller | None]:
        """A caller for whom ``formula`` holds and ``wanted`` turns out true.

        One for whom no stop is lifted, where there is any. ``names`` are what the condition at
        stake reads, to say which answers matter.
        """
        verdict: Verdict = "not decided"
        # Without a condition only the solver can say which answers bring it about.
        caller = self.trying.met(wanted) if names else None
        thought_up: list[Caller] = []
        if caller is None and self.solving is not None:
            verdict = self.solving.can_be(formula)
            if verdict == "no":
                return "impossible", None
            for one in self._thought_up(self.solving, formula):
                caller = self.trying.real(one, wanted)
                if caller is not None:
                    break
                thought_up.append(one)
        caller = caller or self.trying.anybody(wanted)
        if caller is None:
            # What is worked out from the body, and leads the way, the solver cannot know.
            near = (self.trying.near(one, wanted) for one in thought_up)
            caller = next((one for one in near if one is not None), None)
        if caller is not None:
            return "found", self.trying.telling(caller, names)
        return ("not found" if verdict == "yes" else "not decided"), None

    def _thought_up(self, solving: Solving, formula: Formula) -> Iterator[Caller]:
        given = solving.walked.none_lifted
        if solving.can_be(formula, given) != "yes":
            given = solving.walked.logic.true
        yield from solving.callers(formula, given, limit=_THOUGHT_UP)
