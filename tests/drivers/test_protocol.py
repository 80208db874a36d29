"""The line's rules, byte by byte, against a counting machine on a line that garbles, loses and repeats."""

from __future__ import annotations

import heapq
import itertools
from functools import reduce
from operator import xor

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drivers.exchange_events import Acknowledged, Failed, NotReady, Patience, Repeated, Restarted, Said
from drivers.framing import FIRST_NUMBER, LAST_NUMBER, frame
from drivers.protocol import Exchange
from drivers.replies import Failure

FIELD_LINES = [
    b"start",
    b"ok",
    b"OK",
    b"ok N1000 P15 B3",
    b"ok T:21.0 /0.0 B:22.1 /60.0 @:0 B@:0",
    b"Resend: 1002",
    b"rs 1002",
    b"echo:busy: processing",
    b"Error:checksum mismatch, Last Line: 1000",
    b"!! halted",
    b"X:0.00 Y:0.00 Z:5.00 E:0.00 Count X:0 Y:0 Z:4000",
    b"",
    b"\x00\xff\x1b[31mnoise",
    b"Cap:AUTOREPORT:1",
]


def begun(patience: Patience | None = None) -> Exchange:
    """An exchange whose numbering was agreed at time 0."""
    core = Exchange(patience)
    core.begin(0.0)
    core.outgoing()
    assert kinds(core.receive(b"ok\nok T:20.0 B:20.0\n", 0.0)) == [Acknowledged]
    core.outgoing()
    return core


def kinds(events: list) -> list[type]:
    return [type(event) for event in events if not isinstance(event, Said)]


def test_the_checksum_is_the_one_that_machines_expect():
    """`N3 T0*57` is common practice's own example (from memory; the sum itself is plain arithmetic)."""
    assert frame(3, "T0") == b"N3 T0*57\n"


def test_a_begin_with_another_patience_waits_by_it_from_its_first_block_on():
    core = Exchange(Patience(grace_s=2.0))
    core.begin(10.0, Patience(grace_s=0.5, margin_s=7.0))
    assert core.next_due() == 10.5
    assert kinds(core.poll(10.5)) == [Repeated]
    assert core.next_due() == 11.5
    assert kinds(core.poll(17.0)) == [Failed]


def test_one_block_is_in_flight_at_a_time():
    core = begun()
    core.send("G28", 0.0)
    with pytest.raises(NotReady):
        core.send("G28", 0.0)


def test_nothing_is_sent_before_numbering_is_begun():
    with pytest.raises(NotReady):
        Exchange().send("G28", 0.0)


@pytest.mark.parametrize("block", ["G0 X1\nG0 X2", "G0 X1*3", "G0 ; note", "(note)", "", " ", "G0\x00", "Gé"])
def test_what_is_not_one_plain_block_is_refused(block):
    with pytest.raises(ValueError, match="plain block"):
        begun().send(block, 0.0)


@given(
    lines=st.lists(st.tuples(st.sampled_from(FIELD_LINES), st.sampled_from([b"\n", b"\r\n"])), max_size=12),
    cuts=st.lists(st.integers(0, 400), max_size=30),
)
@settings(max_examples=150, deadline=None)
def test_any_split_of_the_bytes_gives_the_same_events(lines, cuts):
    data = b"".join(line + end for line, end in lines)
    edges = sorted({0, len(data), *(cut for cut in cuts if cut < len(data))})
    pieces = [data[a:b] for a, b in itertools.pairwise(edges)]
    whole, split = begun(), begun()
    for core in (whole, split):
        core.send("G28", 0.0)
        core.outgoing()
    assert whole.receive(data, 1.0) == [event for piece in pieces for event in split.receive(piece, 1.0)]
    assert whole.outgoing() == split.outgoing()


@given(st.binary(max_size=300))
@settings(deadline=None)
def test_noise_never_raises_and_one_byte_at_a_time_is_the_same(data):
    whole, split = begun(), begun()
    assert whole.receive(data + b"\n", 0.0) == [
        event for byte in data + b"\n" for event in split.receive(bytes([byte]), 0.0)
    ]


def test_an_endless_line_is_cut_off():
    core = begun()
    for _ in range(100):
        core.receive(b"x" * 20_000, 0.0)
    said = core.receive(b"\nok\n", 0.0)[0]
    assert len(said.reply.text) <= 400


