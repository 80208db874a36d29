"""One line from a machine -> one frozen reply. Lines that are not known are kept as they are.

Text from a machine is untrusted: `decode` makes every character printable and bounds the length,
so that no control code reaches a terminal or a log.
"""

from __future__ import annotations

import re

import msgspec

MAX_TEXT = 400

_NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)"
_OK = re.compile(r"ok\b\s*(.*)", re.IGNORECASE)
_OK_LINE = re.compile(r"(?:^|\s)N(\d+)", re.IGNORECASE)
_RESEND = re.compile(r"(?:resend|rs)\s*:?\s*N?\s*(\d{1,9})(?:\s+[A-Za-z].*)?", re.IGNORECASE)
_BUSY = re.compile(r"(?:echo:\s*)?busy:\s*(.*)", re.IGNORECASE)
_STARTED = re.compile(
    r"start|(?:echo:\s*)?(?:power ?up|(?:external|brown ?out|watchdog|software) reset)", re.IGNORECASE
)
_ERROR = re.compile(r"error\s*:\s*(.*)", re.IGNORECASE)
_OF_LINE = re.compile(r"checksum|line ?number|last line|out of sequence", re.IGNORECASE)
_FATAL = re.compile(r"!!\s*(.*)")
_UNKNOWN_COMMAND = re.compile(r"(?:echo:\s*)?unknown command:?\s*(.*)", re.IGNORECASE)
_CAPABILITY = re.compile(r"cap:\s*([A-Z0-9_]+)\s*:\s*([01])", re.IGNORECASE)
_ENDSTOP = re.compile(r"([a-z][a-z0-9_]*)\s*:\s*(open|triggered)", re.IGNORECASE)
_ECHO = re.compile(r"(?:echo:|//)\s*(.*)", re.IGNORECASE)
_PROBED = re.compile(rf"bed\s+X:\s*({_NUMBER})\s*Y:\s*({_NUMBER})\s*Z:\s*({_NUMBER})", re.IGNORECASE)
_POSITION = re.compile(rf"(?:C:\s*)?X:\s*({_NUMBER})\s*Y:\s*({_NUMBER})\s*Z:\s*({_NUMBER})(?![\d.])")
_HEATER = re.compile(rf"(?<![A-Z@])([TBCP]\d?):\s*({_NUMBER})(?:\s*/\s*({_NUMBER}))?")
_FACT = re.compile(r"([A-Za-z][A-Za-z0-9_]{2,}):")


class Reply(msgspec.Struct, frozen=True):
    """Base of all replies; `text` is the whole line, made printable."""

    text: str


class Ok(Reply, frozen=True):
    """The block was accepted. `number` where the machine repeats it; `rest` what else stood on the line."""

    number: int | None = None
    rest: Reply | None = None


class Resend(Reply, frozen=True):
    """The machine wants the block with this line number again."""

    number: int


class Busy(Reply, frozen=True):
    """Still at work on the block in flight."""

    what: str


class Started(Reply, frozen=True):
    """A start banner: the machine has been reset."""


class Failure(Reply, frozen=True):
    """An error line. `fatal`: the machine has halted. `of_line`: a block came garbled or out of order."""

    what: str
    fatal: bool = False

    @property
    def of_line(self) -> bool:
        """Whether the error is about the line's own bookkeeping, not about what a block asked for."""
        return _OF_LINE.search(self.what) is not None


class UnknownCommand(Reply, frozen=True):
    """The machine does not know the block."""

    what: str


class Heater(msgspec.Struct, frozen=True):
    """One heater's measured and wanted temperature, degrees Celsius; None where it was not told."""

    now_c: float | None
    target_c: float | None = None


class Temperature(Reply, frozen=True):
    """Heaters by letter: T (or T0, T1) nozzle, B plate, C chamber."""

    heaters: dict[str, Heater]


class Position(Reply, frozen=True):
    """Where the machine says the nozzle is, mm."""

    x_mm: float
    y_mm: float
    z_mm: float


class Probed(Reply, frozen=True):
    """The result of one touch, mm."""

    x_mm: float
    y_mm: float
    z_mm: float


class Endstop(Reply, frozen=True):
    """The state of one endstop."""

    name: str
    triggered: bool


class Capability(Reply, frozen=True):
    """One line of the machine's list of what it can do."""

    name: str
    able: bool


class Echo(Reply, frozen=True):
    """Free text meant for people."""

    what: str


class Blank(Reply, frozen=True):
    """An empty line."""


class Other(Reply, frozen=True):
    """A line that is not known: kept, shown literally, never acted on."""


def decode(line: bytes) -> str:
    """Return `line` as printable text, at most `MAX_TEXT` characters long.

    Control and format characters, and bytes that are not UTF-8, become a middle dot.
    """
    text = line[: 4 * MAX_TEXT].decode("utf-8", "replace").replace("\t", " ").strip()
    if not (text.isascii() and text.isprintable()):
        text = "".join(c if c.isprintable() and c != "�" else "·" for c in text.strip("\0"))
    return text if len(text) <= MAX_TEXT else text[: MAX_TEXT - 1] + "…"


def parse(text: str) -> Reply:
    """Return the reply for one decoded line. Never raises."""
    if not text:
        return Blank(text)
    if match := _OK.fullmatch(text):
        return _parse_ok(text, match[1])
    if match := _RESEND.fullmatch(text):
        return Resend(text, int(match[1]))
    return _parse_told(text)


def _parse_ok(text: str, rest: str) -> Ok:
    number = _OK_LINE.search(rest)
    return Ok(text, int(number[1]) if number else None, _parse_told(rest) if rest else None)


def _parse_told(text: str) -> Reply:
    if match := _BUSY.fullmatch(text):
        return Busy(text, match[1])
    if _STARTED.fullmatch(text):
        return Started(text)
    if match := _ERROR.fullmatch(text):
        return Failure(text, match[1])
    if match := _FATAL.fullmatch(text):
        return Failure(text, match[1], fatal=True)
    if match := _UNKNOWN_COMMAND.fullmatch(text):
        return UnknownCommand(text, match[1])
    return _parse_report(text)


def _parse_report(text: str) -> Reply:
    if match := _PROBED.match(text):
        return Probed(text, *(float(part) for part in match.groups()))
    if match := _POSITION.match(text):
        return Position(text, *(float(part) for part in match.groups()))
    if heaters := _heaters(text):
        return Temperature(text, heaters)
    if match := _CAPABILITY.fullmatch(text):
        return Capability(text, match[1].upper(), match[2] == "1")
    if match := _ENDSTOP.fullmatch(text):
        return Endstop(text, match[1], match[2].lower() == "triggered")
    if match := _ECHO.fullmatch(text):
        return Echo(text, match[1])
    return Other(text)


def _heaters(text: str) -> dict[str, Heater]:
    if not re.match(r"[TBCP]\d?:", text):
        return {}
    return {
        name: Heater(float(now), float(target) if target else None)
        for name, now, target in _HEATER.findall(text)
    }


def identity_facts(text: str) -> dict[str, str]:
    """Return the KEY:value pairs of an identity line; a value runs up to the next key."""
    marks = [match for match in _FACT.finditer(text) if not text.startswith("//", match.end())]
    ends = [match.start() for match in marks[1:]] + [len(text)] * bool(marks)
    return {match[1]: text[match.end() : end].strip() for match, end in zip(marks, ends, strict=True)}
