"""The figures of ``consult records report`` as lines of a terminal."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from consult.call.stopwatch import minutes
from consult.commands.outcome import number_of
from consult.commands.records_text import cut, table

if TYPE_CHECKING:
    from consult.records.report import Asks
    from consult.tree.model import Tree

Json = Mapping[str, object]


def print_figures(figures: Json, tree: Tree, asks: Asks) -> None:
    """Print the figures; empty ones are left out."""
    calls = figures["calls"]
    if calls == 0:
        print("No calls were started in that time.")
        return
    print(f"Calls: {calls}" if isinstance(calls, str) else number_of(int(str(calls)), "call"))
    _print_length(_of(figures, "length"))
    chosen = _of(figures, "chosen")
    for title, counts, asked in (
        ("Status", _of(figures, "by_status"), None),
        ("Why people called", _of(figures, "reasons"), asks.reasons),
        ("What finished calls agreed on", _of(chosen, "agreed"), asks.agreed),
        ("Why they chose other parts", _of(chosen, "because"), asks.because),
        ("Cautions said", _of(figures, "cautions"), None),
        ("Stops lifted", _of(figures, "stops_lifted"), None),
    ):
        labels: Mapping[str, str] = tree.questions[asked].choices if asked else {}
        if counts:
            print(f"\n{title}")
            rows = [(cut(labels.get(one, one), 60), str(count)) for one, count in counts.items()]
            print("\n".join(f"  {line}" for line in table(("", "Calls"), rows)))
    questions = _of(figures, "questions")
    if questions:
        print("\nQuestions")
        print("\n".join(f"  {line}" for line in _question_table(questions)))
    if figures["stops_lifted"]:
        print("\nTo see why a stop was lifted: consult records show REF")
    left_out = figures["left_out"]
    assert isinstance(left_out, list)
    for sentence in left_out:
        print(f"\n{sentence}")


def _of(figures: Json, name: str) -> dict[str, object]:
    found = figures.get(name, {})
    assert isinstance(found, dict)
    return found


def _print_length(length: Json) -> None:
    seconds, timed = length["seconds"], length["timed"]
    if isinstance(seconds, float):
        print(f"A finished call usually takes {minutes(seconds)} ({timed} timed).")


def _question_table(questions: Json) -> list[str]:
    rows = []
    for name in questions:
        asked = _of(questions, name)
        share, seconds = asked["unknown_share"], asked["seconds"]
        unknown = "-" if asked["unknown"] is None else str(asked["unknown"])
        unknown += f" ({100 * share:.0f}%)" if isinstance(share, float) else ""
        time = f"{seconds:.0f} s" if isinstance(seconds, float) else "-"
        rows.append((cut(name, 40), str(asked["calls"]), unknown, time, str(asked["timed"])))
    return table(("Question", "Calls", "Not known", "Usual time", "Answers timed"), rows)
