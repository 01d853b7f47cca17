"""``consult callers``: how simulated callers fare in a tree."""

from __future__ import annotations

import sys
from argparse import ArgumentParser, Namespace
from collections.abc import Iterator
from dataclasses import asdict
from pathlib import Path

from consult.commands.options import RUNS, seed_option
from consult.commands.out_file import in_path
from consult.commands.outcome import (
    Outcome,
    Progress,
    complain,
    number_of,
    print_json,
    print_problems,
)
from consult.paths import trees_folder
from consult.problems import Problem
from consult.visible import visible

if RUNS:
    from consult.call.basis import Basis
    from consult.call.state import State, with_chair
    from consult.commands import clock
    from consult.commands.installation import checked_basis, chosen_population
    from consult.commands.replay import piece_lines
    from consult.content.callers.report import CallersReport, OfferedChairs, callers_report
    from consult.content.callers.simulation import CallerSource, CallResult, came_to, led_state
    from consult.sentence import of_thing
    from consult.summary.model import state_pieces
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
    parser.add_argument("tree", metavar="TREE", help="a main tree file")
    parser.add_argument(
        "--count", type=int, default=_COUNT, metavar="N", help=f"simulated callers ({_COUNT})"
    )
    seed_option(parser)
    parser.add_argument("--json", action="store_true", help="shares from 0 to 1")


def run(options: Namespace) -> Outcome:
    """Lead them and print what came of it; exit code 1 where anything went wrong for anybody."""
    if not 1 <= options.count <= MOST:
        return complain(f"--count takes a number from 1 to {MOST:,}.")
    path, population = in_path(options.tree), chosen_population(None)
    if not path.is_file():
        what = "is a folder. Name a tree file in it" if path.is_dir() else "is not there"
        return complain(f"{path} {what}.")
    basis, problems = checked_basis(path, population)
    shares, more = _shares(path)
    if basis is None or shares is None:
        print_problems([*problems, *more])
        return Outcome.BAD_USE
    shares = shares.as_learned(basis.learned.of("share"))
    source = CallerSource(shares, population, options.seed, clock.today())
    results: list[CallResult] = []
    led = _led(basis, source, options.count, results)
    found = callers_report(basis.tree, led, state_pieces(basis), results)
    if options.json:
        print_json(_json(found, options.seed))
    else:
        for line in _lines(found, options.seed):
            print(visible(of_thing(line, basis.thing)))
    return Outcome.FAILED if found.troubles else Outcome.DONE


def _led(
    basis: Basis, source: CallerSource, count: int, results: list[CallResult]
) -> Iterator[tuple[int, State]]:
    """Each call with its chair; what it came to for its caller is added to ``results``."""
    progress = Progress(count, sys.stderr)
    try:
        for number in range(1, count + 1):
            now = with_chair(basis, led_state(basis, source, number))
            if now.chosen is not None:
                results += came_to(basis, source, number, now)
            yield number, now
            progress.at(number)
    finally:
        progress.clear()


def _shares(tree: Path) -> tuple[Shares | None, list[Problem]]:
    """What callers say: the file beside the tree, else that of the trees in use."""
    for file in (tree.parent / FILE, trees_folder() / FILE):
        if file.is_file():
            return load_shares(file)
    return NO_SHARES, []


def _lines(found: CallersReport, seed: int) -> Iterator[str]:
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


def _json(found: CallersReport, seed: int) -> dict[str, object]:
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
