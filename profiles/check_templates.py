"""Command templates and reply patterns: harmless, and with the fields and groups they need? Pure.

A template is one block of words: letters, digits, `.`, `-`, space and named fields, nothing else. It
begins with its one command: an axis word alone would repeat the last motion, and a second command could
be carried out, too. It may not move an axis by the motion words of RS-274 (G0 to G3), change what a length
means (G20, G21, G90 to G92) nor number its own block: motion belongs to the safety envelope, numbers to
the line's protocol. A field stands right after a word's letter, so that its digits join no others.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import NamedTuple

from profiles.faults import Fault, missing, unwanted, wrong
from profiles.form import item_key
from profiles.machine import Adjuster, Compensation, Height, Machine, Probe
from profiles.ranges import between

LONGEST = 120
_BLOCK = re.compile(r"[A-Za-z](?:[A-Za-z0-9.\- ]|\{[a-z_]+\})*")
_FIELD = re.compile(r"\{([a-z_]+)\}")
_FIELD_PLACE = re.compile(r"(?<![A-Za-z])(?<![A-Za-z] )\{")
_FORBIDDEN = re.compile(
    r"(?<![A-Za-z])(?:G *(?:0*(?:[0-3]|2[01]|9[0-2])(?![0-9])|\{)|N *[0-9{])", re.IGNORECASE
)
_COMMAND = re.compile(r"[GMT] *[0-9]|[A-Z]{2}", re.IGNORECASE)
_SECOND = re.compile(r".+(?<![A-Za-z])[GM] *[0-9{]", re.IGNORECASE)
_AT = ("x_mm", "y_mm")


class Template(NamedTuple):
    """One template of a profile and the fields it may have."""

    key: str
    text: str | None
    fields: tuple[str, ...] = ()


def faults(machine: Machine) -> Iterator[Fault]:
    """Yield what is wrong with the templates and patterns of a machine."""
    yield from _height(machine.height)
    if machine.height.by == "stored offset" and machine.motion.link == "hand":
        yield wrong(
            "height.by", machine.height.by, 'by = "operator" where motion.link is "hand": no line to send it'
        )
    for nth, adjuster in enumerate(machine.adjuster, 1):
        yield from _motor(f"{item_key('adjuster', nth, adjuster)}.move_command", adjuster)
    if machine.probe is not None:
        yield from _probe(machine.probe, machine)
    if machine.compensation is not None:
        yield from _compensation(machine.compensation)


def _height(height: Height) -> Iterator[Fault]:
    texts = (height.set_command, height.store_command, height.read_command, height.reply)
    if height.by != "stored offset":
        for name, text in zip(("set_command", "store_command", "read_command", "reply"), texts, strict=True):
            if text is not None:
                yield unwanted(f"height.{name}", text, 'it is only for by = "stored offset"')
        return
    yield from _template(Template("height.set_command", height.set_command, ("offset_mm", "change_mm")))
    yield from _template(Template("height.store_command", height.store_command))
    yield from _asking("height", height.read_command, height.reply, "offset_mm")
    yield from _set_command(height)


def _set_command(height: Height) -> Iterator[Fault]:
    fields = set(_FIELD.findall(height.set_command or ""))
    if height.set_command is None:
        yield missing("height.set_command", 'given where by = "stored offset"')
    elif len(fields) != 1:
        yield wrong("height.set_command", height.set_command, "with one of {offset_mm} and {change_mm}")
    elif fields == {"offset_mm"} and height.read_command is None:
        allowed = "given where set_command has {offset_mm}, as the number now stored must be known"
        yield missing("height.read_command", allowed)


def _motor(key: str, adjuster: Adjuster) -> Iterator[Fault]:
    text = adjuster.move_command
    if adjuster.kind != "motor" or text is None:
        return
    yield from _template(Template(key, text, ("rise_mm", "turns")))
    if len(set(_FIELD.findall(text))) != 1:
        yield wrong(key, text, "with one of {rise_mm} and {turns}")
    if adjuster.clockwise == "unknown":
        yield wrong(key, text, "only where clockwise is known, as nobody sees the motor turn")


def _probe(probe: Probe, machine: Machine) -> Iterator[Fault]:
    if machine.motion.link == "hand":
        yield unwanted("probe", {}, 'motion.link is "hand", and a probe needs a line')
    yield from _template(Template("probe.command", probe.command, _AT))
    yield from _pattern("probe.reply", probe.reply, "z_mm")
    if probe.kind == "touch plate" and probe.at_mm is None:
        yield missing("probe.at_mm", 'given where kind = "touch plate"')
    if probe.at_mm is not None:
        limits = (machine.motion.x_mm, machine.motion.y_mm)
        for nth, (at_mm, (low, high)) in enumerate(zip(probe.at_mm, limits, strict=True), 1):
            yield from between(f"probe.at_mm[{nth}]", at_mm, low, high, "mm (the axis limits)")


def _compensation(part: Compensation) -> Iterator[Fault]:
    fields = ("column", "row", *_AT, "offset_mm")
    yield from _template(Template("compensation.set_command", part.set_command, fields))
    yield from _template(Template("compensation.activate_command", part.activate_command))
    yield from _template(Template("compensation.deactivate_command", part.deactivate_command))
    yield from _asking("compensation", part.read_command, part.reply, "offset_mm")


def _asking(part: str, command: str | None, reply: str | None, group: str) -> Iterator[Fault]:
    yield from _template(Template(f"{part}.read_command", command))
    if command is not None and reply is None:
        yield missing(f"{part}.reply", "given where read_command is")
    if reply is not None:
        yield from _pattern(f"{part}.reply", reply, group)


def _template(template: Template) -> Iterator[Fault]:
    key, text, fields = template
    if text is None:
        return
    if not text.strip() or len(text) > LONGEST or not _BLOCK.fullmatch(text):
        allowed = (
            f"one block: a letter, then at most {LONGEST} letters, digits, '.', '-', spaces, {{named}} fields"
        )
        yield wrong(key, text, allowed)
    elif not set(_FIELD.findall(text)) <= set(fields):
        named = " ".join(f"{{{name}}}" for name in fields) or "no field"
        yield wrong(key, text, f"with no other fields than these: {named}")
    elif _FIELD_PLACE.search(text):
        yield wrong(key, text, "with each field right after a letter, as in X{x_mm}")
    elif _FORBIDDEN.search(text):
        yield wrong(
            key, text, "without the words G0 to G3, G20, G21, G90 to G92 and N, kept for the program itself"
        )
    elif not _COMMAND.match(text):
        yield wrong(key, text, "a command first, such as M171, and then its words")
    elif _SECOND.match(text):
        yield wrong(key, text, "one command only: no second G or M word")


def _pattern(key: str, text: str, group: str) -> Iterator[Fault]:
    try:
        groups = re.compile(text).groupindex if len(text) <= LONGEST else None
    except (re.error, OverflowError, RecursionError) as error:
        yield wrong(key, text, f"a regular expression ({error})")
        return
    if groups is None or group not in groups:
        yield wrong(key, text, f"a pattern of at most {LONGEST} characters with the group (?P<{group}>...)")
