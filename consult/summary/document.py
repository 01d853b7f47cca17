"""A call summary as a document: plain blocks in reading order, the same for every writer."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from consult.summary.blocks import Alert, Block, Heading, Item, Items, Paragraph
from consult.summary.figures import figures_table, specification
from consult.summary.model import Summary
from consult.summary.words import label, long_date
from consult.units import System

_LEVELS = {"stop": "Stop", "refer": "Ask somebody qualified", "note": "Please note"}


def document(summary: Summary, system: System) -> list[Block]:
    """Every block, in the reader's units; what was filled in during the call keeps the call's."""
    return [*_Document(summary, system).blocks()]


@dataclass(frozen=True, slots=True)
class _Document:
    summary: Summary
    system: System

    def blocks(self) -> Iterator[Block]:
        summary = self.summary
        yield Heading(1, summary.title)
        yield Paragraph(self._which_call())
        yield from self._cautions()
        yield from specification(summary, self.system)
        yield from figures_table(summary, self.system)
        yield from self._notes()
        yield from self._steps()
        yield from self._advice()
        yield from self._how_sure()
        yield from self._missing()
        yield from self._follow_up()
        yield from self._limits()

    def _which_call(self) -> str:
        call = self.summary.call
        whom = f" for {call.caller}" if call.caller.strip() else ""
        said = f"Call summary{whom}, {long_date(call.date)}."
        if not call.finished:
            said += " The call is not finished; some questions are still open."
        return said

    def _cautions(self) -> Iterator[Block]:
        summary = self.summary
        grave = [note for note in summary.notes if note.level != "note"]
        if summary.cautions or grave:
            yield Heading(2, "First of all")
        for one in summary.cautions:
            yield Alert(_LEVELS[one.level], one.say)
            if one.contact and one.contact not in one.say:
                yield Paragraph(f"Please {one.contact}.")
            if one.lifted:
                yield Paragraph(f"The fitting went on after that, because: {one.lifted}")
        for note in grave:
            yield Alert(_LEVELS[note.level], note.say.text(self.system))
        if summary.call.stopped is not None:
            yield Paragraph("The fitting ended here, so no chair was worked out.")

    def _notes(self) -> Iterator[Block]:
        notes = [note.say.text(self.system) for note in self.summary.notes if note.level == "note"]
        if notes:
            yield Heading(2, "About your workplace")
            yield Items(tuple(Item(note) for note in notes))

    def _steps(self) -> Iterator[Block]:
        if not self.summary.setup_steps:
            return
        advice = {one.name: one for one in self.summary.advice}
        items = []
        for step in self.summary.setup_steps:
            do = step.do.text(self.system)
            under = [f"Check: {step.check}"]
            for one in (advice[name] for name in step.advice):
                # Advice in the words of the step itself adds its reason only.
                said = "" if one.say == do else one.say
                under.append(_with_reason(said, one.because))
            items.append(Item(do, tuple(line for line in under if line)))
        yield Heading(2, "Setting up, step by step")
        yield Items(tuple(items), numbered=True)

    def _advice(self) -> Iterator[Block]:
        """What does not belong under a step."""
        told = {name for step in self.summary.setup_steps for name in step.advice}
        left = [one for one in self.summary.advice if one.name not in told]
        if left:
            yield Heading(2, "More advice")
            yield Items(tuple(Item(_with_reason(one.say, one.because)) for one in left))

    def _how_sure(self) -> Iterator[Block]:
        summary = self.summary
        if not (summary.measured or summary.estimated or summary.plausibility):
            return
        yield Heading(2, "What was measured, and what was estimated")
        for doubt in summary.plausibility:
            yield Alert("Please measure again", doubt.message)
        lines = [*summary.measured, *summary.estimated]
        if lines:
            said = [
                Item(line.say.text(self.system), (f"Noted: {line.note}",) if line.note else ())
                for line in lines
            ]
            yield Items(tuple(said))
        if summary.estimated:
            yield Paragraph(
                "In brackets: of ten people with the same measures, nine lie in between."
            )
        chair = summary.specification
        if chair is not None:
            if chair.ask_next is not None:
                yield Paragraph(chair.ask_next)
            for line in chair.other_populations:
                yield Paragraph(line.text(self.system))

    def _missing(self) -> Iterator[Block]:
        if self.summary.missing:
            yield Heading(2, "Still missing")
            missing = self.summary.missing.items()
            yield Items(tuple(Item(f"{label(name)}: {why}") for name, why in missing))

    def _follow_up(self) -> Iterator[Block]:
        yield Heading(2, "Follow-up")
        day = self.summary.follow_up
        yield Paragraph(
            f"We ring you again on {long_date(day)}." if day else "No day for it was agreed."
        )

    def _limits(self) -> Iterator[Block]:
        summary, made = self.summary, self.summary.made_with
        yield Heading(2, "Limits")
        yield Paragraph(summary.disclaimer)
        if summary.estimated:
            yield Paragraph(
                f"What was estimated comes from a survey of other people, {made.population}. "
                f"{made.population_caution}"
            )
        versions = f"Made with the questions {made.tree} {made.tree_version}"
        if made.range is not None:
            versions += f" and the range {made.range} {made.range_version}"
        yield Paragraph(f"{versions}.")


def _with_reason(say: str, because: str) -> str:
    return f"{say} Why: {because}".strip() if because else say
