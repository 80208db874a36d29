"""A lock whose release tells someone: whoever held it may have changed what is due next."""

from __future__ import annotations

import threading
from collections.abc import Callable
from types import TracebackType


class WakingLock:
    """A re-entrant lock. `when_released` is called after each release, by the thread that let go."""

    def __init__(self) -> None:
        self._lock = threading.RLock()
        self.when_released: Callable[[], None] | None = None

    def __enter__(self) -> None:
        self._lock.acquire()

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._lock.release()
        if self.when_released is not None:
            self.when_released()
