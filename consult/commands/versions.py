"""``consult versions`` and ``changes``: what was published, and what differs."""

from __future__ import annotations

import sys
from argparse import ArgumentParser, Namespace
from collections.abc import Iterator, Mapping
from pathlib import Path

from consult.commands.options import RUNS, flag, option, repeated
from consult.commands.outcome import Outcome, complain, number_of, print_json, print_problems, tell
from consult.durable import write_whole
from consult.paths import shipped_trees, trees_folder

if RUNS:
    from consult.commands.installation import unpublished, used_lines
    from consult.commands.publish import accepted_lines, entry_json
    from consult.commands.records_text import typed
    from consult.content.changes.folders import WEAKER_MARK, changed_folders
    from consult.content.library.files import READABLE, LibraryTrouble
    from consult.content.library.library import (
        BEGUN,
        JournalEntry,
        Library,
        begin_draft,
        live_trouble,
        the_library,
    )
    from consult.content.library.publish import full
    from consult.content.library.verify import (
        DEMO_ONLY,
        NEWS,
        Both,
        begun_from,
        came_anew,
        note_shipped,
        upgraded,
        verify,
    )

_SIDE = "a version, live, draft, shipped, begun (what the folder began with), or a folder of trees"


def arguments(parser: ArgumentParser) -> None:
    parser.epilog = "example: consult versions"
    option(parser, "show VERSION", "show what it changed", nargs="?")
    flag(parser, "--verify", "check that every version is as it was published")
    flag(parser, "--json", "write JSON")


def changes_arguments(parser: ArgumentParser) -> None:
    parser.description = (
        "Show in plain words what differs between two versions. After an upgrade of consult, begun "
        "shipped --merge puts into the draft what came anew: what you never changed is taken, and "
        "of what you changed too you are asked."
    )
    parser.epilog = "example: consult changes live draft"
    option(parser, "old OLD", _SIDE)
    option(parser, "new NEW", _SIDE)
    flag(
        parser,
        "--taken",
        "with begun shipped: what you want of it is in your draft; it is not told again",
    )
    flag(
        parser,
        "--merge",
        "with begun shipped: take it into the draft, safety first; asks in a terminal",
    )
    repeated(
        parser,
        "--take PIECE",
        "with --merge: the new wording of a piece that you changed too; may be repeated",
    )
    repeated(
        parser, "--keep PIECE", "with --merge: your own wording of such a piece; may be repeated"
    )
    flag(parser, "--json", "write JSON")


def run(options: Namespace) -> Outcome:
    try:
        if options.command == "changes":
            return _changes(options)
        library = the_library()
        if options.verify:
            return _verify(library, options)
        if options.show:
            return _show(library, options)
        return _list(library, options)
    except OSError as error:
        return complain(f"The library could not be read. {full(error)}")


def tell_live_trouble() -> None:
    """Say why no version of the trees is live, where that is so."""
    if trouble := live_trouble():
        complain(trouble)


def _list(library: Library, options: Namespace) -> Outcome:
    live = library.live().version
    entries = library.entries()
    if options.json:
        return print_json([entry_json(entry, live) for entry in reversed(entries)])
    if not entries:
        what = f"The trees that came with consult are live: {live}."
        print(f"No version has been published. {unpublished() or what}")
    now = next((entry for entry in reversed(entries) if entry.version == live), None)
    for entry in reversed(entries):
        tell(f"{_line(entry)}{'  <- live' if entry is now else ''}")
    if library.draft.is_dir():
        tell(f"Draft: {library.draft}")
    tell(*used_lines(trees_folder()))
    if came_anew(library):
        print(f"{NEWS} Make in the draft what you want of it, then add --taken to that command.")
    wrong = verify(library)
    for sentence in wrong:
        complain(sentence)
    return Outcome.FAILED if wrong else Outcome.DONE


def _show(library: Library, options: Namespace) -> Outcome:
    journal_entries = [entry for entry in library.entries() if entry.version == options.show]
    if not journal_entries:
        return complain(f"There is no version {options.show}. See: consult versions")
    if options.json:
        live = library.live().version
        return print_json([entry_json(entry, live) for entry in journal_entries])
    for entry in journal_entries:
        changed = [f"- {line}" for line in entry.changes]
        tell(_line(entry), *changed, *accepted_lines(entry.accepted))
    return Outcome.DONE


def _line(entry: JournalEntry) -> str:
    reason = " ".join(entry.reason.split())
    return f"{entry.version}  {entry.day}  {entry.kind}  {entry.by or 'no name given'}: {reason}"


