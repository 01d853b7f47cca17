"""A tree's drawing as SVG, and pages of HTML that ask for nothing from outside and run nothing."""

from __future__ import annotations

import math
from base64 import b64encode
from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from hashlib import sha256
from typing import Any
from xml.sax.saxutils import escape, quoteattr

from jinja2 import PackageLoader, StrictUndefined, Template
from jinja2.sandbox import ImmutableSandboxedEnvironment
from markupsafe import Markup

from consult.content.drawing.boxes import INSIDE, box_lines, drawable_text, text_width
from consult.content.drawing.layers import layout_installed
from consult.content.drawing.sheet import (
    MARGIN,
    REMARK,
    TITLE,
    DrawingSheet,
    Path,
    Placed,
    Shade,
    SheetPoint,
    laid_sheet,
)
from consult.content.drawing.view import TreeView
from consult.content.drawing.walk import Walk, walk_of
from consult.content.names_in_words import spaced
from consult.picture.svg_shapes import pairs, svg_number
from consult.tree.contacts import Contacts
from consult.tree.sources import Sources

_INK, _PAPER, _SHADE, _EDGE = "#1a1a1a", "#ffffff", "#e9e9e9", "#8a8a8a"
_FACES = "DejaVu Sans, Verdana, Arial, sans-serif"
_ARROW, _HALF_ARROW = 2.6, 1.05
_BAND_NAME = 3.2
_CORNER = 2.6
"""How much is cut off the corners of the stop's box."""


def drawing(view: TreeView, *, prefix: str = "", links: bool = False) -> str:
    """The view as SVG text; the same view gives the same text.

    ``prefix`` begins every id. With ``links`` each question leads to ``#question-<name>`` of the
    page around it. ImportError where the layout library is not installed.
    """
    sheet = laid_sheet(view)
    wide, high = svg_number(sheet.wide), svg_number(sheet.high)
    ids = f"{prefix}title", f"{prefix}desc"
    names = ", ".join(f"{number} {spaced(name)}" for name, number in view.numbers.items())
    description = f"The questions in the order they are asked: {names}."
    return "\n".join(
        [
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide} {high}"'
            f' width="{wide}mm" height="{high}mm" role="img"'
            f' aria-labelledby="{ids[0]} {ids[1]}" font-family="{_FACES}">',
            f'<title id="{ids[0]}">{_words(view.title)}</title>',
            f'<desc id="{ids[1]}">{_words(description)}</desc>',
            f'<rect width="{wide}" height="{high}" fill="{_PAPER}"/>',
            *_head(sheet),
            *map(_band, sheet.bands),
            *map(_path, sheet.paths),
            *(_box(placed, links=links) for placed in sheet.boxes),
            "</svg>\n",
        ]
    )


def _head(sheet: DrawingSheet) -> Iterator[str]:
    y = MARGIN
    for line in sheet.title:
        yield _text(line, MARGIN, y + TITLE, TITLE, bold=True)
        y += TITLE * 1.3
    for line in sheet.remarks:
        y += REMARK * 1.4
        yield _text(line, MARGIN, y + 0.5, REMARK)


def _band(band: Shade) -> str:
    room = band.foot - band.y - 2.0
    name = (box_lines(band.title, room, _BAND_NAME, 1, bold=True) or [""])[0]
    x, y = band.x + 4.6, band.foot
    turned = f' transform="rotate(-90 {svg_number(x)} {svg_number(y)})"'
    return (
        f"<g data-band={quoteattr(drawable_text(band.title))}>"
        f"{_rect(band.x, band.y, band.wide, band.high, 2.5, _SHADE, 0.2, _EDGE)}"
        f"{_text(name, x, y, _BAND_NAME, bold=True, more=turned)}</g>"
    )


def _path(path: Path) -> str:
    points = list(path.points)
    dash = ' stroke-dasharray="2 1.4"' if path.link.kind == "stop" else ""
    head = ""
    if path.link.arrow:
        tip, points[-1] = points[-1], _short_of(points[-2], points[-1])
        head = f'<polygon points="{pairs(_arrow(points[-1], tip))}" fill="{_INK}"/>'
    return (
        f"<g data-{path.link.kind}={quoteattr(path.link.name)}>"
        f'<polyline points="{pairs(points)}" fill="none" stroke="{_INK}" stroke-width="0.45"'
        f' stroke-linejoin="round"{dash}/>{head}</g>'
    )


def _short_of(before: SheetPoint, tip: SheetPoint) -> SheetPoint:
    """Where the arrowhead begins."""
    far = math.dist(before, tip) or 1.0
    back = min(_ARROW, far) / far
    return tip[0] + (before[0] - tip[0]) * back, tip[1] + (before[1] - tip[1]) * back


def _arrow(base: SheetPoint, tip: SheetPoint) -> list[SheetPoint]:
    far = math.dist(base, tip) or 1.0
    x, y = ((tip[0] - base[0]) / far, (tip[1] - base[1]) / far)
    return [
        tip,
        (base[0] - y * _HALF_ARROW, base[1] + x * _HALF_ARROW),
        (base[0] + y * _HALF_ARROW, base[1] - x * _HALF_ARROW),
    ]


