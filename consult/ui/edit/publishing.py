"""Publishing from the content desk: who and why, what speaks against it, and the last yes."""

from __future__ import annotations

from asyncio import to_thread
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path, PurePath
from typing import TYPE_CHECKING

from consult.content.changes.folders import WEAKER_MARK, safety_lines
from consult.content.editing.patching import Refused
from consult.content.editing.session import EditResult, EditSession
from consult.content.library.files import LibraryTrouble, digest_of_files, read_files
from consult.content.library.library import Library, the_library
from consult.content.library.publish import Judged, PublishReport, Wanted, full, publish
from consult.ui.edit.asking import Asker, LeftOff

if TYPE_CHECKING:
    from datetime import date

    from consult.content.library.publish import Judge
    from consult.ui.edit.keeping import Keeping

_CHECKING = "Checking the draft with proofs and simulated callers. This takes a while ..."


class Publishing:
    """Makes the draft live."""

    def __init__(
        self,
        session: EditSession,
        ask: Asker,
        keeping: Keeping,
        judge: Judge,
        tell: Callable[[str], None],
    ) -> None:
        """``tell`` says how far it has come."""
        self._session, self._ask, self._keeping = session, ask, keeping
        self._judge, self._tell = judge, tell
        self.judging = False
        """Whether the draft is being judged, which takes a while."""
        self._judged: tuple[tuple[str, str], Judged] | None = None
        """The texts last judged, live and new, and what was found."""

    async def publish(self, editor: str, today: date) -> EditResult | None:
        library = self._library()
        if self._session.folder.changed:
            told, letters = "Unsaved changes are not published.", {"s": "save and continue"}
            if await self._ask.letter(told, letters, "not now") != "s":
                return None
            saved, told = await self._keeping.save()
            self._tell(told)
            if not saved:
                return None
        by = await self._ask.line("Publish: who", "Who publishes?", editor)
        reason = await self._ask.line("Publish: why", "Why? The reason goes into the journal.")
        wanted = Wanted(by, reason, today, {}, dry_run=True)
        report = await self._published(library, wanted)
        if report.why_not and report.judged.weaker:
            wanted = replace(wanted, accepted=await self._accepted(report))
            report = await self._published(library, wanted)
        if report.why_not:
            await self._ask.read("Not published", self._session.said("\n".join(_against(report))))
            return None
        head = f"This makes the draft live as version {report.version}."
        told = self._session.said("\n".join([head, "", *_changes(report)]))
        letters = {"p": f"publish {report.version}: every new call uses it"}
        leave = "keep the present live version"
        if await self._ask.letter(told, letters, leave, sudden=True) != "p":
            return EditResult("Not published. The live version has not changed.")
        report = await self._published(library, replace(wanted, dry_run=False))
        return EditResult(report.why_not or f"{report.version} is live now.")

    def _library(self) -> Library:
        """The library whose draft this is; Refused where it cannot be published, in words."""
        try:
            library = the_library()
        except LibraryTrouble as trouble:
            raise Refused(str(trouble)) from None
        path = self._session.folder.path
        if path.resolve() != library.draft.resolve():
            raise Refused(
                f"Only the draft at {library.draft} can be published, and this is {path}. "
                "Open the draft with: consult edit"
            )
        return library

    async def _published(self, library: Library, wanted: Wanted) -> PublishReport:
        """In a thread: callers are led through both versions. Refused where it broke off."""
        self._tell(_CHECKING)
        self.judging = True
        try:
            report = await to_thread(publish, library, wanted, self._judge_once)
        except LibraryTrouble as trouble:
            raise Refused(str(trouble)) from None
        except OSError as error:
            raise Refused(f"The library could not be written. {full(error)}") from None
        finally:
            self.judging = False
        self._tell("")
        return report

    def _judge_once(self, live: Path, new: Path) -> Judged:
        """What is asked of a draft; not asked again of the same one, once somebody has said yes."""
        texts = digest_of_files(read_files(live)), digest_of_files(read_files(new))
        if self._judged is None or self._judged[0] != texts:
            self._judged = texts, self._judge(live, new)
        return self._judged[1]

    async def _accepted(self, report: PublishReport) -> dict[str, str]:
        """For whatever protects callers less: why that is right. Refused where nobody says."""
        whys: dict[str, list[str]] = {}
        for weaker in report.judged.weaker:
            whys.setdefault(weaker.what, []).append(weaker.why)
        accepted: dict[str, str] = {}
        for what, why in whys.items():
            help_ = (
                f"{WEAKER_MARK} {what} protects callers less than before, or may. "
                f"{' '.join(why)}\n\nPress Esc to correct it. If it is right, give a reason "
                "for the journal."
            )
            try:
                accepted[what] = await self._ask.line(f"Weaker: {what}", help_)
            except LeftOff:
                raise Refused(f"Not published: {what} would be weaker.") from None
        return accepted


def _against(report: PublishReport) -> list[str]:
    lines = [report.why_not, ""]
    for problem in report.judged.problems:
        sign = "✗" if problem.severity == "error" else "!"
        place = f"{PurePath(problem.where.file).name}:{problem.where.line}"
        lines.append(f"{sign} {place}: {problem.message} {problem.fix}".rstrip())
    lines += [f"{WEAKER_MARK} {weaker.what}: {weaker.why}" for weaker in report.judged.weaker]
    return lines


def _changes(report: PublishReport) -> list[str]:
    changes = report.judged.changes
    lines = safety_lines(changes, (weaker.what for weaker in report.judged.weaker))
    rest = [f"- {change.text}" for change in changes if not change.is_safety]
    return [*lines, *(["", "Other changes:", *rest] if rest else [])]
