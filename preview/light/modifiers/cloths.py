"""Cloths: a frame in the light's way, and a cloth on the head itself."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from math import radians

import numpy as np
from numpy.typing import NDArray

from preview.build.grip import frame_parts
from preview.light.emitters.ball import Ball
from preview.light.emitters.cloth import Cloth
from preview.light.emitters.gated import Gated
from preview.light.emitters.patch import Patch, Profile, lambertian
from preview.light.emitters.softened import Softened
from preview.light.light import Emitter
from preview.light.modifiers.passage import Passage, Source, falling_on, placed
from preview.light.modifiers.record import Origin, Stood
from preview.light.modifiers.seen import ClothGlow
from preview.script.models.through import Through
from preview.trade.catalogue import ClothRow

Array = NDArray[np.float32]
Floats = NDArray[np.float64]

ON_THE_HEAD = 0.01
"""Metres before a head of a photometric file that a cloth on it lies."""
ANGLES = 1441
"""In which a softened beam is tabulated, to 90 degrees."""


def framed(passage: Passage, thing: Through) -> Passage:
    """A frame: what falls on its cloth leaves it spread evenly, or about straight on; what misses it goes past."""
    assert thing.frame is not None
    assert thing.cloth is not None
    row, board = passage.catalogue.cloths[thing.cloth], placed(passage, thing, thing.frame)
    stage = passage.stage
    sources: list[Source] = []
    spilling: list[Emitter] = []
    direct: list[Emitter] = []
    total, arriving = np.zeros(1), 0.0
    for source in passage.sources:
        falling = falling_on(source.emitter, board)
        flux = float(falling.mean() * thing.frame[0] * thing.frame[1])
        total = total + falling
        past = Gated(source.emitter, board.centre, board.axis, board.half_size, 0.0, board.turn)
        sources.append(replace(source, emitter=past))
        if source.origin.stage == stage - 1:
            spilling.append(past)
            arriving += flux
        if row.direct > 0.0 and flux > 0.0:
            on = softened(source, row, passage, thing)
            direct.append(on)
            sources.append(Source(on, Origin(stage, "direct"), source.middle))
    cloth = None
    if row.diffuse > 0.0 and total.max() > 0.0:
        cloth = Cloth(board.centre, board.axis, board.half_size, row.diffuse * total, board.turn)
        sources.append(Source(cloth, Origin(stage, "diffuse"), board.centre))
    stood = Stood(
        "frame",
        row.name,
        thing.frame,
        board.centre,
        total,
        tuple(spilling),
        passage.at,
        max(passage.left - arriving, 0.0),
        passage.lumens,
        row.diffuse + row.direct,
    )
    *bodies, last = frame_parts(
        called(passage), board, stands=passage.stands, ground=passage.ground, cloth=seen_as(row)
    )
    glows = passage.glows
    if last.name.endswith(".cloth") and (cloth is not None or direct):
        mean = float(row.diffuse * total.mean() / np.pi)
        glows += (ClothGlow(last, mean, cloth=cloth, direct=tuple(direct), front=board.axis),)
    else:
        bodies.append(last)
    return replace(
        passage,
        sources=tuple(sources),
        stood=(*passage.stood, stood),
        left=(row.diffuse + row.direct) * stood.flux,
        glows=glows,
        bodies=(*passage.bodies, *bodies),
    )


def called(passage: Passage) -> str:
    """What the shapes of the next thing are called: by the fixture, and a number from the second on."""
    number = len(passage.stood) + 1
    return passage.name if number == 1 else f"{passage.name} {number}"


def seen_as(row: ClothRow) -> str | None:
    """The material of a cloth in shot; None for a net, which hides nothing that the eye would miss."""
    if row.diffuse + row.direct <= 0.0:
        return "black"
    return None if row.diffuse < 0.1 and row.spread == 0.0 and row.direct > 0.0 else "white card"


def softened(source: Source, row: ClothRow, passage: Passage, thing: Through) -> Emitter:
    """The part of a source that a cloth in a frame passes straight on."""
    assert thing.frame is not None
    board = placed(passage, thing, thing.frame)
    # What already comes from all over a cloth is no softer for a few degrees more.
    if row.spread == 0.0 or source.origin.way == "diffuse":
        return Gated(
            source.emitter, board.centre, board.axis, board.half_size, row.direct, board.turn, closed=True
        )
    return Softened(
        source.emitter,
        board.centre,
        board.axis,
        board.half_size,
        row.direct,
        radians(row.spread),
        float(np.linalg.norm(board.centre - source.middle)),
        board.turn,
    )


def on_head(passage: Passage, thing: Through) -> Passage:
    """A cloth right at the aperture: its diffuse share leaves evenly from there, its direct one as a wider beam."""
    assert thing.cloth is not None
    row, aperture = passage.catalogue.cloths[thing.cloth], passage.aperture
    stage, at, axis = passage.stage, passage.head_at, passage.head_axis
    sources: list[Source] = []
    for source in passage.sources:
        bare = source.emitter
        if row.direct > 0.0:
            sources.append(Source(_wider(bare, row, passage), Origin(stage, "direct"), source.middle))
    spread_evenly: Emitter | None = None
    first = passage.sources[0].emitter
    if row.diffuse > 0.0 and isinstance(first, Ball):
        spread_evenly = replace(first, luminance=first.luminance * row.diffuse)
    elif row.diffuse > 0.0:
        candela = row.diffuse * passage.left / np.pi
        spread_evenly = Patch(
            at,
            axis,
            aperture.half_size,
            candela,
            round=aperture.round,
            profile=lambertian,
            turn=aperture.turn,
        )
    if spread_evenly is not None:
        sources.append(Source(spread_evenly, Origin(stage, "diffuse"), at))
    size = 2.0 * aperture.half_size[0], 2.0 * aperture.half_size[1]
    falling = np.full((2, 2), passage.left / (size[0] * size[1]))
    passed = row.diffuse + row.direct
    stood = Stood("cloth", row.name, size, at, falling, (), at, 0.0, passage.lumens, passed)
    # Its front is now as bright as what leaves it: the shape stays, the look is what rays see of it.
    area = (np.pi if aperture.round else 4.0) * aperture.half_size[0] * aperture.half_size[1]
    head, *others = passage.glows
    glow = ClothGlow(
        head.part,
        passed * passage.left / (np.pi * area),
        direct=tuple(source.emitter for source in sources),
        front=None if isinstance(first, Ball) else axis,
    )
    return replace(
        passage,
        sources=tuple(sources),
        stood=(*passage.stood, stood),
        left=passed * passage.left,
        glows=(glow, *others),
    )


def _wider(bare: Emitter, row: ClothRow, passage: Passage) -> Emitter:
    if isinstance(bare, Ball):
        return replace(bare, luminance=bare.luminance * row.direct)
    if isinstance(bare, Patch):
        if row.spread == 0.0 or bare.profile is lambertian:
            return replace(bare, candela=bare.candela * row.direct)
        profile, top = widened(bare.profile, radians(row.spread))
        return replace(bare, candela=bare.candela * row.direct * top, profile=profile)
    aperture = passage.aperture
    half = aperture.half_size[0] + 2 * ON_THE_HEAD, aperture.half_size[1] + 2 * ON_THE_HEAD
    centre = passage.head_at + ON_THE_HEAD * passage.head_axis
    return Softened(
        bare, centre, passage.head_axis, half, row.direct, radians(row.spread), ON_THE_HEAD, aperture.turn
    )


def widened(profile: Profile, spread: float) -> tuple[Profile, float]:
    """A beam's profile spread by a Gaussian of standard deviation `spread` radians, of the same lumens; and its axial
    intensity against the old one's. What would go backwards is given back to the rest.
    """
    angle = np.linspace(0.0, np.pi / 2.0, ANGLES)
    # The lobe: even shares of a Gaussian in radius, even steps round it.
    radius = spread * np.sqrt(-2.0 * np.log1p(-(np.arange(48) + 0.5) / 48))
    turn = 2.0 * np.pi * (np.arange(32) + 0.5) / 32
    total = np.zeros(ANGLES)
    for off in radius:
        cosine = np.cos(angle)[:, None] * np.cos(off) + np.sin(angle)[:, None] * np.sin(off) * np.cos(turn)
        total += profile(cosine.ravel().astype(np.float32)).reshape(cosine.shape).mean(axis=1)
    old = profile(np.cos(angle).astype(np.float32)).astype(np.float64)
    scale = np.trapezoid(old * np.sin(angle), angle) / np.trapezoid(total * np.sin(angle), angle)
    table = total * scale
    return partial(tabulated, table=(table / table[0]).astype(np.float32)), float(table[0] / old[0])


def tabulated(cosine: Array, *, table: Array) -> Array:
    """Relative intensity against the cosine from the axis, of a table in even steps of angle to 90 degrees."""
    angle = np.arccos(np.clip(cosine, 0.0, 1.0))
    place = angle * np.float32((len(table) - 1) / (np.pi / 2.0))
    low = np.minimum(place.astype(np.int32), len(table) - 2)
    share = place - low
    relative = table[low] * (1.0 - share) + table[low + 1] * share
    return np.where(cosine > 0.0, relative, np.float32(0.0)).astype(np.float32, copy=False)
