"""The drawings and photographs of a call's documents, and the caller on the chair of today."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Literal

from consult.body.estimate import Estimate
from consult.call.basis import Basis
from consult.call.state import State
from consult.fit.requirements import Fit
from consult.fit.rules import sitter_of
from consult.fit.workplace import Present, Workplace
from consult.picture.measures import MEASURES
from consult.picture.model import Misfit, Point, Scene, hanging, joints_of
from consult.picture.photo import Photo, for_mail, photo_of
from consult.picture.scene import dimensions_of, scene
from consult.picture.steps import STEP_STUDIES
from consult.picture.svg import PAIR_TITLE, SIDE_TITLE, described, pair, pair_description
from consult.picture.svg_shapes import Sheet, svg_text
from consult.picture.svg_side import side_sheet
from consult.sentence import Sentence
from consult.summary.blocks import Drawing
from consult.summary.lines import Specification
from consult.tree.settings import Settings
from consult.units import System


@dataclass(frozen=True, slots=True)
class Now:
    """The side view of today."""

    scene: Scene
    unknown: frozenset[str]
    """Names of dimensions that nobody measured; the scene borrows them from ``after``."""


def scene_now(
    estimate: Estimate, workplace: Workplace, fit: Fit, after: Scene, present: Present
) -> Now:
    """The person of ``after`` on the chair of today, with no footrest and no screen.

    Seat height, seat depth and the height of the desk are those of ``after`` where they are not
    known (to be drawn dashed); armrests whose height is not known are left out, and so is the
    screen, whose height no call asks for. What does not suit is said of known numbers alone.
    """
    sitter = sitter_of(estimate, workplace)
    known = {
        "seat height": present.seat_height,
        "seat depth": present.seat_depth,
        "armrest above seat": present.armrest_height,
        "desk top": workplace.desk.height if workplace.desk.kind == "fixed" else None,
    }
    seat = after.chair.seat if present.seat_height is None else present.seat_height
    depth = after.chair.depth if present.seat_depth is None else present.seat_depth
    arm = present.armrest_height
    joints = joints_of(sitter, seat, 0.0, after.table.top)
    chair = replace(
        after.chair,
        seat=seat,
        depth=depth,
        lift=depth / 2,
        back_top=after.chair.back_top - after.chair.seat + seat,
        arm=None if arm is None else seat + arm,
    )
    table = replace(after.table, stands=known["desk top"] is not None)
    drawn = Scene(joints, chair, table, None, None)
    lengths = [
        # As it was told: the sum of seat and armrest, less the seat, may be rounded otherwise.
        replace(dimension_line, mm=arm)
        if arm is not None and dimension_line.name == "armrest above seat"
        else dimension_line
        for dimension_line in dimensions_of(drawn, sitter.thigh_length)
    ]
    places: dict[str, Point] = {
        "seat_depth": (depth, seat),
        "armrest_height": (chair.arm_span[1], seat + (arm or 0.0)),
        "feet_hang": ((joints.heel[0] + joints.toe[0]) / 2, joints.heel[1] / 2),
    }
    air = 0.0 if present.seat_height is None else hanging(sitter, seat, 0.0)
    problems = tuple(
        Misfit(str(number), places[name], name, text)
        for number, (name, text) in enumerate(_wrong(fit, present, air), start=1)
    )
    shown = replace(drawn, dimensions=tuple(lengths), problems=problems)
    return Now(shown, frozenset(name for name, mm in known.items() if mm is None))


def _wrong(fit: Fit, present: Present, air: float) -> Iterator[tuple[str, Sentence]]:
    for name, mm, more, less in (
        ("armrest_height", present.armrest_height, "too high", "too low"),
        ("seat_depth", present.seat_depth, "too deep", "too short"),
    ):
        requirement = fit.requirements.get(name)
        if mm is None or requirement is None:
            continue
        part = "armrests are" if name == "armrest_height" else "seat is"
        if round(mm - requirement.high) > 0:
            yield name, Sentence(f"The {part} <amount> {more}.", {"amount": mm - requirement.high})
        elif round(requirement.low - mm) > 0:
            yield name, Sentence(f"The {part} <amount> {less}.", {"amount": requirement.low - mm})
    if round(air) > 0:
        yield "feet_hang", Sentence("The feet hang <amount> above the floor.", {"amount": air})


# -- the drawings of one call: the caller on the chair, before and after, and one for each step ---

SIDE_WIDTH = 165.0
"""mm; the letters keep their size, so a narrow drawing leaves a page more room."""
PHOTO_SIZE, LOGO_SIZE = 60.0, 32.0
"""mm of the longer side of a photograph, and of a logo."""


def pictures(state: State, system: System) -> Mapping[str, Drawing]:
    """Every drawing there is for a call, by the name templates use; none for a stopped call.

    Without a number of the chair of today there is no before and after.
    """
    fit = state.set_up
    if fit is None or state.stopped is not None:
        return {}
    drawings = dict(studies("step"))
    after = scene(state.estimate, state.workplace, fit, state.picked)
    if after is not None:
        drawn = side_sheet(after, system, width_mm=SIDE_WIDTH)
        drawings["side_view"] = _drawing(drawn, SIDE_TITLE, described(after, system), "side-")
    if after is not None and state.present != Present():
        now = scene_now(state.estimate, state.workplace, fit, after, state.present)
        drawn = pair(now.scene, after, system, width_mm=SIDE_WIDTH, unknown=now.unknown)
        alt = pair_description(now.scene, after, system, now.unknown)
        drawings["before_after"] = _drawing(drawn, PAIR_TITLE, alt, "pair-")
    return drawings


def photographs(basis: Basis, chair: Specification | None) -> Mapping[str, Drawing]:
    """A photograph of each ordered part that has one, by "photo:" and its code.

    Of a fixed model that has one, that alone: it shows the parts. A missing or broken file has
    none.
    """
    if chair is None or not basis.tree.files:
        return {}
    folder = Path(basis.tree.files[0]).parent
    whole = [part for part in chair.parts if part.kind == "model"]
    for parts in (whole, chair.parts):
        shown = [(part, photo_of(folder, part.photo)) for part in parts]
        drawings = {
            f"photo:{part_line.code}": _photo(made, part_line.name)
            for part_line, made in shown
            if made
        }
        if drawings:
            return drawings
    return {}


def logo(settings: Settings, *, mailed: bool = False) -> Mapping[str, Drawing]:
    """The maker's logo as "logo"; nothing for a missing or broken file. Its words are beside it."""
    name = settings.sender.logo
    name = for_mail(name) if mailed else name
    made = photo_of(settings.file.parent, name, logo=True) if settings.file else None
    return {"logo": _photo(made, "", LOGO_SIZE)} if made else {}


def _photo(made: Photo, name: str, size: float = PHOTO_SIZE) -> Drawing:
    wide, high = made.size
    largest = size / max(wide, high)
    return Drawing("", (), (wide * largest, high * largest), True, made, name)


def _drawing(drawn: Sheet, title: str, alt: str, prefix: str) -> Drawing:
    svg = svg_text(drawn.shapes, drawn.size, title=title, description=alt, prefix=prefix)
    return Drawing(svg, drawn.shapes, drawn.size, alt=alt)


@cache
def studies(of: Literal["step", "measure"]) -> Mapping[str, Drawing]:
    """The drawings that are the same in every call, by the name templates use."""
    every = STEP_STUDIES if of == "step" else MEASURES
    drawn = ((name, study.svg(prefix=f"{name}-"), study.sheet()) for name, study in every.items())
    return {
        f"{of}:{name}": Drawing(svg, sheet.shapes, sheet.size, studied=of == "measure")
        for name, svg, sheet in drawn
    }
