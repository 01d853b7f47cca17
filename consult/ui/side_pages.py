"""Pages over a call: cautions, its end, the measuring sheet, the side view, what is tried out."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, Literal

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Input, Static

from consult.call.wording import question_label
from consult.ui.dialogs import Page, ReadPage, SavePage
from consult.ui.keys import Foot
from consult.ui.literal import clickable, literal
from consult.ui.widgets.panels import PicturePanel
from consult.ui.words import below_caution, caution_title, cautions_text, nameless

if TYPE_CHECKING:
    from consult.call.offer import Trial
    from consult.call.raised import Raised
    from consult.call.state import State
    from consult.summary import Paper
    from consult.ui.finishing import CallSheet, Finish

CautionReply = Literal["said", "country"]


class CautionScreen(Page[CautionReply]):
    """Stays until the adviser has said it, or wants the words of another country."""

    # Not Enter: that key is pressed after every answer, and this one must be meant.
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("s", "dismiss('said')", "I have said this"),
        Binding("c,ctrl+o", "country", "The caller is in another country"),
    ]
    ALONE = frozenset("sc")
    EARLY_KEYS = False
    """What was typed before it opened was meant for the call: it waits until this is said."""
    AUTO_FOCUS = None

    def __init__(self, raised: Raised, country: str) -> None:
        """``country`` is the name of the one whose numbers are in the words."""
        super().__init__()
        self.raised, self.country = raised, country

    def compose(self) -> ComposeResult:
        level, contact = self.raised.caution.level, self.raised.contact
        with VerticalScroll(classes=f"caution {level}", can_focus=False):
            yield Static(literal(caution_title(self.raised), "bold"), markup=False)
            yield Static(literal(self.raised.say), id="caution-say", markup=False)
            for line in below_caution(self.raised, self.country):
                about = "contact-source" if line.startswith("Contact for") else None
                yield Static(literal(line), id=about, markup=False)
            message = f"[Press s once you have {'read' if nameless(self.raised) else 'said'} it.]"
            keys = clickable(literal(message, "bold"), "dismiss('said')")
            if contact:
                keys += literal("  ") + clickable("[c: another country]", "country")
            yield Static(keys, id="caution-keys", markup=False)

    def action_country(self) -> None:
        """Say where the caller is; the box comes back with the words of that country."""
        if self.raised.contact:
            self.dismiss("country")


AskedFor = Literal["lift", "signs"]


class CautionsScreen(ReadPage[AskedFor | None]):
    """Every caution; gives back what to do next: lift the stop, ask the signs, or nothing."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,f6", "dismiss(None)", "Back"),
        Binding("l", "dismiss('lift')", "Lift the stop"),
        Binding("f12", "dismiss('signs')", "Ask the warning signs"),
    ]

    def __init__(self, now: State) -> None:
        super().__init__("Cautions in this call", literal(cautions_text(now)), "all-cautions")
        self.now = now

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool:
        """Lifting is offered only where a stop is in force."""
        lifts = parameters == ("lift",)
        return super().check_action(action, parameters) and (
            not lifts or self.now.stopped is not None
        )


class FinishScreen(SavePage):
    """The end of a call, which nothing here ends: Esc goes back to it."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "dismiss(None)", "Back"),
        Binding("s,f8", "save('caller')", "Save"),
        Binding("c", "save('card')", "Card"),
        Binding("e", "save('employer')", "Employer"),
        Binding("o", "save('order')", "Order team"),
        Binding("f", "save('file')", "File"),
    ]
    AUTO_FOCUS = "#finish-page"
    ENTER = "save('caller')"

    def __init__(self, end: Finish) -> None:
        super().__init__(end.stem)
        self.end = end

    def compose(self) -> ComposeResult:
        with VerticalScroll(classes="page", id="finish-page") as page:
            page.border_title = "Before you hang up"
            yield Static(id="closing", markup=False)
            yield Static(id="summary-text", markup=False)
        if self.end.open_day is not None:
            yield Static(literal("Follow-up: when shall we call?"), markup=False)
            yield Input(id="follow-up", placeholder="in 2 weeks; Enter")
        yield from self.compose_saving()

    def on_mount(self) -> None:
        self._show()

    def _show(self) -> None:
        closing, summary = self.end.told()
        parts = [_section(title, lines) for title, lines in closing.items()]
        self.query_one("#closing", Static).update(Content("\n\n").join(parts))
        self.query_one("#summary-text", Static).update(
            literal("\n\nThe summary\n\n", "bold") + literal(summary)
        )

    @on(Input.Submitted, "#follow-up")
    def day_agreed(self, event: Input.Submitted) -> None:
        """Take the day; what cannot be read stays there to be corrected."""
        event.stop()
        wrong = self.end.agree_day(event.value)
        self.tell(wrong or "The follow-up date is stored.")
        if not wrong:
            event.input.display = False
            self._show()

    def action_save(self, paper: Paper) -> None:
        """Write a paper of the call; say where, or why not, and keep the name typed."""
        self.save_named(lambda stem: self.end.save(stem, paper))


def _section(title: str, lines: tuple[str, ...]) -> Content:
    told = "\n".join(f"- {line}" for line in lines)
    return literal(f"{title}\n", "bold") + literal(told)


class SheetScreen(SavePage):
    """The measuring sheet of a call: to read, and to save with an e-mail draft."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "dismiss(None)", "Back"),
        Binding("s,f8", "save", "Save, with an e-mail draft"),
    ]
    AUTO_FOCUS = "#sheet-page"
    ENTER = "save"

    def __init__(self, sheet: CallSheet) -> None:
        super().__init__(sheet.stem)
        self.sheet = sheet

    def compose(self) -> ComposeResult:
        with VerticalScroll(classes="page", id="sheet-page") as page:
            page.border_title = "What is still to be measured"
            yield Static(literal(self.sheet.text), markup=False)
        yield from self.compose_saving()

    def action_save(self) -> None:
        self.save_named(self.sheet.save)


class PictureScreen(Page[None]):
    """The side view on the whole screen, until Escape."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,alt+s", "dismiss(None)", "Back")]

    def __init__(self, now: State) -> None:
        super().__init__()
        self.now = now

    def compose(self) -> ComposeResult:
        yield PicturePanel("whole-picture")
        yield Foot()

    def on_mount(self) -> None:
        self.query_one(PicturePanel).show(self.now)


class TrialScreen(ReadPage[bool]):
    """What an answer would change; True: record it after all."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,d", "dismiss(False)", "Drop"),
        Binding("k", "dismiss(True)", "Keep: store it as the answer"),
    ]

    def __init__(self, trial: Trial) -> None:
        super().__init__("What if: not stored yet", trial_content(trial), "trial")


def trial_content(trial: Trial) -> Content:
    """The answer tried, and before and after of everything it would change."""
    label = question_label(trial.question.name)
    lines = [literal(f"{label}: {' '.join(trial.said.split())[:200]}", "bold"), Content("")]
    if trial.odd:
        lines += [literal(f"! {trial.odd}"), Content("")]
    if not trial.found:
        lines.append(literal("Nothing on the screen would change."))
    for change in trial.found:
        before = literal(f"{change.topic}: {change.before}")
        lines.append(before + literal(" → ") + literal(change.after, "bold"))
    lines += [Content(""), literal("k stores it as an answer, Esc drops it.")]
    return Content("\n").join(lines)
