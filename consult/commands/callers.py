"""Simulated callers: how they fare in a tree (``consult callers``), and what an edit of the trees
changes for them (``consult impact``)."""

from __future__ import annotations

import sys
from argparse import ArgumentParser, Namespace
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import asdict
from itertools import chain
from pathlib import Path

from consult.commands.options import CALLERS, RUNS, flag, option, seed_option
from consult.commands.outcome import (
    Outcome,
    Progress,
    complain,
    json_text,
    number_of,
    print_json,
    tell,
)
from consult.paths import demo_folder, trees_folder
from consult.problems import CannotDoError, Problem
from consult.visible import visible

if RUNS:
    from consult.body.population import Population
    from consult.call.basis import Basis
    from consult.call.state import with_chair
    from consult.call.transcript import transcripts_in
    from consult.commands import clock
    from consult.commands.installation import checked_basis, chosen_population, out_path, write_out
    from consult.commands.replay import piece_json, piece_lines
    from consult.commands.versions import side_called
    from consult.commands.workers import in_processes
    from consult.content.callers.report import (
        CallersReport,
        EndedCall,
        OfferedChairs,
        callers_report,
        ended_call,
    )
    from consult.content.callers.simulation import CallerSource, came_to, drawn, led_state
    from consult.content.changes.folders import changed_beside, changed_trees, safety_lines
    from consult.content.changes.words import Change
    from consult.content.effect.compared import effect
    from consult.content.effect.result import Effect, impact_lines
    from consult.content.library.files import LibraryTrouble
    from consult.content.library.lost import lost_in_trees
    from consult.records.place import home_path
    from consult.sentence import of_thing
    from consult.summary.model import state_pieces
    from consult.tree.folder import main_trees
    from consult.tree.shares import NO_SHARES, SHARES_FILE, Shares, load_shares


_MOST = 20_000
"""Callers; more take an hour and tell nothing new."""
_COUNT = 2000


def arguments(parser: ArgumentParser) -> None:
    parser.description = (
        "Run simulated callers through a tree and report how long calls are, how "
        "often each question is asked and each caution said, and what no caller meets. Exit "
        "code 1 if any caller gets stuck or is given contradictory advice."
    )
    parser.epilog = "example: consult callers trees/seating.yaml --count 500"
    option(parser, "tree TREE", "a main tree file")
    option(parser, "--count N", f"simulated callers ({_COUNT})", type=int, default=_COUNT)
    seed_option(parser)
    flag(parser, "--json", "shares from 0 to 1")


def run(options: Namespace) -> Outcome:
    """Lead them and print what came of it; exit code 1 where anything went wrong for anybody."""
    if not 1 <= options.count <= _MOST:
        return complain(f"--count takes a number from 1 to {_MOST:,}.")
    path, population = home_path(options.tree), chosen_population(None)
    if not path.is_file():
        what = "is a folder. Name a tree file in it" if path.is_dir() else "is not there"
        return complain(f"{path} {what}.")
    basis, problems = checked_basis(path, population)
    shares, more = _shares(path)
    if basis is None or shares is None:
        raise CannotDoError(problems=[*problems, *more])
    shares = shares.as_learned(basis.learned.of("share"))
    source = CallerSource(shares, population, options.seed, clock.today())
    report = callers_report(basis.tree, _led(basis, source, options.count))
    if options.json:
        print_json(_report_json(report, options.seed))
    else:
        tell(*(of_thing(line, basis.thing) for line in _report_lines(report, options.seed)))
    return Outcome.FAILED if report.troubles else Outcome.DONE


def _led(basis: Basis, source: CallerSource, count: int) -> Iterator[EndedCall]:
    """What comes of each call, with its chair."""
    pieces = state_pieces(basis)

    def ended(number: int) -> EndedCall:
        now = with_chair(basis, led_state(basis, source, number))
        return ended_call(basis.tree, number, now, pieces, came_to(basis, source, number, now))

    with Progress(count) as progress:
        for done, call in enumerate(in_processes(ended, range(1, count + 1)), 1):
            yield call
            progress.at(done)


def _shares(*trees: Path) -> tuple[Shares | None, list[Problem]]:
    """What callers say of trees, the first first, so that callers of all stay the same.

    Where the folder of none has a callers file, that of the trees in use.
    """
    folders = dict.fromkeys(path if path.is_dir() else path.parent for path in trees)
    files = [folder / SHARES_FILE for folder in folders if (folder / SHARES_FILE).is_file()]
    combined: Shares | None = None
    all_problems: list[Problem] = []
    for file in files or [path for path in [trees_folder() / SHARES_FILE] if path.is_file()]:
        shares, problems = load_shares(file)
        if shares is None:
            return None, problems
        combined = combined.over(shares) if combined else shares
        all_problems += problems
    return combined or NO_SHARES, all_problems


