"""Coverage: what the lens sees on the format, figure by figure, with all that must not be in it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from math import degrees, hypot, isinf
from typing import Any

import numpy as np
from numpy.typing import NDArray

from preview.build.world import World, gather
from preview.camera.format import circle_of_confusion_mm, delivered, exposed
from preview.camera.framing import focus_distance, frame_size
from preview.camera.in_shot import RigUnit, Sighting, sight_edge, sight_unit, where
from preview.camera.lens import angles_of_view, depth_of_field
from preview.camera.set_edges import set_edges
from preview.camera.shot_size import shot_size
from preview.camera.sight import Caster, Joined, blockers
from preview.camera.view import View
from preview.faults import UserError
from preview.script.models.camera import Camera, Sensor
from preview.script.models.cast import Figure
from preview.script.people import CROWN_ABOVE_EYES
from preview.script.scene import Scene

Floats = NDArray[np.float64]

HALF_SHOULDERS = 0.129
"""Share of a figure's height. Source: Drillis and Contini 1966, shoulder width 0.259 of stature (from memory)."""


@dataclass(frozen=True)
class Angles:
    """Full angles of view, degrees, focused far away, unsqueezed."""

    horizontal_deg: float
    vertical_deg: float
    diagonal_deg: float


@dataclass(frozen=True)
class FrameLines:
    """The format, with the delivered frame in its middle; millimetres on the sensor, still squeezed.

    `box`: left, top, right, bottom of the delivered frame as shares of the format. `share`: of its area.
    """

    format: str
    format_width_mm: float
    format_height_mm: float
    squeeze: float
    aspect: float
    """Of the delivered frame, unsqueezed."""
    width_mm: float
    height_mm: float
    box: tuple[float, float, float, float]
    share: float


@dataclass(frozen=True)
class ImageCircle:
    """Diameters in mm; margins are positive where the lens covers, negative by what it falls short."""

    stated_mm: float
    format_diagonal_mm: float
    frame_diagonal_mm: float
    format_margin_mm: float
    frame_margin_mm: float
    words: str


@dataclass(frozen=True)
class Focus:
    """Metres from the lens along its axis; `far_m` None is infinity."""

    focal_mm: float
    stop: float
    circle_of_confusion_mm: float
    distance_m: float
    near_m: float
    far_m: float | None
    hyperfocal_m: float


@dataclass(frozen=True)
class Subject:
    """A figure or a mark and the frame. `distance_m` along the axis, negative behind the lens.

    `at`: of a figure's eyes, or the mark, in frame coordinates; None behind the lens. `fills`: a figure's height
    as a share of the frame's there. `hidden_by`: what stands before the eyes or the mark, where it is in frame.
    `shot_size`: None of a figure whose eyes are past the frame's sides or foot.
    """

    name: str
    distance_m: float
    frame_width_m: float | None
    frame_height_m: float | None
    in_frame: bool
    where: str
    at: tuple[float, float] | None
    sharp: bool
    hidden_by: str | None = None
    shot_size: str | None = None
    fills: float | None = None


@dataclass(frozen=True)
class Coverage:
    """The whole answer. `items` are heads, stands, frames, cloths and practicals; `edges` those of the built set.

    Both are numbered in one series, in each those in shot first.
    """

    title: str
    setup: str
    format_angles: Angles
    frame_angles: Angles
    frame_lines: FrameLines
    image_circle: ImageCircle | None
    focus: Focus
    figures: tuple[Subject, ...]
    marks: tuple[Subject, ...]
    items: tuple[Sighting, ...]
    edges: tuple[Sighting, ...]


