"""A procedure's requests to the machine, carried out by a printer. Nothing is decided here."""

from __future__ import annotations

from drivers.errors import PrinterFault
from drivers.interface import OwnWords, Printer
from drivers.own_words import SAME_MM
from profiles.machine import XY, Machine
from wizard.requests import (
    AnyAnswer,
    AnyRequest,
    Connect,
    Connected,
    CoolDown,
    Done,
    FollowAgain,
    FollowGrid,
    HeightKept,
    Home,
    LeaveGrid,
    Lift,
    Lower,
    MoveMotors,
    Park,
    ReadHeight,
    Reconnect,
    SetGrid,
    SetHeight,
    Store,
    Touched,
    TouchGrid,
    TouchPoint,
    TouchTest,
    Turned,
    Warm,
)


async def carry_out(printer: Printer, machine: Machine, request: AnyRequest) -> AnyAnswer:
    """Have `printer` do what `request` asks. Raises drivers.errors.DriverError, TypeError for others."""
    match request:
        case Connect():
            who = await printer.connect()
            return Connected(who.line, who.facts, who.simulated, who.note)
        case Warm():
            await printer.warm(request.bed_c, request.nozzle_c)
        case Home():
            await printer.home()
        case Park():
            await printer.park(machine.point_named(request.point), request.z_mm)
        case Lower():
            await printer.lower(request.z_mm)
        case Lift():
            await printer.lift()
        case SetHeight():
            await printer.set_height(request.change_mm)
        case Store():
            await printer.store()
        case CoolDown():
            await printer.cool()
        case Reconnect():
            return await carry_out(printer, machine, Connect())
        case _:
            return await _by_own_words(printer.own_words(), machine, request)
    return Done()


async def _by_own_words(words: OwnWords, machine: Machine, request: AnyRequest) -> AnyAnswer:
    """Have the machine do what only its profile has words for."""
    match request:
        case ReadHeight():
            return HeightKept(_expected(await words.kept_height_mm(), request.expect_mm))
        case TouchTest() | TouchPoint():
            return Touched(await words.touch(_place(machine, request.point), request.times))
        case TouchGrid():
            return Touched(tuple([(await words.touch(each.at_mm, 1))[0] for each in request.places]))
        case SetGrid():
            await words.set_grid(request.values)
        case LeaveGrid():
            await words.leave_grid()
        case FollowAgain() | FollowGrid():
            await _follow(words, request)
        case MoveMotors():
            await words.move_motors(request.turns)
            return Turned(request.turns)
        case _:
            raise TypeError(f"no printer can carry out {type(request).__name__}")
    return Done()


async def _follow(words: OwnWords, request: FollowAgain | FollowGrid) -> None:
    """Switch the compensation on; where its numbers are known they are set before and read back."""
    if isinstance(request, FollowAgain) and request.values:
        await words.set_grid(request.values)
    await words.follow_grid()
    if request.values:
        await words.check_grid(request.values)


def _place(machine: Machine, point: str | None) -> XY:
    """Return where to touch: a point, else the touch plate."""
    plate = machine.probe.at_mm if machine.probe else None
    if point is not None or plate is None:
        return machine.point_named(point or "").at_mm
    return plate


def _expected(kept_mm: float, wanted_mm: float | None) -> float:
    """Return the number kept. Raises PrinterFault where it is another than what was set."""
    if wanted_mm is not None and abs(kept_mm - wanted_mm) > SAME_MM:
        raise PrinterFault(
            f"The machine keeps a nozzle height of {kept_mm:.3f} mm, not the {wanted_mm:.3f} mm that was set:"
            " it does not store it. Do not print by it."
        )
    return kept_mm
