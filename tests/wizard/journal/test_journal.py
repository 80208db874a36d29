"""Journals: what is written holds after any cut, answers are taken back, two sessions never share a file."""

from __future__ import annotations

import errno
import subprocess
import sys
from pathlib import Path

import msgspec
import pytest

from profiles.machine import Machine
from wizard import requests as ask
from wizard.journal.files import JournalError
from wizard.journal.lines import Header
from wizard.journal.runs import last_fault, newest_unfinished
from wizard.journal.writing import Journal, reopen, start
from wizard.rounds import Reading
from wizard.solver.finding import Finding

FINDING = Finding("outside", "turn", {"front left": 0.5})
STEPS: list[tuple[ask.AnyRequest, ask.AnyAnswer]] = [
    (ask.Confirm("cautions"), ask.Confirmed()),
    (ask.Connect(), ask.Connected("pty", {"kind": "made up"}, True)),
    (ask.Home(), ask.Done()),
    (ask.Park("centre", 0.2), ask.Done()),
    (ask.TakeReading("centre", 0.2, 1, 1, 5, "first"), ask.ReadingTaken(Reading(0.1, None, "leaf"))),
    (ask.Lift(), ask.Done()),
    (ask.Turn({"front left": 0.5}, 1, False, FINDING), ask.Turned({"front left": 0.4375})),
]


@pytest.fixture
def header(four_corners: Machine) -> Header:
    return Header("level", four_corners, port="socket://127.0.0.1:7000")


def written(header: Header, folder: Path, count: int = len(STEPS)) -> Path:
    """Write a journal of the first `count` steps and return where it is."""
    journal = start(header, folder)
    for request, answer in STEPS[:count]:
        journal.append(request, answer)
    journal.close()
    assert journal.path is not None
    return journal.path


def steps_of(journal: Journal) -> list[tuple[ask.AnyRequest, ask.AnyAnswer]]:
    return [(step.request, step.answer) for step in journal.record.steps]


def test_what_was_written_is_read_back_whole(header: Header, tmp_path: Path) -> None:
    journal = reopen(written(header, tmp_path))
    assert steps_of(journal) == STEPS
    assert journal.header.profile == header.profile
    assert (journal.header.port, journal.header.by_hand) == ("socket://127.0.0.1:7000", False)
    assert journal.header.created
    journal.close()


def test_cut_anywhere_a_journal_keeps_every_whole_line_and_goes_on(header: Header, tmp_path: Path) -> None:
    whole = written(header, tmp_path).read_bytes()
    first = whole.index(b"\n") + 1
    torn = tmp_path / "torn.jsonl"
    ends = [i + 1 for i, byte in enumerate(whole) if byte == ord("\n")]
    near_an_end = {end + off for end in ends for off in (-2, -1, 0, 1)}
    for cut in sorted({*range(first, len(whole), 13), *(c for c in near_an_end if first <= c < len(whole))}):
        torn.write_bytes(whole[:cut])
        journal = reopen(torn)
        kept = whole[:cut].count(b"\n") - 1
        assert steps_of(journal) == STEPS[:kept]
        journal.append(*STEPS[0])
        journal.close()
        again = reopen(torn)
        assert steps_of(again) == [*STEPS[:kept], STEPS[0]]
        again.close()


def test_back_takes_away_the_last_answer_of_the_person_and_what_followed(
    header: Header, tmp_path: Path
) -> None:
    path = written(header, tmp_path, 6)
    journal = reopen(path)
    journal.take_back()
    assert steps_of(journal) == STEPS[:4]
    journal.close()
    again = reopen(path)
    assert steps_of(again) == STEPS[:4]
    again.take_back()
    assert steps_of(again) == []
    with pytest.raises(ValueError, match="no answer"):
        again.take_back()
    again.close()


def test_a_turn_that_was_made_can_be_told_anew_but_nothing_before_it(header: Header, tmp_path: Path) -> None:
    journal = reopen(written(header, tmp_path))
    journal.take_back()
    assert steps_of(journal) == STEPS[:6]
    assert journal.record.back_to is None
    journal.append(STEPS[6][0], ask.Turned({"front left": -0.5}))
    assert journal.record.back_to == 6
    journal.close()


