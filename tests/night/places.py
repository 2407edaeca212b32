"""Places and instants for the tests of the night, by coordinates alone."""

from __future__ import annotations

import random
from datetime import UTC, datetime, timedelta
from math import acos, cos, degrees, radians, sin

from preview.night.observer import Observer

EAST_MEETS_WEST = Observer(radians(51.5074), radians(-0.1278), 11.0, UTC)
FAR_NORTH = Observer(radians(70.0), radians(19.0), 0.0, UTC)


def observer(latitude_deg: float, longitude_deg: float, height_m: float = 0.0) -> Observer:
    """A place that goes by universal time."""
    return Observer(radians(latitude_deg), radians(longitude_deg), height_m, UTC)


def random_nights(count: int, *, seed: int) -> list[tuple[Observer, datetime]]:
    """Places all over the earth, every fifth beyond 60 degrees, and instants of sixty years."""
    chance = random.Random(seed)
    found = []
    for number in range(count):
        latitude = (
            chance.choice((-1, 1)) * chance.uniform(60, 82) if number % 5 == 0 else chance.uniform(-60, 60)
        )
        place = observer(latitude, chance.uniform(-180, 180), chance.uniform(0, 2000))
        minutes = chance.randrange(60 * 365 * 24 * 60)
        found.append((place, datetime(1995, 1, 1, tzinfo=UTC) + timedelta(minutes=minutes)))
    return found


def separation_deg(azimuth: float, height: float, other_azimuth: float, other_height: float) -> float:
    """Degrees between two places in the sky, radians; by the cosine rule."""
    cosine = sin(height) * sin(other_height) + cos(height) * cos(other_height) * cos(azimuth - other_azimuth)
    return degrees(acos(max(-1.0, min(1.0, cosine))))
