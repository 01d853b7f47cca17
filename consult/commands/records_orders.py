"""``consult records orders``: write each agreed order once to a folder that others watch."""

from __future__ import annotations

from argparse import Namespace
from datetime import timedelta
from typing import TYPE_CHECKING

from consult.body.population import load_population
from consult.call.state import state, with_chair
from consult.commands import clock
from consult.commands.out_file import out_folder
from consult.commands.outcome import Outcome, complain, number_of
from consult.commands.reading import basis_named
from consult.durable import write_whole
from consult.records.call_trees import led_with
from consult.summary.model import Summary, summarise
from consult.summary.order import is_order, order_csv, order_text, waits_for
from consult.visible import visible

if TYPE_CHECKING:
    from consult.call.basis import Basis
    from consult.call.call import Call
    from consult.commands.records import Desk

_MOST = 1_000_000
_READABLE = 0o640
"""By the group of the folder too, as another system reads it; orders hold names and addresses."""
_WRITERS = {"json": order_text, "csv": order_csv}


def write_orders(desk: Desk, options: Namespace) -> Outcome:
    """Write the new orders of finished calls, each atomically, as a file named by its reference.

    An order on hold, or without the fabric that the range asks for, is skipped until it has it.
    """
    folder = out_folder(options.to).resolve()
    since = clock.now().astimezone() - timedelta(days=options.days)
    population = load_population()
    bases: dict[str, Basis] = {}
    written, held = [], []
    for listed in reversed(desk.store.latest(_MOST)):
        file = folder / f"{listed.reference}.{options.form}"
        if listed.status != "finished" or listed.started_at < since:
            continue
        kept = desk.store.read(listed.id)
        # The records note what was written, so that a file taken away does not come back.
        if str(file) in kept.summaries:
            continue
        basis = bases.get(kept.versions.tree) or basis_named(kept.versions.tree, population)[0]
        if basis is None:
            return complain(f"{kept.reference}: the questions of this call cannot be read.")
        bases[kept.versions.tree] = basis
        basis = led_with(kept.versions, basis)
        summary = _order(basis, kept.call, kept.reference, kept.adviser)
        if not is_order(summary):
            continue
        if wanted := waits_for(summary):
            held.append(f"{kept.reference} ({wanted})")
            continue
        # Written before it is noted: an order is never lost, whatever breaks off in between.
        write_whole(file, _WRITERS[options.form](summary).encode(), mode=_READABLE)
        desk.store.note_summary(kept.id, file, clock.now())
        written.append(kept.reference)
    for reference in written:
        print(visible(f"{reference} -> {folder / f'{reference}.{options.form}'}"))
    print(f"{number_of(len(written), 'new order')}. Waiting: {', '.join(held) or 'none'}.")
    return Outcome.DONE


def _order(basis: Basis, call: Call, reference: str, adviser: str) -> Summary:
    """What the order team may see of a call."""
    now = with_chair(basis, state(basis, call))
    return summarise(basis, now, reader="order", reference=reference, adviser=adviser)
