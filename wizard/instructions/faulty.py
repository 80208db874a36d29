"""Faults in words: whose it was, what to do, the last lines exchanged. Pure.

Text from a machine is untrusted: it is made harmless here and has to be shown literally.
"""

from __future__ import annotations

import re

from profiles.faults import printable
from wizard.instructions.fitting import fit, short
from wizard.instructions.page import Page

_TITLES = {
    "move-refused": "That move is not allowed. Nothing was sent.",
    "printer-fault": "The machine reports a fault.",
    "link-lost": "The line to the machine is lost.",
    "no-reply": "The machine does not answer.",
}
_NEXT = {
    "move-refused": "Every answer is kept. Check the machine, then try again.",
    "printer-fault": "Look at the machine first. It homes again before it goes on.",
    "link-lost": "Check cable and power. The machine may still be hot. Once it is there again the job goes"
    " on.",
    "no-reply": "Is it on, and is it this port and speed? It may still be hot.",
}
CAUTION = "Hands off: what the machine does now is not known."
LINES_SHOWN = 6
LINE_WIDTH = 72


def fault_page(kind: str, text: str, exchange: tuple[str, ...] = ()) -> Page:
    """Return the page of a fault. `kind` is the error's class name, in any spelling; others are told too."""
    key = re.sub(r"(?<=[a-z])(?=[A-Z])", "-", kind).replace(" ", "-").replace("_", "-").lower()
    title = _TITLES.get(key, "The job cannot go on now.")
    body = fit(printable(text), _NEXT.get(key, "Every answer is kept: the job can be taken up again."))
    table = tuple(short(line, LINE_WIDTH) for line in exchange[-LINES_SHOWN:])
    return Page(title, body, caution="" if key == "move-refused" else CAUTION, table=table)
