"""The arguments of ``consult records``."""

from __future__ import annotations

import argparse
from collections.abc import Callable

from consult.call.closing_lines import BECAUSE, CAME
from consult.commands.options import (
    MOST_DAYS,
    day,
    form_option,
    paper_options,
    whole_type,
)
from consult.records.kept import STATUSES

_PLACE = "file or postgresql:// address of the records (else CONSULT_RECORDS, else this user's own)"
_REF = "reference of a call, e.g. 7K3-M2Q"
PARTS = ("seat", "gas_lift", "back", "lumbar", "arms", "castors", "base")
"""Kinds of parts; ``range.parts.CHAIR_KINDS``, which loads too much here."""
MEASURED = ("popliteal_height", "buttock_popliteal_length", "elbow_rest_height")
"""``call.follow_up.MEASURED_BY_CALLERS``, likewise."""
_MOST_CALLS = 1_000_000


def arguments(parser: argparse.ArgumentParser) -> None:
    """Every ``consult records ACTION``."""
    parser.epilog = "example: consult records list --from 2026-11-01"
    # Suppressed here and below, so that a place named earlier on the line stands.
    parser.add_argument("--records", default=argparse.SUPPRESS, metavar="PLACE", help=_PLACE)
    actions = parser.add_subparsers(dest="action", title="actions", metavar="ACTION", required=True)

    def add(name: str, does: str, example: str, more: str = "") -> argparse.ArgumentParser:
        action = actions.add_parser(
            name,
            help=does,
            description=f"{does[0].upper()}{does[1:]}. {more}".strip(),
            epilog=f"example: consult records {example}",
        )
        action.add_argument("--records", default=argparse.SUPPRESS, metavar="PLACE", help=_PLACE)
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
    found = add("list", "list calls, the newest first", "list --from 2026-11-01 --status held")
    _days(found)
    found.add_argument("--status", choices=STATUSES, help="only calls with this status")
    _limit(found)
    _json(found)

    found = add("find", "find calls by name or reference", 'find "ada fen"')
    found.add_argument("text", metavar="TEXT", help="first letters of the name, or the reference")
    _limit(found)
    _json(found)

    found = add("show", "show everything stored about a call", "show 7K3-M2Q")
    found.add_argument("reference", metavar="REF", help=_REF)
    _json(found)

    found = add(
        "document",
        "write a document of a call: the summary, or one for another reader",
        "document 7K3-M2Q --form pdf --for employer --out ada.pdf",
    )
    found.add_argument("references", nargs="+", metavar="REF", help=_REF)
    form_option(found, "--form", "text if left out", "text")
    paper_options(found)

    found = add(
        "orders",
        "write every agreed order into a folder that another system watches",
        "orders --to /shared/orders",
        "Each order is one file, named by its reference and written once, even if it is moved "
        "later. An order on hold waits until it is released. Run it as often as you like.",
    )
    found.add_argument("--to", required=True, metavar="FOLDER", help="an existing folder")
    found.add_argument(
        "--days",
        type=whole_type("days", MOST_DAYS),
        default=60,
        help="calls of the last DAYS days (60)",
    )
    found.add_argument("--form", choices=("json", "csv"), default="json", help="json if left out")

    found = add(
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
    found.add_argument("references", nargs="*", metavar="REF", help=f"{_REF}; all calls if none")
    found.add_argument("--format", choices=("json", "csv", "chairs", "yaml"), required=True)
    found.add_argument(
        "--decimal",
        choices=("point", "comma"),
        default="point",
        help="of numbers in csv and chairs; with comma, semicolons part the cells (point)",
    )
    found.add_argument(
        "--out", metavar="PATH", required=True, help="file to write; only you can read it"
    )
    found.add_argument("--without-health", action="store_true", help="leave health answers out")
    found.add_argument("--force", action="store_true", help="overwrite an existing file")

    found = add(
        "demo",
        "make a demo call of your own folder from a stored call, for consult check to run",
        "demo 7K3-M2Q --name short_caller",
        "Names, contacts, free text, notes and answers about health are left out. What comes out "
        "today is what must come out from then on.",
    )
    found.add_argument("reference", metavar="REF", help=_REF)
    found.add_argument("--name", required=True, metavar="NAME", help="of the file: short_caller")

    found = add(
        "report",
        "report figures of all calls, without personal data",
        "report --from 2026-11-01 --to 2026-11-30",
        'Counts below 5 are shown as "fewer than 5", so that no caller can be recognised.',
    )
    _days(found)
    tree = "question tree (seating.yaml if left out)"
    found.add_argument("--tree", default=argparse.SUPPRESS, metavar="FILE", help=tree)
    _json(found)

    found = add(
        "outcomes",
        "compare the odds that calls ended with and what came of the chairs",
        "outcomes --from 2026-11-01 --out outcomes.html",
        "Groups of fewer than 5 calls are not shown apart, and an adviser only if they agreed: see "
        "consult records own-figures.",
    )
    _days(found)
    found.add_argument("--out", metavar="FILE", help="write a page (HTML) with plots instead")
    found.add_argument("--force", action="store_true", help="overwrite an existing file")
    _json(found)


def _afterwards(add: _Add) -> None:
    noted = add(
        "outcome",
        "store what came of the chair of a call, if no follow-up call says so",
        "outcome 7K3-M2Q exchanged --part gas_lift --because fault",
        "A figure that was off is given as FIGURE=MM: seat_height=-15 should have been 15 mm "
        "lower. Of several outcomes of one chair the last counts. Write nothing about health.",
    )
    noted.add_argument("reference", metavar="REF", help=_REF)
    noted.add_argument("came", choices=[one.replace("_", "-") for one in CAME])
    noted.add_argument(
        "--part", action="append", default=[], choices=PARTS, help="part exchanged; may be repeated"
    )
    noted.add_argument(
        "--because", choices=BECAUSE, help="it does not fit, a part is faulty, or something else"
    )
    noted.add_argument(
        "--off", action="append", default=[], metavar="FIGURE=MM", help="a figure that was off"
    )
    noted.add_argument("--blame", default="", choices=MEASURED, help="the body measure behind that")

    learned = add(
        "learn",
        "propose values from your own calls, and accept or take back one",
        "learn --accept time.lower_leg --by Ann",
        "Calls are looked at when 50, 100, 200, 400 and so on are finished. Nothing is changed "
        "before it is accepted.",
    )
    learned.add_argument(
        "--accept", action="append", default=[], metavar="NAME", help="a value that is proposed"
    )
    learned.add_argument(
        "--take-back", action="append", default=[], metavar="NAME", help="a value accepted before"
    )
    learned.add_argument(
        "--by", default="", metavar="NAME", help="who accepts or takes back (else CONSULT_ADVISER)"
    )
    learned.add_argument(
        "--effect",
        action="store_true",
        help="run simulated callers with and without the proposals",
    )
    tree = "question tree (seating.yaml if left out)"
    learned.add_argument("--tree", default=argparse.SUPPRESS, metavar="FILE", help=tree)
    _json(learned)

    own = add(
        "own-figures",
        "agree to figures of your own in the outcomes, or no longer",
        "own-figures agree --adviser Ann",
    )
    own.add_argument("answer", choices=("agree", "withdraw", "show"))
    own.add_argument("--adviser", metavar="NAME", help="(else CONSULT_ADVISER)")


def _taking_away(add: _Add) -> None:
    gone = add(
        "delete",
        "delete a call for good, with the documents written from it",
        "delete 7K3-M2Q",
        "It stays in backups and exports made earlier.",
    )
    gone.add_argument("reference", metavar="REF", help=_REF)
    gone.add_argument("--yes", action="store_true", help="do not ask for the reference again")

    gone = add(
        "purge",
        "delete old calls, and health answers sooner",
        "purge --dry-run",
        "The age of a call counts from the last change to it. Calls in recovery files are "
        "included.",
    )
    gone.add_argument(
        "--days", type=whole_type("days", MOST_DAYS), help="(CONSULT_RETENTION_DAYS, else 365)"
    )
    gone.add_argument(
        "--health-days", type=whole_type("days", MOST_DAYS), help="(CONSULT_HEALTH_DAYS, else 90)"
    )
    gone.add_argument("--dry-run", action="store_true", help="only show what would be deleted")
    gone.add_argument(
        "--yes",
        action="store_true",
        help=(
            "do not ask, even if over a quarter of the calls would be deleted or the clock "
            "seems wrong"
        ),
    )


def _care(add: _Add) -> None:
    kept = add("backup", "back up the records; calls can continue", "backup records-monday.db")
    kept.add_argument("path", metavar="PATH", help="a new file")

    kept = add(
        "nightly",
        "write a dated, checked copy of the records, and delete the oldest",
        "nightly --to /safe/consult --keep 14",
        "For a file and for PostgreSQL. Run it every night, and purge after it.",
    )
    kept.add_argument("--to", required=True, metavar="FOLDER", help="an existing folder")
    kept.add_argument(
        "--keep", type=whole_type("copies", 10_000), default=14, help="copies that stay (14)"
    )

    kept = add(
        "restore",
        "restore a backup",
        "restore records-monday.db",
        "The present records are moved to a file beside it. Close every call screen first. On "
        "PostgreSQL a backup goes into a database without calls.",
    )
    kept.add_argument("path", metavar="PATH", help="the backup")
    kept.add_argument("--yes", action="store_true", help="do not ask")

    add("check", "check that every call is intact, and report unfinished work", "check")
    add("where", "show where calls are stored, and how", "where")

    kept = add(
        "change-key",
        "encrypt the stored health answers with another key",
        "change-key --to new.key",
        "The present key comes from CONSULT_KEY or CONSULT_KEY_FILE. If it is interrupted, the "
        "records have either the old key or the new one.",
    )
    kept.add_argument(
        "--to", metavar="FILE", required=True, help="file of the new key; made if it does not exist"
    )
    kept.add_argument(
        "--old-lost",
        action="store_true",
        help="the present key is lost: delete the health answers, which nobody can read",
    )
    kept.add_argument("--yes", action="store_true", help="do not ask")

    kept = add(
        "recover",
        "add waiting recovery files to the records",
        "recover --key-file old.key",
        "consult call does this when it starts. Use this command for health answers encrypted "
        "with another key.",
    )
    kept.add_argument(
        "--key-file",
        metavar="FILE",
        action="append",
        default=[],
        help="file of a key for their health answers; may be repeated",
    )


def _days(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--from", dest="since", type=day, metavar="DAY", help="first day of calls")
    parser.add_argument("--to", dest="until", type=day, metavar="DAY", help="last day of calls")


def _limit(parser: argparse.ArgumentParser) -> None:
    kind = whole_type("calls", _MOST_CALLS)
    parser.add_argument("--limit", type=kind, default=50, metavar="N", help="longest list (50)")


def _json(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--json", action="store_true", help="write JSON")
