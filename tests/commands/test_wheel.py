"""What is handed out is the wheel: it is built, installed alone and run here."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import venv
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PACKAGES = ("wizard", "drivers", "profiles")

pytestmark = pytest.mark.timeout(600)  # the package index may be slow


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel of this tree."""
    folder = tmp_path_factory.mktemp("dist")
    build = [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", str(folder), str(ROOT)]
    done = subprocess.run(build, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    (built,) = folder.glob("*.whl")
    return built


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The programs' folder of an environment with nothing but the wheel and what it asks for."""
    home = tmp_path_factory.mktemp("installed")
    venv.create(home / "venv", with_pip=True)
    programs = home / "venv" / "bin"
    install = [programs / "python", "-m", "pip", "install", "--quiet", "--no-compile", wheel]
    done = subprocess.run(install, capture_output=True, text=True, check=False, cwd=home)
    assert done.returncode == 0, done.stdout + done.stderr
    return programs


def run(programs: Path, cwd: Path, *argv: str) -> subprocess.CompletedProcess[str]:
    env = {
        name: told for name, told in os.environ.items() if not name.startswith(("PYTHON", "COV", "PYTEST"))
    }
    env["TRAMWRIGHT_HOME"] = str(cwd / "home")
    call = [str(programs / argv[0]), *argv[1:]]
    return subprocess.run(
        call, capture_output=True, text=True, check=False, cwd=cwd, env=env, stdin=subprocess.DEVNULL
    )


def test_the_wheel_holds_all_of_the_packages_and_nothing_else(wheel: Path) -> None:
    names = [name for name in zipfile.ZipFile(wheel).namelist() if ".dist-info/" not in name]
    sources = [
        str(path.relative_to(ROOT))
        for package in PACKAGES
        for path in (ROOT / package).rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    ]
    assert sorted(names) == sorted(sources)
    assert "profiles/four-corner-220.toml" in names


def test_the_tests_are_not_installed(installed: Path, tmp_path: Path) -> None:
    look = "import importlib.util as u; print(u.find_spec('tests'), u.find_spec('wizard').origin)"
    told = run(installed, tmp_path, "python", "-c", look).stdout.split()
    assert told[0] == "None"
    assert told[1].startswith(str(installed.parent))


def test_the_installed_program_does_the_job_from_any_folder(installed: Path, tmp_path: Path) -> None:
    done = run(installed, tmp_path, "tramwright", "demo", "--auto", "--json")
    assert done.returncode == 0, done.stderr
    told = json.loads(done.stdout)
    assert told["format"] == "tramwright-run/1"
    assert told["verdict"] == "within"


def test_the_installed_program_knows_the_shipped_profiles(installed: Path, tmp_path: Path) -> None:
    done = run(installed, tmp_path, "tramwright", "profiles", "check", "four-corner-220", "three-point-225")
    assert (done.returncode, done.stderr) == (0, "")
