"""Arguments that several commands share."""

from __future__ import annotations

import argparse
import math

STARTS = ("snugged", "level", "far", "high", "bowed", "tilted")


def add_simulated(parser: argparse.ArgumentParser, speed: float | None) -> None:
    """Add what a simulated printer is made from; `speed` is the default, None: it depends."""
    usual = "depends on who plays" if speed is None else f"default {speed:g}"
    parser.add_argument("--seed", type=_seed, default=1, metavar="N", help="which bed is found (default 1)")
    parser.add_argument(
        "--speed", type=_speed, default=speed, metavar="F", help=f"how much faster than real time ({usual})"
    )
    parser.add_argument(
        "--start",
        choices=STARTS,
        default="snugged",
        help="how the bed is found (default snugged: screws tightened, plate low)",
    )


def add_thou(parser: argparse.ArgumentParser) -> None:
    """Add the wish for thousandths of an inch."""
    parser.add_argument("--thou", action="store_true", help="tell lengths in thousandths of an inch, too")


def add_remarks(parser: argparse.ArgumentParser) -> None:
    """Add what a person can have kept with the record of a run."""
    parser.add_argument(
        "--nozzle", metavar="NAME", help="kept in the record: which nozzle is in; asked where it is not given"
    )
    parser.add_argument("--nozzle-mm", type=bore_mm, metavar="MM", help="kept in the record: its bore")
    parser.add_argument("--remark", metavar="TEXT", default="", help="kept in the record")


def bore_mm(text: str) -> float:
    """Return a nozzle's bore. Raises ArgumentTypeError."""
    try:
        size_mm = float(text)
    except ValueError:
        size_mm = math.nan
    if not 0.05 <= size_mm <= 5.0:
        raise argparse.ArgumentTypeError("give a bore in mm, from 0.05 to 5")
    return size_mm


def _seed(text: str) -> int:
    if not text.isascii() or not text.isdigit() or len(text) > 18:
        raise argparse.ArgumentTypeError("give a whole number from 0")
    return int(text)


def _speed(text: str) -> float:
    try:
        speed = float(text)
    except ValueError:
        speed = math.nan
    if not 0.01 <= speed <= 10_000:
        raise argparse.ArgumentTypeError("give a number from 0.01 to 10000")
    return speed
