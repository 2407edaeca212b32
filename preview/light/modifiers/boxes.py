"""Boxes: a soft box on the head, closed but for its front.

The model, from memory (the flux balance of a diffuse enclosure): the head lights the front as it would in the open; what
meets the white sides comes back evenly, and shares itself between front and sides by their areas; what the cloth sends
back comes back by way of the sides. All that leaves the front leaves it as from an even white.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from preview.build.grip import Placed, box_parts
from preview.light.emitters.cloth import Cloth
from preview.light.emitters.gated import Gated
from preview.light.emitters.gridded import Gridded
from preview.light.light import Emitter
from preview.light.modifiers.cloths import called
from preview.light.modifiers.passage import Passage, Source, falling_on, lumens_of
from preview.light.modifiers.record import Origin, Stood
from preview.light.modifiers.seen import ClothGlow
from preview.script.models.through import Through

SIDES = 0.75
"""Reflectance of a box's inside: white or silver cloth. From memory, typical."""
TAKEN = 0.08
"""What a cloth keeps of the light: the rest that it does not pass it sends back. From memory, typical."""


def boxed(passage: Passage, thing: Through) -> Passage:
    """A soft box: its front is lit by the head inside, its skirt cuts by its edge, its grid by the angle."""
    assert thing.box is not None
    assert thing.cloth is not None
    row, axis = passage.catalogue.cloths[thing.cloth], passage.head_axis
    depth = thing.depth or 0.5 * min(thing.box)
    front = Placed(passage.head_at + depth * axis, axis, thing.box, passage.aperture.turn + thing.roll)
    direct = sum((falling_on(source.emitter, front) for source in passage.sources), np.zeros(1))
    area = thing.box[0] * thing.box[1]
    again = inside_again(
        passage.left,
        float(direct.mean()) * area,
        size=thing.box,
        depth=depth,
        passes=row.diffuse + row.direct,
    )
    total = direct + again / area
    cloth = Cloth(front.centre, axis, front.half_size, (row.diffuse + row.direct) * total, front.turn)
    emitter: Emitter = cloth
    if thing.grid is not None:
        emitter = Gridded(emitter, axis, thing.grid / 2.0)
    if thing.skirt > 0.0:
        rim = front.centre + thing.skirt * axis
        emitter = Gated(emitter, rim, axis, front.half_size, 1.0, front.turn, closed=True)
    left = cloth.lumens
    if emitter is not cloth:
        left *= lumens_of(emitter, at=front.centre, axis=axis) / lumens_of(cloth, at=front.centre, axis=axis)
    stood = Stood(
        "box",
        row.name,
        thing.box,
        front.centre,
        total,
        (),
        passage.at,
        0.0,
        passage.lumens,
        left / (total.mean() * area),
    )
    body, face = box_parts(
        called(passage),
        front,
        depth=depth,
        mouth=2.0 * max(passage.aperture.half_size) + 0.02,
        skirt=thing.skirt,
        grid=thing.grid,
    )
    # Through a grid the camera sees the front as anybody does, so its look is what rays see of it.
    glow = ClothGlow(
        face, cloth.lumens / (np.pi * area), direct=(_before(emitter),), front=axis, one_sided=True
    )
    return replace(
        passage,
        at=passage.head_at,
        sources=(Source(emitter, Origin(passage.stage, "diffuse"), front.centre),),
        stood=(*passage.stood, stood),
        left=left,
        glows=(glow,),
        bodies=(*passage.bodies, body),
    )


def _before(emitter: Emitter) -> Emitter:
    """Without its skirt: that is seen to hide the front."""
    return emitter.source if isinstance(emitter, Gated) else emitter


def inside_again(
    lumens: float, on_front: float, *, size: tuple[float, float], depth: float, passes: float
) -> float:
    """Lumens that fall on the front by way of the sides, of a head of `lumens`, of which `on_front` fall there at once."""
    front = size[0] * size[1]
    sides = depth * (size[0] + size[1])  # of a pyramid, about: half of an upright box's
    share = front / (front + sides)
    back = max(1.0 - TAKEN - passes, 0.0)
    # On the sides: W = (lumens - on_front) + (1 - share) SIDES W + back (on_front + share SIDES W).
    on_sides = (max(lumens - on_front, 0.0) + back * on_front) / (
        1.0 - SIDES * ((1.0 - share) + back * share)
    )
    return share * SIDES * on_sides