def _report_lines(report: CallersReport, seed: int) -> Iterator[str]:
    lengths = report.lengths
    who = number_of(report.callers, "simulated caller")
    yield f"{report.tree} {report.version}: {who} (seed {seed})."
    yield (
        f"Questions in a call: median {lengths.median:g} of {lengths.of} "
        f"({100 * lengths.share:.0f} in 100), shortest {lengths.shortest}, "
        f"longest {lengths.longest}."
    )
    if report.offered is not None:
        yield from _offered_lines(report.offered)
    yield f"Stopped: {_of_100(report.stopped, report.callers)} of 100."
    texts = {
        piece: f"{_of_100(count, report.callers):>6}"
        for piece, count in report.met.items()
        if count
    }
    yield from piece_lines(texts, report.unmet, none="met by no caller", beside="of 100")
    if not report.troubles:
        yield "No caller got stuck, and no caller was given contradictory advice."
    for trouble in report.troubles:
        times = number_of(trouble.callers, "caller")
        yield f"!! {trouble.kind}: {trouble.what}: {times}, such as caller {trouble.sample}"
        yield from (f"     {answer}" for answer in trouble.answers)


def _offered_lines(chairs: OfferedChairs) -> Iterator[str]:
    yield f"Of {number_of(chairs.callers, 'caller')} who wanted the chair offered:"
    for what, spread in (
        ("questions until the chair", chairs.to_chair),
        ("questions in all", chairs.questions),
        ("minutes", chairs.minutes),
    ):
        yield f"  {what:<26} median {spread.median:4.1f}, nine in ten at most {spread.ninety:4.1f}"
    for what, kept in (
        ("it fits body and desk", chairs.fits),
        ("so does that of the full call", chairs.fits_in_full),
        ("it has what is needed", chairs.musts),
        ("it has what is preferred", chairs.preferences),
    ):
        if kept.of:
            yield f"  {what:<30} {100 * kept.has / kept.of:5.1f} of 100 ({kept.of:,})"
    yield f"  heard the warning signs first  {_of_100(chairs.heard_signs, chairs.callers)} of 100"


def _of_100(count: int, of: int) -> str:
    """Never 0 or 100 where it is not quite."""
    share = 100 * count / of
    if 0 < share < 1:
        return "<1"
    return "99" if 99 < share < 100 else f"{share:.0f}"


def _report_json(report: CallersReport, seed: int) -> dict[str, object]:
    return {
        "tree": report.tree,
        "version": report.version,
        "callers": report.callers,
        "seed": seed,
        "stopped": report.stopped,
        "lengths": {**asdict(report.lengths), "share": round(report.lengths.share, 4)},
        "offered": asdict(report.offered) if report.offered else None,
        "met": [
            {**piece_json(piece), "callers": count, "share": round(count / report.callers, 4)}
            for piece, count in report.met.items()
        ],
        "met_by_nobody": [piece_json(piece) for piece in report.unmet],
        "troubles": [asdict(trouble) for trouble in report.troubles],
    }


# -- ``consult impact``: what an edit of the trees changes for callers -----------------------------


def impact_arguments(parser: ArgumentParser) -> None:
    parser.description = (
        "Run simulated callers and the demo calls through a tree before and after "
        "an edit, and report what changes for them. Exit code 1 if a warning is removed."
    )
    parser.epilog = "example: consult impact trees draft"
    option(parser, "old OLD", "tree file, or folder of trees, before the edit")
    option(parser, "new NEW", "the same, after the edit")
    option(parser, "--callers N", f"simulated callers ({CALLERS})", type=int, default=CALLERS)
    seed_option(parser)
    flag(parser, "--json", "lengths in mm, shares from 0 to 1")
    option(parser, "--out FILE", "write the report to this file")


