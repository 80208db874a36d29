"""How much things grow as they warm, and what that takes from a gap. Pure numbers; no machine in here.

Coefficients of linear expansion near room temperature, 1e-6 per kelvin: aluminium 6061 23.6 and brass C36000
20.5 (material data sheets after a materials handbook), borosilicate glass 3.3 (ISO 3585), float glass 9.0
(EN 572-1), stainless steel 304 17.3, carbon steel 11.7 (handbook tables, from memory).
"""

from __future__ import annotations

ROOM_C = 20.0
"""What "cold" is: the standard reference temperature for lengths (ISO 1)."""

BRASS_PPM_PER_K = 20.5

_PLATES_PPM_PER_K = {
    "aluminium": 23.6,
    "borosilicate": 3.3,
    "glass": 9.0,
    "stainless": 17.3,
    "steel": 11.7,
    "brass": BRASS_PPM_PER_K,
}


def plate_ppm_per_k(material: str) -> float | None:
    """Return the coefficient of the material that is named in `material`, None where none is known."""
    return next((ppm for name, ppm in _PLATES_PPM_PER_K.items() if name in material.lower()), None)


def grown_mm(length_mm: float, ppm_per_k: float, from_c: float, to_c: float) -> float:
    """Return how much longer a length is at `to_c` than at `from_c`; 0 degrees is room temperature."""
    return length_mm * ppm_per_k * 1e-6 * ((to_c or ROOM_C) - (from_c or ROOM_C))


def bowed_mm(across_mm: float, thickness_mm: float, ppm_per_k: float, through_k: float) -> float:
    """Return how far a free plate's mid-edge stands over its centre, its lower side `through_k` warmer.

    It bends to a sphere of curvature alpha dT / h (Timoshenko and Woinowsky-Krieger, Theory of Plates and
    Shells, article 14, from memory); the corners of a square stand twice as high.
    """
    curvature_per_mm = ppm_per_k * 1e-6 * through_k / thickness_mm
    return curvature_per_mm * (across_mm / 2.0) ** 2 / 2.0
