"""Setup seen: one setup traced for a sheet and read at its faces: what continuity is judged by."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import degrees
from typing import Final

import numpy as np
from numpy.typing import NDArray

from preview.camera.coverage import Angles, Coverage, Subject, cover
from preview.camera.exposure import grey_illuminance_of
from preview.camera.format import delivered
from preview.camera.framing import focus_distance, frame_size
from preview.camera.lens import angles_of_view
from preview.commands.coverage import rig_units
from preview.commands.lenses.names import called
from preview.commands.metering.face_light import FaceLight, about, face_light, read_about
from preview.commands.prepare import Ready
from preview.commands.setups.moon_side import Source, camera_round_deg, eyes_of, moon_sources
from preview.commands.setups.reach import Reach, reaches
from preview.commands.setups.screen_direction import TURNED_AWAY, Watched
from preview.commands.shot import Shot, shot, stops_of
from preview.light.colour_reading import ColourReading, read_colour
from preview.script.models.cast import Figure
from preview.script.scene import Scene
from preview.trace.store import AnyStore

Floats = NDArray[np.float64]

TURNED: Final = "turned away"
BLACK: Final = -20.0
"""Stops from grey below which there is no light to speak of, nor a colour of it."""


@dataclass(frozen=True)
class Behind:
    """What is behind a face, all over the frame and before the lens: the median in stops from grey, None for black; its
    colour."""

    stops: float | None
    colour: ColourReading | None


@dataclass(frozen=True)
class Lit:
    """The light on one figure in one setup.

    `unseen`: why its face is not to be judged, empty where it is; `in_frame`: whether its head is seen at all. `moons`:
    every light that plays the moon, the one that gives most about its head first; `reach` of each. `camera_deg`: azimuth
    to the lens.
    """

    face: FaceLight
    subject: Subject
    unseen: str
    in_frame: bool
    behind: Behind
    moons: tuple[Source, ...]
    reach: Mapping[str, Reach]
    camera_deg: float

    @property
    def reaching(self) -> tuple[Source, ...]:
        """The moons that reach it."""
        return tuple(source for source in self.moons if self.reach[source.fixture].reaches)


@dataclass(frozen=True)
class SetupSeen:
    """One setup. `lit` by figure, in the order of the cast; `wide_m`, `high_m` are what the frame takes in at its focus."""

    name: str
    ready: Ready
    shot: Shot
    coverage: Coverage
    lit: Mapping[str, Lit]
    grey_lux: float
    angles: Angles
    focus_m: float
    wide_m: float

    @property
    def watched(self) -> Watched:
        """As screen direction sees it."""
        seen = frozenset(name for name, one in self.lit.items() if one.in_frame)
        return Watched(self.name, self.ready.scene, self.ready.view, seen)


def width_m(ready: Ready) -> float:
    """Metres that the frame takes in across, where it is focused: what makes a setup wide or tight."""
    return frame_size(ready.view, distance=max(0.01, focus_distance(ready.scene)))[0]


def see(
    ready: Ready,
    *,
    store: AnyStore,
    width: int,
    seed: int,
    progress: Callable[[float], None] = lambda share: None,
) -> SetupSeen:
    """A setup traced and read; what `store` has of it is not traced again."""
    scene = ready.scene
    one = shot(ready, store=store, width=width, seed=seed, progress=progress)
    coverage = covered(ready)
    return SetupSeen(
        scene.setup,
        ready,
        one,
        coverage,
        lit_in(ready, one, coverage.figures, store=store, seed=seed),
        grey_illuminance_of(scene.camera),
        _angles(scene),
        focus_distance(scene),
        width_m(ready),
    )


def covered(ready: Ready) -> Coverage:
    """Who and what of the rig is in frame, things of the rig in one another's way."""
    return cover(ready.scene, ready.view, ready.world, ready.stage.solid.rays, rig_units(ready))


def lit_in(
    ready: Ready, one: Shot | None, subjects: Sequence[Subject], *, store: AnyStore, seed: int
) -> dict[str, Lit]:
    """The light on every figure, in frame as `subjects` say; without a shot, nothing of what is behind them."""
    scene = ready.scene
    if not scene.cast:
        return {}
    held = [about(ready, figure, store=store) for figure in scene.cast]
    lux = read_about(ready, held, store=store, seed=seed)
    names = [light.name for light in ready.lights]
    sources = {figure.name: moon_sources(ready, figure) for figure in scene.cast}
    reach = reaches(ready, held, lux, sources)
    answer = {}
    for number, (each, subject) in enumerate(zip(held, subjects, strict=True)):
        figure = each.figure
        row = number * len(each.receptors)
        theirs = reach[figure.name]
        moons = sorted(sources[figure.name], key=lambda source, of=theirs: -of[source.fixture].lux)  # type: ignore[misc]
        head = _head_in_frame(subject)
        answer[figure.name] = Lit(
            face_light(each, lux, row, names, ready),
            subject,
            head or _turned(ready, figure),
            not head,
            Behind(None, None) if one is None or head else _behind(one, figure),
            tuple(moons),
            theirs,
            camera_round_deg(ready, figure),
        )
    return answer


def _head_in_frame(subject: Subject) -> str:
    """Why a head is not seen; empty where it is."""
    if subject.at is None:
        return "behind the lens"
    if not all(0.0 <= share <= 1.0 for share in subject.at):
        return "out of frame"
    return f"behind {called([subject.hidden_by])}" if subject.hidden_by else ""


def _turned(ready: Ready, figure: Figure) -> str:
    """`turned away`, or nothing."""
    facing = ready.scene.anchors[f"{figure.name}.face"].facing
    assert facing is not None
    to_lens = ready.view.position - eyes_of(ready.scene, figure)
    cosine = float(np.array(facing) @ to_lens) / max(float(np.linalg.norm(to_lens)), 1e-9)
    off = degrees(float(np.arccos(np.clip(cosine, -1.0, 1.0))))
    return TURNED if off > TURNED_AWAY else ""


def _behind(one: Shot, figure: Figure) -> Behind:
    """Of all the frame that is farther off than the face, and is nobody and no part of the rig."""
    ready, plate = one.ready, one.plate
    cast = {each.name for each in ready.scene.cast}
    people = [number for number, name in enumerate(ready.world.names) if name.rpartition(".")[0] in cast]
    distance = float(np.linalg.norm(eyes_of(ready.scene, figure) - ready.view.position))
    farther = ~np.isin(plate.part, people) & (plate.part >= -1) & (plate.depth > distance)
    if not farther.any():
        return Behind(None, None)
    # As the scene sends it: glare in the lens is not light on what is behind.
    stops = float(np.median(stops_of(one.light, ready.scene.camera)[farther]))
    if stops < BLACK:
        return Behind(None, None)
    colour = np.median(one.light[farther], axis=0)
    try:
        return Behind(stops, read_colour(colour))
    except ValueError:
        return Behind(stops, None)


def _angles(scene: Scene) -> Angles:
    area = delivered(scene.camera)
    lens = scene.camera.lens
    found = angles_of_view(
        width_mm=area.width_mm, height_mm=area.height_mm, focal_mm=lens.focal, squeeze=lens.squeeze
    )
    return Angles(degrees(found.horizontal), degrees(found.vertical), degrees(found.diagonal))
