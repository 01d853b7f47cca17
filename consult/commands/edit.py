"""``consult edit``: the content desk, where the trees are edited."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from pathlib import Path
from typing import TYPE_CHECKING

from consult.commands.options import CALLERS, RUNS, option
from consult.commands.outcome import Outcome, complain, has_screen
from consult.paths import demo_calls_of

if RUNS:
    from consult.commands import clock
    from consult.commands.installation import this_adviser
    from consult.content.editing.folder import DraftFolder
    from consult.content.editing.patching import Refused
    from consult.content.library.library import draft_folder

if TYPE_CHECKING:
    from consult.content.library.publish import Judged


def arguments(parser: ArgumentParser) -> None:
    parser.description = (
        "Open the draft in the editor: outline, form, YAML and errors side by side. "
        "Callers see no change until the draft is published."
    )
    parser.epilog = "example: consult edit"
    option(parser, "folder FOLDER", "folder of trees to edit (the draft if left out)", nargs="?")


def run(options: Namespace) -> Outcome:
    """Edit the trees of a folder; the draft of the library if none is named."""
    if not has_screen():
        return complain("The editor needs a terminal. To check trees without one: consult check")
    editor = this_adviser(None)
    try:
        path = Path(options.folder).expanduser() if options.folder else draft_folder()
        folder = DraftFolder.open(path, editor, demo_calls_of(path))
    except Refused as trouble:
        return complain(str(trouble))
    except OSError as error:
        from consult.content.library.publish import full

        return complain(f"The draft could not be created. {full(error)}")

    from consult.ui.edit.app import EditApp

    app = EditApp(folder, clock.now, editor=editor)

    def judge(live: Path, new: Path) -> Judged:
        # Proofs and callers take half a second to import, and few who edit publish.
        from consult.commands.publish_judge import judged

        # A screen has threads, and a process forked of them may wait for one that it has not.
        hear = app.desk.hear
        return judged(live, new, count=CALLERS, today=clock.today(), said=hear, each=map)

    app.desk.judge = judge
    app.run()
    return Outcome.DONE
