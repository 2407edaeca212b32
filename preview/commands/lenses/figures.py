"""Lens figures: what one lens shows: who is how large, what is sharp, what comes into shot, what is dark."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import isfinite
from typing import Final

import numpy as np
from numpy.typing import NDArray

from preview.camera.coverage import Coverage, cover
from preview.camera.equivalence import unsqueezed_width_mm
from preview.camera.format import circle_of_confusion_mm
from preview.camera.framing import focus_distance
from preview.camera.in_shot import Sighting
from preview.camera.lens import blur_disc_mm
from preview.camera.view import View
from preview.commands.coverage import rig_units
from preview.commands.lenses.edges import SetEdges, edges_in, eyes_in_frame
from preview.commands.lenses.trials import Trial
from preview.commands.shot import Shot
from preview.commands.source_clip import moon_luminance, over_by_source, over_of_luminance
from preview.light.light import Light
from preview.light.sky import towards
from preview.script.models.pieces.ground import Footpath, Ground, Street
from preview.script.models.pieces.growth import Grass, Reeds
from preview.script.models.pieces.piece import Piece

Array = NDArray[np.float32]
Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

GROUND: Final[tuple[type[Piece], ...]] = (Ground, Street, Footpath, Grass)
"""What is ground to whoever lights it."""
NOT_BEHIND: Final[tuple[type[Piece], ...]] = (*GROUND, Reeds)
"""What runs from the lens to the horizon has no distance of its own."""
BEHIND: Final = 0.5
"""Metres behind what is in focus from which something is background."""
WORTH: Final = 0.004
"""Share of the frame from which something counts as its background."""
FAR: Final = 1e5
"""Metres to a moon, for where it stands in frame."""


@dataclass(frozen=True)
class Background:
    """What stands behind the figures: a piece and one place of it (3,) m, the same for every lens; None is the sky."""

    name: str | None
    place: Floats | None


@dataclass(frozen=True)
class Blur:
    """The disc that a point of light at the background is: `distance_m` along the axis, None for infinity; `disc_mm` its
    height on the sensor; `share`: of its width in the frame's."""

    at: str
    distance_m: float | None
    disc_mm: float
    share: float
    sharp: bool


@dataclass(frozen=True)
class Practical:
    """A practical that shows: `pixels` of the picture; `clips`: the share of it that is past what the sensor holds, by its
    own luminance where that is even."""

    name: str
    pixels: int
    clips: float
    lit: bool = True


@dataclass(frozen=True)
class Measured:
    """A trial with its picture (h, w, 3) and all that is said of it. Shares, 0 to 1: `under` the noise floor and `ground`,
    of the frame; `ground_under`: of that ground what is under the floor, None where none is seen. `magnifies`: the
    background's size on the sensor over its own, None where there is none."""

    trial: Trial
    coverage: Coverage
    view: View
    picture: NDArray[np.uint8]
    under: float
    ground: float
    ground_under: float | None
    blur: Blur
    magnifies: float | None
    practicals: tuple[Practical, ...]
    edges: SetEdges

    @property
    def rig_in_shot(self) -> tuple[Sighting, ...]:
        """What of the rig is seen."""
        return tuple(
            one for one in self.coverage.items if one.kind != "practical" and one.status == "in shot"
        )

    @property
    def in_shot(self) -> tuple[Sighting, ...]:
        """What of the rig is seen, and the edges of the set that the picture shows."""
        return (*self.rig_in_shot, *self.edges.seen)

    @property
    def flares(self) -> tuple[Sighting, ...]:
        """Heads that shine straight into the lens."""
        return tuple(one for one in self.coverage.items if one.kind != "practical" and one.shines is not None)


def measured(trial: Trial, shot: Shot, background: Background) -> Measured:
    """All that is said of a trial that was traced."""
    ready, camera = shot.ready, trial.camera
    coverage = cover(trial.scene, ready.view, ready.world, ready.stage.solid.rays, rig_units(ready))
    floor = shot.stops < -camera.latitude.under
    ground = of_pieces(shot, lambda name, piece: isinstance(piece, GROUND))
    blur, magnifies = _behind(trial, ready.view, background)
    return Measured(
        trial,
        coverage,
        ready.view,
        shot.picture,
        float(floor.mean()),
        float(ground.mean()),
        float(floor[ground].mean()) if ground.any() else None,
        blur,
        magnifies,
        practicals_in(shot, coverage),
        edges_in(trial.scene, ready.view, coverage, shot.stops),
    )


def background_of(shots: Sequence[Shot]) -> Background:
    """What fills most of the first picture that has anything behind its focus: the piece, and the place of it that lies at
    the median of its depth."""
    for shot in shots:
        found = _background(shot)
        if found is not None:
            return found
    return Background(None, None)


def of_pieces(shot: Shot, chosen: Callable[[str, Piece], bool]) -> Mask:
    """The pixels (h, w) in which the pieces that are chosen by name and model are seen."""
    pieces = {name for name, piece in shot.ready.scene.set if chosen(name, piece)}
    parts = [i for i, name in enumerate(shot.ready.world.names) if name.partition(".")[0] in pieces]
    return np.isin(shot.plate.part, parts)


