"""Frame: a scene lit, exposed and written as picture, stops map, EXR and report."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from math import degrees
from pathlib import Path
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from preview.camera.develop import picture, scene_linear
from preview.camera.exposure import (
    GREY,
    exposure_scale,
    footcandles,
    grey_illuminance_of,
    incident_stops,
)
from preview.camera.grain import with_grain
from preview.camera.view import View
from preview.commands.metering.readings import Levels, Receptor, in_picture, levels, receptors
from preview.commands.notes.night import moon_notes
from preview.commands.prepare import Ready, prepare
from preview.commands.shot import seen, stops_of
from preview.light.spaces import ACESCG
from preview.script.models.camera import Camera
from preview.script.scene import Scene
from preview.sheets.data import json_text
from preview.sheets.exr import write_exr
from preview.sheets.frame_sheet import frame_sheet
from preview.sheets.png import save_png
from preview.sheets.report import (
    FixtureReport,
    FrameReport,
    MarkReading,
    Noise,
    Share,
    finite,
    to_json,
    tones,
)
from preview.sheets.stage import staged
from preview.sheets.what_reads import pieces_in_frame, reading_words
from preview.trace.mix import means, mixed, uncertainty, weights
from preview.trace.plate import Plate, trace
from preview.trace.quality import QUALITIES
from preview.trace.store import AnyStore

Array = NDArray[np.float32]

FILES = ("frame.png", "stops.png", "frame.exr", "frame.json")


@dataclass(frozen=True)
class FrameOptions:
    """The frame is the widest within width x height pixels that has the delivered aspect; no height, no bound on it.

    `quality`: a name of QUALITIES; `engine`: what makes the layers; `grain`: whether the sensor's noise is shown.
    """

    width: int = 960
    height: int | None = None
    quality: str = "look"
    engine: Literal["traced", "raster"] = "traced"
    grain: bool = False
    seed: int = 1


def frame(
    scene: Scene,
    folder: Path,
    options: FrameOptions,
    *,
    store: AnyStore,
    progress: Callable[[float], None] = lambda share: None,
) -> FrameReport:
    """Renders a scene into `folder`: frame.png, stops.png, frame.exr, frame.json. Returns the report.

    What `store` has of the scene's layers and readings is not traced again. Raises UserError when the set cannot be
    built, the frame cannot be held, or the folder cannot be written; then nothing is written.
    """
    ready = prepare(scene, store=store)
    width, height = size_of(ready.view, options)
    plate = plate_of(ready, options, store=store, progress=progress)
    radiance = mixed(plate, ready.lights)
    noise = noise_of(ready, plate, radiance, QUALITIES[options.quality].target)
    radiance = seen(ready, plate, radiance)
    report = report_of(ready, plate, radiance, noise, options, store)
    small = plate.depth.shape != (height, width)
    # Nothing of it is open any longer, so that the store can hold its bound.
    del plate
    store.settle()
    if small:
        radiance = enlarged(radiance, width=width, height=height)
    with staged(folder) as stage:
        report = _write(stage, radiance, scene.camera, report)
    return report


def plate_of(
    ready: Ready,
    options: FrameOptions,
    *,
    store: AnyStore,
    progress: Callable[[float], None] = lambda share: None,
) -> Plate:
    """The layers of a scene, from the store or made; a draft's are smaller than the frame."""
    quality = QUALITIES[options.quality]
    width, height = (max(1, round(quality.scale * side)) for side in size_of(ready.view, options))
    if options.engine == "raster":
        from preview.raster.engine import raster

        return raster(ready.stage, ready.lights, ready.view, width=width, height=height, progress=progress)
    return trace(
        ready.stage,
        ready.lights,
        ready.view,
        width=width,
        height=height,
        quality=quality,
        haze=ready.haze,
        seed=options.seed,
        store=store,
        label=ready.label,
        progress=progress,
    )


def size_of(view: View, options: FrameOptions) -> tuple[int, int]:
    """Width and height in pixels of the frame."""
    width = options.width
    if options.height is not None:
        width = min(width, max(1, round(options.height * view.aspect)))
    return width, max(1, round(width / view.aspect))


def enlarged(image: Array, *, width: int, height: int) -> Array:
    """An image (h, w, channels) brought to width x height, linear between its pixels."""
    for axis, size in ((0, height), (1, width)):
        count = image.shape[axis]
        place = np.clip((np.arange(size) + 0.5) * (count / size) - 0.5, 0.0, count - 1.0)
        low = np.minimum(place.astype(np.intp), max(count - 2, 0))
        share = (place - low).astype(np.float32).reshape((-1, 1, 1) if axis == 0 else (1, -1, 1))
        high = np.take(image, np.minimum(low + 1, count - 1), axis=axis)
        image = (1.0 - share) * np.take(image, low, axis=axis) + share * high
    return np.asarray(image, np.float32)


