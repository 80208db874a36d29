"""What the home screen offers: machines, and ways to reach them. Pure but for the lists it is given."""

from __future__ import annotations

from typing import Literal

import msgspec

from profiles.machine import Machine

How = Literal["simulated", "port", "address", "hand", "resume", "recheck", "survey", "records"]
_HEIGHT = {
    "endstop screw": "nozzle height by the endstop screw",
    "stored offset": "nozzle height stored in the machine",
    "bed adjusters": "nozzle height by the bed's adjusters",
    "operator": "nozzle height in the machine's own menu",
}


class Way(msgspec.Struct, frozen=True):
    """One way to reach a machine. `trouble` says why it cannot be taken now."""

    how: How
    label: str
    port: str = ""
    trouble: str = ""


class Picked(msgspec.Struct, frozen=True):
    """What was picked: a profile's name or file, "" for the records of all, and the way."""

    profile: str
    way: Way

    @property
    def argv(self) -> tuple[str, ...]:
        """The command line that does the same."""
        if self.way.how == "simulated":
            return ("demo", self.profile)
        if self.way.how == "records":
            return ("history", "browse")
        if self.way.how == "resume":
            return ("level", self.profile, "--resume")
        if self.way.how == "recheck":
            return ("recheck", self.profile, *(("--port", self.way.port) if self.way.port else ("--hand",)))
        if self.way.how == "survey":
            return ("survey", self.profile, *(("--port", self.way.port) if self.way.port else ("--hand",)))
        if self.way.how == "hand":
            return ("level", self.profile, "--hand")
        return ("level", self.profile, "--port", self.way.port)


SIMULATED = Way("simulated", "simulated printer: nothing real moves")
BY_HAND = Way("hand", "by hand: no cable, you move the head")
ADDRESS = Way("address", "type a port or an address")
OWN_FILE = "your own machine: type its file"
RECORDS = Way("records", "records: what was done, and what drifts")
RECHECK_BY_HAND = Way("recheck", "still right? recheck by hand")
SURVEY_BY_HAND = Way("survey", "measure only, by hand")
RESUME = Way("resume", "go on with the job that was broken off")


def ways(ports: tuple[tuple[str, str], ...], unfinished: bool, proven: bool = False) -> tuple[Way, ...]:
    """Return the ways for the (device, trouble) of the ports found; an unfinished job comes first.

    proven: there is a run that a recheck can compare with.
    """
    found = (Way("port", f"serial port {device}", device, trouble) for device, trouble in ports)
    again = (
        Way("recheck", f"still right? recheck on {device}", device, trouble) for device, trouble in ports
    )
    rechecks = (*again, *(() if ports else (RECHECK_BY_HAND,))) if proven else ()
    measure = tuple(Way("survey", f"measure only, on {device}", device, trouble) for device, trouble in ports)
    surveys = measure or (SURVEY_BY_HAND,)
    return (*((RESUME,) if unfinished else ()), SIMULATED, *found, ADDRESS, BY_HAND, *rechecks, *surveys)


def machine_words(machine: Machine) -> str:
    """Return what a machine is, in one paragraph."""
    first = machine.first_layer
    supports = [a for a in machine.adjuster if a.kind != "fixed"]
    kinds = sorted({a.kind for a in supports})
    told = f"{len(supports)} adjusters ({', '.join(kinds)})" if supports else "no adjusters"
    return (
        f"{told}, {len(machine.point)} points, {_HEIGHT[machine.height.by]}. "
        f"Gap wanted {first.gap_mm:.2f} mm, tolerance {first.tolerance_mm:.2f} mm."
    )
