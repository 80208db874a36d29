"""The serial library's edge: device paths, pseudo-terminals, socket:// and rfc2217:// URLs."""

from __future__ import annotations

import os
import socket
from urllib.parse import urlsplit

import serial

from drivers.errors import LinkLost
from drivers.ports import IN_USE, why_not

READ_TIMEOUT_S = 0.25
WRITE_TIMEOUT_S = 1.0
CALL_TIMEOUT_S = 2.0


class SerialTransport:
    """An open serial line as a `drivers.transport.Transport`."""

    def __init__(self, port: serial.Serial, name: str, may_reset: bool) -> None:
        self._port = port
        self._name = name
        self._may_reset = may_reset

    @property
    def name(self) -> str:
        """What the operator called the line."""
        return self._name

    @property
    def may_reset(self) -> bool:
        """Whether opening the line can have restarted the machine."""
        return self._may_reset

    @property
    def descriptor(self) -> int | None:
        """The file descriptor, where the system and the kind of line have one."""
        try:
            return int(self._port.fileno()) if os.name == "posix" else None
        except (OSError, AttributeError):
            return None

    def read(self) -> bytes:
        """Return what has come in, waiting up to `READ_TIMEOUT_S` for the first byte."""
        first = self._port.read(1)
        return bytes(first + self._port.read(self._waiting())) if first else b""

    def _waiting(self) -> int:
        return min(int(self._port.in_waiting), 4096)

    def write(self, data: bytes) -> None:
        """Hand `data` to the system. Raises OSError (which the serial library's errors are)."""
        self._port.write(data)

    def close(self) -> None:
        """Close the line."""
        self._port.close()


def is_url(text: str) -> bool:
    """Whether `text` names a line by URL rather than by device path."""
    return "://" in text


def open_port(url: str, baud: int) -> SerialTransport:
    """Open a device path, pseudo-terminal, socket:// or rfc2217:// URL.

    DTR and RTS are set before opening, both on: boards with a USB chip of their own send nothing
    without DTR, and the two differing would hold some boards in reset. Raises LinkLost with what
    is wrong and what to do.
    """
    if not is_url(url) and not _is_pty(url) and (trouble := why_not(url)):
        raise LinkLost(f"{url} cannot be opened: {trouble}")
    try:
        port = serial.serial_for_url(url, baudrate=baud, do_not_open=True)
        _set_up(port, url)
        port.open()
    except (OSError, ValueError) as error:
        raise LinkLost(f"{url} cannot be opened: {_reason(url, error)}") from error
    return SerialTransport(port, url, _may_reset(url))


def can_be_opened(url: str) -> bool:
    """Whether a line could be opened now. A device is not opened for this; a host is called and left."""
    if not is_url(url):
        return os.path.exists(url) if _is_pty(url) else not why_not(url)
    place = urlsplit(url)
    try:
        with socket.create_connection((place.hostname or "", place.port or 0), timeout=CALL_TIMEOUT_S):
            return True
    except (OSError, ValueError):
        return False


def _set_up(port: serial.Serial, url: str) -> None:
    port.timeout = READ_TIMEOUT_S
    if not url.startswith("rfc2217://"):
        port.write_timeout = WRITE_TIMEOUT_S
    if not url.startswith("socket://"):
        port.dtr = True
        port.rts = True
    if not is_url(url):
        port.exclusive = True


def _reason(url: str, error: Exception) -> str:
    if is_url(url):
        return str(error)
    if "lock" in str(error):
        return IN_USE
    return why_not(url) or str(error)


def _is_pty(url: str) -> bool:
    """A pseudo-terminal is held open by whoever serves it, so that says nothing."""
    return os.path.realpath(url).startswith("/dev/pts/")


def _may_reset(url: str) -> bool:
    return not url.startswith("socket://") and not _is_pty(url)