def test_a_resend_request_is_answered_once_the_line_is_quiet():
    core = begun()
    core.send("G28", 0.0)
    first = core.outgoing()
    core.receive(b"Error:checksum mismatch\nResend: 1002\nok\n", 0.0)
    assert core.outgoing() == b""
    assert kinds(core.poll(0.1)) == [Repeated]
    assert core.outgoing() == first
    core.receive(b"ok\n", 0.2)
    assert kinds(core.poll(core.next_due())) == [Acknowledged]


def test_a_lost_ok_costs_a_repeat_and_the_number_shows_that_the_block_was_had():
    core = begun()
    core.send("G28", 0.0)
    core.outgoing()
    assert kinds(core.poll(core.next_due())) == [Repeated]
    core.receive(b"Error:line number\nResend: 1003\nok\n", 3.0)
    assert kinds(core.poll(core.next_due())) == [Acknowledged]


def test_a_stray_ok_cannot_lose_a_block():
    core = begun()
    core.send("G0 X1", 0.0)
    assert kinds(core.receive(b"ok\n", 0.0)) == [Acknowledged]
    core.send("G0 X2", 0.1)
    core.outgoing()
    core.receive(b"Error:line number\nResend: 1002\nok\n", 0.1)
    core.poll(core.next_due())
    assert core.outgoing() == frame(1002, "G0 X1")
    core.receive(b"ok\n", 0.3)
    assert kinds(core.poll(core.next_due())) == []
    assert core.outgoing() == frame(1003, "G0 X2")
    core.receive(b"ok\n", 0.5)
    assert kinds(core.poll(core.next_due())) == [Acknowledged]


def test_busy_puts_the_deadline_off():
    core = begun()
    core.send("G28", 0.0, expected_s=1.0)
    for now in range(1, 100):
        core.receive(b"echo:busy: processing\n", float(now))
        assert kinds(core.poll(float(now))) == []


def test_silence_ends_at_the_blocks_own_deadline():
    core = begun()
    core.send("G28", 0.0, expected_s=30.0)
    ends = []
    while not ends:
        due = core.next_due()
        ends = [(due, event) for event in core.poll(due) if isinstance(event, Failed)]
    assert ends == [(70.0, Failed("silent", "G28", ""))]
    with pytest.raises(NotReady):
        core.send("G28", 71.0)


def test_an_error_without_an_ok_names_the_error():
    core = begun()
    core.send("G28", 0.0, expected_s=30.0)
    core.receive(b"Error:heater too hot\n", 1.0)
    failed = []
    while not failed:
        failed = [event for event in core.poll(core.next_due()) if isinstance(event, Failed)]
    assert failed == [Failed("error", "G28", "Error:heater too hot")]


def failures(events: list) -> list[str]:
    """The error lines that whoever asked is told of."""
    had = [event for event in events if isinstance(event, Acknowledged)]
    return [reply.text for event in had for reply in event.replies if isinstance(reply, Failure)]


@pytest.mark.parametrize("garbled", [b"Error:chec", b"Error:Lin\xef Number", b"Error:", b"Error:c`ecksu} mi"])
def test_a_garbled_error_line_before_a_resend_request_is_not_the_blocks_fault(garbled):
    core = begun()
    core.send("G28", 0.0, expected_s=30.0)
    core.receive(garbled + b"\nResend: 1002\nok\n", 0.0)
    assert kinds(core.poll(0.1)) == [Repeated]
    core.receive(b"ok\n", 20.0)
    events = core.poll(core.next_due())
    assert kinds(events) == [Acknowledged]
    assert failures(events) == []


def test_an_error_before_a_request_for_the_next_block_is_the_blocks_own():
    """The block was carried out and failed, its `ok` got lost, and its second copy was one too many."""
    core = begun()
    core.send("G28", 0.0)
    core.receive(b"Error:homing failed\n", 0.0)
    assert kinds(core.poll(core.next_due())) == [Repeated]
    core.receive(b"Error:line number\nResend: 1003\nok\n", 2.5)
    events = core.poll(core.next_due())
    assert kinds(events) == [Acknowledged]
    assert failures(events) == ["Error:homing failed"]


