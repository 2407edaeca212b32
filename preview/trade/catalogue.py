"""Catalogue: what the trade knows, read from the data files beside it, each row with its source.

`names(kind)` lists what there is; one function per kind returns a row, and raises KeyError for a name that is
not listed (scripts are checked against `names` before anything asks for a row).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Literal

import numpy as np
import yaml

from preview.light.spaces import ACESCG, REC709, adaptation_between

Kind = Literal["heads", "gels", "cloths", "scrims", "formats", "materials", "lamps"]
"""Each is a file of this folder."""

_Loader: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


@dataclass(frozen=True)
class HeadRow:
    """A bare head at full level; `candela` is axial, angles are full (None: Lambertian panel, even ball).

    `aperture_m`: diameter of a beam's front or of a ball; `size_m`: a panel's width and height.
    """

    name: str
    shape: Literal["beam", "panel", "ball"]
    watts: float
    candela: float
    kelvin: float
    setting: str
    source: str
    beam_deg: float | None = None
    field_deg: float | None = None
    aperture_m: float | None = None
    size_m: tuple[float, float] | None = None


@dataclass(frozen=True)
class GelRow:
    """A gel: `mired` and `duv` are added to the source's, `stops` is what it takes (positive)."""

    name: str
    mired: float
    stops: float
    source: str
    duv: float = 0.0

    @property
    def transmittance(self) -> float:
        return float(2.0**-self.stops)


@dataclass(frozen=True)
class ClothRow:
    """A cloth in a frame: parts of the light passed spread evenly (`diffuse`) and straight on (`direct`)."""

    name: str
    diffuse: float
    direct: float
    source: str


@dataclass(frozen=True)
class ScrimRow:
    """A wire scrim: `stops` taken from the part of the beam that it `covers` (0 to 1)."""

    name: str
    stops: float
    covers: float
    source: str


@dataclass(frozen=True)
class FormatRow:
    """What is exposed, in millimetres."""

    name: str
    width_mm: float
    height_mm: float
    source: str


@dataclass(frozen=True)
class MaterialRow:
    """A surface: `rgb` linear ACEScg diffuse reflectance (0 to 0.98), `reflectance` its luminous value.

    `variation`: relative amplitude of its mottling (0 to 0.35), `grain` the size of that in metres. `transmission`:
    what a thin surface (a leaf) passes to its far side, as a share of what it reflects. `ior`: refractive index of the
    clear coat over it, 1 for none; `roughness`: GGX alpha of that coat (0.01 to 1; 0 where there is none), the two from
    `coat_source`. What is `clear` stops no light.
    """

    name: str
    reflectance: float
    rgb: tuple[float, float, float]
    variation: float
    grain: float
    source: str
    transmission: float = 0.0
    ior: float = 1.0
    roughness: float = 0.0
    coat_source: str = ""
    clear: bool = False


@dataclass(frozen=True)
class LampRow:
    """A practical's usual values; None where the kind has no such value.

    `xy` (CIE 1931) takes the place of `kelvin` for colour where it is given; `size_m` is a diameter, a tube's
    length or a flame's height; `luminance` in cd/m2 only for a window.
    """

    name: str
    kelvin: float
    source: str
    watts: float | None = None
    lumens: float | None = None
    luminance: float | None = None
    size_m: float | None = None
    xy: tuple[float, float] | None = None


@cache
def _table(kind: Kind) -> Mapping[str, Mapping[str, Any]]:
    text = (Path(__file__).parent / f"{kind}.yaml").read_text(encoding="utf-8")
    table: Mapping[str, Mapping[str, Any]] = yaml.load(text, Loader=_Loader)
    return table


def _pair(row: Mapping[str, Any], key: str) -> dict[str, Any]:
    """The row with its list under `key`, if any, as a tuple."""
    return {**row, key: tuple(row[key])} if key in row else dict(row)


def names(kind: Kind) -> tuple[str, ...]:
    """Every name of a kind, in the order of its file."""
    return tuple(_table(kind))


@cache
def head(name: str) -> HeadRow:
    return HeadRow(name, **_pair(_table("heads")[name], "size_m"))


@cache
def gel(name: str) -> GelRow:
    return GelRow(name, **_table("gels")[name])


@cache
def cloth(name: str) -> ClothRow:
    return ClothRow(name, **_table("cloths")[name])


@cache
def scrim(name: str) -> ScrimRow:
    return ScrimRow(name, **_table("scrims")[name])


@cache
def sensor_format(name: str) -> FormatRow:
    return FormatRow(name, **_table("formats")[name])


@cache
def lamp(kind: str) -> LampRow:
    return LampRow(kind, **_pair(_table("lamps")[kind], "xy"))


@cache
def material(name: str) -> MaterialRow:
    """The surface, its tint scaled to its luminous reflectance and turned to ACEScg.

    Reflectances are seen under the white of each space, so D65 is adapted to the ACES white: grey stays grey.
    """
    row = _table("materials")[name]
    tint = np.array(row["tint"], dtype=np.float64)
    rec709 = tint * (row["reflectance"] / (REC709.luminance @ tint))
    red, green, blue = np.clip(_rec709_to_acescg() @ rec709, 0.0, 0.98).round(6).tolist()
    rest = {key: value for key, value in row.items() if key not in ("reflectance", "tint")}
    return MaterialRow(name, row["reflectance"], (red, green, blue), **rest)


@cache
def _rec709_to_acescg() -> np.ndarray[Any, np.dtype[np.float64]]:
    adapt = adaptation_between(REC709.white, ACESCG.white)
    matrix: np.ndarray[Any, np.dtype[np.float64]] = ACESCG.from_xyz @ adapt @ REC709.to_xyz
    return matrix