def cover(scene: Scene, view: View, world: World, rays: Caster, units: Sequence[RigUnit]) -> Coverage:
    """What the lens sees. `world`, `rays`: the solids of the set; `units`: what should stay out of it.

    Things are hidden by the set, by the figures and by one another: a head by its own cloth too.
    """
    camera = scene.camera
    world, rays = _with_rig(world, rays, units)
    focus = focus_of(camera, focus_distance(scene))
    seen = [sight_unit(unit, units, view, world, rays) for unit in units]
    seen += [sight_edge(edge, view, world, rays) for edge in set_edges(scene.set, scene.terrain)]
    order = {"in shot": 0, "hidden": 1, "clear": 2}
    numbered = [
        replace(sighting, number=number)
        for number, sighting in enumerate(
            sorted(seen, key=lambda s: (s.kind == "edge", order[s.status], s.clear_deg or 0.0)), 1
        )
    ]
    area, whole = delivered(camera), exposed(camera)
    return Coverage(
        scene.title,
        scene.setup,
        _angles(camera, whole.width_mm, whole.height_mm),
        _angles(camera, area.width_mm, area.height_mm),
        frame_lines(camera),
        image_circle(camera),
        focus,
        tuple(_figure(scene, figure, view, world, rays, focus) for figure in scene.cast),
        tuple(
            _subject(mark.name, _mark_place(scene, mark.name, i), view, world, rays, focus)
            for i, mark in enumerate(scene.marks)
        ),
        tuple(s for s in numbered if s.kind != "edge"),
        tuple(s for s in numbered if s.kind == "edge"),
    )


def _with_rig(world: World, rays: Caster, units: Sequence[RigUnit]) -> tuple[World, Caster]:
    """The set's solids and the rig's as one."""
    from preview.trace.rays import Rays

    rig = gather([unit.part for unit in units])
    whole = World(
        np.concatenate([world.vertices, rig.vertices]),
        np.concatenate([world.normals, rig.normals]),
        np.concatenate([world.faces, rig.faces + np.int32(len(world.vertices))]),
        np.concatenate([world.part_of_face, rig.part_of_face + np.int32(len(world.names))]),
        world.names + rig.names,
        world.materials + rig.materials,
        world.wets + rig.wets,
    )
    return whole, Joined(rays, Rays(rig.vertices, rig.faces), len(world.faces))


def to_json(coverage: Coverage) -> dict[str, Any]:
    """The same as plain values for json.dumps; metres, millimetres and degrees as the names say."""
    return asdict(coverage)


def _angles(camera: Camera, width_mm: float, height_mm: float) -> Angles:
    angles = angles_of_view(
        width_mm=width_mm, height_mm=height_mm, focal_mm=camera.lens.focal, squeeze=camera.lens.squeeze
    )
    return Angles(degrees(angles.horizontal), degrees(angles.vertical), degrees(angles.diagonal))


def frame_lines(camera: Camera) -> FrameLines:
    """Where the delivered frame lies on the format."""
    area, whole = delivered(camera), exposed(camera)
    across, upright = area.width_mm / whole.width_mm, area.height_mm / whole.height_mm
    name = "own size" if isinstance(camera.format, Sensor) else camera.format
    return FrameLines(
        name,
        whole.width_mm,
        whole.height_mm,
        camera.lens.squeeze,
        area.width_mm * camera.lens.squeeze / area.height_mm,
        area.width_mm,
        area.height_mm,
        (0.5 - across / 2, 0.5 - upright / 2, 0.5 + across / 2, 0.5 + upright / 2),
        across * upright,
    )


def image_circle(camera: Camera) -> ImageCircle | None:
    """The lens's circle against the diagonals it must cover; None where the lens does not state it."""
    stated = camera.lens.image_circle
    if stated is None:
        return None
    whole, frame = exposed(camera).diagonal_mm, delivered(camera).diagonal_mm
    if stated >= whole:
        words = f"covers the format with {stated - whole:.1f} mm to spare"
    elif stated >= frame:
        words = (
            f"falls {whole - stated:.1f} mm short of the format, covers the frame by {stated - frame:.1f} mm"
        )
    else:
        words = f"falls short of the frame by {frame - stated:.1f} mm: dark corners"
    return ImageCircle(stated, whole, frame, stated - whole, stated - frame, words)


