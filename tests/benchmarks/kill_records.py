"""Kills sessions that write, file and list records, at random moments under load; counts what is lost.

Two writers in one folder answer as fast as the disk takes it, each answer a transaction in the records,
too; they end a run every 25 answers and file it, and a third program files and lists all the time. They are
killed at a random moment after the first answer. Each writer says an answer's number only once it was told
that the answer is on the disk. After each kill (SIGKILL, all three at once) every answer that was said has to
be in its journal and in the records, and the file of records has to be whole. What was in the file of records
at the very moment of the kill is counted, too: an answer waits for no other program that writes the file, and
comes in with the next one.

    python tests/benchmarks/kill_records.py [KILLS] [SEED]
"""

from __future__ import annotations

import os
import random
import signal
import sqlite3
import subprocess
import sys
import tempfile
import threading
import time
from contextlib import closing
from pathlib import Path
from typing import IO

from profiles.load import load
from wizard.journal.files import read_lines
from wizard.journal.lines import Header, add_all
from wizard.journal.writing import start
from wizard.records.filing import open_records
from wizard.records.live import Live
from wizard.requests import Outcome, ReadingTaken, TakeReading
from wizard.rounds import Reading

ANSWERS_A_RUN = 25
LONGEST_S = 0.6  # longest time from the first answer to the kill
STARTS_S = 60.0  # within which a program has started, on a busy computer too


def write() -> None:
    """Answer, end and file, without end; say each answer that is on the disk."""
    machine = load("four-corner-220")
    while True:
        journal = start(Header("level", machine))
        live = Live(journal)
        journal.also = live.take
        assert journal.path is not None
        assert not journal.trouble
        for number in range(ANSWERS_A_RUN):
            request = TakeReading("centre", 0.2, 1, number + 1, ANSWERS_A_RUN, "first")
            journal.append(request, ReadingTaken(Reading(0.001 * number, 0.001 * number + 0.02, "leaf")))
            print(journal.path.name, number, flush=True)
        journal.finish(Outcome(None, 1, False))
        journal.close()
        live.close()
        print(journal.path.name, "ended", flush=True)
        open_records().store.close()


def list_all() -> None:
    """File and list, without end."""
    while True:
        records = open_records()
        records.store.runs()
        records.store.close()


class Heard:
    """What a writer has said."""

    def __init__(self, process: subprocess.Popen[str]) -> None:
        self.said: list[str] = []
        self.first = threading.Event()
        self._thread = threading.Thread(target=self._hear, args=(process.stdout,))
        self._thread.start()

    def _hear(self, stream: IO[str] | None) -> None:
        assert stream is not None
        for line in stream:
            if line.endswith("\n"):
                self.said.append(line.strip())
                self.first.set()

    def all(self) -> list[str]:
        """Return all that was said; waits until the program has ended."""
        self._thread.join()
        return self.said


def one_kill(folder: Path, rng: random.Random) -> list[str]:
    """Run the three programs, kill them, return what the writers have said."""
    surroundings = {**os.environ, "TRAMWRIGHT_HOME": str(folder)}
    programs = [
        subprocess.Popen(
            [sys.executable, __file__, word], env=surroundings, stdout=subprocess.PIPE, text=True
        )
        for word in ("write", "write", "list")
    ]
    heard = [Heard(program) for program in programs]
    heard[0].first.wait(STARTS_S)
    time.sleep(rng.uniform(0.0, LONGEST_S))
    for program in programs:
        program.send_signal(signal.SIGKILL)
    ended = [program.wait() for program in programs]
    assert ended == [-signal.SIGKILL] * 3, ended
    return [line for each in heard for line in each.all()]


def missing(folder: Path, said: list[str]) -> int:
    """Return how many answers that were said are not in their journal."""
    lost = 0
    for name in {line.split()[0] for line in said}:
        record = add_all(read_lines(folder / "runs" / name)[1:])
        numbers = [line.split()[1] for line in said if line.startswith(name)]
        lost += sum(not _is_there(record, number) for number in numbers)
    return lost


def _is_there(record, number: str) -> bool:  # type: ignore[no-untyped-def]
    if number == "ended":
        return record.outcome is not None
    answers = [step.answer.reading.low_mm for step in record.steps]
    return int(number) < len(answers) and answers[int(number)] == 0.001 * int(number)


def late(folder: Path, said: list[str]) -> int:
    """Return how many answers that were said are not in the file of records as the kill left it."""
    rows = "SELECT journal, count(*) FROM run JOIN reading ON reading.run = id GROUP BY journal"
    with closing(sqlite3.connect(folder / "records.sqlite")) as file:
        filed = dict(file.execute(rows))
    answers = [line.split() for line in said if not line.endswith("ended")]
    return sum(int(number) >= filed.get(name, 0) for name, number in answers)


def unfiled(folder: Path) -> tuple[int, list[str]]:
    """Return how many answers of the journals are not in the records, and what is wrong with the file."""
    records = open_records(folder / "records.sqlite", folder / "runs")
    troubles = list(records.troubles)
    records.store.close()
    with sqlite3.connect(folder / "records.sqlite") as file:
        (whole,) = file.execute("PRAGMA integrity_check").fetchone()
        filed = dict(
            file.execute(
                "SELECT journal, count(*) FROM run JOIN reading ON reading.run = id GROUP BY journal"
            )
        )
    file.close()
    troubles += [] if whole == "ok" else [whole]
    short = 0
    for path in (folder / "runs").glob("*.jsonl"):
        if path.stat().st_size:
            short += len(add_all(read_lines(path)[1:]).steps) - filed.get(path.name, 0)
    return short, troubles


def main(kills: int = 200, seed: int = 1) -> None:
    """Print the counts."""
    rng, said, lost, behind, short, broken = random.Random(seed), 0, 0, 0, 0, 0
    with tempfile.TemporaryDirectory() as name:
        for number in range(1, kills + 1):
            folder = Path(name) / f"{number // 20}"  # begun anew now and then, so that it stays quick
            told = one_kill(folder, rng)
            said += len(told)
            behind += late(folder, told)
            lost += missing(folder, told)
            more, troubles = unfiled(folder)
            short += more
            broken += bool(troubles)
            for trouble in troubles:
                print(trouble)
    print(
        f"{kills} kills, seed {seed}: {said} answers were said to be on the disk, {lost} lost, "
        f"{behind} not yet in the file of records at the kill and {short} after the next filing, "
        f"file of records or a journal not whole {broken} times"
    )


if __name__ == "__main__":
    if sys.argv[1:2] == ["write"]:
        write()
    elif sys.argv[1:2] == ["list"]:
        list_all()
    else:
        main(*map(int, sys.argv[1:]))
