"""Photometric heads: what a photometric file makes of a head: its web, how strong, from what opening, and its emitter."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from preview.build.luminous import luminous_part
from preview.light.beam import candela_of_reading
from preview.light.emitters.webbed import OF_A_POINT, Webbed, WebGlow
from preview.light.photometry.opening import Opening, disc
from preview.light.photometry.read import web_of_file
from preview.light.photometry.web import Web
from preview.light.vectors import across
from preview.script.models.heads import Head

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Photometry:
    """A web as a head shines with it: from `opening`, its intensities times `scale`, before any tilt."""

    web: Web
    opening: Opening
    scale: float = 1.0

    @property
    def candela(self) -> float:
        """Straight ahead; 0 for a luminaire that shines elsewhere."""
        return self.scale * self.web.axial

    @property
    def lumens(self) -> float:
        return self.scale * self.web.lumens()

    @cached_property
    def beam(self) -> float:
        """Full angle, radians, at half intensity: the mean of the planes of horizontal 0 and 90."""
        return sum(self.web.beam) / 2.0

    @cached_property
    def field(self) -> float:
        """Full angle, radians, at a tenth of the intensity: the mean of the same planes."""
        return sum(self.web.field) / 2.0

    @property
    def shape(self) -> Literal["beam", "panel", "ball"]:
        """What its housing is like."""
        if self.opening.shape in ("rectangle", "box") and self.opening.faces in (None, 2):
            return "panel"
        return "ball" if self.opening.shape == "ellipsoid" else "beam"

    @property
    def size(self) -> tuple[float, float]:
        """Width and height, metres, of the opening seen from straight ahead, unturned; no less than a point has."""
        along, beside, _ = self.opening.size
        width, height = (along, beside) if self.web.kind == "C" else (beside, along)
        return max(width, OF_A_POINT), max(height, OF_A_POINT)


def photometry_of_file(
    path: Path, *, aperture: float | None = None, size: tuple[float, float] | None = None
) -> Photometry:
    """A luminaire as its file tells it; UserError, with file and line, where it does not.

    `aperture` (a diameter) or `size` (width, height), metres, take the place of the file's opening.
    """
    web = web_of_file(path)
    if aperture is not None:
        return Photometry(web, disc(aperture))
    if size is not None:
        width, height = size
        return Photometry(
            web, Opening("rectangle", (width, height, 0.0) if web.kind == "C" else (height, width, 0.0))
        )
    return Photometry(web, web.opening)


def photometry_of_head(head: Head, folder: Path) -> Photometry:
    """A head described by a file, named from `folder`, and by what stands beside it.

    `candela`, `lumens` or `reading` give the file's shape another strength; `aperture` or `size` another opening.
    """
    assert head.photometry is not None
    told = photometry_of_file(folder / head.photometry, aperture=head.aperture, size=head.size)
    if head.lumens is not None:
        return replace(told, scale=head.lumens / told.lumens)
    if head.candela is not None:
        return replace(told, scale=head.candela / told.candela)
    if head.reading is not None:
        candela = candela_of_reading(lux=head.reading.lux, distance=head.reading.at)
        return replace(told, scale=candela / told.candela)
    return told


def axes_of(web: Web, axis: Floats, turn: float) -> Floats:
    """Where the axes of a web lie, rows (3, 3), for a head that looks along unit `axis` (3,), turned about it.

    Unturned, standing behind the head and looking the way it shines: type C has horizontal 0 to the right and 90 above,
    as angles run on paper; types B and A have positive vertical angles above and positive horizontal ones to the right.
    """
    right, up = across(axis, turn)
    return np.stack([right, up, axis] if web.kind == "C" else [up, -right, axis])


def photometric_source(
    name: str, photometry: Photometry, *, at: Floats, axis: Floats, turn: float
) -> tuple[Webbed, WebGlow]:
    """The bare head's emitter and the look of its opening; a lamp that dims as it is tilted is tilted as it is aimed."""
    web, scale = photometry.web, photometry.scale
    if web.tilt is not None:
        scale *= web.tilt.factor(float(np.arccos(np.clip(-axis[2], -1.0, 1.0))))
    source = Webbed(web, at, axes_of(web, axis, turn), photometry.opening, scale)
    opening = photometry.opening
    part = luminous_part(
        f"{name}.lens",
        "glass",
        shape=opening.shape,
        half_size=source.half_size,
        axes=source.axes,
        at=at,
        across=opening.straight if opening.faces is None else opening.faces,
    )
    straight = float(source.luminance(axis.astype(np.float32)[:, None])[0])
    return source, WebGlow(part, straight, source=source)