def _verify(library: Library, options: Namespace) -> Outcome:
    wrong = verify(library)
    count = len({entry.version for entry in library.entries()})
    if options.json:
        print_json({"versions": count, "wrong": wrong})
    else:
        tell(*wrong or [f"{number_of(count, 'version')} checked, all as published."])
    return Outcome.FAILED if wrong else Outcome.DONE


def _changes(options: Namespace) -> Outcome:
    if options.merge:
        if (options.old, options.new) != (BEGUN, "shipped"):
            return complain("--merge goes with: consult changes begun shipped")
        return _merge(the_library(), options)
    old, new = side_called(options.old), side_called(options.new)
    changes = changed_folders(old, new, DEMO_ONLY if BEGUN in (options.old, options.new) else ())
    if options.taken:
        if (options.old, options.new) != (BEGUN, "shipped"):
            return complain("--taken goes with: consult changes begun shipped")
        note_shipped(the_library())
        return tell("Noted. What consult has now is what the next version is compared with.")
    if options.json:
        return print_json([change.text for change in changes])
    changes = sorted(changes, key=lambda change: not change.is_safety)
    lines = [f"{WEAKER_MARK if change.weaker else '-'} {change.text}" for change in changes]
    return tell(*lines or ["There are no differences."])


def _merge(library: Library, options: Namespace) -> Outcome:
    """Take into the draft what a new version of consult changed; a sound draft stays sound."""
    from consult.commands.publish_judge import folder_problems

    begin_draft(library)
    if any(problem.severity == "error" for problem in folder_problems(library.draft)):
        return complain("The draft has mistakes. Correct them first: consult check")
    asking = sys.stdin.isatty()
    left: list[str] = []

    def takes(both: Both) -> bool:
        if both.name in options.take or both.name in options.keep:
            return both.name in options.take
        tell(*_shown(both))
        if asking:
            return typed("Take the new one? y, or Enter to keep yours:").casefold() in ("y", "yes")
        left.append(both.name)
        return False

    upgrade = upgraded(library, takes)
    stray = {*options.take, *options.keep} - {both.name for both in upgrade.both}
    if stray:
        return complain(f"{sorted(stray)[0]} is no piece that both changed.")
    before = {name: library.draft / name for name in upgrade.files}
    old = {name: path.read_bytes() if path.is_file() else None for name, path in before.items()}
    _write(library.draft, upgrade.files)
    problems = [
        problem for problem in folder_problems(library.draft) if problem.severity == "error"
    ]
    if problems:
        _write(library.draft, old)
        print_problems(problems, to_stderr=False)
        return complain("Put together they have mistakes, so the draft is as it was.")
    tell(*(f"Taken: {name}" for name in upgrade.taken))
    tell(*(f"Decided by you: {both.name}" for both in upgrade.both if both.name not in left))
    if left:
        flags = " ".join(f"--take {name} (or --keep)" for name in left)
        tell(f"Yours for now: say which to take. {flags}")
        return Outcome.FAILED
    note_shipped(library)
    return tell("The draft is sound. To see what it changes: consult changes live draft")


def _shown(both: Both) -> Iterator[str]:
    """A piece that both changed, in the three wordings."""
    yield f"{WEAKER_MARK if both.safety else '-'} {both.name}"
    sides = (("it was", both.conflict.base), ("yours", both.conflict.ours))
    for what, text in (*sides, ("new", both.conflict.theirs)):
        lines = text.strip("\n").splitlines() if text is not None else ["(not there)"]
        yield from (f"  {what if not at else '':<7}| {line}" for at, line in enumerate(lines))


def _write(folder: Path, files: Mapping[str, bytes | None]) -> None:
    for name, content in files.items():
        if content is None:
            (folder / name).unlink(missing_ok=True)
        else:
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            write_whole(folder / name, content, mode=READABLE)


def side_called(named: str) -> Path:
    """The folder meant by a word on the command line."""
    if named == "shipped":
        return shipped_trees()
    if named == "live":
        return trees_folder()
    if named == BEGUN:
        begun = begun_from(the_library())
        if begun is None:
            raise LibraryTrouble("This library does not know which trees it was begun from.")
        return begun
    path = Path(named)
    if named != "draft" and path.is_dir():
        return path
    library = the_library()
    folder = library.draft if named == "draft" else library.folder(path.name)
    if named == "draft" and not folder.is_dir():
        raise LibraryTrouble("There is no draft. Start one with: consult draft")
    if path.name != named or named.startswith(".") or not folder.is_dir():
        raise LibraryTrouble(f"There is neither a version nor a folder {named}.")
    return folder
