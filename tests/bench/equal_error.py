"""Time at equal error: the demo scenes in this tracer against Mitsuba 3 at its best, direct light and one bounce.

Each kind of Mitsuba's variants, integrators and samplers is tried; at the error that ours reaches, the time of the quickest
is interpolated between its runs, or carried on along its last two where it did not get there. Building is left out.
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

from preview.trace.quality import QUALITIES, Quality
from tests.bench.brute_force import brute_force
from tests.bench.mitsuba_runs import MitsubaRun, median_error
from tests.bench.timing import seconds
from tests.bench.twin import NAMES, Image, Twin, twin

WIDTH = 480
TRUTH = 128
"""Samples of each half of the true picture."""
VARIANTS = ("scalar_rgb", "llvm_ad_rgb")
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


def true_picture(scene: Twin, *, samples: int, bounce: bool) -> tuple[Image, float]:
    """The mean of two brute-force pictures, with its own median relative error, told by their difference."""
    halves = [brute_force(scene, samples=samples, bounce=bounce, seed=seed) for seed in (101, 202)]
    mean = (halves[0] + halves[1]) / 2.0
    return mean, median_error(halves[0], mean)


def theirs(scene: Twin, truth: Image, variant: str, *, bounces: int) -> list[MitsubaRun]:
    """Mitsuba's runs of one variant, as far as they got: none where it cannot be loaded or aborts."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "truth.npy"
        np.save(file, truth)
        arguments = (scene.name, str(scene.width), variant, str(bounces), str(file))
        command = [sys.executable, "-m", "tests.bench.mitsuba_runs", *arguments]
        done = subprocess.run(
            command, capture_output=True, text=True, cwd=Path(__file__).parents[2], check=False
        )
    found = [MitsubaRun(**json.loads(line)) for line in done.stdout.splitlines()]
    return [replace(run, kind=f"{variant}, {run.kind}") for run in found]


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
    below = np.flatnonzero(errors <= np.log(error))
    if len(below) and below[0] == 0:
        return AtError(runs[0].kind, runs[0].seconds, True)
    if len(below):
        low, high = below[0] - 1, below[0]
    else:
        low, high = len(runs) - 2, len(runs) - 1
    # A lone run, or one that a lucky draw makes flat, is carried on at the pace of plain noise: time by error^-2.
    slope = -2.0
    if low >= 0 and errors[high] < errors[low]:
        slope = max((times[high] - times[low]) / (errors[high] - errors[low]), -4.0)
        slope = min(slope, -0.5)
    elapsed = np.exp(times[high] + slope * (np.log(error) - errors[high]))
    return AtError(runs[0].kind, float(elapsed), bool(len(below)))


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
    silent, ratios = set(), []
    for name in names:
        scene = twin(name, width=width)
        if bounces == 0:
            scene = scene.without_sky()
        truth, floor = true_picture(scene, samples=TRUTH, bounce=bounces > 0)
        table.add_row(name, "truth", f"{floor:.2%}")
        found: list[MitsubaRun] = []
        for variant in VARIANTS:
            own = theirs(scene, truth, variant, bounces=bounces)
            found += own
            silent |= set() if own else {variant}
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
