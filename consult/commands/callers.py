"""Simulated callers: how they fare in a tree (``consult callers``), and what an edit of the trees
changes for them (``consult impact``)."""

from __future__ import annotations

import json
import sys
from argparse import ArgumentParser, Namespace
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import asdict, dataclass
from pathlib import Path

from consult.commands.options import CALLERS, RUNS, flag, option, seed_option
from consult.commands.outcome import (
    Outcome,
    Progress,
    complain,
    number_of,
    print_json,
    print_problems,
    tell,
)
from consult.paths import demo_folder, trees_folder
from consult.problems import CannotDoError, Problem
from consult.visible import visible

if RUNS:
    from consult.body.population import Population
    from consult.call.basis import Basis
    from consult.call.state import State, with_chair
    from consult.call.transcript import Transcript, transcripts_in
    from consult.commands import clock
    from consult.commands.installation import checked_basis, chosen_population
    from consult.commands.out_file import out_path, write_out
    from consult.commands.replay import piece_lines
    from consult.commands.versions import side_called
    from consult.content.callers.report import CallersReport, OfferedChairs, callers_report
    from consult.content.callers.simulation import (
        CallerSource,
        CallResult,
        Simulated,
        came_to,
        drawn,
        led_state,
    )
    from consult.content.changes.folders import changed_beside, changed_trees, safety_lines
    from consult.content.changes.words import Change
    from consult.content.effect.compared import effect
    from consult.content.effect.result import Effect, impact_lines
    from consult.content.library.files import LibraryTrouble
    from consult.content.library.lost import lost_in_trees
    from consult.records.place import home_path
    from consult.sentence import of_thing
    from consult.summary.directions import state_pieces
    from consult.tree.folder import main_trees
    from consult.tree.shares import FILE, NO_SHARES, Shares, load_shares


MOST = 20_000
"""Callers; more take an hour and tell nothing new."""


_COUNT = 2000


def arguments(parser: ArgumentParser) -> None:
    """What the command line may say."""
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
    if not 1 <= options.count <= MOST:
        return complain(f"--count takes a number from 1 to {MOST:,}.")
    path, population = home_path(options.tree), chosen_population(None)
    if not path.is_file():
        what = "is a folder. Name a tree file in it" if path.is_dir() else "is not there"
        return complain(f"{path} {what}.")
    basis, problems = checked_basis(path, population)
    shares, more = _own_shares(path)
    if basis is None or shares is None:
        print_problems([*problems, *more])
        return Outcome.BAD_USE
    shares = shares.as_learned(basis.learned.of("share"))
    source = CallerSource(shares, population, options.seed, clock.today())
    results: list[CallResult] = []
    led = _led(basis, source, options.count, results)
    found = callers_report(basis.tree, led, state_pieces(basis), results)
    if options.json:
        print_json(_report_json(found, options.seed))
    else:
        for line in _report_lines(found, options.seed):
            tell(of_thing(line, basis.thing))
    return Outcome.FAILED if found.troubles else Outcome.DONE


def _led(
    basis: Basis, source: CallerSource, count: int, results: list[CallResult]
) -> Iterator[tuple[int, State]]:
    """Each call with its chair; what it came to for its caller is added to ``results``."""
    with Progress(count) as progress:
        for number in range(1, count + 1):
            now = with_chair(basis, led_state(basis, source, number))
            if now.chosen is not None:
                results += came_to(basis, source, number, now)
            yield number, now
            progress.at(number)


def _own_shares(tree: Path) -> tuple[Shares | None, list[Problem]]:
    """What callers say: the file beside the tree, else that of the trees in use."""
    for file in (tree.parent / FILE, trees_folder() / FILE):
        if file.is_file():
            return load_shares(file)
    return NO_SHARES, []


