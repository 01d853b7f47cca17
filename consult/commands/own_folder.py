"""A maker's own folder: begun from options or questions in the terminal (``consult begin``), and
its price list read into the draft, or written from a range (``consult range``)."""

from __future__ import annotations

import re
import sys
from argparse import ArgumentParser, Namespace
from pathlib import Path

from consult.commands.options import CALLERS, RUNS, flag, option
from consult.commands.outcome import (
    Outcome,
    Progress,
    complain,
    number_of,
    print_problems,
    sound,
    tell,
)
from consult.content.begin_fields import SETTING_FIELDS
from consult.durable import read_file, write_whole
from consult.paths import DRAFT, LIBRARY, home_folder, home_note, main_tree_of, trees_folder
from consult.problems import CannotDoError, listed

if RUNS:
    from consult.body.population import load_population
    from consult.call.basis import RANGE_FILE, load_basis
    from consult.call.fitted import declares
    from consult.commands import clock
    from consult.commands.installation import write_out
    from consult.content import begin
    from consult.content.begin_fields import SettingField
    from consult.content.callers.report import trial_words, tried
    from consult.content.callers.simulation import CallerSource
    from consult.content.library.library import draft_folder, the_library
    from consult.content.price_list.columns import SECTION_OF, guide
    from consult.content.price_list.export import (
        TEMPLATE,
        into_product,
        price_list,
        product_guide,
        product_list,
        template,
    )
    from consult.content.price_list.reading import Head, PriceList, read_price_list
    from consult.picture.photo import MOST_BYTES, photo_of
    from consult.range.chairs import chairs_of
    from consult.range.file import load_range
    from consult.range.fitting_file import load_fitting
    from consult.range.model import Range
    from consult.sentence import of_thing
    from consult.tree import shares
    from consult.tree.folder import FITTING_FILE
    from consult.tree.settings import Settings, settings_of


def begin_arguments(parser: ArgumentParser) -> None:
    parser.description = (
        "Make a folder of your own: settings.yaml (name, country, money, address), "
        "a first draft of the questions, a place for records, and a template for your price list. "
        "Without options it asks. From then on your commands use that folder. On a "
        "second computer, name the same folder: it is used, and nothing in it is changed."
    )
    parser.epilog = "example: consult begin ~/boyne --maker 'Boyne Seating' --country IE"
    option(parser, "folder FOLDER", "a new folder, or one begun", nargs="?")
    for field in SETTING_FIELDS:
        if field.choices:
            option(parser, f"--{field.name}", field.ask, choices=field.choices)
        else:
            option(parser, f"--{field.name} {field.shown}", field.ask)
    option(
        parser,
        "--another-product NAME",
        "begin with the warning signs and contacts only, to fit something else than chairs, "
        "such as: desk",
    )
    flag(parser, "--leave", "stop using the folder; it stays as it is")


def begin_own(options: Namespace) -> Outcome:
    """Create the folder, or use an existing one; later commands of this user use it."""
    if options.leave:
        return _leave()
    if not options.folder:
        return complain("Name the folder: consult begin ~/boyne")
    folder = Path(options.folder).expanduser().absolute()
    first_tree = None
    if options.another_product is not None:
        first_tree = begin.first_tree(options.another_product)
        if first_tree is None:
            return complain("Name the product in small letters: --another-product desk")
    given = {field.name: getattr(options, field.name) for field in SETTING_FIELDS}
    given = {
        name: begin.as_meant(name, value) for name, value in given.items() if value is not None
    }
    try:
        if begin.is_begun(folder):
            return _join(folder, given)
        if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
            return complain(f"{folder} is not empty. Name a new folder.")
        settings = _asked(given) if sys.stdin.isatty() else _usual(given)
        left = begin.begin_folder(folder, settings, first_tree)
        if first_tree is None:
            write_whole(folder / TEMPLATE, template(settings["currency"]).encode(), mode=0o644)
        _note(folder)
    except OSError as error:
        return complain(f"{error.filename or folder}: {error.strerror or 'it cannot be written'}.")
    tell(f"{settings['maker']} has a folder: {folder}")
    tell(*(f"To do: {sentence}" for sentence in left))
    first = f"Fill in {folder / TEMPLATE}, then: consult range import {folder / TEMPLATE}"
    if first_tree is not None:
        draft = folder / LIBRARY / DRAFT
        first = f"Write {draft / FITTING_FILE} and go on with {first_tree[0]}, as GUIDE.md tells"
    return tell(
        "It is in use from now on. What is next:\n"
        f"  1. {first}\n"
        "  2. consult check\n"
        "  3. consult publish --reason 'Our own range'\n"
        "  4. consult call"
    )


