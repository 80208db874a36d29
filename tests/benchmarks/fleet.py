"""Many hosts push their runs to one PostgreSQL server, which is cut off and started again meanwhile.

Each host has records of its own; each push is a program of its own, as typed. The server is stopped at once
(as by a power cut) at two random moments. Afterwards every run of every host has to be there, once.

    python -m tests.benchmarks.fleet [HOSTS] [RUNS] [SEED]      (in the checkout; needs Debian's postgresql)
"""

from __future__ import annotations

import os
import random
import secrets
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from profiles.load import load
from tests.records.server import Server, why_not
from wizard.journal.lines import End, Header, Step
from wizard.records.fleet import Fleet
from wizard.records.store import Store
from wizard.requests import Outcome, ReadingTaken, TakeReading
from wizard.rounds import Reading

AT = "2026-03-01T10:00:00.000000+00:00"


def host(folder: Path, runs: int) -> set[str]:
    """Make a host's records; return the ids."""
    machine = load("three-point-225")
    step = Step(TakeReading("centre", 0.2, 1, 1, 5, "first"), ReadingTaken(Reading(0.1, 0.15, "leaf")), AT)
    ids = set()
    with Store(folder / "records.sqlite") as store:
        store._connection.execute("PRAGMA synchronous = OFF")  # only the making is not worth waiting for
        for number in range(runs):
            header = Header("level", machine, created=AT, key=secrets.token_hex(8))
            ids.add(store.put(f"{number}.jsonl", 1, [header, step, End(Outcome(None, 1, False), AT)]).id)
    return ids


def push(folder: Path, url: str) -> subprocess.Popen[str]:
    surroundings = {**os.environ, "TRAMWRIGHT_HOME": str(folder)}
    command = [sys.executable, "-m", "wizard", "records", "push", url]
    return subprocess.Popen(command, env=surroundings, stdout=subprocess.PIPE, text=True)


def main(hosts: int = 20, runs: int = 1000, seed: int = 1) -> None:
    """Print the counts."""
    if why_not():
        sys.exit(why_not())
    rng = random.Random(seed)
    with tempfile.TemporaryDirectory(prefix="tramwright-fleet-") as name:
        Path(name).chmod(0o755)
        folders = [Path(name) / f"host-{number}" for number in range(hosts)]
        wanted = set().union(*(host(folder, runs) for folder in folders))
        server = Server(Path(name) / "server")
        began = time.monotonic()
        programs = [push(folder, server.url) for folder in folders]
        cuts = []
        for _ in range(2):
            time.sleep(rng.uniform(1.0, 2.5))
            cuts.append(sum(program.poll() is None for program in programs))
            server.restart()
        sent = [program.communicate()[0] for program in programs]
        fleet = Fleet(server.url)
        there = [run.id for run in fleet.runs()]
        fleet.close()
        server.stop()
    print(
        f"{hosts} programs, {runs} runs each, {len(wanted)} in all, {time.monotonic() - began:.0f} s; "
        f"server cut off twice while {cuts} programs were sending\n"
        f"exit codes {sorted({program.returncode for program in programs})}, {len(there)} rows, "
        f"{len(wanted - set(there))} lost, {len(there) - len(set(there))} double; "
        f"told as sent {sum(int(text.split()[0]) for text in sent if text)}"
    )


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