def test_an_error_that_is_not_right_before_the_request_stands():
    core = begun()
    core.send("G28", 0.0)
    core.receive(b"Error:no filament\nT:20.0 /0.0 B:20.0 /0.0\nResend: 1002\nok\n", 0.0)
    core.poll(core.next_due())
    core.receive(b"ok\n", 0.2)
    assert failures(core.poll(core.next_due())) == ["Error:no filament"]


def test_a_banner_is_a_reset_and_what_was_in_flight_is_not_repeated():
    core = begun()
    core.send("G28", 0.0)
    core.outgoing()
    assert kinds(core.receive(b"start\n", 0.1)) == [Restarted]
    assert core.next_due() is None
    assert core.outgoing() == b""
    with pytest.raises(NotReady):
        core.send("G28", 71.0)


def test_a_machine_that_counts_from_one_again_has_been_reset():
    core = begun()
    core.send("G28", 0.0)
    core.outgoing()
    core.receive(b"Error:line number\nResend: 1\nok\n", 0.1)
    assert kinds(core.poll(core.next_due())) == [Restarted]
    assert core.outgoing() == b""


def test_a_machine_that_keeps_its_own_count_is_followed_past_the_numbers_that_would_hide_a_reset():
    core, last, sent = Exchange(), 4, []
    core.begin(0.0)
    for now in range(1, 40):
        for line in core.outgoing().splitlines():
            number, block = int(line[1:].split()[0]), line.split(b" ")[1].partition(b"*")[0]
            sent.append(number)
            accepted = block == b"M110" or number == last + 1
            last = number if accepted and block != b"M110" else last
            answer = b"T:20.0 B:20.0\nok\n" if accepted else b"Resend: %d\nok\n" % (last + 1)
            core.receive(answer, now)
        core.poll(now + 0.9)
    assert not core.busy
    assert core.is_open
    assert sent[-4:] == [5, 6, 7, 8]


def test_numbers_stay_within_five_digits_and_start_anew_behind_a_harmless_block():
    core = begun()
    core._out.number = LAST_NUMBER - 1
    core.send("G0 X1", 0.0)
    assert core.outgoing() == frame(LAST_NUMBER, "M105")
    assert kinds(core.receive(b"ok\n", 0.0)) == []
    assert core.outgoing() == frame(FIRST_NUMBER, "M110")
    core.receive(b"ok\n", 0.0)
    assert core.outgoing() == frame(FIRST_NUMBER + 1, "G0 X1")
    assert kinds(core.receive(b"ok\n", 0.0)) == [Acknowledged]


def test_starting_anew_that_does_not_go_through_at_once_counts_as_a_reset():
    core = begun()
    core._out.number = LAST_NUMBER - 1
    core.send("G0 X1", 0.0)
    core.receive(b"ok\n", 0.0)
    assert kinds(core.poll(core.next_due())) == [Restarted]


def test_a_made_up_request_for_an_old_block_does_not_hide_that_the_machine_is_ahead():
    core = begun()
    core.send("G0 X1", 0.0)
    core.receive(b"ok\n", 0.0)
    core.send("G0 X2", 0.0)
    core.outgoing()
    core.receive(b"Resend: 1001\n", 0.0)  # made up by noise; the machine has had 1003, its ok was lost
    core.poll(core.next_due())
    assert core.outgoing() == frame(1001, "M105")
    core.receive(b"Error:line number\nResend: 1004\nok\n", 1.0)
    assert kinds(core.poll(core.next_due())) == [Acknowledged]


class CountingMachine:
    """The other end: takes numbered blocks in order, and remembers what it carried out."""

    def __init__(self) -> None:
        self.last = 0
        self.rest = b""
        self.done: list[str] = []

    def hear(self, data: bytes) -> bytes:
        *lines, self.rest = (self.rest + data).split(b"\n")
        return b"".join(self.take(line) for line in lines if line)

    def take(self, line: bytes) -> bytes:
        body, star, sum_ = line.rpartition(b"*")
        again = b"Error:line number or checksum\nResend: %d\nok\n" % (self.last + 1)
        if not star or not sum_.isdigit() or reduce(xor, body, 0) != int(sum_):
            return again if line[:1] == b"N" or star else b'echo:Unknown command: "?"\nok\n'
        number, block = int(body[1 : body.index(b" ")]), body[body.index(b" ") + 1 :].decode()
        if block != "M110" and number != self.last + 1:
            return again
        self.last = number
        self.done.append(block)
        return b"ok T:20.0 /0.0 B:20.0 /0.0\n" if block == "M105" else b"ok\n"


