"""Which serial ports there are, and whether each can be opened; if not, why, in words."""

from __future__ import annotations

import errno
import os
import stat
from pathlib import Path

import msgspec
from serial.tools import list_ports

IN_USE = "it is in use by another program, or by this one; close that first"


class Port(msgspec.Struct, frozen=True):
    """One serial port. `trouble` is "" where it can be opened; `usb` is "" where it is not on USB."""

    device: str
    description: str
    usb: str
    trouble: str


def find_ports() -> list[Port]:
    """List the serial ports of this computer, sorted by device."""
    found = sorted(list_ports.comports(), key=lambda info: str(info.device))
    return [
        Port(info.device, _plain(info.description), usb_identity(info), why_not(info.device))
        for info in found
    ]


def _plain(text: str | None) -> str:
    return "" if text in (None, "n/a") else str(text)


def usb_identity(info: object) -> str:
    """Return vendor:product:serial for a USB device, "" for others. It stays when the path changes."""
    vid, pid = getattr(info, "vid", None), getattr(info, "pid", None)
    if vid is None or pid is None:
        return ""
    return f"{vid:04x}:{pid:04x}:{getattr(info, 'serial_number', None) or ''}"


def identity_of(device: str) -> str:
    """Return the USB identity of a device path, "" where it has none or is gone. Links are followed."""
    real = os.path.realpath(device)
    return next((usb_identity(info) for info in list_ports.comports() if info.device == real), "")


def device_of(identity: str) -> str | None:
    """Return the path of the device with a USB identity; None where it is not plugged in."""
    return next((info.device for info in list_ports.comports() if usb_identity(info) == identity), None)


def why_not(device: str) -> str:
    """Say why `device` cannot be opened and what to do; "" where it can.

    The port is not opened as a serial line for this: that could restart the machine behind it.
    """
    if os.name != "posix":
        return ""  # only opening tells
    path = Path(device)
    try:
        mode = path.stat().st_mode
    except FileNotFoundError:
        return "there is no such port; is the cable plugged in and the machine switched on?"
    except OSError as error:
        return str(error.strerror)
    if not stat.S_ISCHR(mode):
        return "this is not a serial port"
    if not os.access(path, os.R_OK | os.W_OK):
        return _permission(path)
    return _in_use(path)


def _permission(path: Path) -> str:
    try:
        group = path.group()
    except (KeyError, NotImplementedError):
        return "you are not allowed to open it"
    return (
        f"you are not allowed to open it; it belongs to the group {group}: "
        f"run `sudo usermod -a -G {group} $USER`, then log out and in again"
    )


def _in_use(path: Path) -> str:
    holders = [f"{name} (process {pid})" for pid, name in _holders(path.resolve()) if pid != os.getpid()]
    return f"it is in use by {', '.join(holders)}" if holders else ""


def _holders(device: Path) -> list[tuple[int, str]]:
    """Return (process id, name) of whoever has `device` open, as far as the system shows it."""
    found = []
    for folder in Path("/proc").glob("[0-9]*/fd"):
        try:
            if any(os.readlink(link) == str(device) for link in folder.iterdir()):
                found.append((int(folder.parent.name), (folder.parent / "comm").read_text().strip()))
        except OSError as error:
            if error.errno not in (errno.EACCES, errno.ENOENT, errno.EPERM, errno.ESRCH):
                raise
    return found
