"""``consult draft``, ``publish`` and ``restore``."""

from __future__ import annotations

from argparse import ArgumentParser, ArgumentTypeError, Namespace
from collections.abc import Iterable
from dataclasses import asdict, replace
from functools import partial
from importlib.util import find_spec
from pathlib import Path

from consult.commands.options import CALLERS, RUNS, flag, option, repeated, whole_type
from consult.commands.outcome import (
    Outcome,
    complain,
    print_json,
    print_problems,
    problem_json,
    tell,
)
from consult.problems import CannotDoError

if RUNS:
    from consult.commands import clock
    from consult.commands.installation import this_adviser, used_lines
    from consult.commands.records_text import confirm
    from consult.content.changes.folders import safety_lines
    from consult.content.library.library import (
        AcceptedLoss,
        JournalEntry,
        Library,
        bases,
        begin_draft,
        discard_draft,
        note_bases,
        the_library,
        version_of,
    )
    from consult.content.library.publish import (
        Judged,
        PublishReport,
        Wanted,
        bring_back,
        full,
        publish,
    )

_NO_SOLVER = (
    "Publishing proves every tree, and the solver for that is not installed here. Install it with "
    "pip install 'consult[content]', or publish on another computer."
)


def draft_arguments(parser: ArgumentParser) -> None:
    parser.description = (
        "Start a draft of the trees, or show where it is. A draft is a copy of the live version. "
        "Calls do not use it until it is published."
    )
    parser.epilog = "example: consult draft"
    either = parser.add_mutually_exclusive_group()
    flag(either, "--discard", "delete the draft")
    flag(
        either,
        "--build-on-live",
        "base the draft on the live version, although it was started from another",
    )
    flag(parser, "--yes", "do not ask")


def publish_arguments(parser: ArgumentParser) -> None:
    parser.description = (
        "Make the draft live for every new call. Refused if the draft has errors or breaks a "
        "promise, or if something protects callers less than before and no reason is given."
    )
    parser.epilog = 'example: consult publish --reason "Ask about stairs" --by Ann'
    _making_live(parser)


def restore_arguments(parser: ArgumentParser) -> None:
    parser.description = "Make an earlier version live again. The draft does not change."
    parser.epilog = (
        'example: consult restore 2026.11.25 --reason "The new question confuses callers"'
    )
    option(parser, "version VERSION", "listed by consult versions")
    _making_live(parser)


def _making_live(parser: ArgumentParser) -> None:
    option(parser, "--reason TEXT", "reason, for the journal", required=True)
    option(parser, "--by NAME", "your name (else CONSULT_ADVISER, else your user name)")
    repeated(
        parser,
        "--accept WHAT=REASON",
        "reason why something may protect callers less; may be repeated",
        type=_loss,
    )
    flag(parser, "--dry-run", "only show what would happen")
    option(
        parser,
        "--callers N",
        f"simulated callers run through the old and the new trees ({CALLERS})",
        type=whole_type("callers", 100_000),
        default=CALLERS,
    )
    flag(parser, "--json", "write JSON")


def _loss(text: str) -> tuple[str, str]:
    name, sign, reason = text.partition("=")
    if not sign or not name.strip() or not reason.strip():
        example = 'caution.under_eighteen="Said by the shop now"'
        message = f"{text!r} gives no reason. Write it as {example}."
        raise ArgumentTypeError(message)
    return name.strip(), reason.strip()


def run(options: Namespace) -> Outcome:
    """One command about the draft; what goes wrong is said, and what is live then."""
    try:
        library = the_library()
        act = _draft if options.command == "draft" else _make_live
        return act(library, options)
    except OSError as error:
        return complain(f"The library could not be written. {full(error)}")


def _draft(library: Library, options: Namespace) -> Outcome:
    if options.discard:
        if not library.draft.is_dir():
            return complain("There is no draft.")
        tell(f"This deletes the draft at {library.draft}, with every change saved in it.")
        confirm(options, "To delete it", "discard")
        discard_draft(library)
        return tell("The draft is deleted. The live version is unchanged.")
    if options.build_on_live:
        if not library.draft.is_dir():
            return complain("There is no draft. Start one with: consult draft")
        live = library.live()
        note_bases(library, live.base)
        print(f"The draft is now based on {live.version}.")
        return tell("To see what it would change: consult changes live draft")
    new = not library.draft.is_dir()
    folder = begin_draft(library)
    base = bases(library)
    live = library.live()
    begun = f"Started a draft of {live.version}" if new else "There is already a draft"
    tell(f"{begun}: {folder}")
    if base and live.base not in base:
        print(f"It was started from {version_of(base[0])}, but {live.version} is live now.")
    return Outcome.DONE


