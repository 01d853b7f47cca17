"""What is still to ask and how long each takes, and the topics: a click goes there."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content

from consult.call.wording import question_label
from consult.call.worth import seconds_of
from consult.tree.placeholders import in_units
from consult.ui.clicks import clickable
from consult.ui.topic_words import topic_line
from consult.ui.widgets.part import Part
from consult.ui.words import literal

if TYPE_CHECKING:
    from consult.call.session import Session
    from consult.call.topics import TopicLine
    from consult.tree.model import Question
    from consult.units import System


class AheadPanel(VerticalScroll, can_focus=False):
    """The open questions after the one at hand, where a window has room for them."""

    def compose(self) -> ComposeResult:
        yield Part("ahead-lines")

    def show(self, session: Session) -> None:
        """Show what lies ahead of a call; nothing is worked out while there is no room."""
        if not self.display or session.worked is None:
            return
        worked = session.worked
        ahead = [one for one in worked.coming.questions if one is not session.asking]
        self.border_title = "Still to ask" if ahead else "Nothing else to ask"
        system = session.now.call.system
        lines = [_question(one, system) for one in ahead]
        if worked.topics:
            lines += [literal("\nTopics: Down or /topics", "bold")]
            lines += [_topic(at, one) for at, one in enumerate(worked.topics, 1)]
        self.query_one("#ahead-lines", Part).show(Content("\n").join(lines))


def _topic(at: int, topic: TopicLine) -> Content:
    return clickable(topic_line(at, topic), f"go_through('{topic.name}')")


def _question(question: Question, system: System) -> Content:
    label = f"{question_label(question.name)}, {round(seconds_of(question))} s: "
    words = literal(label, "bold") + literal(in_units(question.ask, system))
    return clickable(words, f"ask_now('{question.name}')")
