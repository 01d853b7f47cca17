"""``consult records outcome`` and ``own-figures``: outcome of a chair; consent of advisers."""

from __future__ import annotations

import os
import re
from argparse import Namespace
from typing import TYPE_CHECKING

from consult.call.chair_outcome import ChairOutcome
from consult.call.follow_up import THINGS
from consult.commands import clock
from consult.commands.outcome import Outcome, complain
from consult.commands.records_text import cut, reference_in
from consult.problems import listed
from consult.records.afterwards import advisers_agreed, note_agreed, note_outcome

if TYPE_CHECKING:
    from consult.commands.records import Desk

_OFF = re.compile(r"([a-z_]+)=([+-]?\d{1,3})(?: ?mm)?")


def note(desk: Desk, options: Namespace) -> Outcome:
    """Store the outcome of the chair of a call."""
    reference = reference_in(options.reference)
    came = options.came.replace("-", "_")
    if options.part and came != "exchanged":
        return complain("--part goes with exchanged.")
    if (options.because is None) == (came in ("exchanged", "returned")):
        return complain("Give --because with exchanged and returned, and not with the others.")
    off = {}
    for said in options.off:
        found = _OFF.fullmatch(said)
        if found is None or found[1] not in THINGS:
            return complain(f"Write --off as seat_height=-15, in mm. It knows {listed(THINGS)}.")
        off[found[1]] = float(found[2])
    outcome = ChairOutcome(
        reference, came, tuple(options.part), options.because, off, blamed=options.blame
    )
    note_outcome(desk.store, outcome, clock.now_utc())
    print(f"Stored with call {reference}: {outcome.text.partition(': ')[2]}.")
    return Outcome.DONE


def own_figures(desk: Desk, options: Namespace) -> Outcome:
    """Store whether an adviser consents to figures of their own, or list who does."""
    if options.answer == "show":
        names = sorted(advisers_agreed(desk.store))
        print("\n".join(cut(one, 60) for one in names) or "No adviser has agreed.")
        return Outcome.DONE
    adviser = options.adviser or os.environ.get("CONSULT_ADVISER")
    if not adviser:
        return complain("Give your name with --adviser, as it stands in the list of calls.")
    agrees = options.answer == "agree"
    note_agreed(desk.store, adviser, agrees=agrees)
    shown = cut(adviser, 60)
    print(
        f"The outcomes now show {shown} apart, from five calls on."
        if agrees
        else f"The outcomes no longer show {shown} apart."
    )
    return Outcome.DONE
