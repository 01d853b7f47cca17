"""The arguments of ``consult records``."""

from __future__ import annotations

import argparse
from collections.abc import Callable

from consult.call.closing_lines import BECAUSE, CAME_IN_WORDS
from consult.commands.options import (
    day,
    either_side,
    flag,
    option,
    paper_options,
    repeated,
    whole_type,
)
from consult.records.kept import STATUSES
from consult.summary import FORMS

_PLACE = "file or postgresql:// address of the records (else CONSULT_RECORDS, else this user's own)"
_REF = "reference of a call, e.g. 7K3-M2Q"
_PARTS = ("seat", "gas_lift", "back", "lumbar", "arms", "castors", "base")
"""Kinds of parts; ``range.parts.CHAIR_KINDS``, which loads too much here."""
_MEASURED = ("popliteal_height", "buttock_popliteal_length", "elbow_rest_height")
"""``call.follow_up.MEASURED_BY_CALLERS``, likewise."""
_MOST_CALLS = 1_000_000


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.epilog = "example: consult records list --from 2026-11-01"
    either_side(parser, "--records PLACE", _PLACE)
    actions = parser.add_subparsers(dest="action", title="actions", metavar="ACTION", required=True)

    def add(name: str, does: str, example: str, more: str = "") -> argparse.ArgumentParser:
        action = actions.add_parser(
            name,
            help=does,
            description=f"{does[0].upper()}{does[1:]}. {more}".strip(),
            epilog=f"example: consult records {example}",
        )
        either_side(action, "--records PLACE", _PLACE)
        return action

    _reading(add)
    _afterwards(add)
    _taking_away(add)
    _care(add)
    # Earlier names, so that scripts go on working; not in the help.
    for old, new in (("erase", "delete"), ("paper", "document")):
        actions.choices[new].set_defaults(action=new)
        actions.choices[old] = actions.choices[new]


_Add = Callable[..., argparse.ArgumentParser]


def _reading(add: _Add) -> None:
    parser = add("list", "list calls, the newest first", "list --from 2026-11-01 --status held")
    _days(parser)
    option(parser, "--status", "only calls with this status", choices=STATUSES)
    _limit(parser)
    flag(parser, "--json", "write JSON")

    parser = add("find", "find calls by name or reference", 'find "ada fen"')
    option(parser, "text TEXT", "first letters of the name, or the reference")
    _limit(parser)
    flag(parser, "--json", "write JSON")

    parser = add("show", "show everything stored about a call", "show 7K3-M2Q")
    option(parser, "reference REF", _REF)
    flag(parser, "--json", "write JSON")

    parser = add(
        "document",
        "write a document of a call: the summary, or one for another reader",
        "document 7K3-M2Q --form pdf --for employer --out ada.pdf",
    )
    option(parser, "references REF", _REF, nargs="+")
    option(parser, "--form", "text if left out", choices=FORMS, default="text")
    paper_options(parser)

    parser = add(
        "orders",
        "write every agreed order into a folder that another system watches",
        "orders --to /shared/orders",
        "Each order is one file, named by its reference and written once, even if it is moved "
        "later. An order on hold waits until it is released. Run it as often as you like.",
    )
    option(parser, "--to FOLDER", "an existing folder", required=True)
    option(parser, "--days", "calls of the last DAYS days (60)", type=whole_type(), default=60)
    option(parser, "--form", "json if left out", choices=("json", "csv"), default="json")

    parser = add(
        "export",
        "write calls to a file",
        "export 7K3-M2Q --format yaml --out call.yaml",
        "json is exact. csv has one row for each answer, chairs one for each call, with codes and "
        "prices: a cell that a spreadsheet could read "
        "as a formula, or that begins with an apostrophe, gets an apostrophe in front, and "
        "control characters are replaced by visible ones. yaml writes call files for "
        "consult replay; for several calls, --out is a folder, and all are safely on the disk "
        "when the command ends.",
    )
    option(parser, "references REF", f"{_REF}; all calls if none", nargs="*")
    parser.add_argument("--format", choices=("json", "csv", "chairs", "yaml"), required=True)
    option(
        parser,
        "--decimal",
        "of numbers in csv and chairs; with comma, semicolons part the cells (point)",
        choices=("point", "comma"),
        default="point",
    )
    option(parser, "--out PATH", "file to write; only you can read it", required=True)
    flag(parser, "--without-health", "leave health answers out")
    flag(parser, "--force", "overwrite an existing file")

    parser = add(
        "demo",
        "make a demo call of your own folder from a stored call, for consult check to run",
        "demo 7K3-M2Q --name short_caller",
        "Names, contacts, free text, notes and answers about health are left out. What comes out "
        "today is what must come out from then on.",
    )
    option(parser, "reference REF", _REF)
    option(parser, "--name NAME", "of the file: short_caller", required=True)

    parser = add(
        "report",
        "report figures of all calls, without personal data",
        "report --from 2026-11-01 --to 2026-11-30",
        'Counts below 5 are shown as "fewer than 5", so that no caller can be recognised.',
    )
    _days(parser)
    tree = "question tree (seating.yaml if left out)"
    either_side(parser, "--tree FILE", tree)
    flag(parser, "--json", "write JSON")

    parser = add(
        "outcomes",
        "compare the odds that calls ended with and what came of the chairs",
        "outcomes --from 2026-11-01 --out outcomes.html",
        "Groups of fewer than 5 calls are not shown apart, and an adviser only if they agreed: see "
        "consult records own-figures.",
    )
    _days(parser)
    option(parser, "--out FILE", "write a page (HTML) with plots instead")
    flag(parser, "--force", "overwrite an existing file")
    flag(parser, "--json", "write JSON")


