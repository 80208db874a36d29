"""Opening the same machine's line again: the system may have given its device another path meanwhile."""

from __future__ import annotations

from contextlib import suppress

from drivers.errors import LinkLost
from drivers.ports import device_of, identity_of
from drivers.serial_port import can_be_opened, is_url, open_port
from drivers.transport import Transport


class SameDevice:
    """Opens `url`; once it was open, opens the device with the same USB identity, wherever it is."""

    def __init__(self, url: str, baud: int) -> None:
        self._url = url
        self.baud = baud
        self._identity = ""

    def __call__(self) -> Transport:
        """Open the line. May block for a moment. Raises LinkLost."""
        transport = open_port(self._where(), self.baud)
        if not self._identity and not is_url(self._url):
            with suppress(OSError):  # it may be pulled out while it is looked at
                self._identity = identity_of(self._url)
        return transport

    @property
    def has_speed(self) -> bool:
        """Whether a speed can be set at all: a plain socket has none."""
        return not self._url.startswith("socket://")

    def tune(self, baud: int) -> None:
        """Open at another speed from now on."""
        self.baud = baud

    def is_there(self) -> bool:
        """Whether it could be opened now, as far as can be seen without doing so. May block for a moment."""
        try:
            return can_be_opened(self._where())
        except (LinkLost, OSError):  # the list of devices changes while it is read
            return False

    def _where(self) -> str:
        if not self._identity or identity_of(self._url) == self._identity:
            return self._url
        device = device_of(self._identity)
        if device is None:
            raise LinkLost(f"The machine that was on {self._url} (USB {self._identity}) is not plugged in.")
        return device


def is_there(source: object) -> bool:
    """Whether a printer's line could be opened now; of others than named ones nothing can be said."""
    return isinstance(source, SameDevice) and source.is_there()
