"""Pages of HTML that ask for nothing from outside and run nothing: a walk-through, the sources."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Mapping, Sequence
from functools import cache
from hashlib import sha256
from typing import Any

from jinja2 import PackageLoader, StrictUndefined, Template
from jinja2.sandbox import ImmutableSandboxedEnvironment
from markupsafe import Markup

from consult.content.drawing.boxes import plain
from consult.content.drawing.layers import can_draw
from consult.content.drawing.svg import drawing
from consult.content.drawing.view import TreeView
from consult.content.drawing.walk import Walk, walk_of
from consult.tree.contacts import Contacts
from consult.tree.sources import Sources


def to_page(walk: Walk, picture: str | None = None, *, lang: str = "en") -> str:
    """The page; ``picture`` is SVG of our own making, put in as it is. ``lang`` is a BCP 47 tag."""
    template, style, policy = _page("walk.html.j2")
    return template.render(
        walk=walk,
        drawing=Markup(picture) if picture is not None else None,
        lang=lang,
        style=style,
        policy=policy,
    )


def drawn_page(view: TreeView, contacts: Contacts | None) -> str:
    """The page that walks through a tree, with its drawing where it can be drawn."""
    picture = drawing(view, prefix="drawing-", links=True) if can_draw() else None
    return to_page(walk_of(view, contacts), picture)


def sources_page(sources: Sources, used: Mapping[str, Sequence[str]]) -> str:
    """The list of sources; ``used`` says of each entry, by its name, which files cite it."""
    template, style, policy = _page("sources.html.j2")
    entries = [(one, used.get(one.id, ())) for one in sources.entries.values()]
    return template.render(entries=entries, style=style, policy=policy)


Rows = tuple[str, tuple[str, ...], list[tuple[str, ...]]]
"""A table: title, head, rows."""


def outcomes_page(
    title: str,
    told: Sequence[str],
    plots: Sequence[tuple[str, str, str]],
    tables: Sequence[Rows],
) -> str:
    """A page of sentences, plots and tables; a plot is a heading, SVG of our own, and words."""
    template, style, policy = _page("outcomes.html.j2")
    drawn = [(heading, Markup(drawing), words) for heading, drawing, words in plots]
    return template.render(
        title=title, told=told, plots=drawn, tables=tables, style=style, policy=policy
    )


@cache
def _page(name: str) -> tuple[Template, Markup, str]:
    """A template, the style, and the policy that lets this style in and nothing else."""
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
    return environment.get_template(name), Markup(style), policy


def _harmless(value: Any) -> Any:
    """Whatever goes into the page, on one line and without what a page cannot hold."""
    return plain(value) if isinstance(value, str) and not isinstance(value, Markup) else value
