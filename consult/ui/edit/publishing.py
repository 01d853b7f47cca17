"""Publishing from the content desk: who and why, what speaks against it, and the last yes."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import PurePath
from typing import TYPE_CHECKING

from textual import work

from consult.ui.edit.keeping import Keeping
from consult.ui.edit.letters_screen import LettersScreen
from consult.ui.line_screen import LineScreen
from consult.ui.text_screen import TextScreen

if TYPE_CHECKING:
    from consult.content.library import Library
    from consult.content.library.publish import Judge, Report


class Publishing(Keeping):
    """Makes the draft live."""

    judge: Judge | None = None
    """What is asked of a draft before it goes live; None where that is not installed."""

    @work(group="flow", exclusive=True)
    async def action_publish(self) -> None:
        """Make the draft live."""
        self.flush()
        library = self._library()
        if isinstance(library, str):
            self.tell(library)
            return
        if self.folder.changed and not await self._saved_first():
            return
        by = await self.app.push_screen_wait(
            LineScreen("Publish: who", "Who publishes?", self.editor, needed=True)
        )
        if by is None:
            return
        reason = await self.app.push_screen_wait(
            LineScreen("Publish: why", "Why? It stands in the journal.", needed=True)
        )
        if reason is None:
            return
        accepted: dict[str, str] = {}
        report = await self._publish(library, by, reason, accepted, dry_run=True)
        if report is not None and report.why_not and report.judged.lost:
            if not await self._accept(report, accepted):
                return
            report = await self._publish(library, by, reason, accepted, dry_run=True)
        if report is None:
            return
        if report.why_not:
            self.app.push_screen(TextScreen("Not published", "\n".join(_against(report))))
            return
        told = "\n".join(
            [f"This makes the draft live as version {report.version}.", ""]
            + [f"- {one}" for one in report.judged.changes or ("Nothing that callers notice.",)]
        )
        letters = {"p": f"publish {report.version}: every new call is led with it"}
        page = LettersScreen(told, letters, "leave what is live as it is")
        if await self.app.push_screen_wait(page) != "p":
            self.tell("Not published. What was live is live.", "")
            return
        report = await self._publish(library, by, reason, accepted, dry_run=False)
        if report is not None:
            self.tell(report.why_not or f"{report.version} is live now.", "")

    async def _saved_first(self) -> bool:
        page = LettersScreen(
            "What is not saved would not be published.", {"s": "save it and go on"}, "not now"
        )
        return await self.app.push_screen_wait(page) == "s" and self._save()

    def _library(self) -> Library | str:
        """The library whose draft this is; why it cannot be published, in words."""
        from consult.content.library import LibraryTrouble, the_library

        if self.judge is None:
            return "Publishing is not installed here. In a terminal: consult publish"
        try:
            library = the_library()
        except LibraryTrouble as trouble:
            return str(trouble)
        if self.folder.path.resolve() != library.draft.resolve():
            return (
                f"Only the draft of the library is published, {library.draft}. This is "
                f"{self.folder.path}. Open the draft with: consult edit"
            )
        return library

    async def _publish(
        self, library: Library, by: str, reason: str, accepted: Mapping[str, str], *, dry_run: bool
    ) -> Report | None:
        """In a thread: callers are led through both versions. None where it broke off, told."""
        from consult.content.library import LibraryTrouble
        from consult.content.library.publish import Wanted, full, publish

        assert self.judge is not None, "asked for before"
        judge = self.judge
        wanted = Wanted(by, reason, self.clock().date(), dict(accepted), dry_run)
        self.tell("Checking the draft with simulated callers; this takes a while ...", "")
        worker = self.run_worker(
            lambda: publish(library, wanted, judge), thread=True, exit_on_error=False
        )
        try:
            report: Report = await worker.wait()
        except Exception as failed:
            cause = failed.__cause__ or getattr(failed, "error", failed)
            if isinstance(cause, LibraryTrouble):
                self.tell(str(cause))
            elif isinstance(cause, OSError):
                self.tell(f"The library could not be written. {full(cause)}")
            else:
                raise
            return None
        self.tell("")
        return report

    async def _accept(self, report: Report, accepted: dict[str, str]) -> bool:
        """For every caution that is lost: why that is right, or not publishing after all."""
        for lost in report.judged.lost:
            if lost.caution in accepted:
                continue
            help_ = (
                f"!! A {lost.level} caution is lost: {lost.caution}. {lost.why}\n\n"
                "Esc leaves, so that it can be put right. If losing it is right, say why; "
                "the reason stays in the journal."
            )
            why = await self.app.push_screen_wait(
                LineScreen(f"Lost: {lost.caution}", help_, needed=True)
            )
            if why is None:
                self.tell(f"Not published: {lost.caution} would be lost.")
                return False
            accepted[lost.caution] = why
        return True


def _against(report: Report) -> list[str]:
    lines = [report.why_not, ""]
    for one in report.judged.problems:
        sign = "✗" if one.severity == "error" else "!"
        place = f"{PurePath(one.where.file).name}:{one.where.line}"
        lines.append(f"{sign} {place}: {one.message} {one.fix}".rstrip())
    lines += [f"!! Lost: {one.caution} ({one.level}). {one.why}" for one in report.judged.lost]
    return lines
