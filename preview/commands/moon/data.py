"""Moon data: the answer as plain values."""

from __future__ import annotations

from collections.abc import Mapping
from math import degrees
from typing import Any

from preview.commands.moon.figures import Lifted
from preview.commands.moon.found import Found
from preview.commands.moon.rank import Ranked


def data(found: Found, weights: Mapping[str, float]) -> dict[str, Any]:
    """The answer as plain values."""
    swept = found.sweep
    scene, moon = swept.ready.scene, swept.moon
    groups = {
        "trees": found.groups.trees,
        "buildings": found.groups.buildings,
        "background": found.groups.behind,
        "ground": found.groups.ground,
    }
    return {
        "title": scene.title,
        "setup": scene.setup,
        "look": scene.look,
        "moon": {
            "in_place_of": list(moon.names),
            "lux": moon.lux,
            "lux_is": moon.lux_by,
            "kelvin": moon.kelvin,
            "kelvin_is": moon.kelvin_by,
            "size_deg": degrees(swept.options.size),
            "seen_in_shot": swept.options.visible,
            "told_from": moon.where,
        },
        "weights": dict(weights),
        "in_frame": {
            name: None if group is None else {"called": group.called, "share_of_frame": group.share}
            for name, group in groups.items()
        },
        "without_moon": {
            name: _lifted(told)
            for name, told in zip(("trees", "buildings", "background"), found.bare, strict=True)
        },
        "not_seen": [figure.name for figure in found.unseen],
        "directions": [_direction(found, one) for one in found.ranks],
    }


def _direction(found: Found, one: Ranked) -> dict[str, Any]:
    direction, frame = found.directions[one.number], found.frames[one.number]
    disc = found.discs[one.number]
    return {
        "place": one.place,
        "score": one.total,
        "azimuth_deg": direction.azimuth_deg,
        "true_azimuth_deg": None
        if found.sweep.ready.scene.place is None
        else (direction.azimuth_deg - found.sweep.north_deg) % 360.0,
        "height_deg": direction.height_deg,
        "words": direction.seen.words,
        "short": direction.seen.short,
        "marks": dict(one.marks),
        "why": one.why,
        "figures": [
            {
                "name": face.figure,
                "front_stops": face.light.front_stops,
                "bright_cheek": face.light.cheeks.brighter,
                "cheeks_stops": None if face.light.cheeks.ratio is None else face.light.cheeks.ratio.stops,
                "rim_over_front_stops": face.light.rim_over_front,
                "hair_stops": face.light.hair_stops,
                "shoulders_stops": list(face.light.shoulders_stops),
                "moon_makes_rim": face.moon_rims,
                "rim_by": face.light.rim_by,
                "off_face_deg": face.off_deg,
                "looks_into_it": face.looks_into_it,
                "reached": face.reach.share,
                "kept_off_by": face.reach.kept_off_by,
            }
            for face in found.faces[one.number]
        ],
        "trees": _lifted(frame.trees),
        "buildings": _lifted(frame.buildings),
        "background": _lifted(frame.behind),
        "ground": _lifted(frame.ground),
        "ground_contrast": frame.texture,
        "moon_share_of_ground": frame.moon_on_ground,
        "moon_in_frame": disc.in_frame,
        "moon_in_shot": disc.in_shot,
        "moon_hidden_by": disc.hidden_by,
    }


def _lifted(told: Lifted | None) -> dict[str, float] | None:
    return None if told is None else {"reads": told.reads, "over_floor": told.over_floor}
