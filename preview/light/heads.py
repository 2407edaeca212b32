"""Heads: a lamp head as placed, from the catalogue or described in the script, with its frames."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from math import pi, radians
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from preview.build.mesh import Part
from preview.build.rigging import aperture_part, head_parts
from preview.light import beam as beams
from preview.light.emitters.ball import Ball
from preview.light.emitters.patch import Patch, Profile, lambertian
from preview.light.finish import finished
from preview.light.light import Emitter, Glow, Light
from preview.light.through import framed
from preview.script.models.fixtures import Fixture
from preview.script.models.heads import USUAL_APERTURE, Head
from preview.script.scene import Scene
from preview.trade.catalogue import head as catalogue_head

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class HeadOutput:
    """A head as its output is traced: `candela` axial; angles in radians, None for even; sizes in metres."""

    shape: Literal["beam", "panel", "ball"]
    candela: float
    beam: float | None
    field: float | None
    aperture: float | None
    size: tuple[float, float] | None
    kelvin: float
    watts: float | None

    @property
    def profile(self) -> Profile:
        """Relative intensity against the cosine from the axis."""
        if self.beam is None or self.field is None:
            return lambertian
        return partial(beams.relative_intensity, beam=self.beam, field=self.field)


def head_output(head: str | Head) -> HeadOutput:
    """A head from the catalogue, or as the script describes it."""
    if isinstance(head, str):
        row = catalogue_head(head)
        return HeadOutput(
            row.shape,
            row.candela,
            None if row.beam_deg is None else radians(row.beam_deg),
            None if row.field_deg is None else radians(row.field_deg),
            row.aperture_m,
            row.size_m,
            row.kelvin,
            row.watts,
        )
    field = head.field_angle
    return HeadOutput(
        head.shape,
        _axial_candela(head, field),
        head.beam,
        field,
        head.aperture or (None if head.shape == "panel" else USUAL_APERTURE),
        head.size,
        head.kelvin,
        head.watts,
    )


def _axial_candela(head: Head, field: float | None) -> float:
    if head.candela is not None:
        return head.candela
    if head.reading is not None:
        return beams.candela_of_reading(lux=head.reading.lux, distance=head.reading.at)
    assert head.lumens is not None
    if head.shape == "ball":
        return beams.ball_candela(head.lumens)
    if head.beam is None or field is None:
        return beams.lambertian_candela(head.lumens)
    return beams.candela_of_lumens(head.lumens, beam=head.beam, field=field)


def head_light(scene: Scene, fixture: Fixture) -> Light:
    assert fixture.head is not None
    assert fixture.at is not None
    assert fixture.aim is not None
    output = head_output(fixture.head)
    at, aim = scene.point(fixture.at), scene.point(fixture.aim)
    axis = (aim - at) / np.linalg.norm(aim - at)
    lens = aperture_part(
        fixture.name,
        at=at,
        aim=axis,
        shape=output.shape,
        aperture_m=output.aperture,
        size_m=output.size,
    )
    bodies = head_parts(
        fixture.name,
        at=at,
        aim=axis,
        shape=output.shape,
        aperture_m=output.aperture,
        size_m=output.size,
        stand=fixture.stand,
    )
    bare, glow = _source(output, at, axis, lens)
    through = framed(fixture.name, bare, fixture.through, at=at, axis=axis, stands=fixture.stand)
    return finished(
        fixture,
        through.emitters,
        kelvin=output.kelvin,
        glows=(glow, *through.glows),
        bodies=(*bodies, *through.bodies),
    )


def _source(output: HeadOutput, at: Floats, axis: Floats, lens: Part) -> tuple[Emitter, Glow]:
    """The bare head's emitter and the look of its front."""
    if output.shape == "ball":
        assert output.aperture is not None
        radius = output.aperture / 2.0
        luminance = output.candela / (pi * radius**2)
        return Ball(at, radius, luminance), Glow(lens, luminance)
    if output.shape == "panel":
        assert output.size is not None
        half = output.size[0] / 2.0, output.size[1] / 2.0
        area = output.size[0] * output.size[1]
    else:
        assert output.aperture is not None
        half = output.aperture / 2.0, output.aperture / 2.0
        area = pi * half[0] ** 2
    profile = output.profile
    patch = Patch(at, axis, half, output.candela, round=output.shape == "beam", profile=profile)

    def luminance_profile(cosine: NDArray[np.float32]) -> NDArray[np.float32]:
        """An aperture of intensity I(a) shows I(a) / (area cos a)."""
        return np.where(cosine > 0.0, profile(cosine) / np.maximum(cosine, 0.02), np.float32(0.0))

    return patch, Glow(lens, output.candela / area, axis, luminance_profile)
