"""Bounces: a board that the light falls on, from where it goes on to what it is aimed at."""

from __future__ import annotations

from dataclasses import replace
from math import radians

import numpy as np
from numpy.typing import NDArray

from preview.build.grip import Placed, board_parts
from preview.light.emitters.cloth import Cloth
from preview.light.emitters.gated import Gated
from preview.light.emitters.mirrored import Mirrored
from preview.light.emitters.softened import Softened
from preview.light.light import Emitter
from preview.light.modifiers.cloths import called
from preview.light.modifiers.passage import Passage, Source, falling_on
from preview.light.modifiers.record import Origin, Stood
from preview.light.modifiers.seen import ClothGlow
from preview.light.spaces import ACESCG
from preview.light.vectors import across
from preview.script.models.through import Through
from preview.trade.catalogue import bounce

Floats = NDArray[np.float64]


def bounced(passage: Passage, thing: Through, to: Floats) -> Passage:
    """A board whose normal halves the way back to the light and that to `to` (3,): a mirror would send it right there.

    It sends back what falls on its front and stops what it hides; what misses it goes on.
    """
    assert thing.bounce is not None
    assert thing.of is not None
    row = bounce(thing.of)
    width, height = across(passage.axis)
    centre = passage.at + thing.away * passage.axis + thing.aside * width + thing.up * height
    onward = to - centre
    onward = onward / np.linalg.norm(onward)
    back = passage.at - centre
    normal = onward + back / np.linalg.norm(back)
    normal = normal / np.linalg.norm(normal)
    board = Placed(centre, normal, thing.bounce, thing.roll)
    stage = passage.stage
    sources: list[Source] = []
    spilling: list[Emitter] = []
    direct: list[Emitter] = []
    total, arriving = np.zeros(1), 0.0
    for source in passage.sources:
        falling = falling_on(source.emitter, board, from_front=True)
        flux = float(falling.mean() * thing.bounce[0] * thing.bounce[1])
        total = total + falling
        past = Gated(source.emitter, centre, normal, board.half_size, 0.0, board.turn)
        sources.append(replace(source, emitter=past))
        if source.origin.stage == stage - 1:
            spilling.append(past)
            arriving += flux
        if row.direct > 0.0 and flux > 0.0:
            image = source.middle - 2.0 * normal * (normal @ (source.middle - centre))
            away = float(np.linalg.norm(centre - source.middle))
            # Seen from behind, the board is a cloth; width is then on the other side.
            through = Softened(
                source.emitter,
                centre,
                -normal,
                board.half_size,
                row.direct,
                radians(row.spread),
                away,
                -board.turn,
            )
            off = Mirrored(through, centre, normal)
            direct.append(off)
            sources.append(Source(off, Origin(stage, "direct"), image))
    cloth = None
    if row.diffuse > 0.0 and total.max() > 0.0:
        cloth = Cloth(centre, normal, board.half_size, row.diffuse * total, board.turn)
        sources.append(Source(cloth, Origin(stage, "diffuse"), centre))
    passed = row.diffuse + row.direct
    stood = Stood(
        "bounce",
        row.name,
        thing.bounce,
        centre,
        total,
        tuple(spilling),
        passage.at,
        max(passage.left - arriving, 0.0),
        passage.lumens,
        passed,
    )
    *frame, face = board_parts(called(passage), board, stands=passage.stands, ground=passage.ground)
    glow = ClothGlow(
        face,
        float(row.diffuse * total.mean() / np.pi),
        cloth=cloth,
        direct=tuple(direct),
        front=normal,
        one_sided=True,
    )
    tint = np.array(passage.tint) * np.array(row.tint)
    red, green, blue = (tint / (ACESCG.luminance @ tint)).tolist()
    return replace(
        passage,
        at=centre,
        axis=onward,
        sources=tuple(sources),
        stood=(*passage.stood, stood),
        left=passed * stood.flux,
        glows=(*passage.glows, glow),
        bodies=(*passage.bodies, *frame),
        tint=(red, green, blue),
    )
