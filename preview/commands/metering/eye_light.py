"""Eye light: which sources are mirrored in the eyes of the cast towards the lens, where, how large, and what hides them."""

from __future__ import annotations

from dataclasses import dataclass
from math import log2
from typing import Final

import numpy as np
from numpy.typing import NDArray

from preview.build.sculpt.cornea import IRIS_RADIUS, RADIUS, Cornea, cornea_of, reflected
from preview.camera.exposure import GREY, exposure_scale
from preview.commands.metering.luminances import FRAME_WIDTH
from preview.commands.prepare import Ready
from preview.light.emitters.dome import Dome
from preview.light.light import Emitter, Light
from preview.script.models.cast import Figure
from preview.sheets.meter_report import Catchlight, Eye
from preview.trace.digest import digest, program_digest
from preview.trace.keys import light_digest, set_digest
from preview.trace.sampling import spread_points
from preview.trace.store import AnyStore

Floats = NDArray[np.float64]
Array = NDArray[np.float32]

CLEAR: Final = 2e-3
"""Metres off the cornea at which its rays to the sources start: past the lashes' root, under a closing lid."""
LID: Final = 0.012
"""Metres before the cornea within which the figure's own head is a lid."""
INSIDE: Final = 64
"""Places on a source by which its luminance, and how much of it is hidden, are told."""
ROUND: Final = 24
"""Places on each side of a source's outline."""
LESSER: Final = 0.02
"""Share of the strongest image of a fixture from which another of its emitters is worth its own line."""
FAINT_STOPS: Final = 8.0
"""So far under grey an image in the eye is left out: darker than the darkest iris looks. From memory."""
HIDDEN: Final = 0.02
"""Share of a source up to which it is hidden, not partly so."""
NOTHING: Final = -1.0


@dataclass(frozen=True)
class EyeOf:
    """An eye of a figure: `side` as the camera sees it."""

    figure: str
    side: str
    cornea: Cornea


def eyes_of(ready: Ready) -> tuple[EyeOf, ...]:
    """The eyes of the cast, camera left first."""
    eyes: list[EyeOf] = []
    for figure in ready.scene.cast:
        axis = np.array(ready.scene.anchors[f"{figure.name}.eyes"].facing)
        found = [cornea_of(centre, radius, axis) for centre, radius in _eyeballs(ready, figure, axis)]
        found.sort(key=lambda cornea: float(cornea.centre @ ready.view.right))
        eyes += [EyeOf(figure.name, side, one) for side, one in zip(("left", "right"), found, strict=True)]
    return tuple(eyes)


def _eyeballs(ready: Ready, figure: Figure, axis: Floats) -> list[tuple[Floats, float]]:
    """Centre (3,) m and radius m of both eyeballs as they are built."""
    world = ready.world
    part = world.names.index(f"{figure.name}.eyes")
    corners = world.vertices[np.unique(world.faces[world.part_of_face == part])].astype(np.float64)
    aside = np.array([axis[1], -axis[0], 0.0])
    across = corners @ aside
    middle = 0.5 * (across.min() + across.max())
    balls = []
    for one in (corners[across < middle], corners[across > middle]):
        centre = 0.5 * (one.min(axis=0) + one.max(axis=0))
        # Level and upright extents are whole; along the axis too, for the ball is whole behind the lids.
        balls.append((centre, 0.5 * float(np.ptp(one[:, 2]))))
    return balls


def eye_light(ready: Ready, *, store: AnyStore) -> tuple[Eye, ...]:
    """What the eyes of the cast mirror towards the lens. What `store` has is not traced again."""
    eyes = eyes_of(ready)
    notes = [_note(ready, eye) for eye in eyes]
    seen = [eye for eye, note in zip(eyes, notes, strict=True) if note is None]
    images: dict[tuple[str, str], list[Catchlight]] = {(eye.figure, eye.side): [] for eye in eyes}
    if seen:
        place = digest(program_digest(), set_digest(ready.stage), ready.view, seen)
        for light in ready.lights:
            key = digest(place, "eye light", light_digest(light))
            known = store.load(key)
            if known is None:
                known = {"images": _images(ready, light, seen)}
                store.put(key, known, kind="readings", label=f"{ready.label}: {light.name}")
            for row in known["images"]:
                eye = seen[int(row[0])]
                told = _told(ready, light, eye, row[1:])
                if told.stops is not None and told.stops > -FAINT_STOPS:
                    images[eye.figure, eye.side].append(told)
    answer = []
    for eye, note in zip(eyes, notes, strict=True):
        lights = _strongest(images[eye.figure, eye.side])
        iris = _pixels(ready, eye.cornea, 2.0 * IRIS_RADIUS)
        answer.append(Eye(eye.figure, eye.side, iris, note, tuple(lights)))
    return tuple(answer)


