"""A topic as a line of text, in the list of topics and beside the call."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.call.stopwatch import minutes

if TYPE_CHECKING:
    from consult.call.topics import TopicLine


def topic_line(at: int, topic: TopicLine) -> str:
    """A line of the list: number, title, whether it is done, how long it takes, what it changes."""
    if topic.status == "done":
        return f"{at}  {topic.title}: done"
    status = "open, " if topic.status == "open" else ""
    return f"{at}  {topic.title}: {status}{minutes(topic.seconds)}; may change {topic.changes}"
