"""Moonlight: how much light the moon gives on the ground, by its phase, height and distance.

In: phase, distance from the place, extinction in clear air. Not in: the reddening of a low moon, the surge
within 7 degrees of full (up to a third more), waxing against waning seas (a tenth), eclipses, light that the air itself
scatters down.
"""

from __future__ import annotations

from math import degrees, pi, sin

from preview.night.ephemeris import Moon

LUX_PER_FOOTCANDLE = 1.0 / 0.3048**2
MEAN_DISTANCE_KM = 384_400.0
"""At which the phase law below is taken to hold. Source: mean distance of the moon."""


def lux_above_air(*, phase_angle: float, distance_km: float = MEAN_DISTANCE_KM) -> float:
    """Lux on a surface that faces the moon above the air; `phase_angle` radians, 0 when full.

    10^(-0.4 (3.84 + 0.026 a + 4e-9 a^4)) footcandles, a in degrees, and the inverse square of the distance.

    Source: K. Krisciunas and B. E. Schaefer 1991, PASP 103, 1033. The distance is not in theirs.
    """
    angle = abs(degrees(phase_angle))
    magnitudes = 3.84 + 0.026 * angle + 4e-9 * angle**4
    return float(LUX_PER_FOOTCANDLE * 10.0 ** (-0.4 * magnitudes) * (MEAN_DISTANCE_KM / distance_km) ** 2)


def air_mass(height: float) -> float:
    """Air that light comes through from an apparent height in radians, against that from overhead: 38 times at the horizon.

    1 / (sin h + 0.50572 (h + 6.07995)^-1.6364), h in degrees. Krisciunas and Schaefer's own formula, made for the glow of
    the sky, has 5 at the horizon. Source: F. Kasten and A. T. Young 1989, Applied Optics 28, 4735, as a library has it.
    """
    above = max(height, 0.0)
    # Its own rounding has a little less than 1 overhead.
    return max(1.0, float(1.0 / (sin(above) + 0.50572 * (degrees(above) + 6.07995) ** -1.6364)))


def passed_by_air(height: float, *, extinction: float) -> float:
    """Share of light from a height in radians that clear air lets through; `extinction` magnitudes overhead."""
    return float(10.0 ** (-0.4 * extinction * air_mass(height)))


def passed_by_cloud(cover: float) -> float:
    """Share of light on level ground that is left on average under `cover` 0 to 1 of cloud: 1 - 0.75 N^3.4.

    Source: F. Kasten and G. Czeplak 1980, Solar Energy 24, 177, made for the sun (from memory).
    """
    return 1.0 - 0.75 * cover**3.4


def facing_lux(moon: Moon, *, extinction: float, cloud: float = 0.0) -> float:
    """Lux on a surface that faces the moon; 0 while its middle is below the horizon."""
    if not moon.is_up:
        return 0.0
    bare = lux_above_air(phase_angle=moon.phase_angle, distance_km=moon.distance_km)
    return bare * passed_by_air(moon.height, extinction=extinction) * passed_by_cloud(cloud)


def level_lux(moon: Moon, *, extinction: float, cloud: float = 0.0) -> float:
    """Lux on level ground."""
    return facing_lux(moon, extinction=extinction, cloud=cloud) * max(sin(moon.height), 0.0)


def disc_luminance(moon: Moon, *, extinction: float) -> float:
    """cd/m2 of the lit part of its disc through clear air, on average over it; 0 below the horizon or when new."""
    solid_angle = pi * sin(moon.radius) ** 2 * moon.lit
    return facing_lux(moon, extinction=extinction) / solid_angle if solid_angle > 1e-12 else 0.0
