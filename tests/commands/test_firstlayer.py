from __future__ import annotations

import re
from pathlib import Path

from profiles.load import shipped


def test_the_file_is_written_whole_and_told_of(run, tmp_path):
    file = tmp_path / "check.txt"
    done = run("firstlayer", "four-corner-220", "-o", str(file))
    assert done.code == 0
    assert "a pad each at front left, front right, back right, back left, centre" in done.out
    assert "stay with the machine" in done.out
    assert file.read_text().endswith("M104 S0\nM140 S0\n")


def test_nothing_is_written_over_without_being_told(run, tmp_path):
    file = tmp_path / "check.txt"
    file.write_text("mine")
    done = run("firstlayer", "four-corner-220", "-o", str(file))
    assert done.code == 2
    assert "--overwrite writes over it" in done.err
    assert file.read_text() == "mine"
    assert run("firstlayer", "four-corner-220", "-o", str(file), "--overwrite").code == 0
    assert file.read_text().startswith("; Check print")
    assert [path.name for path in tmp_path.iterdir()] == ["check.txt"]


def test_the_persons_temperatures_hold_within_the_profiles_limits(run, tmp_path):
    file = tmp_path / "check.txt"
    given = ("firstlayer", "four-corner-220", "-o", str(file), "--bed-c", "0", "--nozzle-c")
    assert run(*given, "230").code == 0
    assert "M109 S230" in file.read_text()
    assert "M190" not in file.read_text()
    for wrong in ("261", "20", "nan"):
        done = run(*given, wrong, "--overwrite")
        assert done.code == 2
        assert "for the filament is outside 150 to 260" in done.err
    done = run(*given[:-3], "--bed-c", "111", "--overwrite")
    assert done.code == 2
    assert "for the plate is outside" in done.err
    assert "M109 S230" in file.read_text()


def test_a_machine_whose_extruder_is_not_known_is_told_how_to_add_it(run, tmp_path):
    text = shipped()["four-corner-220"].read_text()
    bare = re.sub(r"\[print\].*?(?=\[height\])", "", text, flags=re.DOTALL)
    (tmp_path / "bare.toml").write_text(bare)
    done = run("firstlayer", str(tmp_path / "bare.toml"), "-o", str(tmp_path / "x"))
    assert done.code == 2
    assert "Add [print] with nozzle_mm" in done.err
    assert not Path(tmp_path / "x").exists()
