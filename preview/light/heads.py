"""Heads: a lamp head as placed, from the catalogue or described in the script, with its frames."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial
from math import pi
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from preview.build.mesh import Part
from preview.build.rigging import aperture_part, head_parts
from preview.light import beam as beams
from preview.light.emitters.ball import Ball
from preview.light.emitters.patch import Patch, Profile, lambertian
from preview.light.finish import finished
from preview.light.light import Emitter, Glow, Light
from preview.light.modifiers.passage import Aperture
from preview.light.photometric import (
    Photometry,
    photometric_source,
    photometry_of_file,
    photometry_of_head,
)
from preview.light.through import passed
from preview.script.models.fixtures import Fixture
from preview.script.models.heads import USUAL_APERTURE, Head
from preview.script.scene import Scene
from preview.trade.catalogue import Catalogue
from preview.trade.head_row import HeadRow, Output, Setting, Shape

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class HeadOutput:
    """A head as it is set: `candela` axial; angles in radians, None for even; sizes in metres; `body` of its housing."""

    shape: Shape
    candela: float
    beam: float | None
    field: float | None
    aperture: float | None
    size: tuple[float, float] | None
    kelvin: float
    watts: float | None
    body: tuple[float, float, float] | None = None
    photometry: Photometry | None = None
    """What a photometric file says of it, where there is one; the other values then sum it up."""

    @property
    def profile(self) -> Profile:
        """Relative intensity against the cosine from the axis."""
        if self.beam is None or self.field is None:
            return lambertian
        return partial(beams.relative_intensity, beam=self.beam, field=self.field)

    @property
    def lumens(self) -> float:
        """All that it gives."""
        if self.photometry is not None:
            return self.photometry.lumens
        return setting_lumens(Setting(self.candela, self.beam, self.field), self.shape)


def setting_lumens(setting: Setting, shape: Shape) -> float:
    """Lumens of a setting of a head of this shape."""
    if shape == "ball":
        return 4.0 * pi * setting.candela
    if setting.beam is None or setting.field is None:
        return beams.lambertian_lumens(setting.candela)
    return beams.lumens(candela=setting.candela, beam=setting.beam, field=setting.field)


def focused(output: Output, flood: float) -> Setting:
    """A head between full spot, 0, and full flood, 1: both ends exact.

    Between them the beam, the ratio of field to beam and the lumens go in equal ratios, so half flood is the geometric
    mean of each; the candela follow from the lumens. So light is neither lost nor won on the way, and the beam opens
    as slowly at first as it is narrow. The rule is our own choice: heads differ in how their travel is marked.
    """
    spot, wide = output.spot, output.flood
    if spot is None or flood >= 1.0:
        return wide
    if flood <= 0.0:
        return spot
    assert spot.beam is not None
    assert spot.field is not None
    assert wide.beam is not None
    assert wide.field is not None

    def between(narrow: float, broad: float) -> float:
        return float(narrow ** (1.0 - flood) * broad**flood)

    beam = between(spot.beam, wide.beam)
    field = beam * between(spot.field / spot.beam, wide.field / wide.beam)
    lumens = between(setting_lumens(spot, "beam"), setting_lumens(wide, "beam"))
    return Setting(beams.candela_of_lumens(lumens, beam=beam, field=field), beam, field)


def head_output(fixture: Fixture, catalogue: Catalogue, folder: Path) -> HeadOutput:
    """What a fixture's head gives as it is set, of the catalogue or as the script in `folder` describes it."""
    assert fixture.head is not None
    if isinstance(fixture.head, str):
        return row_output(catalogue.heads[fixture.head], flood=fixture.flood, lens=fixture.lens)
    head = fixture.head
    if head.photometry is not None:
        photometry = photometry_of_head(head, folder)
        return photometric_output(photometry, kelvin=head.kelvin, watts=head.watts)
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