def tell_impact(options: Namespace) -> Outcome:
    """Compare one tree, or every main tree of two folders."""
    if not 1 <= options.callers <= _MOST:
        return complain(f"--callers takes a number from 1 to {_MOST:,}.")
    old, new = _side(options.old), _side(options.new)
    out = out_path(options.out) if options.out else None
    population, (olds, news) = chosen_population(None), _main_trees(old, new)
    shares, problems = _shares(new, old)
    bases, more = _bases([(olds[name], news[name]) for name in olds if name in news], population)
    if shares is None or bases is None:
        raise CannotDoError(problems=[*problems, *more])
    source = CallerSource(shares, population, options.seed, clock.today())
    demos = transcripts_in(demo_folder())
    safety, weaker = _safety(old, new, bases)
    callers = drawn(source, options.callers)
    with Progress(len(callers)) as progress:
        effects = [
            effect(basis, other, callers, demos, progress.at, each=in_processes)
            for basis, other in bases
        ]
    added = [name for name in news if name not in olds]
    gone = [name for name in olds if name not in news]
    if options.json:
        report = {
            "safety": [
                {
                    "about": change.about,
                    "weaker": change.weaker or change.about in weaker,
                    "text": change.text,
                }
                for change in safety
            ],
            "trees": [impact.as_json() for impact in effects],
            "new_trees": added,
            "gone_trees": gone,
        }
        text = f"{json_text(report)}\n"
    else:
        things = {new.thing for _, new in bases}
        text = _impact_text(effects, added, gone, safety_lines(safety, weaker))
        text = of_thing(text, things.pop()) if len(things) == 1 else text
    if out is not None:
        write_out(out, text)
    else:
        sys.stdout.write(text)
    lost = any(impact.lost_cautions for impact in effects) or any(
        change.weaker for change in safety
    )
    return Outcome.FAILED if lost or gone or weaker else Outcome.DONE


def _side(named: str) -> Path:
    """A file or folder; where there is none so called, a version, live or draft."""
    path = home_path(named)
    if not path.exists():
        with suppress(LibraryTrouble):
            return side_called(named)
    return path


def _safety(
    old: Path, new: Path, bases: Sequence[tuple[Basis, Basis]]
) -> tuple[list[Change], list[str]]:
    """Every difference in safety that the texts show, and what a caution's condition lost."""
    folders = [path if path.is_dir() else path.parent for path in (old, new)]
    trees = [(basis.tree, other.tree) for basis, other in bases]
    changes = chain(changed_beside(*folders), *(changed_trees(*both) for both in trees))
    weaker = (tree.what for both in trees for tree in lost_in_trees(*both))
    return list(dict.fromkeys(change for change in changes if change.is_safety)), list(
        dict.fromkeys(weaker)
    )


def _main_trees(old: Path, new: Path) -> tuple[Mapping[str, Path], Mapping[str, Path]]:
    """The trees to compare with those of the same name."""
    for path in (old, new):
        if not path.exists():
            raise CannotDoError(f"There is no file or folder {path}.")
    if old.is_file() and new.is_file():
        return {new.stem: old}, {new.stem: new}
    if old.is_file() or new.is_file():
        raise CannotDoError(
            "One name is a file and the other a folder. Name two files or two folders."
        )
    olds, news = main_trees(old), main_trees(new)
    for folder, paths in ((old, olds), (new, news)):
        if not paths:
            raise CannotDoError(f"There is no tree file in {folder}.")
    return olds, news


def _bases(
    pairs: Sequence[tuple[Path, Path]], population: Population
) -> tuple[list[tuple[Basis, Basis]] | None, list[Problem]]:
    """Both sides of each pair; None, and the problems, where one of them cannot be used."""
    both = [[checked_basis(path, population) for path in pair] for pair in pairs]
    problems = [
        problem for pair in both for basis, faults in pair if basis is None for problem in faults
    ]
    bases = [(old, new) for (old, _), (new, _) in both if old is not None and new is not None]
    return (bases if len(bases) == len(both) else None), list(dict.fromkeys(problems))


def _impact_text(
    effects: list[Effect], added: list[str], gone: list[str], safety: list[str]
) -> str:
    lines = [*safety, ""]
    lines += [f"!! The tree '{name}' was removed, with every caution in it." for name in gone]
    lines += [f"The tree '{name}' is new; there is nothing to compare it with." for name in added]
    for impact in effects:
        lines += [*impact_lines(impact), ""]
    lost = sum(len(impact.lost_cautions) for impact in effects) + len(gone)
    if lost:
        what = "1 removed warning" if lost == 1 else f"{lost} removed warnings"
        lines += [f"{what}, marked with !! above. Read these first.", ""]
    while not lines[-1]:
        lines.pop()
    return "".join(f"{visible(line)}\n" for line in lines)
