"""`tramwright ports`: which serial ports there are, and whether they can be opened."""

from __future__ import annotations

import argparse
import json
from typing import TYPE_CHECKING

from wizard import exits

if TYPE_CHECKING:
    from drivers.ports import Port


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what `ports` takes."""
    parser.add_argument("--json", action="store_true", help="print one JSON object")


def run(args: argparse.Namespace) -> int:
    """Print the ports. Returns 0, also where there is none."""
    from drivers.ports import find_ports

    ports = find_ports()
    if args.json:
        told = [
            {
                "device": p.device,
                "description": p.description,
                "usb": p.usb,
                "can_be_opened": not p.trouble,
                "why_not": p.trouble,
            }
            for p in ports
        ]
        print(json.dumps({"format": "tramwright-ports/1", "ports": told}, ensure_ascii=False))
        return exits.WITHIN
    for port in ports:
        print(_line(port))
    if not ports:
        print("No serial port was found. Is the cable plugged in and the machine switched on?")
    return exits.WITHIN


def _line(port: Port) -> str:
    from profiles.faults import printable

    about = ", ".join(part for part in (port.description, f"USB {port.usb}" if port.usb else "") if part)
    said = f"{port.device}  {port.trouble or 'can be opened'}"
    return printable(f"{said}  ({about})" if about else said)
