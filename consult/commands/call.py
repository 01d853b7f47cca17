"""``consult call``: a call in the terminal.

Its first question is on the screen before what a call needs is loaded, which takes longer: what
is imported here is light, and ``call_desk`` is imported with that question drawn.
"""

from __future__ import annotations

import os
import sys
from argparse import SUPPRESS, ArgumentParser, Namespace
from contextlib import redirect_stderr, redirect_stdout
from io import StringIO
from typing import TYPE_CHECKING

from consult.commands.options import RUNS, call_options
from consult.commands.outcome import Outcome, complain, when_input_hangs_up
from consult.paths import default_tree

if RUNS:
    from consult.commands.installation import unpublished, usual_units
    from consult.records.validation_cache import read_validated
    from consult.tree.folder import first_words

if TYPE_CHECKING:
    from consult.records.desk_calls import Begun
    from consult.ui.app import ConsultApp


def arguments(parser: ArgumentParser) -> None:
    parser.epilog = "example: consult call --units imperial --country IE"
    # Suppressed, so that "consult --units imperial call" keeps what stands before the command.
    call_options(parser, SUPPRESS)


def run(options: Namespace) -> Outcome:
    """Take a call; at the end say where it was stored."""
    in_browser = "TEXTUAL_DRIVER" in os.environ
    at_terminal = sys.stdin.isatty() and sys.stdout.isatty()
    if at_terminal and not in_browser and (ask := _first_asked(options)):
        done = _opened_at_once(options, ask)
        if done is not None:
            return done
        # No call could begin. Now it is said why: over an open screen nobody would have read it.
    from consult.commands.call_desk import lead, ready

    begun = ready(options)
    if options.plain:
        return lead(begun, options)
    if not (in_browser or at_terminal):
        return complain(
            "The call screen needs a terminal. In plain lines: consult call --plain. For call "
            "files use: consult replay FILE"
        )
    from consult.ui.app import ConsultApp

    app = ConsultApp(begun)
    if in_browser:
        when_input_hangs_up(lambda: app.call_from_thread(app.exit))
    app.run()
    if not in_browser:
        _tell_stored(app, begun, options)
    return Outcome.DONE


def _first_asked(options: Namespace) -> str:
    """What a new call about a chair asks first; '' for any other, and where nothing can be asked.

    Any other call begins with what has to be looked up before its question is known.
    """
    chosen = (options.plain, options.open, options.follow_up, options.start, options.tree)
    if any(chosen) or options.about or unpublished():
        return ""
    read_validated()
    return first_words(default_tree(), options.units or usual_units())


def _opened_at_once(options: Namespace, ask: str) -> Outcome | None:
    """A call whose first question is shown while the rest is loaded; None where it cannot be."""
    from consult.ui.app import ConsultApp
    from consult.ui.opening import FirstSight

    loaded: list[Begun] = []

    def begin() -> Begun | None:
        from consult.commands.call_desk import ready

        try:
            with redirect_stdout(StringIO()), redirect_stderr(StringIO()):
                begun = ready(options)
        except Exception:  # it comes again, and is told as any other, once the screen is closed
            return None
        loaded.append(begun)
        return begun

    app = ConsultApp(FirstSight(ask, begin))
    app.run()
    if not loaded:
        return None
    _tell_stored(app, loaded[0], options)
    return Outcome.DONE


def _tell_stored(app: ConsultApp, begun: Begun, options: Namespace) -> None:
    from consult.commands.call_desk import stored_line

    for name, screen in app.at_desk.open.items() if app.at_desk else ():
        if line := stored_line(begun, options, name, screen.now.call):
            print(line)
