"""The edge to a stream of typed lines, such as standard input."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import AsyncIterator
from io import TextIOWrapper
from typing import TextIO

LONGEST_LINE = 4096


async def typed_lines(stream: TextIO) -> AsyncIterator[str]:
    """Yield lines as they are typed, until the stream ends.

    A thread of its own reads: a blocked read can neither be awaited nor cancelled on every platform,
    and as a daemon it does not keep the program from ending.
    """
    if isinstance(stream, TextIOWrapper):
        stream.reconfigure(errors="replace")  # a byte that is no letter spoils one line, not the job
    loop = asyncio.get_running_loop()
    queue: asyncio.Queue[str | None] = asyncio.Queue()

    def hand_over(line: str | None) -> None:
        try:
            loop.call_soon_threadsafe(queue.put_nowait, line)
        except RuntimeError:  # the loop has ended; nobody waits for lines any more
            return

    def read() -> None:
        try:
            while line := stream.readline(LONGEST_LINE):
                hand_over(line.rstrip("\r\n"))
        except (OSError, ValueError):  # closed under our hands: the end of typing
            pass
        hand_over(None)

    threading.Thread(target=read, name="typed lines", daemon=True).start()
    while (line := await queue.get()) is not None:
        yield line
