from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Run = Callable[..., Any]
LEVEL = {name: {"gap": 0.15} for name in ("front left", "front right", "back right", "back left", "centre")}
TILTED = {
    "front left": {"gap": 0.35},
    "front right": {"gap": 0.15},
    "back right": {"gap": 0.15},
    "back left": {"gap": 0.35},
    "centre": {"gap": 0.25},
}
KEYS = {
    "format",
    "verdict",
    "status",
    "turns",
    "height_change_mm",
    "instructions",
    "points",
    "shape",
    "learned",
    "suspicion",
}


@pytest.fixture
def rounds(tmp_path: Path) -> Callable[..., Path]:
    def write(*readings: dict[str, Any]) -> Path:
        file = tmp_path / "rounds.json"
        document = {"format": "tramwright-rounds/1", "rounds": [{"readings": one} for one in readings]}
        file.write_text(json.dumps(document))
        return file

    return write


@pytest.mark.parametrize(("profile", "closing_mm"), [("four-corner-220", 0.0), ("endstop-screw-120", 0.0627)])
def test_gaps_at_the_target_are_within_and_leave_by_zero(
    run: Run, rounds: Callable[..., Path], profile: str, closing_mm: float
) -> None:
    """Measured with a cold nozzle: 17 mm of brass, 20.5e-6 per K, by 180 K are 0.0627 mm more of a gap."""
    level = {name: {"gap": each["gap"] + closing_mm} for name, each in LEVEL.items()}
    code, out, err = run("solve", profile, rounds(level), "--json")
    assert (code, err) == (0, "")
    told = json.loads(out)
    assert set(told) == KEYS
    assert (told["format"], told["verdict"], told["status"]) == ("tramwright-finding/1", "within", "level")
    assert told["turns"] == {}
    assert any("until it prints" in line for line in told["instructions"]) == bool(closing_mm)
    assert set(told["points"]) == set(LEVEL)
    assert set(told["points"]["centre"]) == {"gap_mm", "u_mm", "deviation_mm", "predicted_mm"}


def test_a_low_left_side_is_raised_and_leaves_by_one(run: Run, rounds: Callable[..., Path]) -> None:
    """The left gaps are 0.2 mm too wide: the plate goes up there by 0.2 mm / 0.5 mm a turn = 0.4 turns.

    Wing nuts of this machine lower the plate clockwise, so the turns are anticlockwise (-).
    """
    code, out, _ = run("solve", "four-corner-220", rounds(TILTED), "--json")
    told = json.loads(out)
    assert code == 1
    assert (told["verdict"], told["status"]) == ("outside", "turn")
    for name in ("front left", "back left"):
        assert told["turns"][name] == pytest.approx(-0.4, abs=0.07)
    assert told["shape"]["tilt_x_mm_per_m"] == pytest.approx(0.2 / 0.160, rel=0.1)
    assert any("front left" in line for line in told["instructions"])


def test_the_words_are_the_instructions_of_the_object(run: Run, rounds: Callable[..., Path]) -> None:
    file = rounds(TILTED)
    told = run("solve", "four-corner-220", file, "--json").json()
    code, out, err = run("solve", "four-corner-220", file)
    assert (code, err) == (1, "")
    assert out.splitlines() == told["instructions"]


def test_one_reading_is_undecided_and_leaves_by_one(run: Run, rounds: Callable[..., Path]) -> None:
    code, out, _ = run("solve", "four-corner-220", rounds({"centre": {"low": 0.1, "high": 0.2}}), "--json")
    assert code == 1
    assert json.loads(out)["verdict"] == "undecided"


def test_csv_says_the_same_as_json(run: Run, rounds: Callable[..., Path], tmp_path: Path) -> None:
    lines = [f"{name},{told['gap']}" for name, told in TILTED.items()]
    (tmp_path / "one.csv").write_text("\n".join(["point,gap_mm", *lines]))
    from_csv = run("solve", "four-corner-220", tmp_path / "one.csv", "--json")
    assert from_csv == run("solve", "four-corner-220", rounds(TILTED), "--json")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("{", "this is not JSON: "),
        ("", "the file is empty; "),
        ("point,gap_mm\nouter,1", 'line 2: "outer" is no point of this machine; allowed are front left, '),
        ("point,low_mm,high_mm\ncentre,2,1", 'line 2, "centre" has low 2 above high 1, '),
        ("point,gap_mm\ncentre,thin", 'line 2, "centre", gap_mm is "thin", but must be a number of mm'),
        ("point,gap_mm\ncentre,inf", 'line 2, "centre", gap is inf, but must be a number from -20 to 20 mm'),
    ],
)
def test_a_wrong_file_gets_one_sentence_and_leaves_by_two(
    run: Run, tmp_path: Path, text: str, said: str
) -> None:
    file = tmp_path / "wrong"
    file.write_text(text)
    code, out, err = run("solve", "four-corner-220", file, "--json")
    assert (code, out) == (2, "")
    assert err.startswith(f"tramwright: {file}: {said}")
    assert err.count("\n") == 1


def test_a_wrong_profile_is_told_before_the_rounds(run: Run, tmp_path: Path) -> None:
    code, out, err = run("solve", tmp_path / "none.toml", tmp_path / "none.json")
    assert (code, out, err) == (2, "", f"tramwright: {tmp_path}/none.toml: there is no such file.\n")


def test_a_folder_and_a_hundred_megabytes_are_told(run: Run, tmp_path: Path) -> None:
    with (tmp_path / "huge").open("wb") as stream:
        stream.truncate(100_000_000)
    for name, said in (
        (tmp_path, "this is a folder"),
        (tmp_path / "huge", "100000000 bytes, but 1000000 are the most"),
    ):
        code, out, err = run("solve", "four-corner-220", name)
        assert (code, out) == (2, "")
        assert err.startswith(f"tramwright: {name}: {said}")
