"""While a plate comes to rest the plain text says why, how long still, and what can be typed."""

from __future__ import annotations

from profiles.load import load
from wizard.facts import Facts
from wizard.plain import Transcript
from wizard.requests import Soak
from wizard.running.events import SoakTick, Working


def test_the_soak_is_explained_with_the_plate_s_own_figures_and_counted_down() -> None:
    """1 K through 3 mm of aluminium over 220 mm: 0.048 mm at mid-edge."""
    said: list[str] = []
    tell = Transcript(said.append)
    tell(Working(Soak(5.0), Facts(load("four-corner-220"))))
    for left_s in (300.0, 240.0, 239.0):
        tell(SoakTick(left_s, 300.0))
    text = " ".join(" ".join(said).split())
    assert "lifts the middle of an edge by 0.048 mm" in text
    assert "type y: long enough: go on now" in text
    assert text.count("min left") == 2
