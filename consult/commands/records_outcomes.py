"""``consult records outcomes``: compare the predicted chance of a fit with what happened."""

from __future__ import annotations

import os
import re
from argparse import Namespace
from collections.abc import Mapping
from typing import TYPE_CHECKING

from consult.body.population import load_population
from consult.call.closing_lines import ChairOutcome
from consult.call.follow_up import THINGS
from consult.call.wording import question_label
from consult.commands import clock
from consult.commands.installation import write_out
from consult.commands.outcome import Outcome, complain, number_of, tell
from consult.commands.records_report import days_json, told_count, told_part, told_shares
from consult.commands.records_text import cut, print_exact, reference_named, stretch, table
from consult.learning import outcomes
from consult.learning.comparison import FEW, OddsBand
from consult.problems import listed
from consult.records import afterwards
from consult.records.store import Store

if TYPE_CHECKING:
    from consult.content.drawing.page import Rows

_CAME = {
    "kept": "kept as it is",
    "adjusted": "kept, and adjusted",
    "exchanged": "a part exchanged",
    "returned": "returned",
    "no_answer": "no answer",
    "unknown": "nobody asked yet",
}
_BECAUSE = {"fit": "it did not fit", "fault": "a part was faulty", "other": "something else"}


def tell_outcomes(store: Store, options: Namespace) -> Outcome:
    """Print the figures of a period as lines or JSON, or write them as a page."""
    since, until = stretch(options.since, options.until)
    with afterwards.uncollected():
        result = outcomes.outcomes_of(
            afterwards.past_calls(store, since, until), afterwards.advisers_agreed(store)
        )
    if options.out:
        return _write_page(result, options)
    if options.json:
        return print_exact({**days_json(options), **figures(result)})
    return tell(*outcome_lines(result))


def figures(result: outcomes.Outcomes) -> dict[str, object]:
    """The figures that may be shown, as JSON; counts below five in words."""
    return {
        "calls": told_count(result.calls),
        "came": told_shares({**result.came, "unknown": result.calls - sum(result.came.values())}),
        "because": told_shares(result.because),
        "bands": [
            {
                "from": band.low,
                "to": band.high,
                "calls": band.calls,
                "stated": round(band.stated, 3),
                "observed": round(band.observed, 3),
                "interval": [round(end, 3) for end in band.interval],
            }
            for band in result.bands
        ],
        "told": _measured(result.told),
        "estimated": _measured(result.estimated),
        "minutes": [
            {"from": low, "to": high, "calls": count}
            for low, high, count in outcomes.coarse_minutes(result.minutes)
        ],
        "parts": _groups(result.parts),
        "exchanged": told_shares(result.exchanged),
        "advisers": _groups(result.advisers),
        "question_would_have_helped": told_shares(result.would_have_helped),
        "told_wrong": told_shares(result.told_wrong),
    }


def _measured(twices: Mapping[str, outcomes.MeasuredTwice]) -> dict[str, object]:
    return {
        name: {"calls": twice.calls, "mean_mm": round(twice.mean, 1), "sd_mm": round(twice.sd, 1)}
        for name, twice in twices.items()
        if twice.calls >= FEW
    }


def _groups(groups: Mapping[str, outcomes.OutcomeGroup]) -> dict[str, object]:
    return {
        name: {
            "calls": group.calls,
            "failed": told_part(group.failed, group.calls),
            "stated": round(group.stated, 3),
        }
        for name, group in groups.items()
    }


def outcome_lines(result: outcomes.Outcomes) -> list[str]:
    """The figures as lines of a terminal."""
    if not result.calls:
        return ["No finished call with a chair agreed on was begun in that time."]
    lines = [f"{_number(result.calls)} with a chair agreed on."]
    for title, head, rows in sections(result):
        lines += ["", title, *(f"  {line}" for line in table(head, rows))]
    if not result.bands:
        lines += ["", "Too few chairs are followed up to compare with the odds."]
    return lines


def sections(result: outcomes.Outcomes) -> list[Rows]:
    """Every table that is not empty: title, header, rows."""
    safe = figures(result)
    odds = ("Odds stated", "Calls", "Stated", "Observed", "Likely between", "")
    again = ("Measure", "Calls", "Off on average", "Spread")
    helped = _counted(safe["question_would_have_helped"], measured=True)
    wrong = _counted(safe["told_wrong"], measured=True)
    every: list[Rows] = [
        ("What came of the chairs", ("", "Calls"), _named(safe["came"], _CAME)),
        ("Why chairs were exchanged or returned", ("", "Calls"), _named(safe["because"], _BECAUSE)),
        ("Of 100 chairs, how many fit and last", odds, [_band_row(band) for band in result.bands]),
        ("Measures that callers told, measured again later", again, _measured_rows(result.told)),
        ("Measures that were estimated, measured later", again, _measured_rows(result.estimated)),
        ("By part", ("Part", "Chairs", "Failed", "Odds stated"), _group_rows(result.parts)),
        ("Parts exchanged", ("Part", "Calls"), _counted(safe["exchanged"])),
        ("By adviser", ("Adviser", "Calls", "Failed", "Odds stated"), _group_rows(result.advisers)),
        ("Questions that would have prevented it", ("Not asked", "Calls"), helped),
        ("Measures to ask for a second time", ("Told wrong", "Calls"), wrong),
    ]
    return [(title, head, rows) for title, head, rows in every if rows]


