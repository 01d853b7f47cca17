"""Recovery files: they store a whole call while the records cannot be written.

JSON lines: one that says which call it is, then one per answer and per caution dealt with. The
file is replaced in one step each time, so an older answer about health never lingers in it.
"""

from __future__ import annotations

import base64
import json
import os
import secrets
from contextlib import suppress
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import platformdirs

from consult.records.call_snapshot import StoredParts, StoredPiece
from consult.records.encryption import body_of, values_in
from consult.records.errors import Damaged, NoKey
from consult.records.kept import CallStatus, Versions, escaped, from_utc, unescaped, utc
from consult.records.place import RECOVERY, home_path, write_in_place

if TYPE_CHECKING:
    from collections.abc import Sequence

    from consult.records.encryption import Seal

SUFFIX, CLAIMED, LOCKED = ".recovery", ".merging", ".locked"
"""A call not in the records yet, one being put there, one of which only health is missing there
because it was encrypted with another key."""
_FORM = 1


@dataclass(frozen=True, slots=True)
class Spilled:
    """A call that could not be put into the records."""

    name: str
    """Of its file, without the suffix; nobody's name is in it."""
    call_id: int | None
    """Its number in the records; None where it could not be begun there."""
    reference: str
    token: str
    adviser: str
    begun_at: str
    at: str
    """UTC, as the records have them."""
    today: str
    system: str
    country: str
    versions: Versions
    status: CallStatus
    summaries: tuple[str, ...]
    held: StoredParts


def spill_folders(place: str | Path) -> tuple[Path, ...]:
    """Where recovery files may be, the first that can be written is used: beside the records if
    they are a file, else in this user's folder for state."""
    state = Path(os.environ.get("CONSULT_RECOVERY") or platformdirs.user_state_dir("consult"))
    if isinstance(place, Path):
        return (home_path(place).absolute().parent / RECOVERY, state / RECOVERY)
    return (state / RECOVERY,)


def write_spill(
    folders: Sequence[Path], spilled: Spilled, seal: Seal, suffix: str = SUFFIX
) -> Path:
    """Put the call in the first folder that takes it; OSError where none does. Durable."""
    refused: OSError | None = None
    lines = [_head(spilled)]
    lines += [{"answer": _line(piece, seal)} for piece in spilled.held.answers]
    lines += [{"handled": _line(piece, seal)} for piece in spilled.held.handled]
    text = "".join(json.dumps(line) + "\n" for line in lines)
    for folder in folders:
        path = folder / f"{spilled.name}{suffix}"
        try:
            write_in_place(path, text)
        except OSError as error:
            refused = error
            continue
        for other in folders:
            if other != folder:
                # An older state of the call that cannot be taken away is a beginning of this one.
                with suppress(OSError):
                    (other / path.name).unlink()
        return path
    assert refused is not None
    raise refused


def remove_spill(folders: Sequence[Path], name: str) -> None:
    """Take a recovery file away once the records have everything in it."""
    for folder in folders:
        for suffix in (SUFFIX, LOCKED):
            with suppress(FileNotFoundError, NotADirectoryError):
                (folder / f"{name}{suffix}").unlink()


def read_spill(path: Path, seals: Sequence[Seal]) -> tuple[Spilled, str]:
    """A recovery file, and why health is left out of it; ``Damaged`` where it is not whole."""
    trouble = ""

    def secret(line: dict[str, Any]) -> tuple[object, ...] | None:
        nonlocal trouble
        if line["health"] is None:
            return None
        body = base64.b64decode(line["health"])
        for seal in seals:
            try:
                return values_in(seal.open(body))
            except NoKey as error:
                why = str(error)
        trouble = why
        return None

    def piece(line: dict[str, Any]) -> StoredPiece:
        plain = line["plain"]
        shown = None if plain is None else tuple(_in(value) for value in plain)
        return StoredPiece(shown, secret(line), line["after"])

    try:
        head, *lines = [json.loads(line) for line in path.read_text("utf-8").splitlines()]
        if head["form"] != _FORM or head["answers"] + head["handled"] != len(lines):
            raise ValueError(path)
        answers = [piece(line["answer"]) for line in lines if "answer" in line]
        dealt = [piece(line["handled"]) for line in lines if "handled" in line]
        if head["answers"] != len(answers):
            raise ValueError(path)
        fields = {name: _in(value) for name, value in head["call"].items()}
        held = StoredParts(
            head["consent"], unescaped(head["caller_name"]), tuple(answers), tuple(dealt)
        )
        versions = Versions(**{name: _in(value) for name, value in head["versions"].items()})
        summaries = tuple(unescaped(summary) for summary in head["summaries"])
        return Spilled(**fields, versions=versions, summaries=summaries, held=held), trouble
    except (ValueError, LookupError, TypeError, AttributeError) as error:
        raise Damaged(f"The recovery file {path} is damaged and was not changed.") from error


