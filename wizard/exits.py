"""Exit codes that scripts depend on, and the error that ends a command because of what it was given."""

from __future__ import annotations

WITHIN = 0
NOT_WITHIN = 1
WRONG_INPUT = 2
MACHINE_FAULT = 3
STOPPED = 130


class InputRefused(Exception):
    """An argument or a file cannot be used; the text is one sentence for the person who gave it."""