def _make_live(library: Library, options: Namespace) -> Outcome:
    wanted = _wanted(options)
    is_new = options.command == "publish"
    accepts = any(what.startswith("proof.") for what in wanted.accepted)
    if is_new and find_spec("z3") is None and not wanted.dry_run and not accepts:
        return complain(_NO_SOLVER)
    from consult.commands.publish_judge import judged

    judge = partial(judged, count=options.callers, today=wanted.today)
    try:
        if is_new:
            report = publish(library, wanted, judge)
        else:
            report = bring_back(library, options.version, wanted, judge)
    except OSError as error:
        # What is live all the same.
        live = library.live().version
        message = f"The library could not be written. {full(error)} {live} is live."
        raise CannotDoError(message) from error
    how = "is live. Every new call uses it." if is_new else "is live again."
    outcome = _told(library, report, options, how)
    if not is_new and report.done and library.draft.is_dir() and not options.json:
        print(
            "The draft is unchanged, but it was started from another version. Before you "
            "publish it, look at consult changes live draft, then run consult draft "
            "--build-on-live, or delete the draft."
        )
    return outcome


def _wanted(options: Namespace) -> Wanted:
    if not options.reason.strip():
        raise CannotDoError("Give a reason for the journal: --reason TEXT")
    accepted = dict(options.accept)
    if len(accepted) < len(options.accept):
        raise CannotDoError("The same item is accepted twice. Give one reason for each item.")
    by, reason = this_adviser(options.by), options.reason.strip()
    return Wanted(by, reason, clock.today(), accepted, options.dry_run)


def _told(library: Library, report: PublishReport, options: Namespace, how: str) -> Outcome:
    judged = _at_home(library, report.judged)
    tried = options.dry_run and not report.why_not
    if options.json:
        print_json(_json(report, judged))
    else:
        tell(*used_lines(library.draft))
        print_problems(judged.problems, to_stderr=False)
        tell(*told_changes(judged))
        for weaker in judged.weaker:
            level = f" ({weaker.level})" if weaker.level else ""
            tell(f"Weaker: {weaker.what}{level}. {weaker.why}")
        tell(*accepted_lines(report.accepted))
        if report.done:
            print(f"{report.version} {how}")
        elif tried:
            print(f"The draft can be published. It would be version {report.version}.")
        else:
            complain(report.why_not)
    return Outcome.DONE if report.done or tried else Outcome.FAILED


def told_changes(judged: Judged) -> list[str]:
    """All that differs, what touches safety first and complete; nothing where nothing differs."""
    if not judged.changes:
        return []
    rest = [f"- {change.text}" for change in judged.changes if not change.is_safety]
    lines = safety_lines(judged.changes, (weaker.what for weaker in judged.weaker))
    return [*lines, *(["Other changes:", *rest] if rest else [])]


def _at_home(library: Library, judged: Judged) -> Judged:
    """Problems are found in a copy that is deleted by now; they are shown at their place in the
    draft."""

    def home(file: str) -> str:
        path = Path(file)
        if not path.is_relative_to(library.versions):
            return file
        inside = path.relative_to(library.versions).parts
        return str(library.draft.joinpath(*inside[1:])) if inside[0].startswith(".") else file

    problems = tuple(
        replace(problem, where=problem.where._replace(file=home(problem.where.file)))
        for problem in judged.problems
    )
    return replace(judged, problems=problems)


def _json(report: PublishReport, judged: Judged) -> dict[str, object]:
    return {
        "version": report.version,
        "live": report.done,
        "why_not": report.why_not,
        "problems": [problem_json(problem) for problem in judged.problems],
        "changes": [change.text for change in judged.changes],
        "safety": [change.text for change in judged.changes if change.is_safety],
        "weaker": [asdict(weaker) for weaker in judged.weaker],
        "accepted": [asdict(loss) for loss in report.accepted],
        "digest": report.digest,
    }


def entry_json(entry: JournalEntry, live: str) -> dict[str, object]:
    """An entry of the journal for other programs."""
    return {**asdict(entry), "day": entry.day.isoformat(), "live": entry.version == live}


def accepted_lines(accepted: Iterable[AcceptedLoss]) -> list[str]:
    """What may protect callers less, and why that is accepted."""
    return [f"Accepted: {loss.what}, because: {loss.reason}" for loss in accepted]
