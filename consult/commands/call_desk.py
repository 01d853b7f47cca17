"""What a call begins with, by the command line; and a call in plain lines."""

from __future__ import annotations

import io
import sys
from argparse import Namespace
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from threading import Event, Thread

from consult.call.basis import Basis
from consult.call.call import Call, set_country
from consult.call.follow_up import begin
from consult.call.session import Session
from consult.call.transcript import load_transcript, unknown_questions
from consult.commands import clock, installation
from consult.commands.outcome import Outcome, complain, sound
from consult.content.library.library import the_library
from consult.content.library.verify import NEWS, came_anew
from consult.paths import default_tree, library_folder, live_version, trees_folder, version_folder
from consult.problems import CannotDoError
from consult.records.call_trees import FirstCalls, LiveTrees, led_with
from consult.records.desk_calls import BEAT, Begun, CallRefused, DeskCalls
from consult.records.kept import STATUSES, Kept
from consult.records.place import no_records, records_place

FOLLOW_UP = "follow_up.yaml"
"""The tree of a second call."""


def ready(options: Namespace) -> Begun:
    """Load what a call needs; CannotDoError where there can be none."""
    today = clock.today()
    call = Call(today, options.units or installation.usual_units())
    if sum(map(bool, (options.start, options.open, options.follow_up))) > 1:
        raise CannotDoError("Give one of --open, --follow-up and --from.")
    if options.thorough and options.open:
        raise CannotDoError(
            "A stored call keeps its setting. Open it without --thorough, then type /thorough "
            "in the call."
        )
    about = installation.tree_about(options.about) if options.about else None
    if about is not None and (options.tree or options.open or options.start):
        raise CannotDoError("--about is for a new call. Leave out --tree, --open and --from.")
    if not options.tree and (trouble := installation.unpublished()):
        raise CannotDoError(trouble)
    place = records_place(options.records)
    missing = no_records(place)
    if options.open and missing:
        raise CannotDoError(missing)
    firsts = FirstCalls(place)
    first: Kept | str = ""
    if options.follow_up or options.open:
        first = firsts.kept(options.follow_up or options.open)
    tree = about or _questions(options, first)
    followed: Kept | None = None
    if options.follow_up:
        if isinstance(first, str):
            raise CannotDoError(first)
        followed = first
        if first.versions.tree in (tree.stem, Path(FOLLOW_UP).stem):
            message = f"{first.reference} is itself a follow-up{_of(first)}. Name the first call."
            raise CannotDoError(message)
    if options.start:
        transcript = sound(*load_transcript(Path(options.start)))
        tree = Path(options.tree) if options.tree else trees_folder() / f"{transcript.tree}.yaml"
        call = transcript.call
        if options.units:
            call = replace(call, system=options.units)
    basis, problems = installation.checked_basis(
        tree, installation.chosen_population(options.population)
    )
    if basis is not None and options.start and transcript is not None:
        problems = [*problems, *unknown_questions(transcript, basis.tree.questions)]
    if basis is None or any(problem.severity == "error" for problem in problems):
        raise CannotDoError(problems=problems)
    if followed is not None:
        of = (followed.call, followed.caller_name, followed.reference)
        call = begin(basis.tree, *of, today)
        call = replace(call, system=options.units or call.system)
    code = installation.chosen_country(options.country, basis)
    if options.country or not (options.start or options.follow_up):
        call = set_country(call, code)
    if options.thorough and not call.thorough:
        call = call.led_in_full(True)
    kept = DeskCalls(basis, place, installation.this_adviser(options.adviser), clock.now)
    live = None if options.tree else LiveTrees(basis)
    if live is not None and live_version(library_folder()) is not None:
        from consult.content.library.verify import live_altered

        if altered := live_altered():
            kept.notices.append(f"{altered[1]} Tell the content lead.")
    if live is not None and came_anew(the_library()):
        kept.notices.append(f"{NEWS} Tell the content lead.")
    return Begun(basis, call, kept, clock.now, options.open or "", firsts, live)


def stored_line(begun: Begun, options: Namespace, name: str, at_end: Call) -> str:
    """How a call stands in the records at its end, and how to continue it; '' where nothing was
    said in it."""
    carried = () if options.start else begun.call.answers
    if at_end.answers in ((), carried):
        return ""
    status, reference = begun.kept.stored_as(name), begun.kept.reference(name)
    if not status:
        return f"Call {reference} is not in the records."
    if status not in STATUSES:
        return f"{reference}: {status}"
    how = "finished" if status in ("finished", "stopped") else "not finished"
    again = f"consult call{' --plain' if options.plain else ''} --open {reference}"
    return f"The call is stored as {reference}, {how}. To continue it: {again}"


def _questions(options: Namespace, first: Kept | str) -> Path:
    """The tree to ask: the one named, else that of a second call, else what ``first`` was led with.

    ``first`` is the call to follow up or to go on with.
    """
    if options.tree:
        return Path(options.tree)
    if options.follow_up:
        return trees_folder() / FOLLOW_UP
    if isinstance(first, str):
        return default_tree()
    led = f"{first.versions.tree}.yaml"
    folders = (trees_folder(), version_folder(first.versions.tree_version))
    paths = (folder / led for folder in folders if folder and (folder / led).is_file())
    return next(paths, default_tree())


def _of(kept: Kept) -> str:
    """Which call a follow-up follows, where it says so."""
    answer = kept.call.latest().get("first_reference")
    return f", of {' '.join(answer.said.split())[:20]}" if answer and answer.said.strip() else ""


# -- ``consult call --plain``: a call on standard input and output, a line at a time --------------


def lead(begun: Begun, options: Namespace) -> Outcome:
    """Lead one call; however it ends, it is stored, on hold unless it came to its end.

    A call that is gone on with has the version of the tree that it began with, unless a tree was
    named.
    """
    # The screen needs none of it, nor the templates that it writes a summary with: an eighth of the
    # time of a start.
    from consult.ui.plain_call import PlainCall

    basis, call, kept, firsts = begun.basis, begun.call, begun.kept, begun.firsts
    assert firsts is not None
    open_first = begun.open_first
    if isinstance(sys.stdin, io.TextIOWrapper):
        sys.stdin.reconfigure(errors="replace")
    kept.start()
    if open_first:
        seen = firsts.kept(open_first)
        if isinstance(seen, str):
            return complain(seen)
        if seen.versions.tree != basis.tree.name:
            return complain(f"{open_first} was taken with other questions, {seen.versions.tree}.")
        basis = led_with(seen.versions, basis) if begun.live else basis
        name = seen.reference
        opened = _open(kept, name, basis)
        if isinstance(opened, CallRefused):
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
        _write(stored_line(begun, options, name, session.now.call))
        kept.close()
    return Outcome.DONE


def _open(kept: DeskCalls, name: str, basis: Basis) -> Call | CallRefused:
    """The stored call; one that is open elsewhere is taken over where the adviser says so."""
    opened = kept.open(name, basis=basis)
    if not isinstance(opened, CallRefused) or not opened.elsewhere:
        return opened
    _write(f"{opened.text} What was said there is stored.")
    _write("y takes it over, Enter leaves it.")
    try:
        taken = _read().strip().casefold() in ("y", "yes")
    except EOFError:
        taken = False
    return kept.open(name, anyway=True, basis=basis) if taken else opened


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
