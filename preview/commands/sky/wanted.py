"""Wanted: the look asked of a night: where and how high its moon should stand, from the script or as words say it."""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, degrees, pi, radians, tau
from typing import Final

from preview.camera.bearing import OVERHEAD, SIDES
from preview.commands.sky.sight import Sight, way
from preview.commands.sky.stand_ins import own_moon, stand_ins
from preview.faults import UserError
from preview.night.ephemeris import Moon
from preview.script.quantities import angle
from preview.script.scene import Scene

AROUND: Final = radians(30.0)
"""How far to either side of a wanted azimuth the moon may stand. Common practice, no source."""
ABOUT: Final = radians(15.0)
"""How far above or below a wanted height."""
LOWEST: Final = radians(5.0)
"""Height that the moon is asked to have at least: below, trees and houses hide it. Common practice, no source."""
HOW: Final = (
    "write what the camera sees, such as back left, three-quarter back right, side left, front or top, or an azimuth of "
    "the script's plan, such as 240"
)

FRONT, QUARTER_FRONT, SIDE, QUARTER_BACK = (name for _, name in SIDES)
LIMITS: Final = tuple(most for most, _ in SIDES)
ROUND: Final = {
    FRONT: (0.0, LIMITS[1]),
    QUARTER_FRONT: (LIMITS[0], LIMITS[1]),
    SIDE: (LIMITS[1], LIMITS[2]),
    QUARTER_BACK: (LIMITS[2], LIMITS[3]),
    "back": (LIMITS[2], 180.0),
}
"""Degrees round from the lens that each word asks for; front and back take in their three-quarters."""


@dataclass(frozen=True)
class Wanted:
    """Where the moon is wanted. Either `azimuth` of the plan with `around`, or `round_deg` and `side` of the camera.

    `low`, `high`: its height; all radians but `round_deg`. `words`: all of it.
    """

    words: str
    low: float
    high: float
    azimuth: float | None = None
    around: float = AROUND
    round_deg: tuple[float, float] | None = None
    side: str | None = None

    def there(self, sight: Sight, moon: Moon) -> bool:
        """Whether the moon stands on the wanted side."""
        if self.azimuth is not None:
            east, north, _ = way(sight.scene, moon)
            off = (atan2(east, north) - self.azimuth + pi) % tau - pi
            return abs(off) <= self.around
        if self.round_deg is None:
            return True
        comes = sight.bearing(moon)
        least, most = self.round_deg
        return least <= comes.round_deg <= most and self.side in (None, comes.side)

    def height(self, moon: Moon) -> bool:
        """Whether it stands as high as wanted."""
        return self.low <= moon.height <= self.high


def wanted(
    scene: Scene, asked: str | None, *, around: float = AROUND, heights: tuple[float, float] | None = None
) -> Wanted:
    """What `asked` says, else the direction that the scene's moon has; anywhere, where it has none.

    UserError for words that say nothing.
    """
    if asked is None:
        return _of_script(scene, around, heights)
    words = asked.strip().lower()
    low, high = heights or (LOWEST, radians(OVERHEAD))
    if words == "top":
        low, high = heights or (radians(OVERHEAD), pi / 2.0)
        return Wanted(f"from the top, {_heights(low, high)}", low, high)
    if words == "anywhere":
        return _anywhere(heights)
    turned = _azimuth(asked)
    if turned is not None:
        return Wanted(_azimuth_words(turned, around, low, high), low, high, turned, around)
    *parts, last = words.replace(",", " ").replace("camera", " ").split() or [""]
    side = last if last in ("left", "right") else None
    name = " ".join(parts if side else [*parts, last]).removesuffix(" light")
    if name not in ROUND:
        raise UserError(f"--want {asked!r} is no direction of light; {HOW}.")
    told = f"from the {name}{f', camera {side}' if side else ''}, {_heights(low, high)}"
    return Wanted(told, low, high, round_deg=ROUND[name], side=side)


def _azimuth(text: str) -> float | None:
    try:
        return angle(float(text) if text.strip().lstrip("+-").replace(".", "", 1).isdigit() else text) % tau
    except ValueError:
        return None


def _of_script(scene: Scene, around: float, heights: tuple[float, float] | None) -> Wanted:
    """As the script's own moon has it, else the first head that plays one; a real moon says nothing of what is wanted."""
    own = own_moon(scene)
    if own is not None and own.moon is not None:
        return _like(own.moon.azimuth, own.moon.elevation, f"{own.name} of the script", around, heights)
    for one in stand_ins(scene):
        if one.height > 0.0:
            return _like(one.azimuth, one.height, f"{one.fixture} at {one.where}", around, heights)
    return _anywhere(heights)


def _like(azimuth: float, up: float, what: str, around: float, heights: tuple[float, float] | None) -> Wanted:
    low, high = heights or (max(LOWEST, up - ABOUT), min(pi / 2.0, up + ABOUT))
    azimuth %= tau
    return Wanted(_azimuth_words(azimuth, around, low, high, f", as {what}"), low, high, azimuth, around)


def _anywhere(heights: tuple[float, float] | None) -> Wanted:
    low, high = heights or (LOWEST, pi / 2.0)
    return Wanted(f"anywhere, {_heights(low, high)}", low, high)


def _azimuth_words(azimuth: float, around: float, low: float, high: float, like: str = "") -> str:
    spread = f"within {degrees(around):.0f}°"
    return f"from {degrees(azimuth):.0f}° of the plan{like}, {spread}, {_heights(low, high)}"


def _heights(low: float, high: float) -> str:
    return f"{degrees(low):.0f}° to {degrees(high):.0f}° up"
