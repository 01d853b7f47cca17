"""``consult call --plain``: a call on standard input and output, a line at a time."""

from __future__ import annotations

import io
import sys
from contextlib import contextmanager
from threading import Event, Thread
from typing import TYPE_CHECKING

from consult.call.session import Session
from consult.commands import clock
from consult.commands.outcome import Outcome, complain
from consult.records.call_trees import led_with
from consult.records.desk_calls import BEAT, Refused
from consult.ui.plain_call import PlainCall

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from consult.call.basis import Basis
    from consult.call.call import Call
    from consult.records.call_trees import FirstCalls
    from consult.records.desk_calls import DeskCalls


def lead(
    basis: Basis,
    call: Call,
    kept: DeskCalls,
    firsts: FirstCalls,
    open_first: str,
    *,
    any_version: bool,
    stored: Callable[[str, Call], str],
) -> Outcome:
    """Lead one call; however it ends, it is stored, on hold unless it came to its end.

    ``open_first`` is the reference of a stored call to go on with; ``any_version``: with the
    version of the tree that it began with. ``stored`` says how a call stands at the end.
    """
    if isinstance(sys.stdin, io.TextIOWrapper):
        sys.stdin.reconfigure(errors="replace")
    kept.start()
    name = open_first
    if open_first:
        seen = firsts.kept(open_first)
        if isinstance(seen, str):
            return complain(seen)
        if seen.versions.tree != basis.tree.name:
            return complain(f"{open_first} was taken with other questions, {seen.versions.tree}.")
        basis = led_with(seen.versions, basis) if any_version else basis
        name = seen.reference
        opened = _open(kept, name, basis)
        if isinstance(opened, Refused):
            return complain(opened.text)
        call = opened
        _write(kept.unsaid(name))
    else:
        name = kept.new(clock.now(), basis)
    session = Session(basis, call, clock.now())
    plain = PlainCall(session, kept, name, clock.now, firsts, _read, _write)
    try:
        with _beating(kept, name):
            plain.run()
    finally:
        _write(kept.leave(name, session, firsts))
        _write(stored(name, session.now.call))
        kept.close()
    return Outcome.DONE


def _open(kept: DeskCalls, name: str, basis: Basis) -> Call | Refused:
    """The stored call; one that is open elsewhere is taken over where the adviser says so."""
    found = kept.open(name, basis=basis)
    if not isinstance(found, Refused) or not found.elsewhere:
        return found
    _write(f"{found.text} What was said there is stored.")
    _write("y takes it over, Enter leaves it.")
    try:
        taken = _read().strip().casefold() in ("y", "yes")
    except EOFError:
        taken = False
    return kept.open(name, anyway=True, basis=basis) if taken else found


def _read() -> str:
    if sys.stdin.isatty() and sys.stdout.isatty():
        return input("> ")
    line = sys.stdin.readline()
    if not line:
        raise EOFError
    return line


def _write(text: str) -> None:
    if text:
        print(text, flush=True)


@contextmanager
def _beating(kept: DeskCalls, name: str) -> Iterator[None]:
    """Others see that the call is open here for as long as the block lasts."""
    done = Event()

    def beat() -> None:
        while not done.wait(BEAT):
            if lost := kept.beat(name):
                kept.notices.append(lost)

    thread = Thread(target=beat, daemon=True)
    thread.start()
    try:
        yield
    finally:
        done.set()
        thread.join()
