"""Writes a document as one page of HTML that asks for nothing from outside and runs nothing."""

from __future__ import annotations

import re
from base64 import b64encode
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from hashlib import sha256
from typing import Any

from jinja2 import PackageLoader, StrictUndefined, Template
from jinja2.sandbox import ImmutableSandboxedEnvironment
from markupsafe import Markup

from consult.summary.blocks import DocumentBlock, Drawing, Heading, NewPage
from consult.visible import harmless

_LOWEST = 6
_DOTS_PER_MM = 96 / 25.4
_WIDE = 120.0
"""mm; a drawing that is wider lies across the columns of a printed page."""
_LONG = 24
"""Letters of a word that is left whole in a table."""
_NOT_HTML = re.compile("[\ufdd0-\ufdef]|" + "|".join(chr(0x10000 * n + 0xFFFE) + "|"
                       + chr(0x10000 * n + 0xFFFF) for n in range(17)))  # fmt: skip
"""Codes that are no characters and that the HTML standard does not allow in a page."""


@dataclass(frozen=True, slots=True)
class _Section:
    """What stands under one heading of the second level; before the first, under none."""

    heading: str = ""
    pieces: list[tuple[str, DocumentBlock]] = field(default_factory=list)


def to_html(
    blocks: Sequence[DocumentBlock],
    pictures: Mapping[str, Drawing],
    *,
    title: str,
    mailed: bool = False,
) -> str:
    """The document as a page, readable on a phone and printable on A4 and Letter.

    A picture that is not in ``pictures`` is said in its words. Of a page
    that is ``mailed`` photographs are parts of the e-mail, named by ``content_id`` (RFC 2392), as
    many readers of mail show no others.
    """
    template, style, policy = _page()
    photos = any(drawing.photo for drawing in pictures.values())
    heads = [block.text for block in blocks if isinstance(block, Heading) and block.level == 1]
    return template.render(
        title=title,
        style=style,
        policy=policy + (f"; img-src {'cid' if mailed else 'data'}:" if photos else ""),
        # There is one heading of the first level, and always one.
        heading=heads[0] if heads else title,
        sections=_sections(blocks),
        wide={name for name, drawing in pictures.items() if drawing.size[0] > _WIDE},
        studied={name for name, drawing in pictures.items() if drawing.studied},
        drawings={name: _inline(name, drawing, mailed) for name, drawing in pictures.items()},
    )


def content_id(name: str) -> str:
    """How a photograph is called inside an e-mail."""
    return f"{sha256(name.encode()).hexdigest()[:16]}@consult.invalid"


def _inline(name: str, drawing: Drawing, mailed: bool) -> Markup:
    """A drawing as it stands in the page; its words are beside it, or in it."""
    if not drawing.photo:
        return Markup(drawing.svg)
    content = b64encode(drawing.photo.content).decode("ascii")
    source = f"data:image/{drawing.photo.form};base64,{content}"
    source = f"cid:{content_id(name)}" if mailed else source
    wide, high = (round(value * _DOTS_PER_MM) for value in drawing.size)
    return Markup('<img alt="" src="{}" width="{}" height="{}">').format(source, wide, high)


def _sections(blocks: Sequence[DocumentBlock]) -> list[_Section]:
    sections, titled = [_Section()], False
    for block in _needed_breaks(blocks):
        match block:
            case Heading(level=1) if not titled:
                titled = True
            case Heading(level, text) if level <= 2:
                sections.append(_Section(text))
            case Heading(level, text):
                sections[-1].pieces.append(("Heading", Heading(min(level, _LOWEST), text)))
            case _:
                sections[-1].pieces.append((type(block).__name__, block))
    return sections


def _needed_breaks(blocks: Sequence[DocumentBlock]) -> list[DocumentBlock]:
    """The blocks without page breaks that would leave an empty page."""
    kept: list[DocumentBlock] = []
    for block in blocks:
        if not isinstance(block, NewPage) or (kept and not isinstance(kept[-1], NewPage)):
            kept.append(block)
    return kept[:-1] if kept and isinstance(kept[-1], NewPage) else kept


@cache
def _page() -> tuple[Template, Markup, str]:
    """The template, its style, and the policy that lets this style in and nothing else."""
    loader = PackageLoader("consult.summary", "layout")
    environment = ImmutableSandboxedEnvironment(
        loader=loader,
        autoescape=True,
        undefined=StrictUndefined,
        finalize=_plain,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    # Only a word that would make its column wider than a phone may be broken.
    environment.tests["long_word"] = lambda cell: any(len(word) > _LONG for word in cell.split())
    style = loader.get_source(environment, "page.css")[0]
    digest = b64encode(sha256(style.encode("utf-8")).digest()).decode("ascii")
    policy = f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"
    return environment.get_template("page.html.j2"), Markup(style), policy


def _plain(value: Any) -> Any:
    """Whatever goes into the page, on one line and without what a page cannot hold."""
    if isinstance(value, str) and not isinstance(value, Markup):
        return _NOT_HTML.sub("\ufffd", harmless(value))
    return value
