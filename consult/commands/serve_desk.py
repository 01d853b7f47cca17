"""One desk of ``consult serve``: a process that ends with its browser and with the server."""

from __future__ import annotations

import asyncio
from asyncio.subprocess import Process
from collections.abc import Mapping, Sequence
from contextlib import suppress
from typing import Any

from textual_serve.app_service import AppService

QUIT, TERMINATE = 10.0, 5.0
"""Seconds a desk has to end by itself, then after it was told to by the system."""


class DeskProcess(AppService):
    """A call in a process of its own, started without a shell."""

    def __init__(self, words: Sequence[str], environment: Mapping[str, str], **given: Any) -> None:
        super().__init__("consult call", **given)
        self._words, self._environment = words, environment

    async def _open_app_process(self, width: int = 80, height: int = 24) -> Process:
        pipe = asyncio.subprocess.PIPE
        environment = {**self._build_environment(width, height), **self._environment}
        self._process = await asyncio.create_subprocess_exec(
            *self._words, stdin=pipe, stdout=pipe, stderr=pipe, env=environment
        )
        self._stdin = self._process.stdin
        return self._process

    async def stop(self) -> None:
        """End the process, by force where it does not end by itself; every answer is stored."""
        process, self._process = self._process, None
        if process is None:
            return
        await self._download_manager.cancel_app_downloads(app_service_id=self.app_service_id)
        with suppress(TimeoutError):
            async with asyncio.timeout(QUIT):
                await self.send_meta({"type": "quit"})
                await process.wait()
        for end in (process.terminate, process.kill):
            if process.returncode is None:
                with suppress(ProcessLookupError):
                    end()
                with suppress(TimeoutError):
                    await asyncio.wait_for(process.wait(), TERMINATE)
        if self._task is not None:
            self._task.cancel()
            with suppress(asyncio.CancelledError):
                await self._task
            self._task = None
