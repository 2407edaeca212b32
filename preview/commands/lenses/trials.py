"""Lens trials: the script's scene with each lens and format that is tried, from the widest field to the narrowest."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from preview.camera.equivalence import Equivalent, equivalent, same_field_mm, vignette_on
from preview.camera.format import exposed
from preview.camera.framing import focus_distance, frame_tangents
from preview.commands.lenses.ladder import LensOptions, consistent, ladder
from preview.commands.lenses.moves import figure_to_hold, standing
from preview.script.models.camera import Camera, Sensor
from preview.script.models.cast import Figure
from preview.script.scene import Scene

SAME: Final = 1e-6
"""Focal lengths that differ by less, as a share, are one."""


@dataclass(frozen=True)
class Trial:
    """One lens on one format. `own`: the script's own lens and format, where the camera is the script's. `equal`: what on
    this format gives the picture that the lens has on the script's. `nearer_m`: how much nearer on the plan the camera has
    gone to the figure it holds. `refused`: why there is no picture, in a sentence."""

    name: str
    where: str
    """The name as it stands in a sentence: `at 35 mm`, `on super16`."""
    scene: Scene
    own: bool
    equal: Equivalent
    nearer_m: float = 0.0
    refused: str | None = None

    @property
    def camera(self) -> Camera:
        return self.scene.camera


@dataclass(frozen=True)
class Trials:
    """What is compared. `base`: the camera whose picture the formats are to give; `figure`: the one that keeps its size, if
    any does; `formats`: whether formats are compared, not lenses; `match`: whether each has the lens of one field."""

    scene: Scene
    base: Camera
    each: tuple[Trial, ...]
    figure: Figure | None
    formats: bool
    match: bool

    @property
    def reference(self) -> Trial | None:
        """What the others are compared with: the script's own where it is among them, else the narrowest."""
        made = [trial for trial in self.each if trial.refused is None]
        return next((trial for trial in made if trial.own), made[-1] if made else None)


def trials_of(scene: Scene, options: LensOptions) -> Trials:
    """The trials that are asked for. UserError for options or a figure that will not do.

    Their scenes' `eyes` are those of the script with all cameras that moved, so that one set does for all.
    """
    consistent(options)
    figure = None if options.hold is None else figure_to_hold(scene, options.hold)
    many = len(options.formats) > 1
    own = scene.camera
    lens = own if options.focal_mm is None else _with_lens(own, options.focal_mm[0])
    cameras = _formats(lens, options) if many else _lenses(own, options)
    base = lens if many else own
    named = {_name(camera, options, many=many): camera for camera in cameras}
    each = [
        _trial(scene, (name, f"{'on' if many else 'at'} {name}"), camera, equivalent(base, camera), figure)
        for name, camera in named.items()
    ]
    each.sort(key=_field, reverse=True)
    eyes = scene.eyes + tuple(
        _eye(trial.scene) for trial in each if figure is not None and not trial.own and trial.refused is None
    )
    return Trials(
        scene,
        base,
        tuple(replace(trial, scene=replace(trial.scene, eyes=eyes)) for trial in each),
        figure,
        many,
        options.match,
    )


def format_name(camera: Camera) -> str:
    """The format as people call it."""
    if isinstance(camera.format, Sensor):
        return f"{camera.format.width:g} × {camera.format.height:g} mm"
    return camera.format


def millimetres_of(focal: float) -> str:
    """`35 mm`, `24.3 mm`."""
    return f"{focal:.0f} mm" if abs(focal - round(focal)) < 0.05 else f"{focal:.1f} mm"


def _lenses(own: Camera, options: LensOptions) -> list[Camera]:
    """Each lens on the script's format, with the script's own among them, or on the one that was named."""
    on = _on_format(own, options.formats[0]) if options.formats else own
    focals = options.focal_mm if options.focal_mm is not None else ladder(own.lens.focal)
    cameras = [_with_lens(on, focal) for focal in focals]
    return (
        cameras if on.format != own.format or any(_is_own(own, one) for one in cameras) else [*cameras, own]
    )


def _formats(lens: Camera, options: LensOptions) -> list[Camera]:
    """One lens on each format, or on each the lens that sees as wide."""
    cameras = [_on_format(lens, name) for name in options.formats]
    if options.match:
        cameras = [_with_lens(camera, same_field_mm(lens, camera)) for camera in cameras]
    return cameras


def _with_lens(camera: Camera, focal: float) -> Camera:
    """Another lens at the same stop; what circle it covers is not known."""
    if abs(focal / camera.lens.focal - 1.0) < SAME:
        return camera
    return camera.model_copy(
        update={"lens": camera.lens.model_copy(update={"focal": focal, "image_circle": None})}
    )


def _on_format(camera: Camera, name: str) -> Camera:
    """The same lens before another format: its circle and its fall-off are the lens's own."""
    other = camera.model_copy(update={"format": name})
    whole, before = exposed(other).diagonal_mm, exposed(camera).diagonal_mm
    if abs(whole / before - 1.0) < SAME:
        return other
    vignette = vignette_on(camera.lens.vignette, corner_mm=before, other_mm=whole)
    circle = camera.circle_of_confusion
    return other.model_copy(
        update={
            "lens": camera.lens.model_copy(update={"vignette": vignette}),
            "circle_of_confusion": None if circle is None else circle * whole / before,
        }
    )


def _name(camera: Camera, options: LensOptions, *, many: bool) -> str:
    """By the lens, or by the format where one lens is on all of them."""
    if not many:
        return f"{camera.lens.focal:g} mm"
    return (
        f"{format_name(camera)}, {millimetres_of(camera.lens.focal)}"
        if options.match
        else format_name(camera)
    )


def _trial(
    scene: Scene, names: tuple[str, str], camera: Camera, equal: Equivalent, figure: Figure | None
) -> Trial:
    own = _is_own(scene.camera, camera)
    if figure is None or own:
        return _sharp(Trial(*names, replace(scene, camera=camera), own, equal))
    stand = standing(scene, figure, camera)
    trial = Trial(*names, replace(scene, camera=stand.camera), False, equal, stand.nearer_m, stand.refused)
    return trial if trial.refused else _sharp(trial)


def _sharp(trial: Trial) -> Trial:
    """With the reason where the lens cannot be focused so near."""
    distance = focus_distance(trial.scene)
    if distance * 1000.0 > 1.02 * trial.camera.lens.focal:
        return trial
    where = f"{distance:.2f} m before it" if distance > 0.0 else "behind it"
    return replace(trial, refused=f"A {trial.camera.lens.focal:g} mm lens cannot be focused {where}.")


def _is_own(own: Camera, camera: Camera) -> bool:
    return camera.format == own.format and abs(camera.lens.focal / own.lens.focal - 1.0) < SAME


def _field(trial: Trial) -> tuple[float, float]:
    """How much is seen; of formats with one field, the larger."""
    across, _ = frame_tangents(trial.camera)
    return round(across, 6), exposed(trial.camera).diagonal_mm


def _eye(scene: Scene) -> tuple[float, float, float]:
    x, y, z = scene.point(scene.camera.at).tolist()
    return x, y, z
