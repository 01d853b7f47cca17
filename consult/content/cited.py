"""A sources file held against everything that cites it: entries that nothing cites."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from consult.body.populations import available, load_named
from consult.fit.rules import Source
from consult.marked.marks import load_marked
from consult.problems import Problem
from consult.tree.floor import the_floor
from consult.tree.sources import FROM_MEMORY, cited_in, load_sources

if TYPE_CHECKING:
    from consult.marked.marks import Texts


PROGRAM = "the program"


def sources_problems(path: Path, texts: Texts | None = None) -> list[Problem]:
    """Everything wrong with a sources file; an entry that nothing cites is a warning.

    ``texts`` are read in place of the files of the same paths.
    """
    sources, problems = load_sources(path, texts)
    marked, _ = load_marked(path, texts)
    if sources is None or marked is None:
        return problems
    used = cited_by(path.parent, texts)
    for name in sources.entries:
        if name not in used:
            said = f"Nothing in this folder cites '{name}', and the program does not either."
            where = marked.key("entries", name)
            problems.append(Problem(where, said, "Delete the entry.", "unused-source", "warning"))
    return problems


def cited_by(folder: Path, texts: Texts | None = None) -> dict[str, list[str]]:
    """Name of an entry -> the files of a folder that cite it; the program counts as one."""
    found = {name: [PROGRAM] for name in sorted(_cited_by_program())}
    beside = {*folder.glob("*.yaml"), *(texts or ())}
    for file in sorted(one for one in beside if one.parent == folder and one.suffix == ".yaml"):
        marked, _ = load_marked(file, texts)
        for _, name in cited_in(marked.data if marked else None):
            files = found.setdefault(name, [])
            if file.name not in files:
                files.append(file.name)
    return found


@cache
def _cited_by_program() -> frozenset[str]:
    """What the rules of the fit, the safety floor, the contacts and the populations cite."""
    named = [cited for cited in vars(Source).values() if isinstance(cited, tuple)]
    named += [sign.source for sign in the_floor().signs.values()]
    named += [tuple(load_named(one).cites) for one in available()]
    return frozenset([FROM_MEMORY, *(name for cited in named for name in cited)])