def _write(stage: Path, radiance: Array, camera: Camera, report: FrameReport) -> FrameReport:
    """The files of a frame, side by side; returns the report that names them."""
    linear, stops = scene_linear(radiance, camera), stops_of(radiance, camera)
    if report.grain:
        linear = with_grain(linear, camera, seed=report.seed)
    picture_file, stops_file, linear_file, report_file = FILES
    report = replace(report, files=FILES)

    def write_report() -> None:
        (stage / report_file).write_text(json_text(to_json(report)) + "\n", encoding="utf-8")

    with ThreadPoolExecutor() as pool:
        jobs = [
            pool.submit(lambda: save_png(picture(linear), stage / picture_file)),
            pool.submit(lambda: save_png(frame_sheet(stops, camera.latitude, report), stage / stops_file)),
            pool.submit(lambda: write_exr(stage / linear_file, linear)),
            pool.submit(write_report),
        ]
        for job in jobs:
            job.result()
    return report


def report_of(
    ready: Ready, plate: Plate, radiance: Array, noise: Noise, options: FrameOptions, store: AnyStore
) -> FrameReport:
    """The numbers of a traced frame; `radiance` (h, w, 3) is as the lens shows it."""
    scene, camera = ready.scene, ready.scene.camera
    width, height = size_of(ready.view, options)
    stops = stops_of(radiance, camera)
    marks = receptors(scene)
    quality = QUALITIES[options.quality]
    lux = levels(
        ready, marks, rays=quality.mark_rays, bounces=quality.bounces, seed=options.seed, store=store
    )
    grey = grey_illuminance_of(camera)
    cast = {figure.name for figure in scene.cast}
    pieces = pieces_in_frame(stops, plate.part, ready.world.names, cast, camera.latitude)
    return FrameReport(
        title=scene.title,
        setup=scene.setup,
        look=scene.look,
        quality=options.quality,
        engine=options.engine,
        grain=options.grain,
        noise=noise,
        seed=options.seed,
        focal_mm=camera.lens.focal,
        stop=camera.lens.stop,
        iso=camera.iso,
        shutter_deg=degrees(camera.shutter.angle),
        fps=camera.shutter.fps,
        balance_k=camera.balance,
        tint=camera.tint,
        latitude_under=camera.latitude.under,
        latitude_over=camera.latitude.over,
        width=width,
        height=height,
        grey_lux=grey,
        grey_footcandles=footcandles(grey),
        marks=tuple(
            _mark(ready, mark, lux, row, in_picture(ready, plate, stops, mark))
            for row, mark in enumerate(marks)
        ),
        fixtures=_fixtures(ready, plate, radiance, marks, lux),
        tones=tones(stops, camera.latitude),
        pieces=pieces,
        what_reads=(*moon_notes(scene), *reading_words(pieces)),
    )


def noise_of(ready: Ready, plate: Plate, radiance: Array, target: float) -> Noise:
    """What chance has left in a plate at the lights' levels, which give `radiance` (h, w, 3) together; what is under the
    camera's noise floor counts as there."""
    camera = ready.scene.camera
    floor = np.float32(GREY * 2.0**-camera.latitude.under / exposure_scale(camera))
    whole = radiance @ ACESCG.luminance.astype(np.float32)
    stops = np.log2(1.0 + uncertainty(plate, ready.lights) / np.maximum(whole, floor))
    return Noise(target, float(np.quantile(stops, 0.95)), float(np.mean(stops > target)))


def _mark(ready: Ready, mark: Receptor, lux: Levels, row: int, seen: float | None) -> MarkReading:
    total = float(lux.total[row].sum())
    shares = tuple(
        Share(light.name, float(part), footcandles(float(part)), float(part) / total if total else 0.0)
        for light, part in zip(ready.lights, lux.total[row], strict=True)
    )
    return MarkReading(
        mark.name,
        total,
        footcandles(total),
        finite(incident_stops(total, ready.scene.camera)),
        None if seen is None else finite(seen),
        float(lux.direct[row].sum()),
        float(lux.bounced[row].sum()),
        shares,
    )


def _fixtures(
    ready: Ready, plate: Plate, radiance: Array, marks: tuple[Receptor, ...], lux: Levels
) -> tuple[FixtureReport, ...]:
    scene = ready.scene
    luminance = ACESCG.luminance
    whole = float(radiance.mean(axis=(0, 1), dtype=np.float64) @ luminance)
    at_marks = float(lux.total.sum())
    own_means = means(plate) * weights(ready.lights)
    rows = []
    for index, (fixture, light) in enumerate(zip(scene.fixtures, ready.lights, strict=True)):
        place = fixture.at or (fixture.practical.at if fixture.practical else None)
        distance = None
        if place is not None and marks:
            distance = float(np.linalg.norm(scene.point(place) - marks[0].position))
        rows.append(
            FixtureReport(
                fixture.name,
                fixture.level,
                light.gain,
                light.kelvin,
                distance,
                marks[0].name if distance is not None else None,
                float(lux.total[:, index].sum()) / at_marks if at_marks else None,
                float(own_means[index] @ luminance) / whole if whole else 0.0,
            )
        )
    return tuple(rows)