def _join(folder: Path, given: dict[str, str]) -> Outcome:
    if given:
        return complain(
            f"{folder} exists already. Change its settings.yaml instead of giving options."
        )
    settings = sound(*begin.own_settings(folder))
    _note(folder)
    return tell(f"The folder of {settings.maker} is in use from now on: {folder}")


def _leave() -> Outcome:
    folder = home_folder()
    home_note().unlink(missing_ok=True)
    if folder is None:
        return complain("No folder is in use.")
    return tell(f"{folder} is not in use any more; it stays as it is.")


def _note(folder: Path) -> None:
    """Store which folder this user's commands use."""
    home_note().parent.mkdir(parents=True, exist_ok=True)
    write_whole(home_note(), f"{folder}\n".encode())


def _usual(given: dict[str, str]) -> dict[str, str]:
    """The settings from options and defaults."""
    settings = dict(given)
    for field in SETTING_FIELDS:
        settings.setdefault(field.name, begin.usual_setting(field.name, settings))
    missing = [
        f"--{field.name}" for field in SETTING_FIELDS if field.needed and not settings[field.name]
    ]
    if missing:
        raise CannotDoError(
            f"Give {listed(missing)} as well, or run it in a terminal: there it asks."
        )
    if wrong := " ".join(
        filter(None, (_wrong(field, settings[field.name]) for field in SETTING_FIELDS))
    ):
        raise CannotDoError(wrong)
    return settings


def _asked(given: dict[str, str]) -> dict[str, str]:
    """The same, asking for what no option gives; Enter takes the default in brackets."""
    settings = dict(given)
    for field in SETTING_FIELDS:
        if field.name in given:
            if wrong := _wrong(field, given[field.name]):
                raise CannotDoError(wrong)
            continue
        default = begin.usual_setting(field.name, settings)
        choices = f" ({' or '.join(field.choices)})" if field.choices else ""
        hint = f" [{default}]" if default else "" if field.needed else " [none]"
        while field.name not in settings:
            print(f"{field.ask}{choices}{hint}:", end=" ", flush=True)
            line = sys.stdin.readline()
            if not line:
                raise CannotDoError("Stopped. Nothing was created.")
            answer = begin.as_meant(field.name, line.strip() or default)
            if wrong := _wrong(field, answer):
                tell(wrong)
            elif answer or not field.needed:
                settings[field.name] = answer
    return settings


def _wrong(field: SettingField, value: str) -> str:
    """What is wrong with an answer and what would be right; '' if it is valid."""
    problem = begin.problem_of(field.name, value) if value else None
    return f"{field.name}: {problem.message} {problem.fix}".strip() if problem else ""


# -- ``consult range``: a price list read into the draft, or written from a range -----------------

_MOST = 5_000_000
"""Bytes of a price list."""
_SEED = 1


def range_arguments(parser: ArgumentParser) -> None:
    parser.description = (
        "Bring in your price list from a spreadsheet (CSV), or write the range as one."
    )
    parser.epilog = "example: consult range import prices.csv --dry-run"
    actions = parser.add_subparsers(dest="action", metavar="ACTION", required=True)
    read = actions.add_parser(
        "import",
        help="read a price list into the draft",
        description="Read a price list into range.yaml of the draft. Every mistake is listed at "
        "once as file:row:column, and nothing is written then. At the end the range is tried on "
        "simulated callers: which parts nobody gets, and for whom no chair remains.",
        epilog="example: consult range import prices.csv --dry-run",
    )
    option(read, "file PRICES.csv", "see: consult range columns")
    flag(read, "--dry-run", "tell all, and write nothing")
    option(
        read,
        "--callers N",
        f"simulated callers to try it on, 0 for none ({CALLERS})",
        type=int,
        default=CALLERS,
    )
    write = actions.add_parser(
        "export",
        help="write the range as a price list",
        description="Write the range in use, or that of the draft, as a price list that can be "
        "changed and imported again.",
        epilog="example: consult range export --out prices.csv --decimal comma",
    )
    flag(write, "--draft", "of the draft, not of what is in use")
    option(write, "--decimal", "point", choices=("point", "comma"), default="point")
    option(write, "--out FILE", "write it there")
    empty = actions.add_parser("template", help="write a price list to fill in, with examples")
    option(empty, "--out FILE", "write it there")
    actions.add_parser("columns", help="what each column of a price list holds")