def test_nothing_before_a_change_that_the_machine_has_made_can_be_taken_back(
    header: Header, tmp_path: Path
) -> None:
    journal = reopen(written(header, tmp_path))
    journal.append(ask.SetHeight(-0.1), ask.Done())
    assert journal.record.back_to is None
    journal.append(ask.Confirm("verify-next"), ask.Confirmed())
    assert journal.record.back_to == len(STEPS) + 1
    journal.close()


@pytest.mark.parametrize(
    ("done", "answer"),
    [
        (ask.SetGrid(()), ask.Done()),
        (ask.FollowGrid(()), ask.Done()),
        (ask.MoveMotors({"front left": 0.5}, 1, FINDING), ask.Turned({"front left": 0.5})),
    ],
)
def test_what_the_machine_has_done_to_its_plate_stays_done(
    header: Header, done: ask.AnyRequest, answer: ask.AnyAnswer
) -> None:
    journal = Journal(header)
    journal.append(ask.Confirm("cautions"), ask.Confirmed())
    journal.append(done, answer)
    assert journal.record.back_to is None


def test_a_grid_typed_in_can_be_typed_anew_but_nothing_before_it_taken_back(header: Header) -> None:
    journal = Journal(header)
    journal.append(ask.Confirm("cautions"), ask.Confirmed())
    journal.append(ask.EnterGrid(()), ask.Confirmed())
    journal.take_back()
    assert len(journal.record.steps) == 1
    assert journal.record.back_to is None


def test_two_sessions_do_not_write_one_journal(header: Header, tmp_path: Path) -> None:
    journal = start(header, tmp_path)
    assert journal.path is not None
    other = f"import wizard.journal.writing as j, pathlib; j.reopen(pathlib.Path({str(journal.path)!r}))"
    refused = subprocess.run([sys.executable, "-c", other], capture_output=True, text=True, check=False)
    assert "another session is writing this run" in refused.stderr
    journal.close()
    allowed = subprocess.run([sys.executable, "-c", other], capture_output=True, text=True, check=False)
    assert allowed.returncode == 0, allowed.stderr


def test_the_newest_run_of_the_profile_that_has_no_end_is_found(header: Header, tmp_path: Path) -> None:
    oldest, newer, finished = (written(header, tmp_path, 3) for _ in range(3))
    (tmp_path / "zz-not-a-journal.jsonl").write_bytes(b"{}\n\xff\n")
    (tmp_path / "zz-empty.jsonl").touch()
    done = reopen(finished)
    done.finish(ask.Outcome(FINDING, 2, True))
    done.close()
    assert newest_unfinished(header.profile.name, folder=tmp_path) == newer
    assert oldest != newer
    assert newest_unfinished("another machine", folder=tmp_path) is None
    assert newest_unfinished(header.profile.name, "recheck", tmp_path) is None
    assert newest_unfinished(header.profile.name, folder=tmp_path / "nowhere") is None


@pytest.mark.parametrize(("count", "asks_for_a_look"), [(0, False), (1, False), (2, True), (7, True)])
def test_a_run_that_was_cut_off_without_a_word_once_the_line_was_open_asks_for_a_look(
    header: Header, tmp_path: Path, count: int, asks_for_a_look: bool
) -> None:
    """As a killed program and a power cut leave it: nobody has told the machine to switch its heaters off."""
    path, name = written(header, tmp_path, count), header.profile.name
    found = last_fault(name, tmp_path)
    assert (found is not None) is asks_for_a_look
    if found is not None:
        assert (found[0], found[1].fault) == (path, False)
        assert "without a word" in found[1].reason
        assert found[1].at
    assert last_fault("another machine", tmp_path) is None


@pytest.mark.parametrize("ending", ["broke", "finish", "looked"])
def test_a_run_that_tells_of_its_end_needs_no_look_until_it_goes_on_and_is_cut_off_again(
    header: Header, tmp_path: Path, ending: str
) -> None:
    path, name = written(header, tmp_path), header.profile.name
    ends = {"broke": ("stopped by the operator",), "finish": (ask.Outcome(FINDING, 2, True),), "looked": ()}
    journal = reopen(path)
    getattr(journal, ending)(*ends[ending])
    journal.close()
    assert last_fault(name, tmp_path) is None
    journal = reopen(path)
    journal.append(ask.Home(), ask.Done())
    journal.close()
    assert last_fault(name, tmp_path) is not None


