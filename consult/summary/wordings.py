"""Where the templates of the wording are: beside the tree in use, else those that come with us."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from consult.in_file import UnreadableError, read_file
from consult.marked.traps import not_utf8
from consult.paths import shipped_trees, trees_folder
from consult.problems import Problem, Where
from consult.summary.wording import ENDING, BrokenWordingError, Wording

if TYPE_CHECKING:
    from consult.call.basis import Basis

FOLDER = "summary"
_MOST_BYTES = 1_000_000


def template_files(folder: Path) -> dict[str, Path]:
    """Every template in the ``summary`` folder of a folder of trees, by name."""
    files = sorted((folder / FOLDER).glob(f"*{ENDING}"))
    return {file.name.removesuffix(ENDING): file for file in files}


def wording_of(folder: Path | None) -> Wording:
    """The templates for the trees of a folder. What it leaves out is live, else ours.

    ``BrokenWordingError`` where one cannot be read.
    """
    own = template_files(folder) if folder else {}
    return _of({**template_files(shipped_trees()), **template_files(trees_folder()), **own})


def wording_for(basis: Basis) -> Wording:
    """The templates for a basis, as ``wording_of``."""
    return wording_of(Path(basis.tree.files[0]).parent if basis.tree.files else None)


def own_wording() -> Wording:
    """The templates that come with us, which are tested."""
    return _of(template_files(shipped_trees()))


def _of(files: Mapping[str, Path]) -> Wording:
    # Read again only where a file changed.
    marked = ((name, str(path), path.stat().st_mtime_ns) for name, path in files.items())
    return _read(tuple(marked))


@cache
def _read(files: tuple[tuple[str, str, int], ...]) -> Wording:
    return Wording.of(
        {name: _text(path) for name, path, _ in files}, {name: path for name, path, _ in files}
    )


def _text(path: str) -> str:
    content = b""
    try:
        content = read_file(Path(path), _MOST_BYTES)
        return content.decode("utf-8-sig").replace("\r\n", "\n")
    except UnreadableError as error:
        problem = Problem(Where(path, 1, 1), str(error), rule="template-unread")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        problem = Problem(Where(path, line, 1), *not_utf8(content, error.start), "not-utf8")
    raise BrokenWordingError(problem)