def focus_of(camera: Camera, distance_m: float) -> Focus:
    """What is sharp with the camera focused at a distance; UserError when it cannot be."""
    if distance_m * 1000.0 <= camera.lens.focal:
        raise UserError(
            f"camera.focus: {distance_m:.2f} m before the lens cannot be focused on; give a place in front of it"
        )
    lens, circle = camera.lens, circle_of_confusion_mm(camera)
    depth = depth_of_field(focal_mm=lens.focal, stop=lens.stop, confusion_mm=circle, focus=distance_m)
    far = None if isinf(depth.far) else depth.far
    return Focus(lens.focal, lens.stop, circle, distance_m, depth.near, far, depth.hyperfocal)


def _mark_place(scene: Scene, name: str, index: int) -> Floats:
    at = scene.marks[index].at
    return np.array(scene.anchors[name].position) if at is None else scene.point(at)


def _subject(name: str, place: Floats, view: View, world: World, rays: Caster, focus: Focus) -> Subject:
    uv, depth = view.project(place[None])
    distance = float(depth[0])
    if distance <= 0:
        return Subject(name, distance, None, None, False, "behind the lens", None, False)
    u, v = float(uv[0, 0]), float(uv[0, 1])
    width, height = frame_size(view, distance=distance)
    inside = 0.0 <= u <= 1.0 and 0.0 <= v <= 1.0
    hidden_by = None
    if inside:
        owner = name.partition(".")[0]
        part = blockers(view.position, place[None], world, rays, own=lambda n: n.partition(".")[0] == owner)[
            0
        ]
        hidden_by = world.names[part] if part >= 0 else None
    sharp = focus.near_m <= distance and (focus.far_m is None or distance <= focus.far_m)
    return Subject(
        name,
        distance,
        width,
        height,
        inside,
        where((u, v, u, v)) if inside else _beside(u, v),
        (u, v),
        sharp,
        hidden_by,
    )


def _beside(u: float, v: float) -> str:
    out = {"left": -u, "right": u - 1.0, "top": -v, "bottom": v - 1.0}
    return f"out of frame past the {max(out, key=lambda side: out[side])} edge"


def _figure(scene: Scene, figure: Figure, view: View, world: World, rays: Caster, focus: Focus) -> Subject:
    eyes = np.array(scene.anchors[f"{figure.name}.eyes"].position)
    subject = _subject(figure.name, eyes, view, world, rays, focus)
    if subject.frame_height_m is None:
        return subject
    crown = eyes + np.array([0.0, 0.0, CROWN_ABOVE_EYES * figure.height])
    feet = np.array([eyes[0], eyes[1], figure.height_of_ground])
    share = np.linspace(0.0, 1.0, 401)
    body = crown + share[:, None] * (feet - crown)
    uv, depth = view.project(body)
    # The frame takes the figure in when any of its width does.
    margin = HALF_SHOULDERS * figure.height / (2.0 * view.tan_half_width * np.maximum(depth, 1e-6))
    inside = (depth > 0) & (uv[:, 0] >= -margin) & (uv[:, 0] <= 1 + margin)
    inside &= (uv[:, 1] >= 0.0) & (uv[:, 1] <= 1.0)
    fills = figure.height / subject.frame_height_m
    if not inside.any():
        return replace(subject, in_frame=False, shot_size=None, fills=fills)
    partly = f"partly in frame; eyes {subject.where}"
    if subject.at is not None and not (0.0 <= subject.at[0] <= 1.0 and subject.at[1] <= 1.0):
        # A size is of somebody whose head the frame takes in, or cuts at the top.
        return replace(subject, in_frame=True, where=partly, shot_size=None, fills=fills)
    seen = np.flatnonzero(inside)
    top, bottom = share[seen[0]], share[seen[-1]]
    seated = hypot(*(crown - feet)) / figure.height
    size = shot_size(
        taken_in=float(bottom - (top if top > CROWN_ABOVE_EYES else 0.0)) * seated,
        fills=fills,
        whole=bool(top < 0.02 and bottom > 0.99),
    )
    if top * seated > 2 * CROWN_ABOVE_EYES:
        size += ", head out of frame"
    return replace(
        subject,
        in_frame=True,
        where=subject.where if subject.in_frame else partly,
        shot_size=size,
        fills=fills,
    )
