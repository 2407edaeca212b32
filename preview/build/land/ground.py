"""Ground: what everything stands on, cut finer near the eyes, with tufts, ripples, pebbles or setts there."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from preview.build.chance import smoothly
from preview.build.land.lattice import Fineness, lattice
from preview.build.land.stones import Rows, nearest_eye, pebbles, setts, sunk_between_setts
from preview.build.land.undulation import undulates, undulation
from preview.build.mesh import Floats, Part, flat, vertex_normals
from preview.build.site import Site
from preview.build.solids import plate
from preview.script.models.pieces.ground import Footpath, Ground, Street
from preview.script.street_plan import off_path, sides_of
from preview.script.terrain import Surface, surface_of

RINGS = (6.0, 20.0, 60.0)
"""Metres from the middle where a plane is cut, so that no triangle near the action is hundreds of metres long."""
ROLLING = Fineness(0.25, 1 / 28, 30.0, 1 / 10)
"""Cells of ground that has heights."""
LIVELY = Fineness(1 / 16, 1 / 96, 6.0, 1 / 24)
"""Cells of ground that undulates as well, or has setts."""
SOFT = Fineness(1 / 8, 1 / 48, 8.0, 1 / 14)
"""Cells of ground whose smallest shapes are larger, or hidden by what grows there."""
FINELY_SHAPED = ("mud", "soil", "dry soil", "wet soil", "sand", "cobbles")
RIPPLING = Fineness(1 / 8, 1 / 80, 24.0, 1 / 14)
"""Cells of water, which is looked at along its surface."""
SETTLE = 0.9
"""Metres over which ground settles level towards what lies on it."""
SKIN = 0.05
"""A ground so little above another, metres, lies on it."""


def build_ground(name: str, model: Ground, site: Site) -> list[Part]:
    """The surface `NAME`, which looks up and has no underside; near the eyes `NAME.pebbles` or `NAME.setts`."""
    country = Country(name, model, site)
    paved = model.material == "cobbles" and len(site.eyes) > 0
    if not country.surface.is_uneven and not paved and not (undulates(model.material) and len(site.eyes)):
        return [_plane(name, model, country.surface)]
    parts = [country.mesh()]
    if model.material == "gravel":
        parts += pebbles(
            name,
            model.material,
            country.low,
            country.high,
            country.eyes,
            country.height,
            country.is_bare,
            wet=model.wet,
        )
    if paved:
        rows = Rows(
            (country.low[0], country.high[0]),
            (country.low[1], country.high[1]),
            lambda along, across: (along, across),
        )
        parts += setts(
            name, model.material, rows, country.eyes, country.nominal, country.is_bare, wet=model.wet
        )
    return parts


def _plane(name: str, model: Ground, surface: Surface) -> Part:
    half_x, half_y = model.size[0] / 2, model.size[1] / 2
    cuts = [(-ring, -ring, ring, ring) for ring in RINGS if ring < max(half_x, half_y)]
    # Slits of no width make the cuts without a hole.
    lines = [(a0, b0, a0, b0) for a0, b0, _, _ in cuts] + [(a1, b1, a1, b1) for _, _, a1, b1 in cuts]
    found = plate((-half_x, half_x), (-half_y, half_y), lines).face(0.0)
    return flat(name, model.material, found + np.array([*model.at, model.height]), wet=model.wet)


@dataclass(frozen=True)
class Country:
    """One ground as it is built: its surface, what lies on it, and from where it is looked at."""

    name: str
    model: Ground
    site: Site

    @cached_property
    def surface(self) -> Surface:
        """The ground as the terrain has it; alone where the site does not know it."""
        return self.site.terrain.surface(self.name) or surface_of(
            self.name, self.model, self.site.folder, self.site.azimuth, ()
        )

    @property
    def low(self) -> Floats:
        return self.surface.low

    @property
    def high(self) -> Floats:
        return self.surface.high

    @cached_property
    def eyes(self) -> Floats:
        """Places (n, 3) of the cameras, their heights over this ground."""
        eyes = self.site.eyes.copy()
        eyes[:, 2] -= self.nominal(eyes[:, 0], eyes[:, 1])
        return eyes

    @property
    def fineness(self) -> Fineness:
        """How large its cells are."""
        if self.model.material == "water":
            return RIPPLING
        if self.model.material in FINELY_SHAPED and len(self.site.eyes):
            return LIVELY
        return SOFT if undulates(self.model.material) and len(self.site.eyes) else ROLLING

    def nominal(self, x: Floats, y: Floats) -> Floats:
        """Height of the ground (n,) m before it undulates."""
        # What lies over another ground was raised a little for that.
        surface = self.surface
        return surface.height(x, y) + (self.model.height - surface.middle)

    def height(self, x: Floats, y: Floats) -> Floats:
        """Height of the ground (n,) m as it is built."""
        z = self.nominal(x, y)
        if self.model.material == "cobbles":
            away = nearest_eye(x, y, self.eyes)
            return np.asarray(z - sunk_between_setts(away, self.eyes) * self.is_bare(x, y))
        if undulates(self.model.material) and len(self.eyes):
            away = nearest_eye(x, y, self.eyes)
            z = z + self.unsettled(x, y) * undulation(self.model.material, x, y, self.fineness.allowed(away))
        return z

    def mesh(self) -> Part:
        """The surface."""
        plan, faces = lattice(self.low, self.high, self.eyes, self.fineness, self._is_covered)
        x, y = plan.T
        vertices = np.stack([x, y, self.height(x, y)], axis=1)
        return Part(
            self.name, self.model.material, vertices, faces, vertex_normals(vertices, faces), self.model.wet
        )

    @cached_property
    def _later(self) -> list[Ground]:
        """Grounds after this one in the script that lie on it."""
        names = [name for name, _ in self.site.scene.set]
        if self.name not in names:
            return []
        mine = self.site.terrain.surface(self.name)
        found = []
        for name, piece in self.site.scene.set[names.index(self.name) + 1 :]:
            if isinstance(piece, Ground) and mine is not None:
                other = self.site.terrain.surface(name)
                assert other is not None
                x, y = np.array(piece.at[0]), np.array(piece.at[1])
                if mine.covers(x, y) and -1e-6 <= float(other.height(x, y) - mine.height(x, y)) < SKIN:
                    found.append(piece)
        return found

    def _is_covered(self, start: Floats, stop: Floats) -> NDArray[np.bool_]:
        """Which cells lie under later grounds altogether, well inside their borders."""
        covered = np.zeros(len(start), bool)
        for ground in self._later:
            centre, half = np.array(ground.at), np.array(ground.size) / 2
            low, high = centre - half, centre + half
            covered |= ((start > low + 0.1) & (stop < high - 0.1)).all(axis=1)
        # A carriageway is a body of its own; the ground would only show through it where the two are cut differently.
        middle, reach = 0.5 * (start + stop), 0.5 * np.linalg.norm(stop - start, axis=1)
        for _, piece in self.site.scene.set:
            if isinstance(piece, Street):
                offset, _ = off_path(piece.along, middle[:, 0], middle[:, 1])
                covered |= np.abs(offset) + reach < piece.width / 2
        return covered

    def is_bare(self, x: Floats, y: Floats) -> NDArray[np.bool_]:
        """Which plan points have nothing lying on them."""
        return np.asarray(self.unsettled(x, y, margin=0.0) > 0.0)

    def unsettled(self, x: Floats, y: Floats, margin: float = SETTLE) -> Floats:
        """How much (n,) of its undulation ground has at plan points: none under what lies on it, nor at its border."""
        away = np.minimum.reduce([x - self.low[0], self.high[0] - x, y - self.low[1], self.high[1] - y])
        clear = away if margin > 0.0 else np.full(np.shape(x), np.inf)
        for ground in self._later:
            clear = np.minimum(clear, _outside(x, y, ground.at, ground.size, 0.0))
        for _, piece in self.site.scene.set:
            if isinstance(piece, Street | Footpath):
                offset, _ = off_path(piece.along, x, y)
                half = piece.width / 2
                left, right = (half, half) if isinstance(piece, Footpath) else sides_of(piece)
                clear = np.minimum(clear, np.maximum(offset - right, -offset - left) - 0.05)
            elif not isinstance(piece, Ground):
                plan = _plan_of(piece)
                if plan is not None:
                    clear = np.minimum(clear, _outside(x, y, *plan) - 0.05)
        return smoothly(clear / margin) if margin > 0.0 else np.asarray(clear > 0.0, float)


def _plan_of(piece: object) -> tuple[tuple[float, float], tuple[float, float], float] | None:
    """Middle, size and azimuth of the plan of what stands level, where it has one."""
    at, size = getattr(piece, "at", None), getattr(piece, "size", None)
    turn = getattr(piece, "turn", getattr(piece, "facing", 0.0))
    if not (isinstance(at, tuple) and isinstance(size, tuple) and isinstance(turn, float)):
        return None
    return at, (size[0], size[1]), turn


def _outside(
    x: Floats, y: Floats, at: tuple[float, float], size: tuple[float, float], azimuth: float
) -> Floats:
    """How far (n,) plan points lie outside a rectangle, negative inside; metres."""
    east, north = x - at[0], y - at[1]
    across = np.abs(east * np.cos(azimuth) - north * np.sin(azimuth)) - size[0] / 2
    deep = np.abs(east * np.sin(azimuth) + north * np.cos(azimuth)) - size[1] / 2
    return np.maximum(across, deep)
