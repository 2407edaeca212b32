"""Finish: what every fixture gets last: its level, its gels and its colour."""

from __future__ import annotations

from preview.build.mesh import Part
from preview.light.colour import colour, shifted
from preview.light.light import Emitter, Glow, Light
from preview.light.through import filtered
from preview.script.models.fixtures import Fixture


def finished(
    fixture: Fixture,
    emitters: tuple[Emitter, ...],
    *,
    kelvin: float,
    xy: tuple[float, float] | None = None,
    glows: tuple[Glow, ...] = (),
    bodies: tuple[Part, ...] = (),
) -> Light:
    """A light with its level, gels and colour."""
    through = filtered(fixture.through)
    own = xy if fixture.kelvin is None else None
    shade = colour(cct_k=fixture.kelvin or kelvin, xy=own, mired=through.mired, duv=through.duv)
    return Light(
        fixture.name,
        emitters,
        fixture.level * through.gain,
        shade,
        shifted(fixture.kelvin or kelvin, mired=through.mired),
        glows,
        bodies,
    )
