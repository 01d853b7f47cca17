"""Files that commands write where the user says: whole or not at all, for this user alone."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from consult import durable
from consult.problems import CannotDoError
from consult.records.errors import disk_trouble
from consult.records.place import home_path


def out_path(named: str | Path) -> Path:
    """Where a file will be written: an existing file or a new one in a folder that is there.

    A link is followed. A device, pipe, socket or folder is never replaced by a file.
    """
    path = home_path(named)
    try:
        target = path.resolve()
        if target.is_dir():
            raise CannotDoError(f"{path} is a folder. Name a file.")
        if target.exists() and not target.is_file():
            raise CannotDoError(f"{path} is a device or a pipe. Name a file.")
        if not target.parent.is_dir():
            raise CannotDoError(f"There is no folder {target.parent}. Make it first.")
    except (OSError, RuntimeError, ValueError) as error:
        raise CannotDoError(why_unwritable(Path(named), error)) from error
    return target


def out_folder(named: str | Path) -> Path:
    """A folder that files will be written in; it must be there."""
    path = home_path(named)
    if not path.is_dir():
        raise CannotDoError(f"There is no folder {path}. Make it first.")
    return path


def write_out(
    named: str | Path,
    content: str | bytes | Iterable[str],
    *,
    force: bool = True,
    later: bool = False,
) -> Path:
    """Put a file in place in one step; where that is. Without ``force`` one that is there stays.

    One of many may be put on the disk ``later``, by ``durable.settle_all``.
    """
    path = out_path(named)
    chunks = [content] if isinstance(content, (str, bytes)) else content
    encoded = (one if isinstance(one, bytes) else _encoded(one) for one in chunks)
    try:
        if force:
            durable.write_whole(path, encoded, later=later)
        else:
            durable.write_new(path, encoded, later=later)
    except FileExistsError as error:
        raise CannotDoError(f"{named} exists already. Use --force to overwrite it.") from error
    except OSError as error:
        raise CannotDoError(why_unwritable(path, error)) from error
    return path


def _encoded(text: str) -> bytes:
    return text.encode("utf-8", "surrogatepass")


def why_unwritable(path: Path, error: Exception) -> str:
    """What the disk refuses, in words; never the name of a part that nobody gave."""
    if isinstance(error, FileNotFoundError):
        # Of a folder that is there, such as one of the system's own.
        return f"No file can be made in {path.parent}. Name another folder."
    if isinstance(error, OSError):
        return disk_trouble(error, path)
    return f"{path} cannot be written ({error})."
