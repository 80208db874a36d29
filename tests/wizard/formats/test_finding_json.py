"""The object that scripts depend on, key by key."""

from __future__ import annotations

import json

from wizard.formats.finding_json import finding_object
from wizard.solver.finding import Finding, Learned, PointFinding, Shape, Suspicion

WHOLE = Finding(
    verdict="outside",
    status="turn",
    turns={"front left": -0.25},
    height_change_mm=0.1,
    points={"centre": PointFinding(0.2, 0.01, 0.05, 0.15)},
    shape=Shape(0.1, 0.2, 0.3, 0.4, 0.5, 0.6),
    learned={"front left": Learned(-0.49, 0.02)},
    suspicion=Suspicion("not-turned", 0.9, adjuster="front left"),
)


def test_the_object_has_these_keys_and_no_others() -> None:
    assert finding_object(WHOLE, ["Turn it."]) == {
        "format": "tramwright-finding/1",
        "verdict": "outside",
        "status": "turn",
        "turns": {"front left": -0.25},
        "height_change_mm": 0.1,
        "instructions": ["Turn it."],
        "points": {"centre": {"gap_mm": 0.2, "u_mm": 0.01, "deviation_mm": 0.05, "predicted_mm": 0.15}},
        "shape": {
            "tilt_x_mm_per_m": 0.1,
            "tilt_y_mm_per_m": 0.2,
            "twist_mm": 0.3,
            "bow_mm": 0.4,
            "flatness_minimum_zone_mm": 0.5,
            "flatness_least_squares_mm": 0.6,
        },
        "learned": {"front left": {"mm_per_turn": -0.49, "u": 0.02}},
        "suspicion": {"kind": "not-turned", "adjuster": "front left", "odds": 0.9},
    }


def test_what_is_not_known_is_null_and_the_keys_stay() -> None:
    told = json.loads(json.dumps(finding_object(Finding("undecided", "underdetermined"), ())))
    assert told["height_change_mm"] is None
    assert told["suspicion"] is None
    assert set(told["shape"]) == set(finding_object(WHOLE, ())["shape"])
    assert set(told["shape"].values()) == {None}


def test_a_suspicion_of_a_point_names_the_point_alone() -> None:
    finding = Finding(
        "undecided", "inconsistent", suspicion=Suspicion("reading-slipped", 0.7, point="centre")
    )
    assert finding_object(finding, ())["suspicion"] == {
        "kind": "reading-slipped",
        "point": "centre",
        "odds": 0.7,
    }
