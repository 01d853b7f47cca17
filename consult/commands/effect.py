"""``consult impact``: report what an edit of the trees changes for callers."""

from __future__ import annotations

import json
import sys
from argparse import ArgumentParser, Namespace
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from consult.commands.options import CALLERS, RUNS, flag, option, seed_option
from consult.commands.outcome import Outcome, Progress, complain, print_problems
from consult.paths import demo_folder, trees_folder
from consult.problems import CannotDoError, Problem
from consult.visible import visible

if RUNS:
    from consult.body.population import Population
    from consult.call.basis import Basis
    from consult.call.transcript import Transcript, transcripts_in
    from consult.commands import clock
    from consult.commands.installation import checked_basis, chosen_population
    from consult.commands.out_file import out_path, write_out
    from consult.commands.versions import side_called
    from consult.content.callers.simulation import CallerSource, Simulated, drawn
    from consult.content.changes.folders import changed_beside, changed_trees, safety_lines
    from consult.content.changes.words import Change
    from consult.content.effect.compared import effect
    from consult.content.effect.result import Effect, impact_lines
    from consult.content.library.files import LibraryTrouble
    from consult.content.library.lost import lost_in_trees
    from consult.records.place import home_path
    from consult.sentence import of_thing
    from consult.tree.folder import main_trees
    from consult.tree.shares import FILE, NO_SHARES, Shares, load_shares

MOST = 20_000
"""Callers; more take an hour and show nothing new."""


@dataclass(frozen=True, slots=True)
class Pair:
    """One main tree before and after; None on a side where it is not there."""

    name: str
    old: Path | None
    new: Path | None


def arguments(parser: ArgumentParser) -> None:
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


def run(options: Namespace) -> Outcome:
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
        text = _json(effects, alone, safety, weaker)
    else:
        things = {new.thing for _, new in bases}
        text = _text(effects, alone, safety_lines(safety, weaker))
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


def _text(effects: list[Effect], alone: list[Pair], safety: list[str]) -> str:
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


def _json(effects: list[Effect], alone: list[Pair], safety: list[Change], weaker: list[str]) -> str:
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
