"""Lens moves: where a camera with another lens stands so that a figure keeps its size and its place in frame."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot, sqrt
from typing import Final

import numpy as np
from numpy.typing import NDArray

from preview.build.world import World
from preview.camera.framing import frame_tangents, view_of
from preview.camera.sight import Caster, blockers
from preview.camera.view import View, look
from preview.faults import UserError
from preview.script.fields import Place
from preview.script.models.camera import Camera
from preview.script.models.cast import Figure
from preview.script.models.pieces.ground import Ground
from preview.script.scene import Scene
from preview.script.solids import ground_above, inside_of
from preview.script.words import unknown

Floats = NDArray[np.float64]

NEAREST, FARTHEST = 0.05, 3000.0
"""Metres on the plan between camera and figure."""
HALVINGS: Final = 60
TURNS: Final = 40
ROOM: Final = 0.3
"""Metres about the lens that a camera takes. Common practice, no source."""
TOUCHES: Final = 0.1
"""Metres: what is nearer is in the lens's way."""
CROWDED: Final = 0.1
"""Share of the directions in which something lies within ROOM from which on there is no room."""
WAYS: Final = 400


@dataclass(frozen=True)
class Stand:
    """A camera in its new place: `nearer_m` on the plan than the script's, negative for farther off; `refused`: why no
    camera can stand there, in a sentence."""

    camera: Camera
    nearer_m: float
    refused: str | None = None


def figure_to_hold(scene: Scene, name: str) -> Figure:
    """The figure of that name. UserError where there is none, or the script's camera does not see it."""
    figure = next((one for one in scene.cast if one.name == name), None)
    if figure is None:
        raise UserError(f"--hold: {unknown('figure', name, [one.name for one in scene.cast])}")
    eyes = _eyes(scene, figure)
    view = view_of(scene)
    if _depth(view, eyes) <= 0.0:
        raise UserError(
            f"--hold: {name} is behind the camera of {scene.setup}; hold a figure that the camera sees"
        )
    feet = np.array([eyes[0], eyes[1], figure.height_of_ground])
    body = feet + np.linspace(0.0, 1.0, 50)[:, np.newaxis] * (eyes - feet)
    places, away = view.project(body)
    seen = (away > 0.0) & (places >= 0.0).all(axis=1) & (places <= 1.0).all(axis=1)
    if not seen.any():
        raise UserError(
            f"--hold: {name} is out of the frame of {scene.setup}; hold a figure that the camera sees"
        )
    if hypot(*(view.position - eyes)[:2]) < NEAREST:
        raise UserError(
            f"--hold: the camera stands straight over {name}: there is no line on which it could move"
        )
    return figure


def standing(scene: Scene, figure: Figure, lens: Camera) -> Stand:
    """The script's camera with the format and lens of `lens`, on its line to the figure on the plan, as high above what it
    stands on; turned so that the figure's eyes keep their place in frame, and as far off that it keeps its height there.
    """
    view, eyes = view_of(scene), _eyes(scene, figure)
    (uv,), (depth,) = view.project(eyes[np.newaxis])
    across, upright = frame_tangents(lens)
    wanted = float(depth) * view.tan_half_height / upright
    above = float(view.position[2]) - scene.terrain.footing(float(view.position[0]), float(view.position[1]))
    line = (view.position - eyes)[:2]
    length = float(np.linalg.norm(line))
    line = line / length

    def at(metres: float) -> View:
        x, y = eyes[:2] + metres * line
        place = np.array([x, y, scene.terrain.footing(float(x), float(y)) + above])
        return _turned(place, eyes, uv, roll=scene.camera.roll, across=across, upright=upright)

    low, high = NEAREST, FARTHEST
    refused = None
    if _depth(at(low), eyes) > wanted:
        refused = f"The camera cannot come so near to {figure.name}: {wanted:.2f} m."
    elif _depth(at(high), eyes) < wanted:
        refused = f"The camera would stand more than {FARTHEST:g} m off."
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if _depth(at(middle), eyes) < wanted else (low, middle)
    found = view if refused else at(0.5 * (low + high))
    camera = lens.model_copy(
        update={
            "at": _place(found.position),
            "aim": _place(found.position + wanted * found.forward),
            "focus": _focus(scene, wanted - float(depth)),
        }
    )
    nearer = length - 0.5 * (low + high)
    return Stand(camera, nearer, refused or _obstacle(scene, found.position))


