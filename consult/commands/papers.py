"""Writing the papers of calls where the user says: to the terminal, a file, or a folder."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, cast

from consult.commands.out_file import UnwritableError, write_out
from consult.commands.outcome import Outcome, complain, print_problems
from consult.commands.progress import Progress
from consult.summary.kinds import ENDINGS, Form, Paper
from consult.summary.wording import BrokenWordingError

if TYPE_CHECKING:
    from consult.summary.render import Writer

MANY = 10
"""Calls from which a line says how far it has come."""


def write_papers(
    calls: Sequence[tuple[str, Writer]], form: str, paper: str, out: str | None
) -> Outcome:
    """One paper of each call, by a name for its file; several go into a folder.

    A folder is told by its being one, or by a slash at its end.
    """
    kind, whose = cast("Form", form), cast("Paper", paper)
    if out is None:
        try:
            return _print([writer.write(kind, whose) for _, writer in calls], form)
        except BrokenWordingError as broken:
            return _broken(broken)
        except ValueError as error:
            return complain(f"Not written: {error}.")
    paths = paper_paths([name for name, _ in calls], form, paper, out)
    if len({path for _, path in paths}) < len(calls):
        return complain(f"There are {len(calls)} documents. Name a folder for them: --out {out}/")
    progress = Progress(len(calls), sys.stderr, quiet=len(calls) < MANY)
    for done, ((_, path), (_, writer)) in enumerate(zip(paths, calls, strict=True)):
        progress.at(done)
        try:
            write_out(path, writer.write(kind, whose))
        except UnwritableError as unwritable:
            progress.clear()
            return complain(str(unwritable))
        except BrokenWordingError as broken:
            progress.clear()
            return _broken(broken)
        except ValueError as error:
            progress.clear()
            return complain(f"{path} was not written: {error}.")
    progress.clear()
    return Outcome.DONE


def _broken(wording: BrokenWordingError) -> Outcome:
    print_problems([wording.problem])
    return Outcome.BAD_USE


def paper_paths(names: Sequence[str], form: str, paper: str, out: str) -> list[tuple[str, Path]]:
    """Where the paper of each call goes."""
    if not (out.endswith("/") or Path(out).is_dir()):
        return [(name, Path(out)) for name in names]
    ending = ENDINGS[cast("Form", form)]
    return [(name, Path(out) / f"{name}-{paper}{ending}") for name in names]


def _print(papers: Sequence[bytes], form: str) -> Outcome:
    if form in ("pdf", "png") and sys.stdout.isatty():
        return complain(f"This form cannot be shown in a terminal. Name a file: --out paper.{form}")
    if form in ("pdf", "eml", "png"):
        for paper in papers:
            sys.stdout.buffer.write(paper)
        sys.stdout.flush()
    else:
        for paper in papers:
            print(paper.decode())
    return Outcome.DONE
