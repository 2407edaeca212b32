"""Catalogue: what the trade knows, read from the data files beside it, each row with its source.

`usual()` is the program's own `Catalogue` of heads, gels, cloths and lamps; a scene carries the one it is made with,
to which its script may have added. Scrims, spectra, formats and materials are the same for every scene: a function
for each returns a row. A name that is not listed is a KeyError (scripts are checked before anything asks for a row).
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
from preview.trade.head_row import HeadRow, head_row

Kind = Literal[
    "heads", "gels", "cloths", "scrims", "formats", "materials", "lamps", "lifts", "spectra", "bounces"
]
"""Each is a file of this folder."""

Pattern = Literal["plain", "patchy", "speckled", "stained", "boards", "furrowed", "woven"]
"""How the mottling of a surface lies on it."""

_Loader: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


@dataclass(frozen=True)
class GelRow:
    """A gel, as one of a conversion (`mired`, `duv`), a `green`, a neutral `density` and coloured `bands`.

    `mired` and `duv` are added to those of a plain lamp of `design` kelvin, `stops` is what the gel takes from it
    (positive). `green`: density in red and blue, negative in the green. `bands`: what passes, each from, to (nm, at
    half) and transmission, on a `floor` that passes everywhere; `edge`: softness, nm. preview/light/filters.py makes
    the transmission of these.
    """

    name: str
    source: str
    mired: float = 0.0
    duv: float = 0.0
    stops: float | None = None
    green: float | None = None
    density: float | None = None
    bands: tuple[tuple[float, float, float], ...] = ()
    floor: float = 0.0
    edge: float = 12.0
    design: float = 5600.0


@dataclass(frozen=True)
class ClothRow:
    """A cloth: parts of the light passed spread evenly (`diffuse`) and straight on (`direct`).

    `spread`: degrees, the standard deviation of the Gaussian that softens the direct part about its old direction.
    """

    name: str
    diffuse: float
    direct: float
    source: str
    spread: float = 0.0


@dataclass(frozen=True)
class BounceRow:
    """What light comes off: parts of it spread evenly (`diffuse`) and as from a mirror (`direct`).

    `spread` as of a cloth. `tint`: linear ACEScg of luminance 1.
    """

    name: str
    source: str
    diffuse: float = 0.0
    direct: float = 0.0
    spread: float = 0.0
    tint: tuple[float, float, float] = (1.0, 1.0, 1.0)


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

    `variation`: relative amplitude of its mottling (0 to 0.35), `grain` the size of that in metres, `pattern` how it
    lies. `relief`: standard deviation of its height, and the size of its shapes, metres; 0 for smooth. `transmission`:
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
    pattern: Pattern = "plain"
    relief: tuple[float, float] = (0.0, 1.0)
    transmission: float = 0.0
    ior: float = 1.0
    roughness: float = 0.0
    coat_source: str = ""
    clear: bool = False


@dataclass(frozen=True)
class LampRow:
    """A practical's usual values; None where the kind has no such value.

    `lamp`: what its light is made with, a name of the spectra, None for a plain light of its kelvin; `size_m` is a
    diameter, a tube's length or a flame's height; `luminance` in cd/m2 only for a window and a fire's flames.
    """

    name: str
    kelvin: float
    source: str
    watts: float | None = None
    lumens: float | None = None
    luminance: float | None = None
    size_m: float | None = None
    lamp: str | None = None


@dataclass(frozen=True)
class LiftRow:
    """Something that carries a head. Metres and kilograms.

    `highest`: of the head's middle above the ground; `carries`: of head and what hangs on it; `across`: side of the
    square that it stands on; `reaches`: how far its base may stand aside of the head, 0 for right below; `frame`: side
    of the largest frame of cloth that goes in front of a head on it; `ease`: what it costs in a ranking, in points.
    """

    name: str
    highest: float
    carries: float
    across: float
    reaches: float
    frame: float
    ease: float
    source: str

    @property
    def stands_below(self) -> bool:
        """Whether it is a stand, straight below its head."""
        return self.name.endswith("stand")


@dataclass(frozen=True)
class SpectrumRow:
    """What light is made with: a `law` or `shapes` at any kelvin, one `column`, or `emitters` with their shares of light.

    `column`, `shapes` and the names of `emitters` are columns of preview/light/spectra.csv. `kelvin`: where none is
    given; of a lamp with a column the nearest to its colour. A `filament` warms as it is dimmed. `efficacy`: lumens
    that a practical with this lamp gives a watt, its glass included; from memory, typical.
    """

    name: str
    kelvin: float
    about: str
    source: str
    law: Literal["white", "radiator", "daylight"] | None = None
    column: str | None = None
    shapes: tuple[str, ...] = ()
    emitters: tuple[tuple[str, float], ...] = ()
    filament: bool = False
    efficacy: float | None = None


@dataclass(frozen=True)
class Catalogue:
    """Rows by name, in the order of their files: what a script may choose from, add to and put others in the place of."""

    heads: Mapping[str, HeadRow]
    gels: Mapping[str, GelRow]
    cloths: Mapping[str, ClothRow]
    lamps: Mapping[str, LampRow]
    """Practicals' usual values, by kind."""

    def with_rows(
        self,
        *,
        heads: Mapping[str, HeadRow],
        gels: Mapping[str, GelRow],
        cloths: Mapping[str, ClothRow],
        lamps: Mapping[str, LampRow],
    ) -> Catalogue:
        """This catalogue with rows added, or in the place of those of the same name."""
        return Catalogue(
            {**self.heads, **heads},
            {**self.gels, **gels},
            {**self.cloths, **cloths},
            {**self.lamps, **lamps},
        )


