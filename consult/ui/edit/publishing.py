"""Publishing from the content desk: who and why, what speaks against it, and the last yes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path, PurePath
from typing import TYPE_CHECKING

from textual import work

from consult.content.changes.folders import WEAKER_MARK, safety_lines
from consult.sentence import of_thing
from consult.ui.dialogs import LettersScreen, LineScreen, SuddenScreen, TextScreen
from consult.ui.edit.keeping import Keeping

if TYPE_CHECKING:
    from consult.content.library.library import Library
    from consult.content.library.publish import Judge, Judged, PublishReport


class Publishing(Keeping):
    """Makes the draft live."""

    judge: Judge | None = None
    """What is asked of a draft before it goes live; None where that is not installed."""
    _judged: tuple[tuple[str, str], Judged] | None = None
    """The texts last judged, live and new, and what was found."""
    judging = False
    """Whether the draft is being judged, which takes a while: the desk can be used meanwhile."""

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
            LineScreen("Publish: why", "Why? The reason goes into the journal.", needed=True)
        )
        if reason is None:
            return
        accepted: dict[str, str] = {}
        report = await self._publish(library, by, reason, accepted, dry_run=True)
        if report is not None and report.why_not and report.judged.weaker:
            if not await self._accept(report, accepted):
                return
            report = await self._publish(library, by, reason, accepted, dry_run=True)
        if report is None:
            return
        if report.why_not:
            self.app.push_screen(TextScreen("Not published", self._said(_against(report))))
            return
        head = f"This makes the draft live as version {report.version}."
        told = self._said([head, "", *_changes(report)])
        letters = {"p": f"publish {report.version}: every new call uses it"}
        page = SuddenScreen(told, letters, "keep the present live version")
        if await self.app.push_screen_wait(page) != "p":
            self.tell("Not published. The live version has not changed.", "")
            return
        report = await self._publish(library, by, reason, accepted, dry_run=False)
        if report is not None:
            self.tell(report.why_not or f"{report.version} is live now.", "")

    def _said(self, lines: Iterable[str]) -> str:
        return of_thing("\n".join(lines), self.sheets.thing)

    async def _saved_first(self) -> bool:
        page = LettersScreen(
            "Unsaved changes are not published.", {"s": "save and continue"}, "not now"
        )
        return await self.app.push_screen_wait(page) == "s" and self._save()

    def _library(self) -> Library | str:
        """The library whose draft this is; why it cannot be published, in words."""
        from consult.content.library.files import LibraryTrouble
        from consult.content.library.library import the_library

        if self.judge is None:
            return (
                "Publishing needs packages that are not installed. Use a terminal: consult publish"
            )
        try:
            library = the_library()
        except LibraryTrouble as trouble:
            return str(trouble)
        if self.folder.path.resolve() != library.draft.resolve():
            return (
                f"Only the draft at {library.draft} can be published, and this is "
                f"{self.folder.path}. Open the draft with: consult edit"
            )
        return library

    async def _publish(
        self, library: Library, by: str, reason: str, accepted: Mapping[str, str], *, dry_run: bool
    ) -> PublishReport | None:
        """In a thread: callers are led through both versions. None where it broke off, told."""
        from consult.content.library.files import LibraryTrouble
        from consult.content.library.publish import Wanted, full, publish

        judge = self._judge_once
        wanted = Wanted(by, reason, self.clock().date(), dict(accepted), dry_run)
        self.tell(
            "Checking the draft with proofs and simulated callers. This takes a while ...", ""
        )
        worker = self.run_worker(
            lambda: publish(library, wanted, judge), thread=True, exit_on_error=False
        )
        self.judging = True
        try:
            report: PublishReport = await worker.wait()
        except Exception as failed:
            cause = failed.__cause__ or getattr(failed, "error", failed)
            if isinstance(cause, LibraryTrouble):
                self.tell(str(cause))
            elif isinstance(cause, OSError):
                self.tell(f"The library could not be written. {full(cause)}")
            else:
                raise
            return None
        finally:
            self.judging = False
        self.tell("")
        return report

    def _judge_once(self, live: Path, new: Path) -> Judged:
        """What is asked of a draft; not asked again of the same one, once somebody has said yes."""
        from consult.content.library.files import digest_of_files, read_files

        assert self.judge is not None, "asked for before"
        texts = digest_of_files(read_files(live)), digest_of_files(read_files(new))
        if self._judged is None or self._judged[0] != texts:
            self._judged = texts, self.judge(live, new)
        return self._judged[1]

    async def _accept(self, report: PublishReport, accepted: dict[str, str]) -> bool:
        """For whatever protects callers less: why that is right, or not publishing after all."""
        whys: dict[str, list[str]] = {}
        for one in report.judged.weaker:
            whys.setdefault(one.what, []).append(one.why)
        for what, why in whys.items():
            if what in accepted:
                continue
            help_ = (
                f"{WEAKER_MARK} {what} protects callers less than before, or may. "
                f"{' '.join(why)}\n\nPress Esc to correct it. If it is right, give a reason "
                "for the journal."
            )
            reason = await self.app.push_screen_wait(
                LineScreen(f"Weaker: {what}", help_, needed=True)
            )
            if reason is None:
                self.tell(f"Not published: {what} would be weaker.")
                return False
            accepted[what] = reason
        return True


def _against(report: PublishReport) -> list[str]:
    lines = [report.why_not, ""]
    for one in report.judged.problems:
        sign = "✗" if one.severity == "error" else "!"
        place = f"{PurePath(one.where.file).name}:{one.where.line}"
        lines.append(f"{sign} {place}: {one.message} {one.fix}".rstrip())
    lines += [f"{WEAKER_MARK} {one.what}: {one.why}" for one in report.judged.weaker]
    return lines


def _changes(report: PublishReport) -> list[str]:
    changes = report.judged.changes
    lines = safety_lines(changes, (one.what for one in report.judged.weaker))
    rest = [f"- {each.text}" for each in changes if not each.is_safety]
    return [*lines, *(["", "Other changes:", *rest] if rest else [])]
