"""Moon faces: what each direction of the moon does to each figure, whether a face looks into it, what keeps it off."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import degrees
from typing import Final

import numpy as np
from numpy.typing import NDArray

from preview.commands.metering.face_light import About, FaceLight, face_light, read_about
from preview.commands.metering.readings import Levels
from preview.commands.moon.sight import Reach, Sight
from preview.commands.moon.sweep import Direction, Sweep
from preview.script.models.cast import Figure
from preview.trace.store import AnyStore

Floats = NDArray[np.float64]

INTO: Final = 30.0
"""Degrees off the way that a face is turned within which it looks into the moon: eyes narrow, and the face has
little shape. Common practice, no source."""
EDGE: Final = 0.5
"""Stops over the front from which an edge is a rim. Common practice, no source."""
SLIGHT: Final = 0.05
"""Stops from which there is a slight one."""
MOON: Final = "moon"
"""What the moon from each direction is called among the lights."""
LEAST_SEEN: Final = 12
"""Pixels of a head that must be seen for its figure to count as in frame, in a picture that is 480 wide."""
HELD_OFF: Final = 0.35
"""Share of the moon under which it is kept off a figure, and over 1 less that, it reaches it."""


@dataclass(frozen=True)
class FaceUnder:
    """One figure under the moon from one direction. `light` of all lights together. `off_deg`: between the way that the
    face is turned and the moon; `reach`: how much of it comes to head and shoulders."""

    figure: str
    light: FaceLight
    off_deg: float
    reach: Reach

    @property
    def looks_into_it(self) -> bool:
        return self.off_deg < INTO and self.reach.share > HELD_OFF

    @property
    def has_rim(self) -> bool:
        """Whether any light makes an edge brighter than the front of the face, be that black."""
        over = self.light.rim_over_front
        return max(self.light.hair_lux, *self.light.shoulders_lux) > 0.0 and (over is None or over >= SLIGHT)

    @property
    def moon_rims(self) -> bool:
        """Whether the moon makes an edge that stands out from the front of the face."""
        return self.has_rim and self.light.rim_by == MOON and not self.is_slight

    @property
    def moon_rims_slightly(self) -> bool:
        return self.has_rim and self.light.rim_by == MOON and self.is_slight

    @property
    def is_slight(self) -> bool:
        over = self.light.rim_over_front
        return over is not None and over < EDGE

    @property
    def rim_of_another(self) -> str | None:
        """The light that makes an edge which the moon does not make; None without one."""
        return self.light.rim_by if self.has_rim and self.light.rim_by != MOON else None

    @property
    def blocked(self) -> bool:
        return self.reach.share < HELD_OFF


def seen_figures(sweep: Sweep) -> tuple[tuple[Figure, ...], tuple[Figure, ...]]:
    """The figures whose eyes lie within the frame and whose head or hair is seen there, and the others."""
    ready = sweep.ready
    least = LEAST_SEEN * (sweep.plate.part.shape[1] / 480.0) ** 2
    seen: list[Figure] = []
    unseen: list[Figure] = []
    for figure in ready.scene.cast:
        own = f"{figure.name}.head", f"{figure.name}.hair"
        head = [i for i, name in enumerate(ready.world.names) if name.startswith(own)]
        uv, depth = ready.view.project(np.array([ready.scene.anchors[f"{figure.name}.eyes"].position]))
        inside = bool(depth[0] > 0.0 and ((uv[0] > 0.0) & (uv[0] < 1.0)).all())
        enough = np.isin(sweep.plate.part, head).sum() >= least
        (seen if inside and enough else unseen).append(figure)
    return tuple(seen), tuple(unseen)


def faces_under(
    sweep: Sweep, held: Sequence[About], seen: Sight, *, store: AnyStore
) -> tuple[tuple[FaceUnder, ...], ...]:
    """For each direction, each figure under its moon with all other lights; read all at once."""
    ready, count = sweep.ready, sweep.others
    if not held:
        return tuple(() for _ in sweep.directions)
    lux = read_about(ready, held, store=store, seed=sweep.options.seed)
    names = [light.name for light in ready.lights]
    answer = []
    for number, direction in enumerate(sweep.directions):
        columns = [*range(count), count + number]
        own = Levels(
            lux.direct[:, columns], lux.bounced[:, columns], lux.rgb[:, columns], lux.flow[:, columns]
        )
        told = [*names[:count], MOON]
        answer.append(
            tuple(
                FaceUnder(
                    one.figure.name,
                    face_light(one, own, row * len(one.receptors), told, ready),
                    _off(one, direction),
                    seen.reach[number][row],
                )
                for row, one in enumerate(held)
            )
        )
    return tuple(answer)


def _off(one: About, direction: Direction) -> float:
    cosine = float(one.face.flat.facing @ direction.towards)
    return degrees(float(np.arccos(np.clip(cosine, -1.0, 1.0))))