@cache
def usual() -> Catalogue:
    """The program's own."""
    return Catalogue(
        {name: head_row(name, row) for name, row in _table("heads").items()},
        {name: gel_row(name, row) for name, row in _table("gels").items()},
        {name: ClothRow(name, **row) for name, row in _table("cloths").items()},
        {name: LampRow(name, **row) for name, row in _table("lamps").items()},
    )


def gel_row(name: str, written: Mapping[str, Any]) -> GelRow:
    """A row of gels.yaml."""
    return GelRow(name, **{**written, "bands": tuple(tuple(band) for band in written.get("bands", ()))})


@cache
def _table(kind: Kind) -> Mapping[str, Mapping[str, Any]]:
    text = (Path(__file__).parent / f"{kind}.yaml").read_text(encoding="utf-8")
    table: Mapping[str, Mapping[str, Any]] = yaml.load(text, Loader=_Loader)
    return table


def _pair(row: Mapping[str, Any], key: str) -> dict[str, Any]:
    """The row with its list under `key`, if any, as a tuple."""
    return {**row, key: tuple(row[key])} if key in row else dict(row)


def names(kind: Kind) -> tuple[str, ...]:
    """Every name of a kind that the program has, in the order of its file."""
    return tuple(_table(kind))


@cache
def spectrum(name: str) -> SpectrumRow:
    row = _pair(_table("spectra")[name], "shapes")
    return SpectrumRow(name, **{**row, "emitters": tuple(row.get("emitters", {}).items())})


@cache
def scrim(name: str) -> ScrimRow:
    return ScrimRow(name, **_table("scrims")[name])


@cache
def bounce(name: str) -> BounceRow:
    """A board of bounces.yaml, or any material, as its diffuse reflectance."""
    if name not in _table("bounces"):
        row = material(name)
        luminance = float(ACESCG.luminance @ np.array(row.rgb))
        red, green, blue = (np.array(row.rgb) / luminance).tolist()
        return BounceRow(name, row.source, diffuse=luminance, tint=(red, green, blue))
    written = dict(_table("bounces")[name])
    tint = _rec709_to_acescg() @ np.array(written.pop("tint", (1.0, 1.0, 1.0)), float)
    red, green, blue = (tint / (ACESCG.luminance @ tint)).round(6).tolist()
    return BounceRow(name, **written, tint=(red, green, blue))


@cache
def lift(name: str) -> LiftRow:
    return LiftRow(name, **_table("lifts")[name])


@cache
def sensor_format(name: str) -> FormatRow:
    return FormatRow(name, **_table("formats")[name])


@cache
def material(name: str) -> MaterialRow:
    """The surface, its tint scaled to its luminous reflectance and turned to ACEScg.

    Reflectances are seen under the white of each space, so D65 is adapted to the ACES white: grey stays grey.
    """
    row = _table("materials")[name]
    tint = np.array(row["tint"], dtype=np.float64)
    rec709 = tint * (row["reflectance"] / (REC709.luminance @ tint))
    red, green, blue = np.clip(_rec709_to_acescg() @ rec709, 0.0, 0.98).round(6).tolist()
    rest = {key: value for key, value in _pair(row, "relief").items() if key not in ("reflectance", "tint")}
    return MaterialRow(name, row["reflectance"], (red, green, blue), **rest)


@cache
def _rec709_to_acescg() -> np.ndarray[Any, np.dtype[np.float64]]:
    adapt = adaptation_between(REC709.white, ACESCG.white)
    matrix: np.ndarray[Any, np.dtype[np.float64]] = ACESCG.from_xyz @ adapt @ REC709.to_xyz
    return matrix
