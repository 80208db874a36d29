"""What all parts of a machine description have in common."""

from __future__ import annotations

import msgspec


class Part(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Base of all parts: frozen values, and no key but those that are named."""
