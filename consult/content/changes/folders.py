"""What differs between two folders of trees: every main tree, then the files beside them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING

from consult.call.basis import RANGE_FILE
from consult.content.changes.trees import changes
from consult.content.changes.words import named, reworded
from consult.content.library.files import Files, read_files
from consult.content.library.main_trees import main_trees, with_version
from consult.marked.marks import parse_marked
from consult.tree.contacts import FILE as CONTACTS_FILE
from consult.tree.contacts import load_contacts
from consult.tree.load import load_tree

if TYPE_CHECKING:
    from consult.tree.model import Tree

_KNOWN = {
    RANGE_FILE: "the chairs and their prices",
    CONTACTS_FILE: "whom callers are told to contact",
}


def changed_folders(old: Path, new: Path) -> list[str]:
    """Every difference in plain words, versions aside; none where there is none.

    A tree that has errors is named, not compared. OSError where a file cannot be read.
    """
    before, after = (with_version(read_files(folder), "") for folder in (old, new))
    names = list(dict.fromkeys((*main_trees(after), *main_trees(before))))
    told: dict[str, None] = dict.fromkeys(_contacts(old / CONTACTS_FILE, new / CONTACTS_FILE))
    for name in names:
        told.update(dict.fromkeys(_tree(old / name, new / name)))
    told.update(dict.fromkeys(_files(before, after)))
    return list(told)


def changed_trees(old: Tree, new: Tree) -> list[str]:
    """The same of two trees whose versions do not matter."""
    return changes(replace(old, version=new.version), new)


def _tree(old: Path, new: Path) -> list[str]:
    if not old.is_file() or not new.is_file():
        return []
    one, other = load_tree(old).tree, load_tree(new).tree
    for path, tree in ((old, one), (new, other)):
        if tree is None:
            return [f"{old.name} cannot be compared: {path} has mistakes. See consult check."]
    assert one is not None
    assert other is not None
    return changed_trees(one, other)


def _contacts(old: Path, new: Path) -> Iterator[str]:
    """Whom callers are sent to, country by country: it comes first, with the cautions."""
    one, other = load_contacts(old)[0], load_contacts(new)[0]
    if one is None or other is None:
        return
    for country in dict.fromkeys((*one.countries, *other.countries)):
        before, after = one.countries.get(country), other.countries.get(country)
        if before is None or after is None:
            yield f"The country {country} {'is new' if after else 'was removed'} in {new.name}."
            continue
        for key in dict.fromkeys((*before, *after)):
            if before.get(key) != after.get(key):
                what = f"The contact {named(key)} of {country}"
                yield reworded(what, before.get(key, ""), after.get(key, ""))
    if one.default != other.default:
        said = f"Callers of other countries now hear the contacts of {other.default}"
        yield f"{said}; before, of {one.default}."


def _files(old: Files, new: Files) -> Iterator[str]:
    for name in sorted(old.keys() | new.keys()):
        what = _what(name)
        if name not in new:
            yield f"{what} was removed."
        elif name not in old:
            yield f"{what} is new."
        elif old[name] != new[name]:
            if _data(name, old[name]) == _data(name, new[name]) is not None:
                yield f"{what} changed only in its remarks or layout."
            else:
                yield f"{what} changed."


def _what(name: str) -> str:
    known = _KNOWN.get(name)
    if known:
        return f"The file {name}, {known},"
    return f"The {'template' if PurePosixPath(name).suffix == '.j2' else 'file'} {name}"


def _data(name: str, content: bytes) -> object:
    """What a YAML file says; None where it says nothing that can be compared."""
    if PurePosixPath(name).suffix != ".yaml":
        return None
    try:
        marked = parse_marked(content.decode("utf-8-sig"), name)[0]
    except UnicodeDecodeError:
        return None
    return marked.data if marked else None
