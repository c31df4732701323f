"""The density of water at the temperature that the bait is fished at.

Scope: one formula, with its source.
"""

from __future__ import annotations

from rodhours.errors import UsageError

COLDEST_C, WARMEST_C = 0.0, 40.0


def water_density(celsius: float) -> float:
    """The density of air-free water at 101.325 kPa in kg/m³, 0 to 40 °C.

    Tanaka et al. 2001, Metrologia 38:301-309, equation 1 (the table recommended by the CIPM).
    UsageError outside that range.
    """
    if not COLDEST_C <= celsius <= WARMEST_C:
        raise UsageError(
            f"The water temperature must be {COLDEST_C:g} to {WARMEST_C:g} °C, not {celsius:g}."
        )
    fall = (celsius - 3.983035) ** 2 * (celsius + 301.797) / (522528.9 * (celsius + 69.34881))
    return 999.974950 * (1 - fall)
