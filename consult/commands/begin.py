"""``consult begin``: create a maker's folder from options or from questions in the terminal."""

from __future__ import annotations

import sys
from argparse import ArgumentParser, Namespace
from pathlib import Path

from consult.commands.options import RUNS, flag, option
from consult.commands.outcome import Outcome, complain, sound, tell
from consult.content.begin_fields import FIELDS
from consult.durable import write_whole
from consult.paths import DRAFT, LIBRARY, home_folder, home_note
from consult.problems import CannotDoError, listed

if RUNS:
    from consult.content.begin import (
        as_meant,
        begin_folder,
        first_tree,
        is_begun,
        own_settings,
        problem_of,
        usual_setting,
    )
    from consult.content.begin_fields import SettingField
    from consult.content.price_list.export import TEMPLATE, template
    from consult.tree.folder import FITTING_FILE


def arguments(parser: ArgumentParser) -> None:
    parser.description = (
        "Make a folder of your own: settings.yaml (name, country, money, address), "
        "a first draft of the questions, a place for records, and a template for your price list. "
        "Without options it asks. From then on your commands use that folder. On a "
        "second computer, name the same folder: it is used, and nothing in it is changed."
    )
    parser.epilog = "example: consult begin ~/boyne --maker 'Boyne Seating' --country IE"
    option(parser, "folder FOLDER", "a new folder, or one begun", nargs="?")
    for one in FIELDS:
        if one.choices:
            option(parser, f"--{one.name}", one.ask, choices=one.choices)
        else:
            option(parser, f"--{one.name} {one.shown}", one.ask)
    option(
        parser,
        "--another-product NAME",
        "begin with the warning signs and contacts only, to fit something else than chairs, "
        "such as: desk",
    )
    flag(parser, "--leave", "stop using the folder; it stays as it is")


def run(options: Namespace) -> Outcome:
    """Create the folder, or use an existing one; later commands of this user use it."""
    if options.leave:
        return _leave()
    if not options.folder:
        return complain("Name the folder: consult begin ~/boyne")
    folder = Path(options.folder).expanduser().absolute()
    other = None
    if options.another_product is not None:
        other = first_tree(options.another_product)
        if other is None:
            return complain("Name the product in small letters: --another-product desk")
    given = {one.name: getattr(options, one.name) for one in FIELDS}
    given = {name: as_meant(name, value) for name, value in given.items() if value is not None}
    try:
        if is_begun(folder):
            return _join(folder, given)
        if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
            return complain(f"{folder} is not empty. Name a new folder.")
        said = _asked(given) if sys.stdin.isatty() else _usual(given)
        left = begin_folder(folder, said, other)
        if other is None:
            write_whole(folder / TEMPLATE, template(said["currency"]).encode(), mode=0o644)
        _note(folder)
    except OSError as error:
        return complain(f"{error.filename or folder}: {error.strerror or 'it cannot be written'}.")
    tell(f"{said['maker']} has a folder: {folder}")
    tell(*(f"To do: {sentence}" for sentence in left))
    first = f"Fill in {folder / TEMPLATE}, then: consult range import {folder / TEMPLATE}"
    if other is not None:
        draft = folder / LIBRARY / DRAFT
        first = f"Write {draft / FITTING_FILE} and go on with {other[0]}, as GUIDE.md tells"
    tell(
        "It is in use from now on. What is next:\n"
        f"  1. {first}\n"
        "  2. consult check\n"
        "  3. consult publish --reason 'Our own range'\n"
        "  4. consult call"
    )
    return Outcome.DONE


def _join(folder: Path, given: dict[str, str]) -> Outcome:
    if given:
        return complain(
            f"{folder} exists already. Change its settings.yaml instead of giving options."
        )
    settings = sound(*own_settings(folder))
    _note(folder)
    tell(f"The folder of {settings.maker} is in use from now on: {folder}")
    return Outcome.DONE


def _leave() -> Outcome:
    folder = home_folder()
    home_note().unlink(missing_ok=True)
    if folder is None:
        return complain("No folder is in use.")
    tell(f"{folder} is not in use any more; it stays as it is.")
    return Outcome.DONE


def _note(folder: Path) -> None:
    """Store which folder this user's commands use."""
    home_note().parent.mkdir(parents=True, exist_ok=True)
    write_whole(home_note(), f"{folder}\n".encode())


def _usual(given: dict[str, str]) -> dict[str, str]:
    """The settings from options and defaults."""
    said = dict(given)
    for one in FIELDS:
        said.setdefault(one.name, usual_setting(one.name, said))
    missing = [f"--{one.name}" for one in FIELDS if one.needed and not said[one.name]]
    if missing:
        raise CannotDoError(
            f"Give {listed(missing)} as well, or run it in a terminal: there it asks."
        )
    if wrong := " ".join(filter(None, (_wrong(one, said[one.name]) for one in FIELDS))):
        raise CannotDoError(wrong)
    return said


def _asked(given: dict[str, str]) -> dict[str, str]:
    """The same, asking for what no option gives; Enter takes the default in brackets."""
    said = dict(given)
    for one in FIELDS:
        if one.name in given:
            if told := _wrong(one, given[one.name]):
                raise CannotDoError(told)
            continue
        default = usual_setting(one.name, said)
        choices = f" ({' or '.join(one.choices)})" if one.choices else ""
        hint = f" [{default}]" if default else "" if one.needed else " [none]"
        while one.name not in said:
            print(f"{one.ask}{choices}{hint}:", end=" ", flush=True)
            line = sys.stdin.readline()
            if not line:
                raise CannotDoError("Stopped. Nothing was created.")
            answer = as_meant(one.name, line.strip() or default)
            if told := _wrong(one, answer):
                tell(told)
            elif answer or not one.needed:
                said[one.name] = answer
    return said


def _wrong(one: SettingField, value: str) -> str:
    """What is wrong with an answer and what would be right; '' if it is valid."""
    problem = problem_of(one.name, value) if value else None
    return f"{one.name}: {problem.message} {problem.fix}".strip() if problem else ""
