"""Questions whose answer nothing reads."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from consult.tree.condition import Condition
from consult.tree.draft import Draft
from consult.tree.placeholders import names_in


def check_used(conditions: Iterable[Condition], draft: Draft) -> None:
    """Note every question that no condition, blank, fact or body measure comes from.

    What is typed as text is there for people to read, and a question with a single choice is a
    text to be read out; ``read_by: people`` says the same of any other.
    """
    used = {name for condition in conditions for name in condition.names}
    for said in _texts(draft):
        used.update(names_in(said))
    for name, block in draft.questions.items():
        if name in used or any(key in block.data for key in ("measures", "sets", "read_by")):
            continue
        choices = block.data.get("choices")
        if block.text("answer") == "text" or (isinstance(choices, dict) and len(choices) == 1):
            continue
        said = f"Nothing uses the answer to '{name}': no condition, blank, fact or measure."
        fix = "Use the answer, delete the question, or write read_by: people if people read it."
        draft.says(block.key(), "unused", said, fix, warning=True)


def _texts(draft: Draft) -> Iterator[str]:
    for part in ("cautions", "advice", "needs"):
        for block in draft.blocks(part):
            for key in ("say", "because", "source"):
                yield block.text(key) or ""