def _report_lines(found: CallersReport, seed: int) -> Iterator[str]:
    lengths = found.lengths
    who = number_of(found.callers, "simulated caller")
    yield f"{found.tree} {found.version}: {who} (seed {seed})."
    yield (
        f"Questions in a call: median {lengths.median:g} of {lengths.of} "
        f"({100 * lengths.share:.0f} in 100), shortest {lengths.shortest}, "
        f"longest {lengths.longest}."
    )
    if found.offered is not None:
        yield from _offered_lines(found.offered)
    yield f"Stopped: {_of_100(found.stopped, found.callers)} of 100."
    said = {
        piece: f"{_of_100(count, found.callers):>6}" for piece, count in found.met.items() if count
    }
    yield from piece_lines(said, found.unmet, none="met by no caller", beside="of 100")
    if not found.troubles:
        yield "No caller got stuck, and no caller was given contradictory advice."
    for one in found.troubles:
        times = number_of(one.callers, "caller")
        yield f"!! {one.kind}: {one.what}: {times}, such as caller {one.sample}"
        yield from (f"     {said}" for said in one.answers)


def _offered_lines(one: OfferedChairs) -> Iterator[str]:
    yield f"Of {number_of(one.callers, 'caller')} who wanted the chair offered:"
    for what, spread in (
        ("questions until the chair", one.to_chair),
        ("questions in all", one.questions),
        ("minutes", one.minutes),
    ):
        yield f"  {what:<26} median {spread.median:4.1f}, nine in ten at most {spread.ninety:4.1f}"
    for what, kept in (
        ("it fits body and desk", one.fits),
        ("so does that of the full call", one.fits_in_full),
        ("it has what is needed", one.musts),
        ("it has what is preferred", one.preferences),
    ):
        if kept.of:
            yield f"  {what:<30} {100 * kept.has / kept.of:5.1f} of 100 ({kept.of:,})"
    yield f"  heard the warning signs first  {_of_100(one.heard_signs, one.callers)} of 100"


def _of_100(count: int, of: int) -> str:
    """Never 0 or 100 where it is not quite."""
    share = 100 * count / of
    if 0 < share < 1:
        return "<1"
    return "99" if 99 < share < 100 else f"{share:.0f}"


def _report_json(found: CallersReport, seed: int) -> dict[str, object]:
    return {
        "tree": found.tree,
        "version": found.version,
        "callers": found.callers,
        "seed": seed,
        "stopped": found.stopped,
        "lengths": {**asdict(found.lengths), "share": round(found.lengths.share, 4)},
        "offered": asdict(found.offered) if found.offered else None,
        "met": [
            {
                "part": piece.part,
                "name": piece.name,
                "callers": count,
                "share": round(count / found.callers, 4),
            }
            for piece, count in found.met.items()
        ],
        "met_by_nobody": [{"part": piece.part, "name": piece.name} for piece in found.unmet],
        "troubles": [asdict(one) for one in found.troubles],
    }


# -- ``consult impact``: what an edit of the trees changes for callers -----------------------------

MOST = 20_000
"""Callers; more take an hour and show nothing new."""


@dataclass(frozen=True, slots=True)
class Pair:
    """One main tree before and after; None on a side where it is not there."""

    name: str
    old: Path | None
    new: Path | None


def impact_arguments(parser: ArgumentParser) -> None:
    """What the command line may say."""
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
    if not 1 <= options.callers <= MOST:
        return complain(f"--callers takes a number from 1 to {MOST:,}.")
    old, new = _side(options.old), _side(options.new)
    out = out_path(options.out) if options.out else None
    population, pairs = chosen_population(None), _pairs(old, new)
    shares, problems = _shares(old, new)
    bases, more = _bases(pairs, population)
    if shares is None or bases is None:
        print_problems([*problems, *more])
        return Outcome.BAD_USE
    source = CallerSource(shares, population, options.seed, clock.today())
    demos = transcripts_in(demo_folder())
    safety, weaker = _safety(old, new, bases)
    callers = drawn(source, options.callers)
    effects = [led_through(one, other, callers, demos) for one, other in bases]
    alone = [pair for pair in pairs if pair.old is None or pair.new is None]
    if options.json:
        text = _impact_json(effects, alone, safety, weaker)
    else:
        things = {new.thing for _, new in bases}
        text = _impact_text(effects, alone, safety_lines(safety, weaker))
        text = of_thing(text, things.pop()) if len(things) == 1 else text
    if out is not None:
        write_out(out, text)
    else:
        sys.stdout.write(text)
    lost = any(one.lost_cautions for one in effects) or any(pair.new is None for pair in alone)
    lost = lost or bool(weaker) or any(each.weaker for each in safety)
    return Outcome.FAILED if lost else Outcome.DONE


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
    found = dict.fromkeys(changed_beside(folders[0], folders[1]))
    weaker: dict[str, None] = {}
    for one, other in bases:
        found.update(dict.fromkeys(changed_trees(one.tree, other.tree)))
        weaker.update(dict.fromkeys(each.what for each in lost_in_trees(one.tree, other.tree)))
    return [each for each in found if each.is_safety], list(weaker)


