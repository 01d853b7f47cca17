"""The panels of the call screen; each shows the state it is handed and holds none of its own."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.app import ComposeResult
from textual.content import Content
from textual.geometry import Size
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from consult.call.wording import question_label
from consult.call.worth import seconds_of
from consult.sentence import CHAIR
from consult.tree.placeholders import in_units
from consult.ui.literal import clickable, literal
from consult.ui.opening import first_asked
from consult.ui.widgets.part import ScrolledPanel, Settled, TextPart
from consult.ui.words import (
    ROOMY,
    body_lines,
    chair_panel_lines,
    fit_lines,
    note_lines,
    step_line,
    topic_line,
)

if TYPE_CHECKING:
    from consult.call.session import Session
    from consult.call.state import State
    from consult.tree.model import Question
    from consult.units import System


class AheadPanel(ScrolledPanel):
    """The open questions after the one at hand, where a window has room for them."""

    def compose(self) -> ComposeResult:
        yield TextPart("ahead-lines")

    def show(self, session: Session) -> None:
        """Show what lies ahead of a call; nothing is worked out while there is no room."""
        if not self.display or session.worked is None:
            return
        worked = session.worked
        ahead = [question for question in worked.coming.questions if question is not session.asking]
        self.border_title = "Still to ask" if ahead else "Nothing else to ask"
        system = session.now.call.system
        lines = [_question(question, system) for question in ahead]
        if worked.topics:
            lines += [literal("\nTopics: Down or /topics", "bold")]
            lines += [
                clickable(topic_line(at, topic), f"go_through('{topic.name}')")
                for at, topic in enumerate(worked.topics, 1)
            ]
        self.query_one("#ahead-lines", TextPart).show(Content("\n").join(lines))


def _question(question: Question, system: System) -> Content:
    label = f"{question_label(question.name)}, {round(seconds_of(question))} s: "
    words = literal(label, "bold") + literal(in_units(question.ask, system))
    return clickable(words, f"ask_now('{question.name}')")


_ORDER = ("fit", "changed", "chair", "notes", "body")


class FitPanel(ScrolledPanel):
    """Set-up and chair, worked out again after each answer."""

    def __init__(self) -> None:
        super().__init__(id="fit-panel")
        self.texts: dict[str, Content] = {}
        """What is shown, by what it is: fit, changed, chair, notes, body."""

    def compose(self) -> ComposeResult:
        yield TextPart("figures")

    def show(self, state: State, before: State | None, changed: str) -> None:
        """Show the fit of a state, what is new since the one before, and what that changed in the
        chair.

        While its chair is still being chosen the one before stays, marked as such.
        """
        unit = "in" if state.call.system == "imperial" else "cm"
        width = self.content_size.width
        figures = f"Set-up, {unit}" + ("; 9 in 10 within ±" if width >= ROOMY else "")
        self.border_title = "Advice so far" if state.fit is None else figures
        self.texts["fit"] = fit_lines(state, before, width)
        self.texts["notes"] = note_lines(state)
        self.texts["body"] = body_lines(state) if state.fit is not None else Content("")
        if state.chosen is not None or state.fit is None:
            self.border_subtitle = ""
            self.texts["changed"] = literal(f"» {changed}" if changed else "")
            self.texts["chair"] = chair_panel_lines(state)
        else:
            self.border_subtitle = f"choosing a {state.thing} ..."
        parts = [self.texts.get(name, Content("")) for name in _ORDER]
        gap = "\n\n" if width >= ROOMY else "\n"
        whole = Content(gap).join(part for part in parts if part.plain)
        self.query_one("#figures", TextPart).show(whole)


NEVER_DRAWN = "There is no side view of this product."
NO_PICTURE = "There is no picture yet: it needs a chair and a desk."
_STOPPED = "Product advice has ended, so there is no picture."


class PicturePanel(Settled, Static):
    """The caller at the desk, to scale, in cells; problems bear a sign and words."""

    def __init__(self, id_: str) -> None:
        super().__init__(id=id_, markup=False)
        self.now: State | None = None
        self.drawn = Content("")

    def on_mount(self) -> None:
        self.border_title = "Side view"

    def show(self, now: State) -> None:
        """Show a state; nothing is drawn while there is no room."""
        self.now = now
        if not self.display or not self.content_size.width:
            return
        content = picture_content(now, *self.content_size)
        if content != self.drawn:
            self.drawn = content
            self.update(content, layout=False)

    def on_resize(self) -> None:
        if self.now is not None:
            self.show(self.now)


def picture_content(now: State, width: int, height: int) -> Content:
    """The picture with its legend below, in so many cells."""
    if now.stopped is not None:
        return literal(_STOPPED)
    # Imported with the first picture, not with the first question.
    from consult.picture.cells import CellPicture, cells_legend
    from consult.picture.scene import scene

    found = scene(now.estimate, now.workplace, now.set_up, now.picked)
    if found is None:
        return literal(NO_PICTURE if now.thing == CHAIR else NEVER_DRAWN)
    words = literal("\n".join(cells_legend(found, now.call.system)))
    used = len(words.wrap(width)) if width else 0
    rows = CellPicture(found, width, max(1, height - used)).rows if width else ()
    return literal("\n".join(rows)) + literal("\n") + words


class SaidList(Settled, OptionList):
    """The answers on the way, the latest at the bottom; Enter amends the one under the cursor.

    A line more moves nothing outside the list, so the screen is not laid out again for it.
    """

    BORDER_TITLE = "Said so far (F3 to amend)"

    def _size_updated(
        self, size: Size, virtual_size: Size, container_size: Size, layout: bool = True
    ) -> bool:
        """As large as before, nothing has moved in it: its scroll bar is not drawn once more."""
        return size != self._size and super()._size_updated(
            size, virtual_size, container_size, layout
        )

    def on_blur(self) -> None:
        """Where there is no room for it, it was shown to amend a line, and goes again."""
        self.styles.clear_rule("display")

    def show(self, state: State) -> None:
        """Show the answered steps; only lines that changed are drawn again."""
        lines = [
            (step.question.name, step_line(step, state.call.system))
            for step in state.steps
            if step.answer is not None
        ]
        ids = [self.get_option_at_index(at).id for at in range(self.option_count)]
        if ids == [name for name, _ in lines[: len(ids)]]:
            for name, line in lines[: len(ids)]:
                if self.get_option(name).prompt != line:
                    self.replace_option_prompt(name, line)
            self.add_options([Option(line, id=name) for name, line in lines[len(ids) :]])
        else:
            self.set_options([Option(line, id=name) for name, line in lines])
        # At once where it has its size: otherwise the screen is drawn once more for it.
        self._to_the_end(immediate=bool(self.size))

    def on_resize(self) -> None:
        """The latest answer stays in sight."""
        self._to_the_end()

    def _to_the_end(self, *, immediate: bool = False) -> None:
        if not self.has_focus:
            self.scroll_end(animate=False, immediate=immediate)


class SayPanel(ScrolledPanel):
    """The question, its choices, and how to coach the caller through it.

    It keeps its height whatever is asked, so that the answer line stays where the eye expects it.
    """

    def compose(self) -> ComposeResult:
        yield TextPart("ask")

    def show(
        self,
        question: Question,
        system: System,
        *,
        coaching: bool,
        amending: bool,
        card: str = "",
    ) -> None:
        """Show one question, its amounts in the caller's units, and what the card says of it."""
        ask = in_units(question.ask, system)
        parts = [literal("Amend: ", "dim") + literal(ask, "bold") if amending else first_asked(ask)]
        if question.choices:
            labels = enumerate(question.choices.values(), 1)
            parts += [clickable(f"{at:>2}  {label}", f"choose({at})") for at, label in labels]
        if question.coach and coaching:
            lead = literal("Coach: " if question.choices else "\nCoach: ", "dim")
            parts.append(lead + literal(in_units(question.coach, system)))
        if card:
            parts.append(literal("This chair: ", "dim") + literal(card))
        self._fill(Content("\n").join(parts))

    def show_end(self, text: str) -> None:
        self._fill(literal(text, "bold"))

    def _fill(self, content: Content) -> None:
        self.query_one("#ask", TextPart).show(content)
        if self.scroll_y:
            self.scroll_home(animate=False)