def crowded(place: Floats, world: World, rays: Caster) -> str | None:
    """What of a built set leaves no room for a camera at a place (3,), in a sentence."""
    # Directions spread evenly over the sphere by the golden angle.
    step = np.arange(WAYS) + 0.5
    z = 1.0 - 2.0 * step / WAYS
    turn = np.pi * (1.0 + sqrt(5.0)) * step
    flat = np.sqrt(1.0 - z * z)
    ways = np.stack([flat * np.cos(turn), flat * np.sin(turn), z], axis=1).astype(np.float32)
    hit = rays.hit(np.broadcast_to(place.astype(np.float32), ways.shape).copy(), ways)
    near = hit.distance < ROOM
    if not near.any():
        return None
    nearest = int(np.argmin(hit.distance))
    if near.mean() < CROWDED and hit.distance[nearest] > TOUCHES:
        return None
    name = world.names[world.part_of_face[hit.face[nearest]]].partition(".")[0]
    return f"There is no room for the camera: {name} is {100.0 * hit.distance[nearest]:.0f} cm from its lens."


def hidden(scene: Scene, figure: Figure, world: World, rays: Caster) -> str | None:
    """What of a built set hides all of a figure from the scene's camera, in a sentence."""
    eyes = _eyes(scene, figure)
    body = eyes - np.linspace(0.0, 0.9 * (eyes[2] - figure.height_of_ground), 24)[:, np.newaxis] * [
        0.0,
        0.0,
        1.0,
    ]
    found = blockers(
        view_of(scene).position, body, world, rays, own=lambda name: name.partition(".")[0] == figure.name
    )
    if (found < 0).any():
        return None
    parts, counts = np.unique(found, return_counts=True)
    name = world.names[parts[np.argmax(counts)]].partition(".")[0]
    return f"From there {figure.name} is hidden by {name}."


def _obstacle(scene: Scene, place: Floats) -> str | None:
    inside = inside_of(place, scene.set, scene.cast, scene.terrain)
    if inside is not None:
        return f"The camera would stand inside {inside}."
    below = ground_above(place, scene.terrain)
    if below is not None:
        return f"The camera would be below {below[0]}."
    underfoot = scene.terrain.underfoot(float(place[0]), float(place[1]))
    piece = dict(scene.set).get(underfoot[0]) if underfoot is not None else None
    if underfoot is not None and isinstance(piece, Ground) and piece.material == "water":
        return f"The camera would stand in the water of {underfoot[0]}."
    return None


def _eyes(scene: Scene, figure: Figure) -> Floats:
    return np.array(scene.anchors[f"{figure.name}.eyes"].position)


def _depth(view: View, point: Floats) -> float:
    return float((point - view.position) @ view.forward)


def _turned(place: Floats, point: Floats, uv: Floats, *, roll: float, across: float, upright: float) -> View:
    """A view from a place that shows a point (3,) at frame coordinates `uv`."""
    x, y = (2.0 * uv[0] - 1.0) * across, (1.0 - 2.0 * uv[1]) * upright
    towards = (point - place) / np.linalg.norm(point - place)
    aim = towards
    for _ in range(TURNS):
        view = look(place, place + aim, roll=roll, tan_half_width=across, tan_half_height=upright)
        turned = towards * sqrt(1.0 + x * x + y * y) - x * view.right - y * view.up
        turned /= np.linalg.norm(turned)
        done = float(np.abs(turned - aim).max()) < 1e-12
        aim = turned
        if done:
            break
    return look(place, place + aim, roll=roll, tan_half_width=across, tan_half_height=upright)


def _focus(scene: Scene, farther: float) -> float | Place:
    """What stays in focus: the place that was; a distance goes with the figure."""
    focus = scene.camera.focus
    if isinstance(focus, float):
        return max(0.01, focus + farther)
    return focus if focus is not None else scene.camera.aim


def _place(point: Floats) -> Place:
    x, y, z = point.tolist()
    # Not through the reader, which takes what is all but 0 for a slip of the pen.
    return Place.model_construct(of=None, offset=(x, y, z), above=None)
