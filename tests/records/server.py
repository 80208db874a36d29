"""A PostgreSQL server of the test's own on loopback: begun anew, restarted at will, gone afterwards."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
from pathlib import Path

USER = "postgres"


def programs() -> Path | None:
    """Return the folder of the server's programs, the newest; None where there is none."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/pg_ctl"))
    return found[-1].parent if found else None


def why_not() -> str:
    """Return why no server can be started here, "" where one can."""
    if programs() is None:
        return "needs the server of Debian's package postgresql"
    if os.geteuid() == 0 and shutil.which("runuser") is None:
        return "the server does not run as root, and there is no runuser"
    return ""


class Server:
    """A running server. `url` is what `tramwright records` takes."""

    def __init__(self, folder: Path) -> None:
        """Begin one in a new folder. The server must be able to enter the folder's parents."""
        bins = programs()
        assert bins is not None
        self._bins = bins
        self._data = folder / "data"
        folder.mkdir(parents=True, exist_ok=True)
        if os.geteuid() == 0:
            shutil.chown(folder, USER)
        with socket.create_server(("127.0.0.1", 0)) as free:
            self._port = free.getsockname()[1]
        self.url = f"postgresql://{USER}@127.0.0.1:{self._port}/postgres"
        self._run("initdb", "-D", self._data, "-U", USER, "--auth=trust", "--no-sync")
        self.start()

    def start(self) -> None:
        options = (
            f"-p {self._port} -c listen_addresses=127.0.0.1 -c unix_socket_directories= -c max_connections=60"
        )
        self._run("pg_ctl", "-D", self._data, "-w", "-l", self._data / "log", "-o", options, "start")

    def stop(self) -> None:
        """End it at once, as a power cut would: connections are cut off, the log is replayed at the start."""
        self._run("pg_ctl", "-D", self._data, "-w", "-m", "immediate", "stop")

    def restart(self) -> None:
        self.stop()
        self.start()

    def _run(self, program: str, *arguments: object) -> None:
        command = [str(self._bins / program), *map(str, arguments)]
        if os.geteuid() == 0:
            command = ["runuser", "-u", USER, "--", *command]
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, cwd="/")