def test_by_hand_a_person_stands_there_and_nothing_asks_for_a_look(header: Header, tmp_path: Path) -> None:
    written(msgspec.structs.replace(header, by_hand=True), tmp_path)
    assert last_fault(header.profile.name, tmp_path) is None


def test_a_run_that_ended_before_the_machine_did_anything_hides_no_fault(
    header: Header, tmp_path: Path
) -> None:
    """Somebody who leaves the first page of the next job has not looked at the machine."""
    cut = written(header, tmp_path)
    left = reopen(written(header, tmp_path, 1))
    left.broke("stopped by the operator")
    left.close()
    found = last_fault(header.profile.name, tmp_path)
    assert found is not None
    assert found[0] == cut
    done = reopen(written(header, tmp_path))
    done.finish(ask.Outcome(FINDING, 2, True))
    done.close()
    assert last_fault(header.profile.name, tmp_path) is None


def test_the_folder_of_runs_follows_the_environment(
    header: Header, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TRAMWRIGHT_HOME", str(tmp_path))
    journal = start(header)
    assert journal.path is not None
    assert journal.path.parent == tmp_path / "runs"
    journal.close()


def test_where_no_file_can_be_made_the_run_goes_on_in_memory_and_says_so(
    header: Header, tmp_path: Path
) -> None:
    (tmp_path / "runs").write_text("a file where the folder should be")
    journal = start(header, tmp_path / "runs")
    assert "no record of this run can be written" in journal.trouble
    journal.append(*STEPS[0])
    assert steps_of(journal) == STEPS[:1]


def test_a_full_disk_costs_the_record_not_the_run(
    header: Header, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    journal = start(header, tmp_path)
    journal.append(*STEPS[0])

    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    journal.append(*STEPS[1])
    assert "No space left on device" in journal.trouble
    journal.append(*STEPS[2])
    assert steps_of(journal) == STEPS[:3]


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
def test_a_device_that_takes_nothing_is_told_of_too(header: Header) -> None:
    with Path("/dev/full").open("wb", buffering=0) as full:
        journal = Journal(header, full, Path("/dev/full"))
        journal.append(*STEPS[0])
    assert "/dev/full" in journal.trouble
    assert steps_of(journal) == STEPS[:1]


@pytest.mark.parametrize(
    ("content", "place"),
    [
        (b'{"line":"step"}\n', "line 1"),
        (b"not a journal\n", "line 1"),
        (b"", "line 1"),
        (b'{"line":"back"}\n', "line 1"),
        (b"[" * 100_000 + b"\n", "line 1"),
    ],
)
def test_a_file_that_is_no_journal_is_refused_with_file_and_place(
    tmp_path: Path, content: bytes, place: str
) -> None:
    path = tmp_path / "other.jsonl"
    path.write_bytes(content)
    with pytest.raises(JournalError) as refused:
        reopen(path)
    assert str(path) in str(refused.value)
    assert place in str(refused.value)
    assert path.read_bytes() == content


def test_a_missing_file_is_refused_with_its_name(tmp_path: Path) -> None:
    with pytest.raises(JournalError, match=r"gone\.jsonl: cannot be opened"):
        reopen(tmp_path / "gone.jsonl")


def test_what_must_not_be_done_twice_is_known_to_have_begun(header: Header, tmp_path: Path) -> None:
    path = written(header, tmp_path, 3)
    journal = reopen(path)
    journal.begin(ask.SetHeight(-0.1))
    journal.close()
    again = reopen(path)
    assert again.record.begun == ask.SetHeight(-0.1)
    again.not_begun()
    assert again.record.begun is None
    again.begin(ask.SetHeight(-0.2))
    again.append(ask.SetHeight(-0.2), ask.Done())
    assert again.record.begun is None
    again.close()