def _strongest(images: list[Catchlight]) -> list[Catchlight]:
    """The strongest image of each fixture, strongest first; hidden ones last."""
    first: dict[str, Catchlight] = {}
    for image in sorted(images, key=_strength, reverse=True):
        first.setdefault(image.fixture, image)
    return list(first.values())


def _strength(image: Catchlight) -> float:
    """By which they are ordered: what the image sends to the lens; hidden ones last."""
    much = image.luminance * image.width_mm * image.height_mm
    return much * image.seen if image.hidden is None else 0.0


def _note(ready: Ready, eye: EyeOf) -> str | None:
    """Why the lens sees nothing in this eye, from geometry alone; what stands between is found by rays."""
    view = ready.view
    uv, depth = view.project(eye.cornea.centre[np.newaxis])
    if depth[0] <= 0.0:
        return "behind the lens"
    if not ((uv[0] >= 0.0) & (uv[0] <= 1.0)).all():
        return "out of frame"
    to_lens = view.position - eye.cornea.centre
    if float(to_lens @ eye.cornea.axis) <= 0.0:
        return "turned from the lens"
    return None


def _pixels(ready: Ready, cornea: Cornea, metres: float) -> float:
    """How many pixels of the frame a length across the line of sight covers at an eye; 0 behind the lens."""
    depth = float((cornea.centre - ready.view.position) @ ready.view.forward)
    return metres / (2.0 * ready.view.tan_half_width * depth) * FRAME_WIDTH if depth > 0.0 else 0.0


def _images(ready: Ready, light: Light, eyes: list[EyeOf]) -> Floats:
    """A row for each image of a light at full level: the eye's number; clock hours and share off centre; width and height
    in m; luminance cd/m2; share of the source that is free; the part that hides most of the rest; the part before the
    image, and whether that is a lid. Parts are NOTHING for none."""
    rows: list[list[float]] = []
    for number, eye in enumerate(eyes):
        mine = []
        for emitter in light.emitters:
            # A sky is no light in the eye: it dims all of it evenly.
            row = None if isinstance(emitter, Dome) else _image(ready, emitter, eye)
            if row is not None:
                mine.append([float(number), *row])
        strength = [row[3] * row[4] * row[5] for row in mine]
        rows += [row for row, much in zip(mine, strength, strict=True) if much > LESSER * max(strength)]
    return np.array(rows, np.float64).reshape(-1, 10)


def _image(ready: Ready, emitter: Emitter, eye: EyeOf) -> list[float] | None:
    cornea, lens = eye.cornea, ready.view.position
    inside = spread_points(INSIDE) + np.float32(0.5 / INSIDE)
    direction, distance, lux = _arriving(cornea, emitter, inside)
    luminance, _ = emitter.shining(_column(cornea.centre, INSIDE), direction)
    lit = np.flatnonzero((luminance > 0.0) & (lux > 0.0))
    if len(lit) == 0:
        return None
    direction, distance, luminance = direction[:, lit], distance[lit], luminance[lit]
    normals = _normals(cornea, lens, direction, distance)
    middle = normals.mean(axis=0)
    middle /= np.linalg.norm(middle)
    if not cornea.shows(middle[np.newaxis], lens)[0]:
        return None
    place = cornea.centre + RADIUS * middle
    outline = _outline(cornea, emitter, lens)
    right, up = ready.view.right, ready.view.up
    across = (RADIUS * outline @ right, RADIUS * outline @ up)
    size = [float(np.ptp(extent)) for extent in across]
    free = _free(ready, emitter, place + CLEAR * middle, direction, distance, luminance)
    to_lens = (lens - place) / np.linalg.norm(lens - place)
    bright = float(luminance.mean()) * reflected(float(middle @ to_lens))
    clock = cornea.clock(middle, right=right, up=up)
    return [*clock, *size, bright, *free, *_before(ready, eye, place)]


def _arriving(cornea: Cornea, emitter: Emitter, u: Array) -> tuple[Array, Array, Array]:
    count = u.shape[1]
    return emitter.arrive(_column(cornea.centre, count), _column(cornea.axis, count), u)