FAULTS = ("none", "flip", "lose", "double", "lost line", "late", "spurious")


def garble(data: bytes, fault: str, place: int) -> bytes:
    """One fault in one line."""
    at = place % len(data)
    match fault:
        case "flip":
            return data[:at] + bytes([data[at] ^ (1 << place % 7)]) + data[at + 1 :]
        case "lose":
            return data[:at] + data[at + 1 :]
        case "double":
            return data[: at + 1] + data[at:]
        case "lost line":
            return b""
        case _:
            return data


class FaultyLine:
    """Core and machine joined in virtual time; `fate` says what happens to each piece of bytes."""

    def __init__(self, fate) -> None:
        self.core = Exchange(Patience(grace_s=0.5, margin_s=60.0, settle_s=0.05, tries=30))
        self.machine = CountingMachine()
        self.fate = fate
        self.now = 0.0
        self.order = itertools.count()
        self.under_way: list[tuple[float, int, str, bytes]] = []
        self.ends = {"out": 0.0, "back": 0.0}

    def launch(self, way: str, data: bytes) -> None:
        for piece in data.splitlines(keepends=True):
            fault, place = self.fate()
            lag = 1.0 if fault == "late" else 0.002
            arrives = self.ends[way] = max(self.ends[way], self.now + lag)
            heapq.heappush(self.under_way, (arrives, next(self.order), way, garble(piece, fault, place)))
            if fault == "spurious" and way == "back":
                made_up = b"Resend: %d\n" % max(self.machine.last + place % 6 - 3, 2)
                heapq.heappush(self.under_way, (arrives, next(self.order), way, made_up))

    def until_settled(self) -> list:
        """Run until the block in flight is settled."""
        events: list = []
        while self.core.busy:
            self.launch("out", self.core.outgoing())
            due = self.core.next_due()
            if self.under_way and self.under_way[0][0] <= due:
                self.now, _, way, data = heapq.heappop(self.under_way)
                if way == "out":
                    self.launch("back", self.machine.hear(data))
                else:
                    events += self.core.receive(data, self.now)
            else:
                self.now = due
                events += self.core.poll(due)
        return events


fates = st.lists(st.tuples(st.sampled_from(FAULTS), st.integers(0, 10_000)), max_size=60)


@given(fates=fates, blocks=st.integers(1, 12))
@settings(max_examples=300, deadline=None)
def test_on_a_bad_line_every_block_is_carried_out_once_and_in_order(fates, blocks):
    """Or the exchange says that it failed; and even then nothing is done twice or out of order."""
    waiting = list(fates)
    line = FaultyLine(lambda: waiting.pop(0) if waiting else ("none", 0))
    wanted = [f"G0 X{i}" for i in range(blocks)]
    line.core.begin(0.0)
    events = line.until_settled()
    for block in wanted:
        if not line.core.is_open:
            break
        line.core.send(block, line.now)
        events += line.until_settled()
    if line.core.is_open:  # a stray ok may have run ahead: one harmless block brings all of it through
        line.core.send("M105", line.now)
        events += line.until_settled()
    done = [block for block in line.machine.done if block.startswith("G0")]
    assert done == wanted[: len(done)]
    failed = any(isinstance(event, Failed | Restarted) for event in events)
    assert failed or done == wanted


@given(fates=fates, blocks=st.integers(2, 8), at=st.integers(0, 6), heard=st.booleans())
@settings(max_examples=200, deadline=None)
def test_after_a_reset_nothing_more_is_carried_out_even_if_the_banner_was_lost(fates, blocks, at, heard):
    waiting = list(fates)
    line = FaultyLine(lambda: waiting.pop(0) if waiting else ("none", 0))
    line.core.begin(0.0)
    line.until_settled()
    before = None
    for number in range(blocks):
        if not line.core.is_open:
            break
        if number == min(at, blocks - 1):
            line.machine.last, line.machine.rest = 0, b""
            before = list(line.machine.done)
            if heard:
                line.launch("back", b"start\n")
        line.core.send(f"G0 X{number}", line.now)
        line.until_settled()
    assert before is None or line.machine.done == before


def test_a_banner_before_numbering_is_begun_is_no_news():
    assert kinds(Exchange().receive(b"start\n", 0.0)) == []