def _named(counts: object, words: Mapping[str, str]) -> list[tuple[str, ...]]:
    assert isinstance(counts, dict)
    return [(words[name], str(counts[name])) for name in words if counts.get(name)]


def _counted(counts: object, *, measured: bool = False) -> list[tuple[str, ...]]:
    assert isinstance(counts, dict)
    return [
        (measure_label(name) if measured else name.replace("_", " "), str(count))
        for name, count in sorted(counts.items())
    ]


def _band_row(band: OddsBand) -> tuple[str, ...]:
    low, high = band.interval
    judged = "stated too high" if band.stated > high else "stated too low"
    return (
        f"{100 * band.low:.0f} to {100 * band.high:.0f}",
        str(band.calls),
        f"{100 * band.stated:.1f}",
        f"{100 * band.observed:.1f}",
        f"{100 * low:.1f} to {100 * high:.1f}",
        judged if band.off else "",
    )


def _measured_rows(twices: Mapping[str, outcomes.MeasuredTwice]) -> list[tuple[str, ...]]:
    return [
        (measure_label(name), str(twice.calls), f"{twice.mean:+.0f} mm", f"{twice.sd:.0f} mm")
        for name, twice in twices.items()
        if twice.calls >= FEW
    ]


def _group_rows(groups: Mapping[str, outcomes.OutcomeGroup]) -> list[tuple[str, ...]]:
    return [
        (
            cut(name, 30),
            str(group.calls),
            str(told_part(group.failed, group.calls)),
            f"{100 * group.stated:.0f} of 100",
        )
        for name, group in groups.items()
    ]


def measure_label(dimension: str) -> str:
    """A body dimension as callers hear it."""
    people = load_population()
    known = dimension in people.order
    return people.label(dimension).capitalize() if known else question_label(dimension)


def _number(count: int) -> str:
    shown = told_count(count)
    return number_of(shown, "call") if isinstance(shown, int) else f"{shown} calls".capitalize()


def _write_page(result: outcomes.Outcomes, options: Namespace) -> Outcome:
    from consult.content.drawing.page import outcomes_page

    days = " ".join(f"{word} {day}" for word, day in days_json(options).items() if day)
    lines = [f"{_number(result.calls)} with a chair agreed on {days}".strip() + "."]
    drawn = [
        ("Of 100 chairs, how many fit and last", outcomes.calibration_plot(result.bands), _ON_LINE),
        (
            "How long calls take",
            outcomes.minutes_plot(result.minutes),
            outcomes.minutes_words(result.minutes),
        ),
    ]
    page = outcomes_page("What came of the chairs", lines, drawn, sections(result))
    write_out(options.out, page, force=options.force)
    return tell(f"Written: {options.out}")


_ON_LINE = (
    "Each circle is a band of calls; its bar shows where the true share lies, 95 of 100 times. On "
    "the dashed line, the odds came true. A filled circle is off the line by more than chance."
)


# -- ``consult records outcome`` and ``own-figures``: outcome of a chair; consent of advisers -----

_OFF = re.compile(r"([a-z_]+)=([+-]?\d{1,3})(?: ?mm)?")


def note(store: Store, options: Namespace) -> Outcome:
    """Store the outcome of the chair of a call."""
    reference = reference_named(options.reference)
    came = options.came.replace("-", "_")
    if options.part and came != "exchanged":
        return complain("--part goes with exchanged.")
    if (options.because is None) == (came in ("exchanged", "returned")):
        return complain("Give --because with exchanged and returned, and not with the others.")
    off = {}
    for deviation in options.off:
        match = _OFF.fullmatch(deviation)
        if match is None or match[1] not in THINGS:
            return complain(f"Write --off as seat_height=-15, in mm. It knows {listed(THINGS)}.")
        off[match[1]] = float(match[2])
    outcome = ChairOutcome(
        reference, came, tuple(options.part), options.because, off, blamed=options.blame
    )
    afterwards.note_outcome(store, outcome, clock.now_utc())
    return tell(f"Stored with call {reference}: {outcome.text.partition(': ')[2]}.")


def own_figures(store: Store, options: Namespace) -> Outcome:
    """Store whether an adviser consents to figures of their own, or list who does."""
    if options.answer == "show":
        names = [cut(name, 60) for name in sorted(afterwards.advisers_agreed(store))]
        return tell(*names or ["No adviser has agreed."])
    adviser = options.adviser or os.environ.get("CONSULT_ADVISER")
    if not adviser:
        return complain("Give your name with --adviser, as it stands in the list of calls.")
    agrees = options.answer == "agree"
    afterwards.note_agreed(store, adviser, agrees=agrees)
    shown = cut(adviser, 60)
    if agrees:
        return tell(f"The outcomes now show {shown} apart, from five calls on.")
    return tell(f"The outcomes no longer show {shown} apart.")