def _pairs(old: Path, new: Path) -> list[Pair]:
    """What to compare with what."""
    for path in (old, new):
        if not path.exists():
            raise CannotDoError(f"There is no file or folder {path}.")
    if old.is_file() and new.is_file():
        return [Pair(new.stem, old, new)]
    if old.is_file() or new.is_file():
        raise CannotDoError(
            "One name is a file and the other a folder. Name two files or two folders."
        )
    olds, news = main_trees(old), main_trees(new)
    for folder, found in ((old, olds), (new, news)):
        if not found:
            raise CannotDoError(f"There is no tree file in {folder}.")
    names = dict.fromkeys((*olds, *news))
    return [Pair(name, olds.get(name), news.get(name)) for name in names]


def _bases(
    pairs: list[Pair], population: Population
) -> tuple[list[tuple[Basis, Basis]] | None, list[Problem]]:
    found: list[tuple[Basis, Basis]] = []
    problems: list[Problem] = []
    whole = True
    for pair in pairs:
        if pair.old is None or pair.new is None:
            continue
        old, told_old = checked_basis(pair.old, population)
        new, told_new = checked_basis(pair.new, population)
        if old is None or new is None:
            whole = False
            problems += [*(told_old if old is None else ()), *(told_new if new is None else ())]
        else:
            found.append((old, new))
    return (found if whole else None), list(dict.fromkeys(problems))


def _shares(old: Path, new: Path) -> tuple[Shares | None, list[Problem]]:
    """What callers say: the newer file first, for both trees, so that callers stay the same.

    Where neither folder has a callers file, that of the trees in use.
    """
    folders = [path if path.is_dir() else path.parent for path in (new, old)]
    files = [folder / FILE for folder in folders if (folder / FILE).is_file()]
    found: list[Shares] = []
    problems: list[Problem] = []
    for file in files or [one for one in [trees_folder() / FILE] if one.is_file()]:
        shares, told = load_shares(file)
        if shares is None:
            return None, told
        found.append(shares)
        problems += told
    if not found:
        return NO_SHARES, problems
    return (found[0].over(found[1]) if len(found) > 1 else found[0]), problems


def led_through(
    old: Basis,
    new: Basis,
    callers: Sequence[Simulated],
    demos: Sequence[Transcript],
) -> Effect:
    """The impact on simulated callers and on demo calls; a terminal shows the progress."""
    with Progress(len(callers)) as progress:
        return effect(old, new, callers, demos, progress.at)


def _impact_text(effects: list[Effect], alone: list[Pair], safety: list[str]) -> str:
    lines = [*safety, ""]
    for pair in alone:
        if pair.new is None:
            lines.append(f"!! The tree '{pair.name}' was removed, with every caution in it.")
        else:
            lines.append(f"The tree '{pair.name}' is new; there is nothing to compare it with.")
    for one in effects:
        lines += [*impact_lines(one), ""]
    lost = sum(len(one.lost_cautions) for one in effects) + sum(one.new is None for one in alone)
    if lost:
        what = "1 removed warning" if lost == 1 else f"{lost} removed warnings"
        lines += [f"{what}, marked with !! above. Read these first.", ""]
    while not lines[-1]:
        lines.pop()
    return "".join(f"{visible(line)}\n" for line in lines)


def _impact_json(
    effects: list[Effect], alone: list[Pair], safety: list[Change], weaker: list[str]
) -> str:
    value = {
        "safety": [
            {"about": one.about, "weaker": one.weaker or one.about in weaker, "text": one.text}
            for one in safety
        ],
        "trees": [one.as_json() for one in effects],
        "new_trees": [pair.name for pair in alone if pair.old is None],
        "gone_trees": [pair.name for pair in alone if pair.new is None],
    }
    return json.dumps(value, indent=2, ensure_ascii=False, allow_nan=False) + "\n"
