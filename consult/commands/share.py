"""``consult share``: one chair for several people, each with a call file of their own."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from collections.abc import Iterator
from pathlib import Path
from textwrap import fill
from typing import Any

from consult.commands.options import RUNS, WHOM, flag, option
from consult.commands.outcome import Outcome, complain, print_json, tell
from consult.problems import CannotDoError
from consult.scale import money

if RUNS:
    from consult.call.fit_json import of_a_hundred
    from consult.call.state import state_so_far
    from consult.commands.call_files import call_files, read_call
    from consult.commands.installation import chosen_population
    from consult.fit.request import NeedLine
    from consult.fit.sharing import Shared, Sharer, share
    from consult.range.model import Range
    from consult.range.parts import FEATURES
    from consult.records.validation_cache import read_validated, write_validated
    from consult.units import System


def arguments(parser: ArgumentParser) -> None:
    """What the command line may say."""
    parser.epilog = "example: consult share transcripts_demo/01*.yaml transcripts_demo/02*.yaml"
    parser.add_argument("files", nargs="+", metavar="FILE")
    option(parser, "--population ID", WHOM)
    flag(parser, "--json", "in mm and kg")


def run(options: Namespace) -> Outcome:
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
        print_json(_json(shared, system))
    else:
        tell("\n".join(_lines(shared, range_.currency, system)))
    return Outcome.DONE


def _lines(shared: Shared, currency: str, system: System) -> Iterator[str]:
    if shared.none_because is not None:
        yield fill(shared.none_because.text(system), 78)
        return
    parts = [*shared.parts.values(), *shared.footrests]
    yield fill(f"One chair for all: {', '.join(part.name for part in parts)}.", 78)
    yield f"It fits all of them in {of_a_hundred(shared.p_fits)} cases."
    yield f"Price {money(shared.price, currency)}, ready in {shared.lead_days} days."
    for one in shared.people:
        yield ""
        yield fill(f"{one.name}: fits {of_a_hundred(one.p_fits)}", 78)
        if one.fails is not None:
            yield fill(f"! {one.fails.say.text(system)}", 78)
        yield "At the start of the shift:" if one.changes else "Nothing to change."
        for change in one.changes:
            yield fill(change.text(system), 78, initial_indent="  - ", subsequent_indent="    ")


def _json(shared: Shared, system: System) -> dict[str, Any]:
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
                "name": one.name,
                "p_fits": round(one.p_fits, 4),
                "footrest": one.footrest.code if one.footrest else None,
                "fails": one.fails.say.text(system) if one.fails else None,
                "settings": {name: round(mm, 1) for name, mm in one.settings.items()},
                "changes": [change.text(system) for change in one.changes],
            }
            for one in shared.people
        ],
    }