def _box(placed: Placed, *, links: bool) -> str:
    box, x, y = placed.box, placed.x, placed.y
    match box.shape:
        case "question":
            around = _rect(x, y, box.wide, box.high, 1.5, _PAPER, 0.4)
        case "label":
            around = _rect(x, y, box.wide, box.high, 2.0, _PAPER, 0.15, _EDGE)
        case "stop":
            around = _cut_corners(placed)
        case _:
            around = _rect(x, y, box.wide, box.high, min(box.high / 2, 6.0), _PAPER, 0.7)
    parts = list[str]()
    for line in box.lines:
        left = x + INSIDE + (2.0 if line.rule else 0.0)
        if line.rule:
            bar = y + line.at - line.size * 0.98
            parts.append(
                f'<rect x="{svg_number(x + INSIDE)}" y="{svg_number(bar)}" width="1"'
                f' height="{svg_number(line.size * 1.3)}" fill="{_INK}"/>'
            )
        if box.shape in ("start", "end"):
            left = x + (box.wide - text_width(line.text, line.size, bold=line.bold)) / 2
        parts.append(_text(line.text, left, y + line.at, line.size, bold=line.bold))
    group = f'<g data-box="{box.shape}" data-name={quoteattr(box.name)}>'
    whole = f"<title>{_words(box.told)}</title>"
    inside = f"{group}{whole}{around}{''.join(parts)}</g>"
    if links and box.shape == "question":
        return f"<a href={quoteattr('#question-' + box.name)}>{inside}</a>"
    return inside


def _cut_corners(placed: Placed) -> str:
    x, y = placed.x, placed.y
    right, bottom, cut = x + placed.box.wide, y + placed.box.high, _CORNER
    # fmt: off
    corners = [(x + cut, y), (right - cut, y), (right, y + cut), (right, bottom - cut),
               (right - cut, bottom), (x + cut, bottom), (x, bottom - cut), (x, y + cut)]
    return (
        f'<polygon points="{pairs(corners)}" fill="{_PAPER}" stroke="{_INK}" stroke-width="0.9"/>'
    )


def _rect(
    x: float,
    y: float,
    wide: float,
    high: float,
    corner: float,
    fill: str,
    stroke: float,
    ink: str = _INK,
) -> str:
    return (
        f'<rect x="{svg_number(x)}" y="{svg_number(y)}" width="{svg_number(wide)}"'
        f' height="{svg_number(high)}" rx="{svg_number(corner)}" fill="{fill}" stroke="{ink}"'
        f' stroke-width="{svg_number(stroke)}"/>'
    )


def _text(text: str, x: float, y: float, size: float, *, bold: bool = False, more: str = "") -> str:
    weight = ' font-weight="bold"' if bold else ""
    return (
        f'<text x="{svg_number(x)}" y="{svg_number(y)}" font-size="{svg_number(size)}"'
        f' fill="{_INK}"{weight}{more}>{_words(text)}</text>'
    )


def _words(text: str) -> str:
    return escape(drawable_text(text))


# -- pages of HTML that ask for nothing from outside and run nothing: a walk-through, the sources -


def to_page(walk: Walk, picture: str | None = None) -> str:
    """The page; ``picture`` is SVG of our own making, put in as it is."""
    drawn = Markup(picture) if picture is not None else None
    return _page("walk.html.j2").render(walk=walk, drawing=drawn)


def drawn_page(view: TreeView, contacts: Contacts | None) -> str:
    """The page that walks through a tree, with its drawing where it can be drawn."""
    picture = drawing(view, prefix="drawing-", links=True) if layout_installed() else None
    return to_page(walk_of(view, contacts), picture)


def sources_page(sources: Sources, used: Mapping[str, Sequence[str]]) -> str:
    """The list of sources; ``used`` says of each entry, by its name, which files cite it."""
    entries = [(source, used.get(source.id, ())) for source in sources.entries.values()]
    return _page("sources.html.j2").render(entries=entries)


Rows = tuple[str, tuple[str, ...], list[tuple[str, ...]]]
"""A table: title, head, rows."""


def outcomes_page(
    title: str,
    told: Sequence[str],
    plots: Sequence[tuple[str, str, str]],
    tables: Sequence[Rows],
) -> str:
    """A page of sentences, plots and tables; a plot is a heading, SVG of our own, and words."""
    drawn = [(heading, Markup(drawing), words) for heading, drawing, words in plots]
    return _page("outcomes.html.j2").render(title=title, told=told, plots=drawn, tables=tables)


@cache
def _page(name: str) -> Template:
    """A template, with the style and the policy that lets this style in and nothing else."""
    loader = PackageLoader("consult.content.drawing", "layout")
    environment = ImmutableSandboxedEnvironment(
        loader=loader,
        autoescape=True,
        undefined=StrictUndefined,
        finalize=_harmless,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    style = loader.get_source(environment, "walk.css")[0]
    digest = b64encode(sha256(style.encode("utf-8")).digest()).decode("ascii")
    policy = f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"
    return environment.get_template(name, globals={"style": Markup(style), "policy": policy})


def _harmless(value: Any) -> Any:
    """Whatever goes into the page, on one line and without what a page cannot hold."""
    return (
        drawable_text(value) if isinstance(value, str) and not isinstance(value, Markup) else value
    )
