"""Call files run again: ``consult replay`` holds each to what it says must come out, and
``consult share`` looks for one chair for all their callers."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from textwrap import fill
from typing import TYPE_CHECKING, Any

from consult.commands.options import RUNS, WHOM, flag, option, paper_options
from consult.commands.outcome import Outcome, complain, number_of, print_json, print_problems, tell
from consult.problems import CannotDoError
from consult.scale import money
from consult.summary import FORMS

if RUNS:
    from consult.body.population import Population
    from consult.call.expectation import (
        PLURAL,
        TREE_PARTS,
        Coverage,
        TreePiece,
        coverage,
        disappointments,
    )
    from consult.call.fit_json import of_a_hundred
    from consult.call.state import State, state, state_so_far
    from consult.commands.call_files import call_files, read_call
    from consult.commands.installation import chosen_population
    from consult.fit.request import NeedLine
    from consult.fit.sharing import Shared, Sharer, share
    from consult.range.model import Range
    from consult.range.parts import FEATURES
    from consult.records.validation_cache import read_validated, write_validated
    from consult.tree.model import Tree
    from consult.units import System

if TYPE_CHECKING:
    from consult.summary.render import Writer


def arguments(parser: ArgumentParser) -> None:
    parser.epilog = "example: consult replay transcripts_demo/*.yaml --summary text"
    parser.add_argument("files", nargs="+", metavar="FILE")
    option(parser, "--population ID", WHOM)
    shown = parser.add_mutually_exclusive_group()
    flag(shown, "--json", "write all results as JSON, in mm and kg")
    option(shown, "--summary", "write the document in this form", choices=FORMS)
    flag(
        parser,
        "--coverage",
        "report which questions, cautions, advice and needs the files reach, and which they do not",
    )
    paper_options(parser)


def run(options: Namespace) -> Outcome:
    """Replay each file and print what came out; one bad file does not stop the rest."""
    files, summary = call_files(options.files), options.summary
    if options.coverage and summary:
        return complain("--coverage and --summary cannot be used together. Leave one out.")
    population = chosen_population(options.population)
    if options.coverage:
        return run_coverage(files, population, as_json=options.json)
    if options.json or summary:
        # The templates and what writes them: a quarter of the time of a replay that needs neither.
        from consult.commands.papers import write_papers
        from consult.summary.model import summarise
        from consult.summary.render import Writer
    read_validated()
    outcome = Outcome.DONE
    results: list[dict[str, object]] = []
    papers: list[tuple[str, Writer]] = []
    for name in files:
        read, problems = read_call(Path(name), population)
        if read is None:
            print_problems(problems)
            outcome = max(outcome, Outcome.BAD_USE)
            continue
        transcript, basis = read
        now = state(basis, transcript.call)
        unmet = disappointments(transcript, now)
        failed = bool(unmet) or any(problem.severity == "error" for problem in problems)
        print_problems([*problems, *unmet])
        if failed:
            outcome = max(outcome, Outcome.FAILED)
        if options.json:
            report = summarise(basis, now).as_json()
            results.append({"file": name, "as_expected": not failed, **report})
        elif summary:
            papers.append((Path(name).stem, Writer(basis, now, strict=True)))
        else:
            verdict = "NOT as expected" if failed else "as expected"
            tell(f"{verdict:<16} {transcript.title}")
    write_validated()
    if papers and summary:
        outcome = max(outcome, write_papers(papers, summary, options.paper, options.out))
    if options.json:
        print_json(results[0] if len(files) == 1 and results else results)
    return outcome


# -- coverage -------------------------------------------------------------------------------------
# ``consult replay --coverage``: what call files come to of their trees, and what none comes to.

_NAMED = 3
"""Calls named for one piece; of more only how many others there are."""


def run_coverage(files: Sequence[str], population: Population, *, as_json: bool) -> Outcome:
    """Tell it for every main tree met. What the files expect is not looked at."""
    outcome = Outcome.DONE
    calls: list[tuple[str, Tree, State]] = []
    stems = Counter(Path(name).stem for name in files)
    for name in files:
        read, problems = read_call(Path(name), population)
        print_problems(problems)
        if read is None:
            outcome = Outcome.BAD_USE
            continue
        transcript, basis = read
        # A file by its own name, unless another file has the same.
        called = Path(name).stem if stems[Path(name).stem] == 1 else name
        calls.append((called, basis.tree, state_so_far(basis, transcript.call)))
    coverages = coverage(calls)
    if as_json:
        print_json({"trees": [_json(cover) for cover in coverages]})
    else:
        tell(*(line for cover in coverages for line in _lines(cover)))
    if any(cover.missed for cover in coverages):
        outcome = max(outcome, Outcome.FAILED)
    return outcome


def _lines(cover: Coverage) -> Iterator[str]:
    reached = len(cover.reached) - len(cover.missed)
    yield (
        f"{cover.tree} {cover.version}: {number_of(len(cover.calls), 'call')}, {reached} of "
        f"{len(cover.reached)} questions, cautions, advice and needs reached"
        f"{f', {len(cover.elsewhere)} by calls of other trees alone' if cover.elsewhere else ''}."
    )
    texts = {
        piece: ", ".join(calls[:_NAMED])
        + (f" and {len(calls) - _NAMED} more" if len(calls) > _NAMED else "")
        for piece, calls in cover.reached.items()
        if calls
    }
    yield from piece_lines(texts, cover.missed, none="reached by none")


def _json(cover: Coverage) -> dict[str, object]:
    return {
        "tree": cover.tree,
        "version": cover.version,
        "calls": list(cover.calls),
        "pieces": [
            {
                **piece_json(piece),
                "file": piece.where.file,
                "line": piece.where.line,
                "calls": list(calls),
            }
            for piece, calls in cover.reached.items()
        ],
        "elsewhere": list(map(piece_json, cover.elsewhere)),
        "missed": list(map(piece_json, cover.missed)),
    }


def piece_json(piece: TreePiece) -> dict[str, str]:
    """Which piece of a tree it is."""
    return {"part": piece.part, "name": piece.name}


# -- the pieces of a tree as lines: those that calls reached, part by part, then the others -------


def piece_lines(
    texts: Mapping[TreePiece, str], missed: Iterable[TreePiece], *, none: str, beside: str = ""
) -> Iterator[str]:
    """``texts`` are what stands beside each piece that was come to, with ``beside`` over it.

    ``none`` stands over those that nobody came to, each told with its place.
    """
    missed = list(missed)
    width = max((len(piece.name) for piece in (*texts, *missed)), default=0)
    for part in TREE_PARTS:
        of_part = {piece: words for piece, words in texts.items() if piece.part == part}
        if of_part:
            yield f"  {PLURAL[part]:<{width + 2}}  {beside}" if beside else f"  {PLURAL[part]}"
        for piece, words in of_part.items():
            yield f"    {piece.name:<{width}}  {words}"
    if missed:
        yield f"  {none}"
    for piece in missed:
        yield f"    {piece.where.file}:{piece.where.line}: {piece.part} '{piece.name}'"


# -- ``consult share``: one chair for several people, each with a call file of their own -----------


def share_arguments(parser: ArgumentParser) -> None:
    parser.epilog = "example: consult share transcripts_demo/01*.yaml transcripts_demo/02*.yaml"
    parser.add_argument("files", nargs="+", metavar="FILE")
    option(parser, "--population ID", WHOM)
    flag(parser, "--json", "in mm and kg")


def share_chair(options: Namespace) -> Outcome:
    """Find the chair that most likely fits everybody, and what each has to change.

    The people take their shifts in the order of the files.
    """
    population = chosen_population(options.population)
    people: list[Sharer] = []
    needs: list[NeedLine] = []
    range_: Range | None = None
    system: System = "metric"
    read_validated()
    for name in call_files(options.files):
        read, problems = read_call(Path(name), population)
        if read is None or any(problem.severity == "error" for problem in problems):
            raise CannotDoError(problems=problems)
        transcript, basis = read
        now = state_so_far(basis, transcript.call)
        if now.fit is None:
            return complain(f"{name}: a warning sign ended that call, so no chair may be offered.")
        range_, system = basis.on(transcript.call.today).range, transcript.call.system
        called = now.caller_name or transcript.title
        people.append(Sharer(called, now.estimate, now.workplace))
        # The chair stands on one floor, that of the first call; all else must serve everybody.
        needs += [
            (need.feature, need.strength, need.because)
            for need in now.needs
            if len(people) == 1 or FEATURES.get(need.feature) != ("castors",)
        ]
    write_validated()
    if range_ is None:
        return complain("There is no range file beside the tree, so there is no chair to share.")
    if range_.fitting is not None:
        return complain(
            f"Only chairs are worked out for several people, and this is a {range_.thing}."
        )
    shared = share(range_, people, needs)
    if options.json:
        return print_json(_shared_json(shared, system))
    return tell(*_shared_lines(shared, range_.currency, system))


def _shared_lines(shared: Shared, currency: str, system: System) -> Iterator[str]:
    if shared.none_because is not None:
        yield fill(shared.none_because.text(system), 78)
        return
    parts = [*shared.parts.values(), *shared.footrests]
    yield fill(f"One chair for all: {', '.join(part.name for part in parts)}.", 78)
    yield f"It fits all of them in {of_a_hundred(shared.p_fits)} cases."
    yield f"Price {money(shared.price, currency)}, ready in {shared.lead_days} days."
    for served in shared.people:
        yield ""
        yield fill(f"{served.name}: fits {of_a_hundred(served.p_fits)}", 78)
        if served.fails is not None:
            yield fill(f"! {served.fails.say.text(system)}", 78)
        yield "At the start of the shift:" if served.changes else "Nothing to change."
        for change in served.changes:
            yield fill(change.text(system), 78, initial_indent="  - ", subsequent_indent="    ")


def _shared_json(shared: Shared, system: System) -> dict[str, Any]:
    return {
        "parts": [part.code for part in shared.parts.values()],
        "footrests": [part.code for part in shared.footrests],
        "p_fits": round(shared.p_fits, 4),
        "se": round(shared.se, 4),
        "compromises": list(shared.compromises),
        "price": shared.price,
        "lead_days": shared.lead_days,
        "none_because": shared.none_because.text(system) if shared.none_because else None,
        "people": [
            {
                "name": served.name,
                "p_fits": round(served.p_fits, 4),
                "footrest": served.footrest.code if served.footrest else None,
                "fails": served.fails.say.text(system) if served.fails else None,
                "settings": {name: round(mm, 1) for name, mm in served.settings.items()},
                "changes": [change.text(system) for change in served.changes],
            }
            for served in shared.people
        ],
    }
