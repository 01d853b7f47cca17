"""The page about the wording lists every blank and filter; bold and links are refused."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

import consult.summary
from consult.paths import shipped_trees
from consult.summary.templates import filters
from consult.summary.wording import Wording, own_wording, problems_in

SCHEMA = json.loads(
    (Path(consult.summary.__file__).parent / "summary.schema.json").read_text("utf-8")
)
PAGE = (shipped_trees() / "WORDING.md").read_text("utf-8")


def resolved(one: Any) -> Any:
    """A piece of the schema with what it refers to."""
    if "$ref" not in one:
        return one
    found: Any = SCHEMA
    for part in one["$ref"].lstrip("#/").split("/"):
        found = found[part]
    return found


def blanks(path: str, one: Any) -> Iterator[str]:
    """Every field; sources, directions and the line of delivery are written out once elsewhere."""
    one = resolved(one)
    kinds = [found for found in map(resolved, one.get("oneOf", ())) if found.get("type") != "null"]
    one = kinds[0] if kinds else one
    yield path
    if path.endswith(("sources", "moves")) or path == "s.specification.delivery":
        return
    for name, inner in one.get("properties", {}).items():
        yield from blanks(f"{path}.{name}", inner)
    several = one.get("items") or one.get("additionalProperties")
    if isinstance(several, dict):
        for name, inner in resolved(several).get("properties", {}).items():
            yield from blanks(f"{path}[].{name}", inner)


def test_every_blank_is_listed_once() -> None:
    """As the summary has them, no more and no fewer."""
    listed = re.findall(r"^\| `(s\.[^`]+)` \| \S", PAGE, re.MULTILINE)
    found = [
        one for name, inner in SCHEMA["properties"].items() for one in blanks(f"s.{name}", inner)
    ]
    assert len(listed) == len(set(listed))
    assert set(listed) == set(found)


def test_every_filter_is_listed() -> None:
    """Each that a template may use."""
    assert set(re.findall(r"^\| `\\\| (\w+)", PAGE, re.MULTILINE)) == set(filters("metric"))


@pytest.mark.parametrize(
    ("text", "place", "says"),
    [
        ("# A\n\nA **bold** word.\n", (3, 3), "Bold"),
        ("# A\n\n{# two\nlines #}See [us](https://boyne.example).\n", (4, 13), "link"),
        ("# A\n\n- {{ s.title }} <b>x</b>\n", (3, 17), "HTML"),
        ("# A\n\n__So__\n", (3, 1), "Bold"),
    ],
)
def test_bold_and_links_are_refused_where_they_are(
    text: str, place: tuple[int, int], says: str
) -> None:
    """They would be shown as stars and brackets."""
    told = problems_in(Wording({"caller": text}), ())
    assert (told[0].where.line, told[0].where.column) == place
    assert says in told[0].message
    assert told[0].fix


def test_other_stars_and_brackets_are_left_alone() -> None:
    """Sums, pictures, what is written on, and everything inside a blank."""
    text = '# A\n\n2 * 3 [picture: side_view] [write: a: cm] x < y {{ "**x**" }} snake__case\n'
    assert not problems_in(Wording({"caller": text}), ())
    assert not [one for one in problems_in(own_wording(), ()) if one.rule == "markup"]
