"""A real OpenSSH server on the loopback, with a configuration and keys of its own.

Nothing of the machine's own server, keys or settings is read or changed.
"""

from __future__ import annotations

import getpass
import os
import shlex
import shutil
import socket
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

ADMIN = f"{os.environ.get('PATH', '')}:/usr/sbin:/usr/local/sbin"
NEEDED_BY_ROOT = Path("/run/sshd")
"""Debian's server, started by root, goes on only where this empty folder is there."""
TRIES = 5
ROOT = Path(__file__).parents[2]

CONFIG = """\
ListenAddress 127.0.0.1
Port {port}
HostKey {folder}/host
AuthorizedKeysFile {folder}/user.pub
AuthenticationMethods publickey
AllowUsers {user}
PermitRootLogin prohibit-password
StrictModes no
UsePAM no
PidFile none
PrintMotd no
PrintLastLog no
PermitUserEnvironment no
PermitUserRC no
"""


def why_none() -> str:
    """Return why no server can be started here; "" where it can."""
    if os.name != "posix":
        return "OpenSSH's server is started on POSIX systems only"
    missing = [name for name in ("ssh", "sshd", "ssh-keygen") if shutil.which(name, path=ADMIN) is None]
    return f"not installed: {', '.join(missing)} (Debian: openssh-server)" if missing else ""


class Host:
    """A host that is reached by `ssh` alone."""

    def __init__(self, folder: Path, port: int) -> None:
        self._folder = folder
        self._port = port

    def command(self, *argv: object) -> tuple[str, ...]:
        """Return the call that runs `argv` there, on a terminal of its own."""
        return (
            *("ssh", "-tt", "-F", "none", "-p", str(self._port), "-i", str(self._folder / "user")),
            *("-o", "BatchMode=yes", "-o", "IdentitiesOnly=yes", "-o", "IdentityAgent=none"),
            *("-o", f"UserKnownHostsFile={self._folder / 'known'}", "-o", "GlobalKnownHostsFile=none"),
            *("-o", "StrictHostKeyChecking=yes", "-o", "LogLevel=ERROR", "-e", "none"),
            f"{getpass.getuser()}@127.0.0.1",
            f"cd {shlex.quote(str(ROOT))} && exec {shlex.join(map(str, argv))}",
        )


@contextmanager
def serve(folder: Path) -> Iterator[Host]:
    """Start a server with new keys in `folder`, and end it."""
    for name in ("host", "user"):
        subprocess.run(["ssh-keygen", "-q", "-t", "ed25519", "-N", "", "-f", folder / name], check=True)
    with _folder_for_root():
        server, port = _started(folder)
        try:
            key = (folder / "host.pub").read_text().split()
            (folder / "known").write_text(f"[127.0.0.1]:{port} {key[0]} {key[1]}\n")
            yield Host(folder, port)
        finally:
            server.terminate()
            server.communicate()


def _started(folder: Path) -> tuple[subprocess.Popen[str], int]:
    """Start the server on a free port; another program may just have taken it, so try some."""
    told = ""
    for _ in range(TRIES):
        with socket.create_server(("127.0.0.1", 0)) as free:
            port = free.getsockname()[1]
        config = folder / "config"
        config.write_text(CONFIG.format(port=port, folder=folder, user=getpass.getuser()))
        sshd = shutil.which("sshd", path=ADMIN) or "sshd"
        server = subprocess.Popen(
            [sshd, "-D", "-e", "-f", config], stderr=subprocess.PIPE, stdin=subprocess.DEVNULL, text=True
        )
        assert server.stderr is not None
        for line in server.stderr:
            if "Server listening" in line:
                return server, port
            told += line
        server.wait()
    raise RuntimeError(f"no server could be started:\n{told}")


@contextmanager
def _folder_for_root() -> Iterator[None]:
    """Have the folder there that a server of root's needs; take it away again if it was not there."""
    makes = os.geteuid() == 0 and not NEEDED_BY_ROOT.exists()
    if makes:
        NEEDED_BY_ROOT.mkdir(mode=0o755)
    try:
        yield
    finally:
        if makes:
            NEEDED_BY_ROOT.rmdir()
