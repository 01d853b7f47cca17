"""``consult replay``: call files run again, compared with what they say must come out."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from consult.call.expectation import disappointments
from consult.call.state import state
from consult.commands import coverage as covering
from consult.commands.outcome import Outcome, complain, print_json, print_problems
from consult.commands.papers import write_papers
from consult.commands.population import chosen_population
from consult.commands.reading import read_call
from consult.summary.model import summarise
from consult.summary.render import Writer
from consult.visible import visible


def run(
    files: Sequence[str],
    *,
    as_json: bool,
    summary: str | None,
    population_id: str | None,
    paper: str = "caller",
    out: str | None = None,
    coverage: bool = False,
) -> Outcome:
    """Replay each file and print what came out; one bad file does not stop the rest."""
    if coverage and summary:
        return complain("--coverage and --summary cannot be used together. Leave one out.")
    try:
        population = chosen_population(population_id)
    except ValueError as unknown:
        return complain(str(unknown))
    if coverage:
        return covering.run(files, population, as_json=as_json)
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
        if as_json:
            told = summarise(basis, now).as_json()
            results.append({"file": name, "as_expected": not failed, **told})
        elif summary:
            papers.append((Path(name).stem, Writer(basis, now, strict=True)))
        else:
            print(_line(transcript.title, failed))
    if papers and summary:
        outcome = max(outcome, write_papers(papers, summary, paper, out))
    if as_json:
        print_json(results[0] if len(files) == 1 and results else results)
    return outcome


def _line(title: str, failed: bool) -> str:
    verdict = "NOT as expected" if failed else "as expected"
    return visible(f"{verdict:<16} {title}")
