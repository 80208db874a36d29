"""What the system tells a program from outside: to end, that its terminal is gone, to break off."""

from __future__ import annotations

import asyncio
import signal
from collections.abc import Callable, Mapping
from contextlib import suppress


def when_told(handlers: Mapping[str, Callable[[], None]]) -> None:
    """Have the running loop call a handler for each signal of that name, as far as the system knows it."""
    for name, handler in handlers.items():
        with suppress(AttributeError, NotImplementedError, RuntimeError, ValueError):
            asyncio.get_running_loop().add_signal_handler(getattr(signal, name), handler)
