"""The time as a journal writes it."""

from __future__ import annotations

from datetime import UTC, datetime


def now_utc() -> str:
    """Return the time now, UTC, ISO 8601 with microseconds."""
    return datetime.now(UTC).isoformat(timespec="microseconds")
