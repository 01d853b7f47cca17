"""``consult fit``: the calculator, without a tree."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path
from textwrap import fill

from consult.commands.options import RUNS, UNITS, WHOM, flag, option, repeated
from consult.commands.outcome import Outcome, complain, print_json, sound
from consult.paths import trees_folder
from consult.problems import listed, nearest

if RUNS:
    from consult.body.estimate import Estimate
    from consult.body.measured import Measured
    from consult.body.plausibility import Doubt, read_body
    from consult.body.population import Population
    from consult.call import fit_json
    from consult.call.chosen import Chosen, chosen
    from consult.call.reasons import Reasons, reason_lines, reasons, reasons_json
    from consult.call.wording import FIGURE_NAMES
    from consult.commands.installation import chosen_population
    from consult.fit.assess import assess
    from consult.fit.request import FitRequest
    from consult.fit.requirements import Fit
    from consult.fit.rules import RuleSource
    from consult.fit.workplace import Desk, Workplace
    from consult.range.file import load_range
    from consult.tree.folder import RANGE_FILE
    from consult.tree.sources import shipped_sources, sources_beside
    from consult.units import (
        Heard,
        System,
        Unclear,
        format_length,
        format_range,
        parse_length,
        parse_mass,
    )

    Parser = Callable[[str, str, "_Span"], Heard]

_Span = tuple[float, float]

_MEASURES = {
    "stature": ("height without shoes, measured", (1400.0, 2050.0)),
    "popliteal_height": ("floor to the crease behind the knee, barefoot", (320.0, 520.0)),
    "buttock_popliteal_length": ("back of the seat to the crease behind the knee", (380.0, 600.0)),
    "elbow_rest_height": ("seat to the underside of the bent elbow", (150.0, 330.0)),
    "thigh_clearance": ("seat to the top of the thigh", (100.0, 250.0)),
    "hip_breadth_sitting": ("across the hips, sitting", (280.0, 600.0)),
    "eye_height_sitting": ("seat to the eye, sitting", (620.0, 950.0)),
    "hand_breadth": ("across the four knuckles", (60.0, 115.0)),
}
"""Body lengths: what they are, and the usual values of adults, mm: only to notice a slipped unit
(common practice, no source)."""
_MASS = (40.0, 200.0)
WORKPLACE = {
    "desk_height": ("top of the desk from the floor", (550.0, 1300.0)),
    "desk_thickness": ("top of the desk down to the lowest thing above the thighs", (10.0, 250.0)),
    "desk_lowest": ("lowest setting of an adjustable desk", (500.0, 900.0)),
    "desk_highest": ("highest setting of an adjustable desk", (700.0, 1400.0)),
    "heel": ("heel of the shoes worn at the desk (25mm if left out)", (0.0, 100.0)),
}
"""The same of the workplace."""


def arguments(parser: ArgumentParser) -> None:
    parser.epilog = (
        'example: consult fit --sex female --stature "5ft 2" --popliteal-height 37cm --mass 9st '
        "--desk fixed --desk-height 73cm --json"
    )
    parser.add_argument("--sex", choices=("female", "male", "unknown"), default="unknown")
    option(parser, "--mass", "body weight; a number without a unit is kg")
    _length_options(parser, _MEASURES)
    option(parser, "--desk", "kind of desk", choices=("fixed", "adjustable", "none"))
    _length_options(parser, WORKPLACE)
    flag(parser, "--close-to-desk", "sits close to the desk edge")
    parser.add_argument("--lenses", choices=("none", "single", "varifocal"))
    repeated(
        parser,
        "--confirm MEASURE",
        "measure that was checked and is right, e.g. popliteal_height; may be repeated",
    )
    option(parser, "--range FILE", "range file (the demo range if left out)")
    option(parser, "--request CODES", "part codes the caller asks for: show what is against them")
    option(parser, "--population ID", WHOM)
    option(parser, "--units", "units of the text", choices=UNITS, default="metric")
    flag(parser, "--json", "lengths in mm, mass in kg")


def _length_options(parser: ArgumentParser, lengths: Mapping[str, tuple[str, _Span]]) -> None:
    for name, (what, _) in lengths.items():
        shown = f"--{name.replace('_', '-')} LENGTH"
        option(parser, shown, f"{what}; a number without a unit is cm")


def run(options: Namespace) -> Outcome:
    """Work out the fit for the flags given and print it."""
    range_path = Path(options.range) if options.range else trees_folder() / RANGE_FILE
    range_ = sound(*load_range(range_path))
    population = chosen_population(options.population)
    try:
        measures = _measures(options, population)
        workplace = _workplace(options)
    except ValueError as unclear:
        return complain(str(unclear))
    sex = None if options.sex == "unknown" else options.sex
    estimate, doubts = read_body(population, measures, sex, options.units)
    # What would suit, whatever is sold; the chair then says where it falls short of that.
    fit = assess(estimate, workplace)
    codes = [word.strip().upper() for word in (options.request or "").split(",") if word.strip()]
    request = FitRequest(range_, estimate, workplace, open_places=True)
    try:
        picked = chosen(request, population, fit, codes)
    except ValueError as unknown:
        return complain(f"--request: {unknown}")
    why = reasons(request, population, fit, picked)
    if options.json:
        sources = sources_beside(trees_folder())[0] or shipped_sources()
        general = {"name": "general", "level": "note", "say": LIMITS}
        print_json(
            {
                "fit_version": fit_json.VERSION,
                "population": {
                    "id": population.id,
                    "name": population.name,
                    "caution": population.caution,
                    "compiled": population.compiled,
                    "sources": fit_json.sources_json(sources, population.source),
                },
                "body": fit_json.body_json(estimate),
                "fit": fit_json.fit_json(fit, sources),
                "missing": dict(fit.missing),
                "cautions": [
                    {**general, "sources": fit_json.sources_json(sources, RuleSource.GENERAL)},
                    *fit_json.notes_json(fit, sources, options.units),
                ],
                "advice": fit_json.advice_json(fit, sources, options.units),
                "plausibility": fit_json.plausibility_json(doubts),
                **fit_json.chosen_json(picked, options.units),
                **reasons_json(why, sources, options.units),
            }
        )
    else:
        of = (population, options.units)
        print(*_fit_lines(*of, estimate, fit, doubts), *_chair_lines(*of, picked, why), sep="\n")
        print(fill(LIMITS, 78))
    return Outcome.DONE


def _measures(options: Namespace, population: Population) -> list[Measured]:
    confirmed = {_measure(dimension) for dimension in options.confirm}
    heard = {
        name: _read(options, name, usual, parse_length, "cm")
        for name, (_, usual) in _MEASURES.items()
    }
    heard["weight"] = _read(options, "mass", _MASS, parse_mass, "kg")
    measures = []
    for name, answer in heard.items():
        if answer is None:
            continue
        figures = (answer.value, answer.spread, name in confirmed)
        weight = name == "weight"
        measures.append(
            population.weight_told(*figures) if weight else population.measure(name, *figures)
        )
    return measures


def _measure(said: str) -> str:
    """The dimension a --confirm names, spelt as in the JSON or as the flag."""
    name = said.strip().lower().replace("-", "_")
    name = "weight" if name == "mass" else name
    if name not in (*_MEASURES, "weight"):
        known = [*_MEASURES, "mass"]
        hint = nearest(name, known) or f"The measures are {listed(known)}."
        raise Unclear(f"--confirm: there is no measure '{said}'. {hint}")
    return name


def _workplace(options: Namespace) -> Workplace:
    def length(name: str) -> float | None:
        heard = _read(options, name, WORKPLACE[name][1], parse_length, "cm")
        return heard.value if heard else None

    lowest, highest = length("desk_lowest"), length("desk_highest")
    if lowest is not None and highest is not None and lowest > highest:
        raise Unclear("--desk-lowest is higher than --desk-highest. Swap the two.")
    desk = Desk(
        kind=options.desk,
        height=length("desk_height"),
        thickness=length("desk_thickness"),
        lowest=lowest,
        highest=highest,
    )
    return Workplace(desk, length("heel"), options.close_to_desk or None, options.lenses)


def _read(options: Namespace, name: str, usual: _Span, parse: Parser, bare: str) -> Heard | None:
    """The value of a flag; if it is unclear, the question asked back starts with the flag's
    name."""
    said = getattr(options, name)
    if said is None:
        return None
    try:
        return parse(said, bare, usual)
    except Unclear as unclear:
        raise Unclear(f"--{name.replace('_', '-')}: {unclear}") from None


# -- the calculator's answer as text for a terminal -----------------------------------------------

LIMITS = (
    "Chair advice is general and does not treat pain. It is not medical advice: clinicians and "
    "local rules come first."
)


def _fit_lines(
    population: Population, system: System, estimate: Estimate, fit: Fit, doubts: Sequence[Doubt]
) -> Iterator[str]:
    """The set-up, the body it rests on, and what is missing or odd."""
    for doubt in doubts:
        yield fill(f"! {doubt.message}", 78)
    yield "Set-up"
    for name, requirement in fit.requirements.items():
        band = format_range(requirement.low, requirement.high, system)
        yield f"  {FIGURE_NAMES[name]:<26} {format_length(requirement.target, system):<20} {band}"
        yield fill(requirement.reason, 78, initial_indent="      ", subsequent_indent="      ")
    for note in fit.notes:
        yield fill(f"! {note.say.text(system)}", 78, subsequent_indent="  ")
    for name, why in fit.missing.items():
        yield fill(f"? {FIGURE_NAMES.get(name, name.replace('_', ' '))}: {why}", 78)
    yield "Body"
    for name, body in estimate.dimensions.items():
        label = population.label(name)
        low, mean, high = (
            population.words(name, value, system) for value in (body.low, body.mean, body.high)
        )
        yield f"  {label:<32} {mean:<20} {low} to {high}"
        yield fill(body.origin, 78, initial_indent="      ", subsequent_indent="      ")
    yield fill(f"Estimated from: {population.name}. {population.caution}", 78)


def _chair_lines(
    population: Population, system: System, picked: Chosen, why: Reasons
) -> Iterator[str]:
    """The chair of the range, why not others, and what the choice depends on."""
    for title, lines in reason_lines(picked, why, population, system):
        yield title
        for line in lines:
            yield fill(line, 78, initial_indent="  - ", subsequent_indent="    ")
