"""What can still be checked of a document whose form is not right: all parts that are. Pure.

Parts that are not sound are put by, with stand-ins in their place, and every fault that such a stand-in
could have a share in is left out: what is told is wrong, whatever else is.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import Any

import msgspec

from profiles import checks, form
from profiles.faults import Fault
from profiles.machine import Machine

FAR_OFF_MM = 1e6
STAND_INS: dict[str, Any] = {
    "name": "stand-in",
    "bed": {"size_mm": [200, 200]},
    "motion": {"x_mm": [0, 200], "y_mm": [0, 200], "z_mm": [0, 200]},
    "first_layer": {"height_mm": 0.2, "gap_mm": 0.15, "tolerance_mm": 0.05},
    "height": {"by": "operator"},
}
LISTED: dict[str, dict[str, Any]] = {
    "adjuster": {"kind": "fixed"},
    "point": {},
}


def faults(document: dict[str, Any], of_form: Iterable[Fault]) -> Iterator[Fault]:
    """Yield what is wrong in those parts of a document that are sound; `of_form` are its faults of form."""
    unsound = {_head(fault.key) for fault in of_form if not fault.said.startswith("is no key")}
    known = _without_unknown(document)
    for part in unsound:
        name, _, nth = part.partition(" ")
        if name in LISTED and nth and isinstance(known.get(name), list):
            known[name] = list(known[name])
            known[name][int(nth) - 1] = _stand_in(name, int(nth))
        else:
            known.pop(name, None)
            known |= {name: STAND_INS[name]} if name in STAND_INS else {}
    if any(form.faults(known)):
        return
    for fault in checks.faults(msgspec.convert(known, Machine)):
        if not unsound & needs(fault.key, unsound):
            yield fault


def _stand_in(part: str, nth: int) -> dict[str, Any]:
    """Return an item that shares neither name nor place with any other."""
    return {**LISTED[part], "name": f"stand-in {nth}", "at_mm": [FAR_OFF_MM, FAR_OFF_MM + nth]}


def needs(key: str, unsound: set[str]) -> set[str]:
    """Return the parts that a fault at `key` may come from: those its check looks at, of those unsound."""
    head = _head(key)
    name, _, nth = head.partition(" ")
    found = {head, *SHARED.get(name, ())} | ({name} if nth else set())
    if not nth and name in LISTED:
        found |= {part for part in unsound if part.startswith(f"{name} ")}
    return found


SHARED: dict[str, tuple[str, ...]] = {
    "motion": ("first_layer",),
    "first_layer": ("motion", "gauge", "probe"),
    "heat": ("bed", "first_layer", "motion"),
    "gauge": ("first_layer", "probe"),
    "adjuster": ("bed", "first_layer"),
    "point": ("bed", "motion", "adjuster"),
    "height": ("first_layer", "motion", "adjuster"),
    "probe": ("motion",),
    "compensation": ("bed", "motion", "point"),
}
"""Which other parts the checks of a part look at."""


def _head(key: str) -> str:
    """Return the part that a key belongs to, as in "bed" or "adjuster 2"."""
    found = re.match(r"[a-z_]+(?: \d+(?= |\.|$))?", key)
    return found[0] if found else key


def _without_unknown(document: dict[str, Any]) -> dict[str, Any]:
    """Return the document without keys that nobody knows, down to any depth."""
    known: dict[str, Any] = form.only_known(document)
    return known