def bring_prices(options: Namespace) -> Outcome:
    try:
        match options.action:
            case "import":
                return _import(options)
            case "export":
                return _export(options)
            case "template" if _product_in(trees_folder()):
                # Its parts show how each is written.
                options.draft, options.decimal = False, "point"
                return _export(options)
            case "template":
                return _write(template(settings_of(trees_folder()).currency or "EUR"), options.out)
            case _:
                product = _product_in(trees_folder())
                print(product_guide(product) if product else guide())
                return Outcome.DONE
    except OSError as error:
        return complain(f"{error.filename or 'A file'}: {error.strerror or error}.")


def _import(options: Namespace) -> Outcome:
    file = Path(options.file).expanduser()
    content = read_file(file, _MOST)
    # A dry run begins no draft: without one it is tried beside the questions in use.
    dry = options.dry_run and not the_library().draft.is_dir()
    draft = trees_folder() if dry else draft_folder()
    product = _product_in(draft)
    if product is not None:
        prices = into_product(file, content, product)
    else:
        prices = read_price_list(file, content, _head(settings_of(draft), draft))
    print_problems(prices.problems, to_stderr=False)
    if prices.range is None:
        wrong = sum(problem.severity == "error" for problem in prices.problems)
        print(f"{number_of(wrong, 'mistake')} in {number_of(prices.rows, 'row')}: nothing written.")
        return Outcome.FAILED
    counts = [
        number_of(len(parts), SECTION_OF.get(kind, kind).removesuffix("s").replace("_", " "))
        for kind, parts in prices.range.parts.items()
        if parts
    ]
    range_, into = prices.range, product or draft / RANGE_FILE
    made = sum(1 for _ in range_.products()) if product else len(chairs_of(range_).index)
    parts = f"{number_of(prices.rows, 'part')} ({', '.join(counts)})"
    print(f"{parts} make {made:,} {range_.thing}s.")
    if options.callers > 0:
        _try(prices, into, options.callers)
    if options.dry_run:
        return tell("Nothing was written.")
    write_whole(into, prices.text.encode(), mode=0o644)
    _copy_photos(range_, file.parent, draft)
    tell(f"Written into the draft: {into}")
    return tell("Calls use it once it is published: consult publish --reason 'New prices'")


def _product_in(folder: Path) -> Path | None:
    """The file that declares another product than chairs, where the folder is of one."""
    main = folder / main_tree_of(folder)
    return folder / FITTING_FILE if main.is_file() and declares(main) else None


def _copy_photos(range_: Range, source: Path, draft: Path) -> None:
    """Put the photographs that stand beside the list beside the range; broken ones were told."""
    names = {part.photo for of_kind in range_.parts.values() for part in of_kind if part.photo}
    for name in sorted(names):
        if photo_of(source, name) is not None:
            write_whole(draft / name, read_file(source / name, MOST_BYTES), mode=0o644)


def _head(settings: Settings, draft: Path) -> Head:
    """What the range is called: as in the draft, else by the settings."""
    old = load_range(draft / RANGE_FILE)[0] if (draft / RANGE_FILE).is_file() else None
    maker = settings.maker or (old.maker if old else "Our firm")
    slug = re.sub(r"[^a-z0-9]+", "_", maker.lower()).strip("_")
    name = slug if re.match(r"[a-z]", slug) else f"range_{slug}".rstrip("_")
    currency = settings.currency or (old.currency if old else "EUR")
    vat = {True: "included", False: "excluded", None: old.vat if old else ""}[settings.with_tax]
    return Head(name[:60], maker, f"{clock.today():%Y.%m.%d}", currency, vat)


def _try(prices: PriceList, into: Path, count: int) -> None:
    """Run simulated callers through a call with it, and say what came of it."""
    population = load_population()
    draft = into.parent
    basis, problems = load_basis(draft / main_tree_of(draft), population, {into: prices.text})
    if basis is None:
        print_problems(problems)
        return
    file = draft / shares.SHARES_FILE
    say = (shares.load_shares(file)[0] if file.is_file() else None) or shares.NO_SHARES
    source = CallerSource(say, population, _SEED, clock.today())
    with Progress(count) as progress:
        trial = tried(basis, source, count, progress.at)
    tell(*(of_thing(line, basis.thing) for line in trial_words(basis, trial)))


def _export(options: Namespace) -> Outcome:
    folder = the_library().draft if options.draft else trees_folder()
    product = _product_in(folder)
    if product is None and not (folder / RANGE_FILE).is_file():
        return complain(f"There is no {RANGE_FILE} in {folder}.")
    range_, problems = load_fitting(product) if product else load_range(folder / RANGE_FILE)
    write = product_list if product else price_list
    return _write(write(sound(range_, problems), options.decimal), options.out)


def _write(text: str, out: str | None) -> Outcome:
    if out is None:
        print(text, end="")
        return Outcome.DONE
    write_out(Path(out), text.encode())
    return Outcome.DONE
