"""A question, choice, way on, caution, advice or need more.

Asks for what is needed, makes the name, and goes to the new thing.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from consult.content.editing import edits
from consult.content.editing.choices import options
from consult.content.editing.edits_questions import (
    add_choice,
    add_include,
    add_pool,
    add_route,
    add_share,
    add_topic,
    into_pool,
    new_tree,
    question_after,
    with_schema_line,
)
from consult.content.editing.fields import KINDS, LEVEL_WORDS, name_from
from consult.content.editing.session import EditResult
from consult.content.editing.sheets import PARTS, STEPS, OutlineEntry, Place
from consult.tree.model import TOPICS
from consult.tree.shares import SHARES_FILE as CALLERS_FILE

if TYPE_CHECKING:
    from consult.content.editing.session import EditSession
    from consult.ui.edit.asking import Asker, Choosing

ADDED = {
    "question": "Question: asked after this one",
    "pool": "Pool: a group of questions, each asked only while it is worth its time",
    "topic": "Topic: questions asked only when somebody opens it, in a file of its own",
    "include": "Sub-tree: questions in a file of their own, always asked",
    "choice": "Choice: one more answer to this question",
    "route": "Route: go to another question, depending on an answer",
    "caution": "Caution: safety words that interrupt the call or end the advice",
    "advice": "Advice: words for the summary, depending on an answer",
    "need": "Need: a feature the chair must or should have",
    "always": "Always: a rule every such call must follow; the check reports any that does not",
}
"""What can be added -> its line in the list; the guide names it as before the colon."""

_ALIKE = {
    "part": "Its order code?",
    "product_part": "Its order code?",
    "quantity": "Its name in conditions: small letters, _ for a space",
    "country": "Its two capital letters, such as DE?",
}
"""What is there once more, like another -> what is asked for."""


class Adding:
    """Adds to what the outline is on; ``LeftOff`` where the person left in between."""

    def __init__(self, session: EditSession, ask: Asker, choosing: Choosing) -> None:
        self._session, self._ask, self._choosing = session, ask, choosing

    async def anything(self) -> EditResult:
        """Whatever the person chooses."""
        session, entry = self._session, self._session.entry
        session.refuse_locked()
        if entry.kind in _ALIKE:
            return await self._alike(entry)
        kinds = list(ADDED)
        if entry.kind != "question":
            kinds = [kind for kind in kinds if kind not in ("choice", "route", "pool")]
            if entry.kind not in STEPS:
                kinds = [kind for kind in kinds if kind not in ("topic", "include")]
        elif session.sheets.value(entry.place, "answer") not in ("choice", "choices"):
            kinds.remove("choice")
        return await self._one_of(kinds)

    async def asked(self, kind: str) -> EditResult:
        """A choice, a way on, or something that reads the question in the form."""
        self._session.refuse_locked()
        if kind == "reader":
            return await self._one_of(("caution", "advice", "need"))
        return await self._add(kind)

    async def _one_of(self, kinds: Iterable[str]) -> EditResult:
        lines = {kind: self._session.said(ADDED[kind]) for kind in kinds}
        return await self._add(await self._ask.choose("Add what?", lines))

    async def _add(self, kind: str) -> EditResult:
        entry = self._session.entry
        if kind in ("topic", "include"):
            return await self._tree(entry, kind)
        alone = {
            **{"question": self._question, "choice": self._choice, "route": self._route},
            **{"pool": self._pool, "member": self._member},
        }
        return await (alone[kind](entry) if kind in alone else self._part(entry, kind))

    async def _line(self, title: str, help_: str) -> str:
        return (await self._ask.line(self._session.said(title), help_)).strip()

    def _taken(self, *kinds: str) -> set[str]:
        """Names of all trees; of some kinds where they are named."""
        return {
            entry.name
            for entry in self._session.sheets.steps_of()
            if not kinds or entry.kind in kinds
        }

    # -- the steps of a call ------------------------------------------------------------------

    async def _question(self, entry: OutlineEntry) -> EditResult:
        # Behind a question of a pool nothing leads on but the pool.
        after = self._session.sheets.pool_of(entry) or entry
        ask = await self._line("A question", "What does the adviser say?")
        name = name_from(ask, self._taken(), "question")
        place = Place(after.place.file, ("questions", name))
        behind = after.name if after.kind in STEPS else None
        self._session.change(
            place.file,
            lambda text: question_after(text, behind, name, ask),
            f"the new question {name}",
        )
        told = f"{name} is asked after {after.name}. Choose what kind of answer it has."
        return EditResult(told, place, (*place.steps, "answer"), in_form=True)

    async def _choice(self, entry: OutlineEntry) -> EditResult:
        session = self._session
        if session.sheets.value(entry.place, "sets") == TOPICS:
            return await self._topic_choice(entry)
        help_ = "What can the caller answer? Write it as the adviser says it."
        label = await self._line("A choice", help_)
        taken = {*session.sheets.choices(entry.place), "yes", "no", *self._taken("question")}
        name = name_from(label, taken, "choice")
        file, more = entry.place.file, ""
        texts = {file: add_choice(session.folder.texts[file], entry.name, name, label)}
        callers = session.folder.texts.get(CALLERS_FILE, "")
        shared = add_share(callers, entry.name, name) if callers else callers
        if shared != callers:
            texts[CALLERS_FILE] = shared
            more = f" {CALLERS_FILE} has a share for it: change it to what callers say."
        session.edit(texts, f"the new choice {name} of {entry.name}")
        message = f"Added the choice {name}. The routes below decide where the call goes next."
        return EditResult(message + more, field=(*entry.place.steps, "choices", name))

    async def _topic_choice(self, entry: OutlineEntry) -> EditResult:
        """What a question opens is one of the topics."""
        sheets = self._session.sheets
        there = sheets.choices(entry.place)
        topics = {
            sheets.runs(one): one.words
            for one in sheets.steps_near(entry.place.file, "topic")
            if sheets.runs(one) not in there
        }
        lines = {topic: f"{topic}: {title}" for topic, title in topics.items()}
        topic = await self._ask.choose("Which topic can be opened here?", lines)
        self._session.change(
            entry.place.file,
            lambda text: add_choice(text, entry.name, topic, topics[topic]),
            f"the topic {topic} in {entry.name}",
        )
        return EditResult()

    async def _pool(self, question: OutlineEntry) -> EditResult:
        help_ = "What is its name? One or two words; only the editor shows it."
        said = await self._line("A pool", help_)
        name = name_from(said, self._taken(), "pool")
        place = Place(question.place.file, ("questions", name))
        self._session.change(
            place.file, lambda text: add_pool(text, name, question.name), f"the new pool {name}"
        )
        told = f"{question.name} is asked in the pool {name}. Add others to it below."
        return EditResult(told, place, in_form=True)

    async def _member(self, pool: OutlineEntry) -> EditResult:
        sheets = self._session.sheets
        lines = {
            entry.name: f"{entry.name}: {entry.words}"
            for entry in sheets.entries(pool.place.file)
            if entry.kind == "question" and sheets.pool_of(entry) is None
        }
        name = await self._ask.choose("Which question belongs in the pool?", lines)
        self._session.change(
            pool.place.file,
            lambda text: into_pool(text, pool.name, name),
            f"{name} into the pool {pool.name}",
        )
        return EditResult(field=(*pool.place.steps, "best_of", len(sheets.members(pool)) - 1))

    async def _tree(self, entry: OutlineEntry, kind: str) -> EditResult:
        """A topic or a sub-tree: a step here, and a file with its first question."""
        session = self._session
        after = session.sheets.pool_of(entry) or entry
        file = after.place.file
        is_topic = kind == "topic"
        what = "topic" if is_topic else "sub-tree"
        shown = "What is its name in the list of topics?" if is_topic else "What is it about?"
        title = changes = await self._line(f"A {what}", shown)
        if is_topic:
            changes = await self._line(f"A {what}", "What could it change? A few words.")
        ask = await self._line("Its first question", "What does the adviser say?")
        names = self._taken()
        files = {text.removesuffix(".yaml") for text in session.folder.texts}
        tree = name_from(
            title, names | files | {name.removeprefix("the_") for name in names}, "tree"
        )
        question = name_from(ask, names | {tree}, "question")
        step = f"the_{tree}"
        outer = session.folder.texts[file]
        if is_topic:
            outer = add_topic(outer, tree, title, changes, after.name)
        else:
            outer = add_include(outer, step, tree, after.name)
        inner = new_tree(tree, title, session.sheets.value(Place(file), "version"), question, ask)
        texts = {file: outer, f"{tree}.yaml": with_schema_line(inner, outer)}
        session.edit(texts, f"the new {what} {tree}")
        told = f"Added the {what} {tree} after {after.name}, in {tree}.yaml."
        return EditResult(told, Place(file, ("questions", step)), in_form=True)

    async def _route(self, entry: OutlineEntry) -> EditResult:
        sheets = self._session.sheets
        when = await self._choosing.condition(entry.name)
        onward = options(entry, ("next",), sheets)
        go = await self._ask.choose("Which question comes next?", onward)
        self._session.change(
            entry.place.file,
            lambda text: add_route(text, entry.name, when, go),
            f"a way on of {entry.name}",
        )
        last = max(0, len(sheets.data(entry.place.inside("next"))) - 2)
        return EditResult(field=(*entry.place.steps, "next", last, "when"))

    # -- things that stand in lists -----------------------------------------------------------

    async def _alike(self, entry: OutlineEntry) -> EditResult:
        """A part, a quantity or a country more, like the one at hand but for its code and name."""
        code = await self._line(f"Another like {entry.name}", _ALIKE[entry.kind])
        name = await self._line(f"Another like {entry.name}", "What is it called?")
        called = "label" if entry.kind == "quantity" else "name"
        fields = {**self._session.sheets.data(entry.place), called: name}
        above, at = entry.place.steps[:-1], entry.place.steps[-1]
        place = Place(entry.place.file, (*above, at + 1 if isinstance(at, int) else code))

        def change(text: str) -> str:
            if isinstance(at, int):
                return edits.add_item(text, above, None, {**fields, "code": code}, at + 1)
            return edits.add_item(text, above, code, fields)

        self._session.change(place.file, change, f"the new {KINDS[entry.kind].lower()} {code}")
        return EditResult(
            f"{code} is as {entry.name} was. Change what differs.", place, in_form=True
        )

    async def _part(self, about: OutlineEntry, kind: str) -> EditResult:
        session, file = self._session, about.place.file
        part = next(part for part, one in PARTS.items() if one == kind)
        fields: dict[str, str] = {}
        if kind == "caution":
            levels = {one: session.said(f"{one}: {said}") for one, said in LEVEL_WORDS.items()}
            fields["level"] = await self._ask.choose("How serious is it?", levels)
        if kind == "need":
            empty = OutlineEntry(Place(file, (part,)), "need", "", "", 1)
            features = options(empty, ("feature",), session.sheets)
            said = await self._ask.choose("Which feature is needed?", features)
            strengths = options(empty, ("strength",), session.sheets)
            strength = await self._ask.choose("How important is it?", strengths)
            fields |= {"feature": said, "strength": strength}
        elif kind == "always":
            then = await self._choosing.condition("")
            said = await self._line("Always", "Why must this be true?")
            fields |= {"then": then, "because": said}
        else:
            title = f"{KINDS[PARTS[part]]}: the words"
            said = await self._line(title, "What does the adviser say?")
            fields["say"] = said
        subject = about.name if about.kind == "question" else ""
        when = await self._choosing.condition(subject)
        if kind == "advice":
            fields["topic"] = subject or "general"
        known = {"name": name_from(said, self._taken(kind), kind), "when": when, **fields}
        there = session.sheets.data(Place(file, (part,)))
        place = Place(file, (part, len(there) if isinstance(there, list) else 0))
        what = f"{kind} {known['name']}"
        session.change(
            file, lambda text: edits.add_item(text, (part,), None, known), f"the new {what}"
        )
        told = f"Added the {what}. Ctrl+Z undoes it."
        return EditResult(told, place, in_form=True)
