"""A logo as SVG: its shapes are kept; what runs, loads or hides something is not."""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree

import pytest

from consult.picture.photo import BrokenPhotoError, clean_svg, read_photo
from tests.long import every_case

LOGO = """<svg xmlns="http://www.w3.org/2000/svg" width="60" height="20">
<path d="M0 0h60v20H0z" fill="#117733"/>
</svg>
"""
LINKED = "xmlns='http://www.w3.org/2000/svg' xmlns:xlink='http://www.w3.org/1999/xlink'"
BEGIN = f"<svg {LINKED} viewBox='0 0 60 20'>"


def test_what_a_drawing_program_writes() -> None:
    """Shapes, groups, gradients and a style sheet are kept; its own notes are not."""
    content = f"""<?xml version='1.0'?><?xml-stylesheet href='http://192.0.2.1/a.css'?>
<!-- Ada's machine --><svg {LINKED} xmlns:own='urn:own' own:file='/home/ada' width='60mm'
 height='20mm' viewBox='0 0 600 200'><title>Ours</title><metadata><own:by>Ada</own:by></metadata>
<own:view page='3'><path d='M9 9'/></own:view>
<defs><linearGradient id='g'><stop offset='0' stop-color='red'/></linearGradient></defs>
<style>.a {{ fill: url(#g) }} .b > path {{ stroke: none }}</style>
<g class='a' transform='scale(2)'><path d='M0 0h9v9z'/><use xlink:href='#g'/></g></svg>"""
    svg, size = clean_svg(content.encode())
    assert size == (600, 200)
    again = ElementTree.fromstring(svg)
    names = [one.tag.rpartition("}")[2] for one in again.iter()]
    assert names == ["svg", "defs", "linearGradient", "stop", "style", "g", "path", "use"]
    assert b"Ada" not in svg
    assert b"ada" not in svg
    assert b"192.0.2.1" not in svg
    assert again.find("{*}style").text == ".a { fill: url(#g) } .b > path { stroke: none }"  # type: ignore[union-attr]
    assert clean_svg(svg) == (svg, size)


@every_case(
    [
        ("<script>alert(1)</script>", "2:1: <script> cannot be in a logo"),
        ("<path onclick='x()' d='M0 0'/>", "onclick runs something"),
        ("<g>\n<text>Boyne</text></g>", "3:1: <text> .* Convert them to paths"),
        ("<image href='data:image/png;base64,AA'/>", "<image> .* PNG"),
        ("<foreignObject/>", "<foreignObject>"),
        ("<animate/>", "<animate>"),
        ("<use xlink:href='http://192.0.2.1/a.svg#b'/>", "leads outside"),
        ("<use href='file:///etc/passwd#b'/>", "leads outside"),
        ("<path fill='url(http://192.0.2.1/a)' d='M0 0'/>", "load something"),
        ("<path style='fill: URL( \"//192.0.2.1/a\" )' d='M0 0'/>", "load something"),
        ("<style>@import 'a.css';</style>", "load something"),
        ("<style>a { fill: \\75rl(x) }</style>", "load something"),
        ("<path d='M0 0'", "2:.*no SVG drawing, or it is damaged"),
        ("&bomb;", "no SVG drawing"),
        ("<g>" * 60 + "</g>" * 60, "too many parts"),
        ("<path d='M0 0'/>" * 6_000, "too many parts"),
    ]
)
def test_what_is_refused(inside: str, says: str) -> None:
    """With its line and column, and what would be right."""
    with pytest.raises(ValueError, match=says):
        clean_svg(f"{BEGIN}\n{inside}</svg>".encode())


@every_case(
    [
        ("", "1:1: this is no SVG"),
        ("<html/>", "1:1: a drawing begins with <svg"),
        ("<svg/>", "begins with <svg"),
        (f"<!DOCTYPE svg [<!ENTITY a 'aaaa'>]>{BEGIN}&a;</svg>", "1:.* DOCTYPE"),
        (f"<svg {LINKED}/>", "does not say its size"),
        (f"<svg {LINKED} width='100%' height='10'/>", "does not say its size"),
        (f"<svg {LINKED} viewBox='0 0 0 9'/>", "does not say its size"),
        (f"<svg {LINKED} viewBox='0 0 nan 9'/>", "does not say its size"),
        (f"<svg {LINKED} viewBox='a'/>", "does not say its size"),
        (f"<svg {LINKED} viewBox='0 0 900 9'/>", "twenty times"),
    ]
)
def test_what_is_no_drawing_of_a_size(content: str, says: str) -> None:
    """Nothing of it is written."""
    with pytest.raises(ValueError, match=says):
        clean_svg(content.encode())


def test_a_file_that_a_pdf_cannot_draw(tmp_path: Path) -> None:
    """Shapes that refer to each other without end, or are no shapes, and a file that is too large:
    told before any document is written."""
    path, bomb = tmp_path / "logo.svg", "<defs><g id='n0'><path d='M0 0h9'/></g>"
    for n in range(9):
        bomb += f"<g id='n{n + 1}'>" + f"<use xlink:href='#n{n}'/>" * 10 + "</g>"
    bomb += "</defs><use xlink:href='#n9'/>"
    for inside in (bomb, "<g id='a'><use xlink:href='#a'/></g>", "<path d='Q'/>"):
        path.write_text(f"{BEGIN}{inside}</svg>")
        with pytest.raises(BrokenPhotoError, match=r"logo.svg has a shape that cannot be drawn"):
            read_photo(path)
    path.write_text(f"{BEGIN}<path d='{'M0 0h9' * 90_000}'/></svg>")
    with pytest.raises(BrokenPhotoError, match="larger than 500 kB"):
        read_photo(path)
    path.write_text(LOGO)
    assert read_photo(path).form == "svg+xml"