def practicals_in(shot: Shot, coverage: Coverage) -> tuple[Practical, ...]:
    """The practicals and moons that show, in script order."""
    scene, plate = shot.ready.scene, shot.plate
    owners = [None if owner is None else owner[0] for owner in shot.ready.stage.glow_of_part]
    seen = {
        one.name.rpartition(".")[0]
        for one in coverage.items
        if one.kind == "practical" and one.status == "in shot"
    }
    found = []
    for fixture, light in zip(scene.fixtures, shot.ready.lights, strict=True):
        if fixture.practical is not None:
            parts = [-2 - k for k, owner in enumerate(owners) if owner == fixture.name]
            here = np.isin(plate.part, parts)
            if here.any() or fixture.name in seen:
                found.append(_practical(fixture.name, here, shot, lit=light.gain > 0.0))
        elif fixture.moon is not None and fixture.moon.is_visible and fixture.moon.lux > 0.0:
            disc = _moon_pixel(shot, azimuth=fixture.moon.azimuth, elevation=fixture.moon.elevation)
            if disc is not None:
                found.append(_moon(fixture.name, shot, light))
    return tuple(found)


def _practical(name: str, here: Mask, shot: Shot, *, lit: bool) -> Practical:
    over = over_by_source(shot.ready, name, pixels=int(here.sum()))
    if over is not None:
        return Practical(name, int(here.sum()), float(over > 0.0), lit)
    clips = float((shot.stops[here] > shot.ready.scene.camera.latitude.over).mean())
    return Practical(name, int(here.sum()), clips, lit)


def _moon(name: str, shot: Shot, light: Light) -> Practical:
    """A moon's disc, by its own luminance: at any size that a sheet has it is a few pixels."""
    over = over_of_luminance(shot.ready, moon_luminance(shot.ready, light))
    return Practical(name, 1, float(over > 0.0), light.gain > 0.0)


def _moon_pixel(shot: Shot, *, azimuth: float, elevation: float) -> Mask | None:
    """The pixel (h, w) that the middle of a moon is in, where the sky is seen there."""
    view = shot.ready.view
    place = view.position + FAR * towards(azimuth=azimuth, elevation=elevation)
    uv, depth = view.project(place[np.newaxis])
    if depth[0] <= 0.0 or not ((uv >= 0.0) & (uv < 1.0)).all():
        return None
    height, width = shot.plate.part.shape
    row, column = int(uv[0, 1] * height), int(uv[0, 0] * width)
    if shot.plate.part[row, column] != -1:
        return None
    here = np.zeros((height, width), bool)
    here[row, column] = True
    return here


def _background(shot: Shot) -> Background | None:
    scene, plate, view = shot.ready.scene, shot.plate, shot.ready.view
    height, width = plate.depth.shape
    behind = {name for name, piece in scene.set if not isinstance(piece, NOT_BEHIND)}
    owners = np.array([name.partition(".")[0] for name in shot.ready.world.names])
    row, column = np.mgrid[:height, :width]
    rays = view.rays(
        ((column.ravel() + 0.5) / width).astype(np.float32), ((row.ravel() + 0.5) / height).astype(np.float32)
    )
    along = (view.forward.astype(np.float32) @ rays).reshape(height, width)
    depth = plate.depth * along
    far = focus_distance(scene) + BEHIND
    solid = plate.part >= 0
    owner = np.where(solid, owners[np.maximum(plate.part, 0)] if len(owners) else "", "")
    best: tuple[int, Background] | None = None
    for name in sorted(behind):
        here = solid & (owner == name) & np.isfinite(depth)
        count = int(here.sum())
        if count < WORTH * depth.size or (best is not None and count <= best[0]):
            continue
        ordered = np.flatnonzero(here.ravel())[np.argsort(depth[here], kind="stable")]
        middle = ordered[len(ordered) // 2]
        if depth.ravel()[middle] < far:
            continue
        place = view.position + plate.depth.ravel()[middle] * rays[:, middle].astype(np.float64)
        best = (count, Background(name, place))
    return None if best is None else best[1]


def _behind(trial: Trial, view: View, background: Background) -> tuple[Blur, float | None]:
    """The blur at the background, or of what is infinitely far, and how large the background is drawn."""
    camera, focus = trial.camera, focus_distance(trial.scene)
    lens = camera.lens
    distance = np.inf
    if background.place is not None:
        distance = float((background.place - view.position) @ view.forward)
    known = isfinite(distance) and distance > 0.02
    optics = {"focal_mm": lens.focal, "stop": lens.stop, "focus": focus}
    disc = blur_disc_mm(**optics, distance=distance if known else 1e9)
    # An anamorphic's discs are narrower by its squeeze on the picture, which is wider by it than the sensor.
    share = disc / lens.squeeze / unsqueezed_width_mm(camera)
    at = background.name if known and background.name is not None else "infinity"
    blur = Blur(at, distance if known else None, disc, share, disc <= circle_of_confusion_mm(camera))
    return blur, lens.focal / 1000.0 / distance if known else None


def main_figure(made: Sequence[Measured], own: Measured | None, held: str | None) -> str | None:
    """The figure that is held, else of those whose eyes are in the frame of `own`, or of the first of `made` that has any,
    the one nearest to the plane of focus."""
    if held is not None:
        return held
    for one in (*((own,) if own is not None else ()), *made):
        seen = [figure for figure in one.coverage.figures if eyes_in_frame(figure)]
        if seen:
            focus = one.coverage.focus.distance_m
            return min(seen, key=lambda figure: abs(figure.distance_m - focus)).name
    return None