def row_output(row: HeadRow, *, flood: float = 1.0, lens: str | None = None) -> HeadOutput:
    """What a head of the catalogue gives at a setting, with a lens of its set (default: its usual one)."""
    if row.photometry is not None:
        photometry = photometry_of_file(row.photometry, aperture=row.aperture, size=row.size)
        return photometric_output(photometry, kelvin=row.kelvin, watts=row.watts, body=row.body)
    output = row.output(lens)
    setting = focused(output, flood)
    return HeadOutput(
        row.shape,
        setting.candela,
        setting.beam,
        setting.field,
        output.aperture or row.aperture,
        row.size,
        row.kelvin,
        row.watts,
        row.body,
    )


def photometric_output(
    photometry: Photometry,
    *,
    kelvin: float,
    watts: float | None,
    body: tuple[float, float, float] | None = None,
) -> HeadOutput:
    """What a head of a photometric file gives; `beam` and `field` are the means of two planes."""
    size = photometry.size
    return HeadOutput(
        photometry.shape,
        photometry.candela,
        photometry.beam,
        photometry.field,
        None if photometry.shape == "panel" else max(size),
        size if photometry.shape == "panel" else None,
        kelvin,
        photometry.web.watts if watts is None else watts,
        body,
        photometry,
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
    output = head_output(fixture, scene.catalogue, scene.path.parent)
    at, aim = scene.point(fixture.at), scene.point(fixture.aim)
    axis = (aim - at) / np.linalg.norm(aim - at)
    lens = aperture_part(
        fixture.name,
        at=at,
        aim=axis,
        shape=output.shape,
        aperture_m=output.aperture,
        size_m=output.size,
        turn=fixture.turn,
    )
    bodies = head_parts(
        fixture.name,
        at=at,
        aim=axis,
        shape=output.shape,
        aperture_m=output.aperture,
        size_m=output.size,
        body_m=output.body,
        turn=fixture.turn,
        stand=fixture.stand,
        ground=scene.terrain.footing,
    )
    bare: Emitter
    glow: Glow
    if output.photometry is not None:
        bare, glow = photometric_source(fixture.name, output.photometry, at=at, axis=axis, turn=fixture.turn)
    else:
        bare, glow = _source(output, at, axis, lens, turn=fixture.turn)
    way = passed(
        fixture.name,
        bare,
        glow,
        fixture.through,
        at=at,
        axis=axis,
        aperture=_aperture(output, fixture.turn),
        lumens=output.lumens,
        stands=fixture.stand,
        catalogue=scene.catalogue,
        point=scene.point,
        ground=scene.terrain.footing,
    )
    light = finished(
        scene,
        fixture,
        way.emitters,
        kelvin=output.kelvin,
        glows=way.glows,
        bodies=(*bodies, *way.bodies),
        tint=way.tint,
    )
    return replace(light, modifiers=way.modifiers, origins=way.origins)


def _aperture(output: HeadOutput, turn: float) -> Aperture:
    """What hangs on a head goes by this; of a file's opening, by its size."""
    if output.size is not None:
        return Aperture((output.size[0] / 2.0, output.size[1] / 2.0), round=False, turn=turn)
    radius = (output.aperture or USUAL_APERTURE) / 2.0
    return Aperture((radius, radius), round=True, turn=turn)


def _source(output: HeadOutput, at: Floats, axis: Floats, lens: Part, *, turn: float) -> tuple[Emitter, Glow]:
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
    patch = Patch(at, axis, half, output.candela, round=output.shape == "beam", profile=profile, turn=turn)

    def luminance_profile(cosine: NDArray[np.float32]) -> NDArray[np.float32]:
        """An aperture of intensity I(a) shows I(a) / (area cos a)."""
        return np.where(cosine > 0.0, profile(cosine) / np.maximum(cosine, 0.02), np.float32(0.0))

    return patch, Glow(lens, output.candela / area, axis, luminance_profile)