def claim(path: Path) -> Path:
    """Rename the file, so that a screen still writing it starts another one."""
    if path.suffix in (CLAIMED, LOCKED):
        return path
    claimed = path.with_name(f"{path.stem}-{secrets.token_hex(4)}{CLAIMED}")
    path.rename(claimed)
    return claimed


def _head(spilled: Spilled) -> dict[str, Any]:
    own = ("name", "call_id", "reference", "token", "adviser", "begun_at", "at", "today")
    names = (*own, "system", "country", "status")
    held = spilled.held
    return {
        "form": _FORM,
        "call": {name: _out(getattr(spilled, name)) for name in names},
        "versions": {name: _out(value) for name, value in asdict(spilled.versions).items()},
        "summaries": [escaped(path) for path in spilled.summaries],
        "consent": held.consent,
        "caller_name": escaped(held.caller_name),
        "answers": len(held.answers),
        "handled": len(held.handled),
    }


def _line(piece: StoredPiece, seal: Seal) -> dict[str, Any]:
    secret = piece.secret and base64.b64encode(seal.close(body_of(piece.secret))).decode("ascii")
    plain = piece.plain and [_out(value) for value in piece.plain]
    return {"plain": plain, "health": secret, "after": piece.after}


def _out(value: Any) -> Any:
    return escaped(value) if isinstance(value, str) else value


def _in(value: Any) -> Any:
    return unescaped(value) if isinstance(value, str) else value


@dataclass(frozen=True, slots=True)
class Spilt:
    """A recovery file."""

    path: Path
    reference: str | None
    """Of its call; None where that cannot be read."""
    at: str
    """When it was last written, in UTC as the records have it."""
    health: int = 0
    """How many answers about health are in it."""
    summaries: tuple[Path, ...] = ()
    """Files written about its call."""
    whole: bool = True
    """Every line can be read. Of a file that is not, nothing can be taken out."""


def files_in(folders: Sequence[Path]) -> tuple[Path, ...]:
    """Every recovery file; a folder that cannot be looked into has none."""
    paths: list[Path] = []
    for folder in folders:
        with suppress(OSError):
            paths += sorted(folder.iterdir()) if folder.is_dir() else []
    return tuple(path for path in paths if path.suffix in (SUFFIX, CLAIMED, LOCKED))


def spilt_in(folders: Sequence[Path]) -> tuple[Spilt, ...]:
    """Every recovery file, looked into without the key; one just put back is left out."""
    spilts = []
    for path in files_in(folders):
        with suppress(OSError):
            spilts.append(_look(path))
    return tuple(spilts)


def take_health(spilt: Spilt) -> None:
    """Take the answers about health out of a recovery file; each leaves its place. OSError.

    The file is claimed first, so that nobody puts it back as it was while it is written anew.
    """
    path = claim(spilt.path)
    head, *rest = path.read_text("utf-8").splitlines()
    lines = [json.loads(line) for line in rest]
    for piece in (piece for line in lines for piece in _pieces(line)):
        piece["health"] = None
    write_in_place(path, "\n".join([head, *map(json.dumps, lines), ""]))


def _look(path: Path) -> Spilt:
    written = utc(datetime.fromtimestamp(path.stat().st_mtime, UTC))
    try:
        head, *rest = path.read_text("utf-8").splitlines()
        about = json.loads(head)
        reference, at = str(about["call"]["reference"]), utc(from_utc(about["call"]["at"]))
        summaries = tuple(Path(unescaped(summary)) for summary in about["summaries"])
    except (ValueError, LookupError, TypeError, AttributeError, OverflowError):
        return Spilt(path, None, written, whole=False)
    try:
        pieces = [piece for line in rest for piece in _pieces(json.loads(line))]
        health = sum(piece["health"] is not None for piece in pieces)
        whole = len(pieces) == about["answers"] + about["handled"]
    except (ValueError, LookupError, TypeError, AttributeError):
        health, whole = 0, False
    return Spilt(path, reference, at, health, summaries, whole)


def _pieces(line: dict[str, Any]) -> list[dict[str, Any]]:
    return [line[kind] for kind in ("answer", "handled") if kind in line]
