"""Writes skyfield_references.json: sun and moon over random places by Skyfield with the DE421 ephemeris.

Not run by the tests. It was run in an environment of its own:

    pip install skyfield==1.55 skyfield-data==7.0.0
    python tests/night/make_skyfield_references.py
"""

from __future__ import annotations

import json
import random
from datetime import UTC, datetime, timedelta
from pathlib import Path

from skyfield import VERSION, almanac
from skyfield.api import Loader, wgs84
from skyfield_data import get_skyfield_data_path

SEED, COUNT = 20261024, 40
FILE = Path(__file__).with_name("skyfield_references.json")


def main() -> None:
    chance = random.Random(SEED)
    load = Loader(get_skyfield_data_path(), expire=False)
    bodies, scale = load("de421.bsp"), load.timescale(builtin=True)
    cases = []
    for number in range(COUNT):
        # Every fourth place beyond the polar circles.
        latitude = chance.uniform(66, 80) if number % 4 == 0 else chance.uniform(-60, 60)
        longitude, height = chance.uniform(-180, 180), round(chance.uniform(0, 1500))
        start = datetime(1990, 1, 1, tzinfo=UTC) + timedelta(minutes=chance.randrange(60 * 365 * 24 * 60))
        site = wgs84.latlon(round(latitude, 4), round(longitude, 4), height)
        at, end = scale.from_datetime(start), scale.from_datetime(start + timedelta(days=1))
        place = bodies["earth"] + site
        case = {"latitude_deg": round(latitude, 4), "longitude_deg": round(longitude, 4), "height_m": height}
        case["time"] = start.isoformat()
        for name in ("sun", "moon"):
            seen = place.at(at).observe(bodies[name]).apparent()
            altitude, azimuth, distance = seen.altaz()
            case[name] = {"height_deg": altitude.degrees, "azimuth_deg": azimuth.degrees, "km": distance.km}
        geocentric = bodies["earth"].at(at).observe(bodies["moon"])
        case["moon"]["lit"] = float(geocentric.fraction_illuminated(bodies["sun"]))
        case["moon"]["phase_angle_deg"] = float(geocentric.phase_angle(bodies["sun"]).degrees)
        case["events"] = {
            "sunset": times(almanac.find_settings(place, bodies["sun"], at, end)),
            "sunrise": times(almanac.find_risings(place, bodies["sun"], at, end)),
            "moonset": times(almanac.find_settings(place, bodies["moon"], at, end)),
            "moonrise": times(almanac.find_risings(place, bodies["moon"], at, end)),
        }
        for name, height_deg in (("civil", -6.0), ("nautical", -12.0), ("astronomical", -18.0)):
            down = almanac.find_settings(place, bodies["sun"], at, end, horizon_degrees=height_deg)
            up = almanac.find_risings(place, bodies["sun"], at, end, horizon_degrees=height_deg)
            case["events"][f"{name} dusk"], case["events"][f"{name} dawn"] = times(down), times(up)
        cases.append(case)
    about = f"Skyfield {'.'.join(str(part) for part in VERSION)}, DE421, seed {SEED}; made by {Path(__file__).name}"
    FILE.write_text(json.dumps({"about": about, "cases": cases}, indent=1) + "\n", encoding="utf-8")


def times(found: tuple) -> list[str]:
    """Those that are true crossings; Skyfield also gives transits where there are none."""
    moments, crosses = found
    return [moment.utc_iso(places=1) for moment, crossed in zip(moments, crosses, strict=True) if crossed]


if __name__ == "__main__":
    main()
