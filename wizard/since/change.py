"""What a recheck finds: a frozen value. Wording is in `wizard.instructions`."""

from __future__ import annotations

from typing import Literal

import msgspec

from wizard.solver.finding import Finding

Kind = Literal["same", "height", "tilt", "wrong"]


class Change(msgspec.Struct, frozen=True):
    """What has changed since the last proven run.

    kind: same (within as it is), height (only the nozzle height), tilt (the plate too), wrong (no story fits,
    or one reading stands against all others). odds: probability of that kind.
    height_mm: how far the nozzle has come down (-) or gone up (+) over the whole plate, u_mm its
    uncertainty. place, place_mm: where the plate has moved most against the rest, and how far up (+).
    set_mm: how far the nozzle is to be raised (+) now, where only the height is to be set.
    days: how long ago the base was proven. read: points read. suspect: a reading that fits nothing.
    coarse: the gauge could not read finely enough to tell.
    finding: the gaps as they are known now, with the verdict by the decision rule.
    """

    kind: Kind
    odds: float
    height_mm: float
    u_mm: float
    days: float
    read: tuple[str, ...]
    finding: Finding
    place: str = ""
    place_mm: float = 0.0
    set_mm: float = 0.0
    suspect: str = ""
    done: bool = False
    coarse: bool = False

    @property
    def proven(self) -> bool:
        """Whether every gap is within tolerance by the decision rule, the old readings counted in."""
        return self.finding.verdict == "within"