def _afterwards(add: _Add) -> None:
    noted = add(
        "outcome",
        "store what came of the chair of a call, if no follow-up call says so",
        "outcome 7K3-M2Q exchanged --part gas_lift --because fault",
        "A figure that was off is given as FIGURE=MM: seat_height=-15 should have been 15 mm "
        "lower. Of several outcomes of one chair the last counts. Write nothing about health.",
    )
    option(noted, "reference REF", _REF)
    noted.add_argument("came", choices=[outcome.replace("_", "-") for outcome in CAME_IN_WORDS])
    repeated(noted, "--part", "part exchanged; may be repeated", choices=_PARTS)
    option(
        noted, "--because", "it does not fit, a part is faulty, or something else", choices=BECAUSE
    )
    repeated(noted, "--off FIGURE=MM", "a figure that was off")
    option(noted, "--blame", "the body measure behind that", default="", choices=_MEASURED)

    learned = add(
        "learn",
        "propose values from your own calls, and accept or take back one",
        "learn --accept time.lower_leg --by Ann",
        "Calls are looked at when 50, 100, 200, 400 and so on are finished. Nothing is changed "
        "before it is accepted.",
    )
    repeated(learned, "--accept NAME", "a value that is proposed")
    repeated(learned, "--take-back NAME", "a value accepted before")
    option(learned, "--by NAME", "who accepts or takes back (else CONSULT_ADVISER)", default="")
    flag(learned, "--effect", "run simulated callers with and without the proposals")
    tree = "question tree (seating.yaml if left out)"
    either_side(learned, "--tree FILE", tree)
    flag(learned, "--json", "write JSON")

    own = add(
        "own-figures",
        "agree to figures of your own in the outcomes, or no longer",
        "own-figures agree --adviser Ann",
    )
    own.add_argument("answer", choices=("agree", "withdraw", "show"))
    option(own, "--adviser NAME", "(else CONSULT_ADVISER)")


def _taking_away(add: _Add) -> None:
    gone = add(
        "delete",
        "delete a call for good, with the documents written from it",
        "delete 7K3-M2Q",
        "It stays in backups and exports made earlier.",
    )
    option(gone, "reference REF", _REF)
    flag(gone, "--yes", "do not ask for the reference again")

    gone = add(
        "purge",
        "delete old calls, and health answers sooner",
        "purge --dry-run",
        "The age of a call counts from the last change to it. Calls in recovery files are "
        "included.",
    )
    option(gone, "--days", "(CONSULT_RETENTION_DAYS, else 365)", type=whole_type())
    option(gone, "--health-days", "(CONSULT_HEALTH_DAYS, else 90)", type=whole_type())
    flag(gone, "--dry-run", "only show what would be deleted")
    flag(
        gone,
        "--yes",
        "do not ask, even if over a quarter of the calls would be deleted or the clock seems wrong",
    )


def _care(add: _Add) -> None:
    kept = add("backup", "back up the records; calls can continue", "backup records-monday.db")
    option(kept, "path PATH", "a new file")

    kept = add(
        "nightly",
        "write a dated, checked copy of the records, and delete the oldest",
        "nightly --to /safe/consult --keep 14",
        "For a file and for PostgreSQL. Run it every night, and purge after it.",
    )
    option(kept, "--to FOLDER", "an existing folder", required=True)
    option(kept, "--keep", "copies that stay (14)", type=whole_type("copies", 10_000), default=14)

    kept = add(
        "restore",
        "restore a backup",
        "restore records-monday.db",
        "The present records are moved to a file beside it. Close every call screen first. On "
        "PostgreSQL a backup goes into a database without calls.",
    )
    option(kept, "path PATH", "the backup")
    flag(kept, "--yes", "do not ask")

    add("check", "check that every call is intact, and report unfinished work", "check")
    add("where", "show where calls are stored, and how", "where")

    kept = add(
        "change-key",
        "encrypt the stored health answers with another key",
        "change-key --to new.key",
        "The present key comes from CONSULT_KEY or CONSULT_KEY_FILE. If it is interrupted, the "
        "records have either the old key or the new one.",
    )
    option(kept, "--to FILE", "file of the new key; made if it does not exist", required=True)
    flag(
        kept,
        "--old-lost",
        "the present key is lost: delete the health answers, which nobody can read",
    )
    flag(kept, "--yes", "do not ask")

    kept = add(
        "recover",
        "add waiting recovery files to the records",
        "recover --key-file old.key",
        "consult call does this when it starts. Use this command for health answers encrypted "
        "with another key.",
    )
    repeated(kept, "--key-file FILE", "file of a key for their health answers; may be repeated")


def _days(parser: argparse.ArgumentParser) -> None:
    option(parser, "--from DAY", "first day of calls", dest="since", type=day)
    option(parser, "--to DAY", "last day of calls", dest="until", type=day)


def _limit(parser: argparse.ArgumentParser) -> None:
    kind = whole_type("calls", _MOST_CALLS)
    option(parser, "--limit N", "longest list (50)", type=kind, default=50)
