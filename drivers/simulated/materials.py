"""Elastic and thermal constants of plate materials.

Density, elasticity and expansion as in textbooks and makers' sheets: aluminium 6061 E 69 GPa,
nu 0.33, 23.6e-6/K; float glass EN 572-1 E 70 GPa, nu 0.2, 9.0e-6/K; borosilicate ISO 3585
E 63 GPa, nu 0.2, 3.3e-6/K; steel 200 GPa, nu 0.3, 11.7e-6/K. Heat conductivity: textbook values,
from memory. A name that is not known counts as aluminium.
"""

from __future__ import annotations

from typing import NamedTuple


class Material(NamedTuple):
    """One plate material."""

    e_n_mm2: float
    poisson: float
    density_kg_mm3: float
    expansion_per_k: float
    conductivity_w_mk: float

    def bending_stiffness(self, thickness_mm: float) -> float:
        """Return the plate's bending stiffness D in N mm."""
        return self.e_n_mm2 * thickness_mm**3 / (12.0 * (1.0 - self.poisson**2))

    def weight_n_mm2(self, thickness_mm: float) -> float:
        """Return the plate's own weight per area, N/mm2."""
        return self.density_kg_mm3 * GRAVITY_M_S2 * thickness_mm


GRAVITY_M_S2 = 9.81
ALUMINIUM = Material(69_000.0, 0.33, 2700e-9, 23.6e-6, 167.0)
GLASS = Material(70_000.0, 0.20, 2500e-9, 9.0e-6, 1.0)
BOROSILICATE = Material(63_000.0, 0.20, 2230e-9, 3.3e-6, 1.1)
STEEL = Material(200_000.0, 0.30, 7850e-9, 11.7e-6, 50.0)
_KNOWN = {"aluminium": ALUMINIUM, "borosilicate": BOROSILICATE, "glass": GLASS, "steel": STEEL}


def material_named(name: str) -> Material:
    """Return the material whose name occurs in `name`; aluminium where none does."""
    return next((material for known, material in _KNOWN.items() if known in name.lower()), ALUMINIUM)
