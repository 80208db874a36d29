"""What the line's core tells its shell, and how patient it is. Frozen values."""

from __future__ import annotations

from typing import Literal

import msgspec

from drivers.replies import Reply

Trouble = Literal["silent", "noisy", "error", "halted"]
Reason = Literal["asked", "silence"]


class Patience(msgspec.Struct, frozen=True):
    """How long to wait, seconds.

    grace_s: beyond a block's expected time, before it is repeated; doubled at each repeat.
    margin_s: a block's deadline is twice its expected time and this much more.
    settle_s: how long the line must be quiet after a resend request.
    tries: how often one block may go out before the line is called too noisy.
    """

    grace_s: float = 2.0
    margin_s: float = 10.0
    settle_s: float = 0.05
    tries: int = 12


class Said(msgspec.Struct, frozen=True):
    """One line came in."""

    reply: Reply


class Acknowledged(msgspec.Struct, frozen=True):
    """The block in flight was accepted; `replies` came in between."""

    number: int
    block: str
    replies: tuple[Reply, ...]


class Repeated(msgspec.Struct, frozen=True):
    """A block went out once more."""

    number: int
    reason: Reason


class Restarted(msgspec.Struct, frozen=True):
    """The machine has been reset; `text` is the line that shows it."""

    text: str


class Failed(msgspec.Struct, frozen=True):
    """The block in flight is given up. Nothing goes out before `begin`."""

    trouble: Trouble
    block: str
    text: str


Event = Said | Acknowledged | Repeated | Restarted | Failed


class NotReady(Exception):
    """A block was handed over while another is in flight, or before `begin`."""