def _column(vector: Floats, count: int) -> Array:
    return np.repeat(vector.astype(np.float32)[:, np.newaxis], count, axis=1)


def _normals(cornea: Cornea, lens: Floats, direction: Array, distance: Array) -> Floats:
    """Where (n, 3) the cornea shows the places of a source that lie along directions (3, n), distance (n,) m or inf."""
    ways = direction.T.astype(np.float64)
    if not np.isfinite(distance).all():
        return cornea.normals(ways, lens, distant=True)
    return cornea.normals(cornea.centre + distance[:, np.newaxis] * ways, lens)


def _outline(cornea: Cornea, emitter: Emitter, lens: Floats) -> Floats:
    """Where (n, 3) the cornea shows the rim of a source: of every kind the rim of the unit square of its samples, with its
    middle, for a round one."""
    line = (np.arange(ROUND) + 0.5) / ROUND
    low, high = np.full(ROUND, 1e-6), np.full(ROUND, 1.0 - 1e-6)
    u = np.concatenate(
        [np.stack(pair) for pair in ((line, low), (line, high), (low, line), (high, line))], axis=1
    )
    direction, distance, lux = _arriving(cornea, emitter, u.astype(np.float32))
    lit = np.flatnonzero(lux > 0.0)
    return _normals(cornea, lens, direction[:, lit], distance[lit])


def _free(
    ready: Ready, emitter: Emitter, place: Floats, direction: Array, distance: Array, luminance: Array
) -> tuple[float, float]:
    """Share of the source's light that reaches a place, 0 to 1, and the part that is in the way of most of the rest."""
    count = direction.shape[1]
    start = _column(place, count)
    reach = np.where(np.isfinite(distance), distance, np.float32(np.inf))
    hit = ready.stage.solid.rays.hit(start.T, direction.T)
    blocked = (hit.face >= 0) & (hit.distance < reach - np.float32(1e-3))
    passing = emitter.passing(start, direction, reach)
    let = np.where(blocked, np.float32(0.0), np.float32(1.0) if passing is None else passing)
    share = float((let * luminance).sum() / luminance.sum())
    if not blocked.any():
        return share, NOTHING
    parts = ready.world.part_of_face[hit.face[blocked]]
    return share, float(np.bincount(parts).argmax())


def _before(ready: Ready, eye: EyeOf, place: Floats) -> tuple[float, float]:
    """The part that stands between the lens and a place on a cornea, NOTHING for none; 1 where that is the eye's lid."""
    lens = ready.view.position
    away = place - lens
    reach = float(np.linalg.norm(away))
    hit = ready.stage.solid.rays.hit(_column(lens, 1).T, _column(away / reach, 1).T)
    before = reach - float(hit.distance[0])
    if hit.face[0] < 0 or before < 0.0:
        return NOTHING, 0.0
    part = int(ready.world.part_of_face[hit.face[0]])
    figure, _, name = ready.world.names[part].rpartition(".")
    if figure == eye.figure and name in ("eyes", "irises", "pupils"):
        return NOTHING, 0.0
    return float(part), float(figure == eye.figure and before < LID)


def _told(ready: Ready, light: Light, eye: EyeOf, row: Floats) -> Catchlight:
    """An image at the light's level."""
    clock, off_centre, width, height, bright, seen, hider, before, lid = row.tolist()
    luminance = light.gain * bright
    scene_linear = luminance * exposure_scale(ready.scene.camera)
    hidden = None
    if before != NOTHING:
        hidden = "under the lid" if lid else _behind(ready, eye, before)
    elif seen < HIDDEN:
        hidden = _behind(ready, eye, hider)
    return Catchlight(
        light.name,
        clock,
        off_centre,
        1e3 * width,
        1e3 * height,
        max(width, height) / (2.0 * IRIS_RADIUS),
        _pixels(ready, eye.cornea, width),
        _pixels(ready, eye.cornea, height),
        luminance,
        log2(scene_linear / GREY) if scene_linear > 0.0 else None,
        seen,
        hidden,
    )


def _behind(ready: Ready, eye: EyeOf, part: float) -> str:
    """`behind the figure's own head`, `behind hedge`; behind cloth where no part is in the way."""
    if part == NOTHING:
        return "behind cloth"
    owner = ready.world.names[int(part)].rpartition(".")[0]
    return "behind the figure's own head" if owner == eye.figure else f"behind {owner}"
