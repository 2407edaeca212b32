"""Time at equal error: the demo scenes in this tracer against Mitsuba 3 at its best, direct light and one bounce.

Each kind of Mitsuba's variants, integrators and samplers is tried; at the error that ours reaches, the time of the quickest
is interpolated between its runs, or carried on from its last two where it did not get there. Building is left out.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

import numpy as np
from rich.table import Table

from preview.trace.digest import digest, files_digest
from preview.trace.quality import QUALITIES, Quality
from preview.trace.store import Store
from tests.bench.brute_force import brute_force
from tests.bench.mitsuba_runs import MitsubaRun, median_error, pace
from tests.bench.timing import seconds
from tests.bench.twin import NAMES, Image, Twin, twin

WIDTH = 640
TRUTH = 256
"""Samples a pixel of the true picture."""
VARIANTS = ("scalar_rgb", "llvm_ad_rgb")
PLAIN, STRATA = -2.0, -4.0 / 3.0
"""Time grows with this power of the error where samples are independent, and where strata of the plane meet an edge."""
DIRECT = {name: replace(quality, bounce_rays=0) for name, quality in QUALITIES.items()}
BOUNCE = {name: replace(quality, bounces=1) for name, quality in QUALITIES.items()}


@dataclass(frozen=True)
class OurRun:
    """One quality: seconds of tracing, median relative error over lit pixels."""

    quality: str
    seconds: float
    error: float


def ours(scene: Twin, truth: Image, qualities: Mapping[str, Quality], *, repeats: int = 3) -> list[OurRun]:
    """Every quality on one scene."""
    answer = []
    for name, quality in qualities.items():
        picture = scene.traced(quality)
        times = seconds(partial(scene.traced, quality), repeats=repeats)
        answer.append(OurRun(name, min(times), median_error(picture, truth)))
    return answer


def true_picture(scene: Twin, *, samples: int, bounces: int) -> tuple[Image, float]:
    """The picture by brute force, kept for the next bench, and what its own median relative error is at most."""
    store = Store(Path(tempfile.gettempdir()) / "preview-bench", most_bytes=10**9)
    code = files_digest(Path(__file__).parent, [Path(brute_force.__code__.co_filename)])
    world, emitters = (
        scene.solid.world,
        [(light.emitters, light.gain, light.colour) for light in scene.lights],
    )
    key = digest(
        code, world.vertices, scene.solid.surfaces, emitters, scene.view, scene.width, samples, bounces
    )
    arrays = store.load(key)
    if arrays is None:
        found = (
            brute_force(scene, samples=count, bounce=bounces > 0, seed=seed)
            for seed, count in enumerate((samples, samples // 4))
        )
        arrays = dict(zip(("truth", "check"), found, strict=True))
        store.put(key, arrays, kind="truth", label=f"{scene.name}: {samples} samples")
    return np.array(arrays["truth"]), median_error(arrays["check"], np.array(arrays["truth"])) / 2.0


def theirs(scene: Twin, truth: Image, *, bounces: int) -> list[MitsubaRun]:
    """Mitsuba's runs: every kind of the variants that work here, and the best two with growing numbers of samples."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "truth.npy"
        np.save(file, truth)

        def child(variant: str, *kind: str) -> list[MitsubaRun]:
            arguments = (scene.name, str(scene.width), variant, str(bounces), str(file), *kind)
            command = [sys.executable, "-m", "tests.bench.mitsuba_runs", *arguments]
            # A variant that cannot be loaded ends with an error, its compiler with an abort: then nothing is said.
            done = subprocess.run(
                command, capture_output=True, text=True, cwd=Path(__file__).parents[2], check=False
            )
            runs = [MitsubaRun(**json.loads(line)) for line in done.stdout.splitlines()]
            return [replace(run, kind=f"{variant}, {run.kind}") for run in runs]

        found = [run for variant in VARIANTS for run in child(variant)]
        best = [run.kind.partition(", ") for run in sorted(found, key=pace)[:2]]
        return found + [run for variant, _, kind in best for run in child(variant, kind)]


@dataclass(frozen=True)
class AtError:
    """The quickest way Mitsuba has to an error; `reached`: whether a run of that kind got there."""

    kind: str
    seconds: float
    reached: bool


def at_error(runs: Sequence[MitsubaRun], error: float) -> AtError:
    """The quickest kind at an error, of one run at least."""
    kinds = {run.kind for run in runs}
    found = [_of_kind([run for run in runs if run.kind == kind], error) for kind in sorted(kinds)]
    return min(found, key=lambda one: one.seconds)


def _of_kind(runs: list[MitsubaRun], error: float) -> AtError:
    runs = sorted(runs, key=lambda run: run.seconds)
    errors, times = (np.log([getattr(run, what) for run in runs]) for what in ("error", "seconds"))
    wanted = np.log(error)
    below = np.flatnonzero(errors <= wanted)
    if len(below) and below[0] == 0:
        return AtError(runs[0].kind, runs[0].seconds, True)
    if len(below):
        low, high = below[0] - 1, below[0]
        share = (wanted - errors[low]) / (errors[high] - errors[low])
        return AtError(runs[0].kind, float(np.exp(times[low] + share * (times[high] - times[low]))), True)
    slope = PLAIN
    if len(runs) > 1 and errors[-1] < errors[-2]:
        slope = float(np.clip((times[-1] - times[-2]) / (errors[-1] - errors[-2]), PLAIN, STRATA))
    return AtError(runs[0].kind, float(np.exp(times[-1] + slope * (wanted - errors[-1]))), False)


def tables() -> Iterator[Table]:
    """Direct light, then one bounce."""
    yield compared("Direct light of the lamps", DIRECT, bounces=0)
    yield compared("One bounce and the sky", BOUNCE, bounces=1)


def compared(
    title: str,
    qualities: Mapping[str, Quality],
    *,
    bounces: int,
    width: int = WIDTH,
    names: Sequence[str] = NAMES,
) -> Table:
    """All scenes and qualities."""
    table = Table(
        title=f"{title}, {width} wide, at equal median relative error: against Mitsuba 3 at its best"
    )
    for heading, side in {
        "scene": "left",
        "quality": "left",
        "error": "right",
        "ours, s": "right",
        "Mitsuba's variant, sampler, integrator": "left",
        "its time, s": "right",
        "ratio": "right",
    }.items():
        table.add_column(heading, justify=side)
    silent: set[str] = set()
    ratios = []
    for name in names:
        scene = twin(name, width=width)
        if bounces == 0:
            scene = scene.without_sky()
        truth, floor = true_picture(scene, samples=TRUTH, bounces=bounces)
        table.add_row(name, "truth", f"{floor:.2%}")
        found = theirs(scene, truth, bounces=bounces)
        silent |= {variant for variant in VARIANTS if not any(run.kind.startswith(variant) for run in found)}
        for run in ours(scene, truth, qualities):
            best = at_error(found, run.error)
            ratios.append(best.seconds / run.seconds)
            star = "" if best.reached else "*"
            table.add_row(
                name,
                run.quality,
                f"{run.error:.2%}",
                f"{run.seconds:.3f}",
                best.kind,
                f"{best.seconds:.2f}{star}",
                f"{ratios[-1]:.1f}{star}",
            )
        table.add_section()
    middle = float(np.exp(np.mean(np.log(ratios))))
    table.caption = (
        f"So many times less time here: {middle:.0f}, the geometric mean. * carried on from its last runs."
        + "".join(f" {variant} does not run on this machine." for variant in sorted(silent))
    )
    return table
