"""Differences between two folders of trees: every main tree, then the other files."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterable, Iterator
from dataclasses import replace
from pathlib import Path, PurePosixPath

from consult.call.basis import RANGE_FILE
from consult.content.changes.trees import changes
from consult.content.changes.words import Change, Weight, reworded
from consult.content.library.files import Files, read_files, touched_trees, with_version
from consult.content.names_in_words import quote, spaced
from consult.marked.marks import parse_marked
from consult.range.chairs import chairs_of
from consult.range.file import load_range
from consult.range.model import Range
from consult.range.parts import NO_BASE, SECTIONS, Kind
from consult.tree.contacts import ABOUT, CONTACTS_FILE, load_contacts
from consult.tree.load import load_tree
from consult.tree.model import Tree
from consult.tree.settings import SETTINGS_FILE

LoadTree = Callable[[Path], "Tree | None"]

_NO_WEIGHT = "no weight"
_KNOWN = {
    RANGE_FILE: "the chairs and their prices",
    CONTACTS_FILE: "whom callers are told to contact",
}


def changed_folders(
    old: Path, new: Path, aside: Collection[str] = (), load: LoadTree | None = None
) -> list[Change]:
    """Every difference, versions aside, what touches safety first; none where there is none.

    Pages about the trees are none of them, nor are the files named ``aside``.
    A tree that has errors is named, not compared. OSError where a file cannot be read. Whoever
    has loaded trees already says how (``load``).
    """
    before, after = (with_version(read_files(folder), "") for folder in (old, new))
    differences: dict[Change, None] = dict.fromkeys(changed_beside(old, new))
    for name in touched_trees(before, after):
        differences.update(dict.fromkeys(_tree(old / name, new / name, load or load_unfilled)))
    differences.update(dict.fromkeys(_files(_told_of(before, aside), _told_of(after, aside))))
    # Sorting keeps the order within one kind, which is that of the files.
    return sorted(differences, key=lambda change: not change.is_safety)


def changed_trees(old: Tree, new: Tree) -> list[Change]:
    """The same of two trees whose versions do not matter."""
    return changes(replace(old, version=new.version), new)


def changed_beside(old: Path, new: Path) -> Iterator[Change]:
    """What differs in safety in the files that two folders have beside their trees."""
    yield from _contacts(old / CONTACTS_FILE, new / CONTACTS_FILE)
    yield from _ratings(old / RANGE_FILE, new / RANGE_FILE)


def load_unfilled(path: Path) -> Tree | None:
    """A tree with the blanks that settings fill, so that those of two makers can be compared."""
    return load_tree(path, filled=False)[0]


def _tree(old: Path, new: Path, load: LoadTree) -> list[Change]:
    if not old.is_file() or not new.is_file():
        return []
    before, after = (load(file) for file in (old, new))
    for path, tree in ((old, before), (new, after)):
        if tree is None:
            message = f"{old.name} cannot be compared: {path} has mistakes. See consult check."
            return [Change(Weight.SAFETY, message, f"tree.{old.stem}", weaker=True)]
    assert before is not None
    assert after is not None
    return changed_trees(before, after)


def _contacts(old: Path, new: Path) -> Iterator[Change]:
    """Whom callers are sent to, country by country: it comes first, with the cautions."""
    old_contacts, new_contacts = load_contacts(old)[0], load_contacts(new)[0]
    if old_contacts is None or new_contacts is None:
        return
    for country in dict.fromkeys((*old_contacts.countries, *new_contacts.countries)):
        before, after = old_contacts.countries.get(country), new_contacts.countries.get(country)
        if before is None or after is None:
            text = f"The country {country} {'is new' if after else 'was removed'} in {new.name}."
            yield Change(Weight.SAFETY, text, f"contact.{country}", weaker=before is not None)
            continue
        for key in dict.fromkeys((*before, *after)):
            if before.get(key) != after.get(key):
                what = f"The contact {quote(key)} of {country}"
                text = reworded(what, before.get(key, ""), after.get(key, ""))
                weaker = key in before and key not in ABOUT
                yield Change(Weight.SAFETY, text, f"contact.{country}.{key}", weaker)
    for key in dict.fromkeys((*old_contacts.elsewhere, *new_contacts.elsewhere)):
        then, now = old_contacts.elsewhere.get(key, ""), new_contacts.elsewhere.get(key, "")
        if then != now:
            text = reworded(f"What {quote(key)} adds for callers elsewhere", then, now)
            yield Change(Weight.SAFETY, text, f"contact.elsewhere.{key}", weaker=bool(then))
    if old_contacts.default != new_contacts.default:
        message = f"Callers of other countries now hear the contacts of {new_contacts.default}"
        text = f"{message}; before, of {old_contacts.default}."
        yield Change(Weight.SAFETY, text, "contact.default", weaker=True)


def _ratings(old: Path, new: Path) -> Iterator[Change]:
    """How heavy a person each part may carry; a part by itself is no promise of the chair.

    Parts of another range have other codes, so what each kind of part carries is compared, too, and
    what the strongest chair does.
    """
    if not old.is_file() or not new.is_file():
        return
    old_range, new_range = load_range(old)[0], load_range(new)[0]
    if old_range is None or new_range is None:
        return
    kinds: set[Kind] = set()
    before, after = (
        {p.code: p for parts in r.parts.values() for p in parts} for r in (old_range, new_range)
    )
    for code, part in before.items():
        now = after.get(code)
        if now is None or now.rating == part.rating:
            continue
        kg = [
            f"{rated_part.rating:g} kg" if rated_part.rating else "no rating"
            for rated_part in (now, part)
        ]
        text = f"The part {code}, {part.name}, is now rated for {kg[0]}; before, for {kg[1]}."
        higher = part.rating is not None and (now.rating is None or now.rating > part.rating)
        yield Change(Weight.SAFETY, text, f"rating.{code}", weaker=higher)
        kinds.add(part.kind)
    then, now_too = _limits(old_range), _limits(new_range)
    for what, (kind, rated) in then.items():
        since = now_too.get(what, (kind, rated))[1]
        if since != rated and kind not in kinds:
            text = f"{what} now rated for {since}; before, for {rated}."
            yield Change(Weight.SAFETY, text, f"ratings.{kind or 'chair'}")


def _limits(range_: Range) -> dict[str, tuple[Kind | None, str]]:
    """What has ratings -> its kind of part, none for a whole chair, and the ratings in words."""
    limits: dict[str, tuple[Kind | None, str]] = {}
    if range_.fitting is None:
        strongest = chairs_of(range_).ratings[-1]
        words = f"{strongest:g} kg" if strongest < math.inf else _NO_WEIGHT
        limits["The strongest chair is"] = (None, words)
    for section, kind in SECTIONS.items():
        ratings = [part.rating for part in range_.on_sale(kind) if part is not NO_BASE]
        rated = sorted({rating for rating in ratings if rating is not None})
        ends = " to ".join(f"{value:g}" for value in dict.fromkeys((*rated[:1], *rated[-1:])))
        some = ", some for no weight" if None in ratings else ""
        if ratings:
            words = f"{ends} kg{some}" if rated else _NO_WEIGHT
            limits[f"The {spaced(section)} are"] = (kind, words)
    return limits


def _told_of(files: Files, aside: Collection[str]) -> Files:
    return {n: text for n, text in files.items() if n not in aside and not n.endswith(".md")}


def _files(old: Files, new: Files) -> Iterator[Change]:
    for name in sorted(old.keys() | new.keys()):
        what = _what(name)
        if name == SETTINGS_FILE and name not in new:
            # A maker's own stands above the trees, and holds for every version.
            continue
        if name not in new:
            needed = name in _KNOWN
            weight = Weight.SAFETY if needed else Weight.REST
            yield Change(weight, f"{what} was removed.", f"file.{name}" * needed, needed)
        elif name not in old:
            yield Change(Weight.REST, f"{what} is new.")
        elif old[name] != new[name]:
            if _data(name, old[name]) == _data(name, new[name]) is not None:
                yield Change(Weight.REST, f"{what} changed only in its comments or layout.")
            else:
                yield Change(Weight.REST, f"{what} changed.")


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


# -- the first lines of an impact or a publication: changes in safety and privacy -----------------

WEAKER_MARK = "!!"
"""Marks a change that may protect callers less."""


def safety_lines(changes: Iterable[Change], weaker: Iterable[str] = ()) -> list[str]:
    """Every such change, the weakenings marked; one line that says so where there is none.

    ``weaker`` names what was found weaker by other means than its text.
    """
    of_safety = [change for change in changes if change.is_safety]
    if not of_safety:
        return [
            "No changes in warning signs, cautions, contacts, privacy, consent, promises or "
            "weight ratings."
        ]
    marked = set(weaker)
    lines = ["Changes in safety and privacy:"]
    for change in of_safety:
        mark = WEAKER_MARK if change.weaker or change.about in marked else "-"
        lines.append(f"{mark} {change.text}")
    return lines
