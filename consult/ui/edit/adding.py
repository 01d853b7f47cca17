"""A question, choice, way on, caution, advice or need more."""

from __future__ import annotations

from collections.abc import Iterable

from textual import work

from consult.content.editing import edits
from consult.content.editing.edits_questions import (
    add_choice,
    add_include,
    add_pool,
    add_route,
    add_share,
    add_topic,
    into_pool,
    new_tree,
    with_schema_line,
)
from consult.content.editing.patching import Refused
from consult.sentence import of_thing
from consult.tree.model import TOPICS
from consult.tree.shares import FILE as CALLERS_FILE
from consult.ui.dialogs import ChoiceLine
from consult.ui.edit.asking import Asking, options
from consult.ui.edit.fields import KINDS, LEVEL_WORDS, name_from
from consult.ui.edit.form_panel import FormPanel
from consult.ui.edit.sheets import STEPS, OutlineEntry, Place
from consult.ui.edit.structure import (
    PART_OF,
    as_kind,
    part_more,
    question_after,
)

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


class Adding(Asking):
    """Asks for what is needed, makes the name, and goes to the new thing."""

    # -- more ---------------------------------------------------------------------------------

    @work(group="flow", exclusive=True)
    async def action_add(self) -> None:
        """Add something to what the outline is on."""
        self.flush()
        if not self.may_change():
            return
        if self.entry.kind in _ALIKE:
            await self._add_alike(self.entry)
            return
        kinds = list(ADDED)
        if self.entry.kind != "question":
            kinds = [one for one in kinds if one not in ("choice", "route", "pool")]
            if self.entry.kind not in STEPS:
                kinds = [one for one in kinds if one not in ("topic", "include")]
        elif self.sheets.value(self.place, "answer") not in ("choice", "choices"):
            kinds.remove("choice")
        found = await self.choose("Add what?", self._added(kinds))
        if found is not None:
            await self._add(found)

    @work(group="flow", exclusive=True)
    async def add_asked(self, kind: str) -> None:
        """Add a choice, a way on, or something that reads the question in the form."""
        self.flush()
        if not self.may_change():
            return
        found: str | None = kind
        if kind == "reader":
            found = await self.choose("Add what?", self._added(("caution", "advice", "need")))
        if found is not None:
            await self._add(found)

    def _added(self, kinds: Iterable[str]) -> list[ChoiceLine]:
        return [ChoiceLine(one, of_thing(ADDED[one], self.sheets.thing)) for one in kinds]

    async def _add(self, kind: str) -> None:
        match kind:
            case "question":
                await self._add_question()
            case "pool":
                await self._add_pool()
            case "member":
                await self._add_member()
            case "topic" | "include":
                await self._add_tree(kind)
            case "choice":
                await self._add_choice()
            case "route":
                await self._add_route()
            case _:
                await self._add_part(kind)

    async def _add_question(self) -> None:
        # Behind a question of a pool nothing leads on but the pool.
        after = self.sheets.pool_of(self.entry) or self.entry
        ask = await self.line("A question", "What does the adviser say?")
        if ask is None:
            return
        taken = {one.name for one in self.sheets.steps_of()}
        name = name_from(ask, taken, "question")
        made: list[Place] = []

        def change(text: str) -> str:
            new, place = question_after(text, self.sheets, after, name, ask)
            made.append(place)
            return new

        if self.try_edit(after.place.file, change, f"the new question {name}"):
            self.show_place(made[-1])
            self.turn_to("form", focus=False)
            self.query_one(FormPanel).focus_at((*made[-1].steps, "answer"))
            self.tell(f"{name} is asked after {after.name}. Choose what kind of answer it has.", "")

    async def _add_choice(self) -> None:
        entry = self.entry
        if self.sheets.value(entry.place, "sets") == TOPICS:
            await self._add_topic_choice(entry)
            return
        label = await self.line(
            "A choice", "What can the caller answer? Write it as the adviser says it."
        )
        if label is None:
            return
        found = self.sheets.data(entry.place.inside("choices"))
        taken = {*(found if isinstance(found, dict) else ()), "yes", "no"}
        taken |= {one.name for one in self.sheets.steps_of("question")}
        name = name_from(label, taken, "choice")
        place = entry.place.inside("choices", name)

        file, more = entry.place.file, ""
        try:
            texts = {file: add_choice(self.folder.texts[file], entry.name, name, label)}
            callers = self.folder.texts.get(CALLERS_FILE, "")
            shared = add_share(callers, entry.name, name) if callers else callers
            if shared != callers:
                texts[CALLERS_FILE] = shared
                more = f" {CALLERS_FILE} has a share for it: change it to what callers say."
            self.folder.edit_many(texts, f"the new choice {name} of {entry.name}")
        except Refused as refused:
            self.tell(str(refused))
            return
        self.changed()
        self.call_after_refresh(self.query_one(FormPanel).focus_at, place.steps)
        said = f"Added the choice {name}. The routes below decide where the call goes next."
        self.tell(said + more, "")

    async def _add_topic_choice(self, entry: OutlineEntry) -> None:
        """What a question opens is one of the topics."""
        there = self.sheets.data(entry.place.inside("choices")) or {}
        topics = {
            self.sheets.runs(one): one.words
            for one in self.sheets.steps_near(entry.place.file, "topic")
            if self.sheets.runs(one) not in there
        }
        lines = [ChoiceLine(topic, f"{topic}: {title}") for topic, title in topics.items()]
        topic = await self.choose("Which topic can be opened here?", lines)
        if topic is not None:
            self.try_edit(
                entry.place.file,
                lambda text: add_choice(text, entry.name, topic, topics[topic]),
                f"the topic {topic} in {entry.name}",
            )

    async def _add_pool(self) -> None:
        question = self.entry
        said = await self.line(
            "A pool", "What is its name? One or two words; only the editor shows it."
        )
        if said is None:
            return
        name = name_from(said, {one.name for one in self.sheets.steps_of()}, "pool")
        place = Place(question.place.file, ("questions", name))

        def change(text: str) -> str:
            return add_pool(text, name, question.name)

        if self.try_edit(place.file, change, f"the new pool {name}"):
            self.show_place(place)
            self.turn_to("form")
            self.tell(f"{question.name} is asked in the pool {name}. Add others to it below.", "")

    async def _add_member(self) -> None:
        pool = self.entry
        lines = [
            ChoiceLine(one.name, f"{one.name}: {one.words}")
            for one in self.sheets.entries(pool.place.file)
            if one.kind == "question" and self.sheets.pool_of(one) is None
        ]
        name = await self.choose("Which question belongs in the pool?", lines)
        if name is None:
            return

        def change(text: str) -> str:
            return into_pool(text, pool.name, name)

        if self.try_edit(pool.place.file, change, f"{name} into the pool {pool.name}"):
            at = len(self.sheets.members(pool)) - 1
            steps = (*pool.place.steps, "best_of", at)
            self.call_after_refresh(self.query_one(FormPanel).focus_at, steps)

    async def _add_tree(self, kind: str) -> None:
        """A topic or a sub-tree: a step here, and a file with its first question."""
        after = self.sheets.pool_of(self.entry) or self.entry
        file = after.place.file
        is_topic = kind == "topic"
        what = "topic" if is_topic else "sub-tree"
        shown = "What is its name in the list of topics?" if is_topic else "What is it about?"
        title = await self.line(f"A {what}", shown)
        changes = (
            title
            if title is None or not is_topic
            else await self.line(f"A {what}", "What could it change? A few words.")
        )
        ask = changes and await self.line("Its first question", "What does the adviser say?")
        if not title or not changes or not ask:
            return
        names = {one.name for one in self.sheets.steps_of()}
        files = {one.removesuffix(".yaml") for one in self.folder.texts}
        tree = name_from(title, names | files | {one.removeprefix("the_") for one in names}, "tree")
        question = name_from(ask, names | {tree}, "question")
        version = self.sheets.value(Place(file), "version")
        step = f"the_{tree}"
        try:
            outer = self.folder.texts[file]
            if is_topic:
                outer = add_topic(outer, tree, title, changes, after.name)
            else:
                outer = add_include(outer, step, tree, after.name)
            inner = new_tree(tree, title, version, question, ask)
            texts = {file: outer, f"{tree}.yaml": with_schema_line(inner, outer)}
            self.folder.edit_many(texts, f"the new {what} {tree}")
        except Refused as refused:
            self.tell(str(refused))
            return
        self.changed()
        self.show_place(Place(file, ("questions", step)))
        self.turn_to("form")
        self.tell(f"Added the {what} {tree} after {after.name}, in {tree}.yaml.", "")

    async def _add_route(self) -> None:
        entry = self.entry
        when = await self.ask_condition(entry.name)
        if when is None:
            return
        lines = options(entry, ("next",), self.sheets)
        go = await self.choose("Which question comes next?", lines)
        if go is None:
            return

        def change(text: str) -> str:
            return add_route(text, entry.name, when, go)

        if self.try_edit(entry.place.file, change, f"a way on of {entry.name}"):
            following = self.sheets.data(entry.place.inside("next"))
            steps = (*entry.place.steps, "next", max(0, len(following) - 2), "when")
            self.call_after_refresh(self.query_one(FormPanel).focus_at, steps)

    async def _add_alike(self, entry: OutlineEntry) -> None:
        """A part, a quantity or a country more, like the one at hand but for its code and name."""
        code = await self.line(f"Another like {entry.name}", _ALIKE[entry.kind])
        name = code and await self.line(f"Another like {entry.name}", "What is it called?")
        if not code or not name:
            return
        called = "label" if entry.kind == "quantity" else "name"
        fields = {**self.sheets.data(entry.place), called: name}
        above, at = entry.place.steps[:-1], entry.place.steps[-1]
        place = Place(entry.place.file, (*above, at + 1 if isinstance(at, int) else code))

        def change(text: str) -> str:
            if isinstance(at, int):
                return edits.add_item(text, above, None, {**fields, "code": code}, at + 1)
            return edits.add_item(text, above, code, fields)

        if self.try_edit(entry.place.file, change, f"the new {KINDS[entry.kind].lower()} {code}"):
            self.show_place(place)
            self.turn_to("form")
            self.tell(f"{code} is as {entry.name} was. Change what differs.", "")

    async def _add_part(self, kind: str) -> None:
        about = self.entry
        file = about.place.file
        fields: dict[str, object] = {}
        if kind == "caution":
            lines = [
                ChoiceLine(one, of_thing(f"{one}: {said}", self.sheets.thing))
                for one, said in LEVEL_WORDS.items()
            ]
            level = await self.choose("How serious is it?", lines)
            if level is None:
                return
            fields["level"] = level
        if kind == "need":
            features = options(_empty(kind, file), ("feature",), self.sheets)
            feature = await self.choose("Which feature is needed?", features)
            strength = feature and await self.choose(
                "How important is it?", options(_empty(kind, file), ("strength",), self.sheets)
            )
            if not feature or not strength:
                return
            fields |= {"feature": feature, "strength": strength}
            words = feature
        elif kind == "always":
            then = await self.ask_condition("")
            because = then and await self.line("Always", "Why must this be true?")
            if not then or not because:
                return
            fields |= {"then": then, "because": because}
            words = because
        else:
            said = await self.line(f"{KINDS[kind]}: the words", "What does the adviser say?")
            if said is None:
                return
            words = fields["say"] = said
        when = await self.ask_condition(about.name if about.kind == "question" else "")
        if when is None:
            return
        taken = {one.name for one in self.sheets.steps_of() if one.kind == kind}
        name = name_from(str(words), taken, kind)
        if kind == "advice":
            fields["topic"] = about.name if about.kind == "question" else "general"
        known = {"name": name, "when": when, **fields}
        made: list[Place] = []

        def change(text: str) -> str:
            new, place = part_more(text, file, self.sheets, PART_OF[as_kind(kind)], known)
            made.append(place)
            return new

        if self.try_edit(file, change, f"the new {kind} {name}"):
            self.show_place(made[-1])
            self.turn_to("form")
            self.tell(f"Added the {kind} {name}. Ctrl+Z undoes it.", "")


def _empty(kind: str, file: str) -> OutlineEntry:
    """Something of a kind that is not there yet, to ask what its fields may hold."""
    return OutlineEntry(Place(file, (PART_OF[as_kind(kind)],)), as_kind(kind), "", "", 1)
