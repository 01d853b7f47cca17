"""Where the templates of the wording are: beside the tree in use, else those that come with us."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from consult.paths import trees_folder
from consult.summary.wording import ENDING, Wording

if TYPE_CHECKING:
    from consult.call.basis import Basis

FOLDER = "summary"


def template_files(folder: Path) -> dict[str, Path]:
    """Every template in the ``summary`` folder of a folder of trees, by name."""
    files = sorted((folder / FOLDER).glob(f"*{ENDING}"))
    return {file.name.removesuffix(ENDING): file for file in files}


def wording_for(basis: Basis) -> Wording:
    """The templates for a basis. What a folder of one's own leaves out is ours."""
    own = template_files(Path(basis.tree.files[0]).parent) if basis.tree.files else {}
    files = {**template_files(trees_folder()), **own}
    marked = ((name, str(path), path.stat().st_mtime_ns) for name, path in files.items())
    return _read(tuple(marked))


def own_wording() -> Wording:
    """The templates that come with us, which are tested."""
    files = template_files(trees_folder())
    return _read(tuple((n, str(path), path.stat().st_mtime_ns) for n, path in files.items()))


@cache
def _read(files: tuple[tuple[str, str, int], ...]) -> Wording:
    """Read again only where a file changed."""
    return Wording.of({name: Path(path).read_text("utf-8") for name, path, _ in files})
