"""A small library for tests: two main trees and a sub-tree, with the files beside them."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from pathlib import Path

import pytest

from consult.content.changes.words import Change, Weight
from consult.content.library.files import read_files
from consult.content.library.library import Library
from consult.content.library.publish import Judged, PublishReport, Wanted, publish

TODAY = date(2026, 11, 25)

SEATING = """\
# Remarks stay where they are.
tree: seating
title: Little
version: 2026.11   # the month
first: hello
questions:
  hello:
    ask: Who is there?
    answer: text
    next: the_signs
  the_signs:
    include: signs
    next: end
"""
SIGNS = """\
tree: signs
title: Signs
version: 2026.11
first: numb
questions:
  numb:
    ask: Is anything numb?
    answer: choices
    choices:
      none: Nothing
      legs: Both legs
      saddle: Where you sit
    exclusive: none
    next: end
cautions:
  - name: numb_legs
    level: stop
    when: legs in numb or saddle in numb
    say: Please <contact>.
    contact: emergency
    source: common_practice
"""
SECOND = """\
tree: second
title: Second
version: "2026.10"
first: again
questions:
  again:
    ask: How is it now?
    answer: text
    next: end
"""
CONTACTS = """\
contacts: contacts
default: GB
countries:
  GB:
    name: United Kingdom
    emergency: call 999
"""
SHIPPED: Mapping[str, str] = {
    "seating.yaml": SEATING,
    "signs.yaml": SIGNS,
    "second.yaml": SECOND,
    "contacts.yaml": CONTACTS,
    "summary/caller.md.j2": "# For you\n",
}


def write(folder: Path, texts: Mapping[str, str]) -> Path:
    """A folder with these files, their bytes as given."""
    for name, text in texts.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(text.encode())
    return folder


def agreeable(live: Path, new: Path) -> Judged:
    """A judge who finds nothing against anything."""
    assert read_files(live)
    assert read_files(new)
    return Judged((), (Change(Weight.REST, "Something changed."),), ())


def wanted(
    accepted: Mapping[str, str] | None = None, reason: str = "Because.", *, dry_run: bool = False
) -> Wanted:
    """Ann publishes on the day of the tests."""
    return Wanted("Ann", reason, TODAY, accepted or {}, dry_run)


def edit(library: Library, name: str, old: str, new: str) -> None:
    """Replace a text in a file of the draft."""
    path = library.draft / name
    text = path.read_bytes().decode()
    assert old in text
    path.write_bytes(text.replace(old, new).encode())


def published(library: Library, ask: str) -> PublishReport:
    """The draft with another first question, published."""
    path = library.draft / "seating.yaml"
    lines = path.read_text("utf-8").splitlines(keepends=True)
    path.write_text("".join(f"    ask: {ask}\n" if "ask:" in x else x for x in lines), "utf-8")
    report = publish(library, wanted(), agreeable)
    assert report.done, report.why_not
    return report


def library_in_use(folder: Path, monkeypatch: pytest.MonkeyPatch) -> Library:
    """The library in use, empty, beside small shipped trees."""
    shipped = write(folder / "shipped", SHIPPED)
    for module in ("consult.paths", "consult.content.library.library"):
        monkeypatch.setattr(f"{module}.shipped_trees", lambda: shipped)
    monkeypatch.setenv("CONSULT_TREES", str(folder / "library"))
    return Library(folder / "library")
