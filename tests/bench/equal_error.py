"""Time at equal error: direct light of the shared scenes in this tracer against Mitsuba 3 at its best.

Each kind of Mitsuba's samplers and integrators is tried; at the error that ours reaches, the time of the quickest kind
is interpolated between its runs, or carried on along its last two where it did not get there. Building is left out.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path

import numpy as np
from rich.table import Table

from preview.trace.quality import Quality
from tests.bench.mitsuba_runs import SCENES, Image, MitsubaRun, median_error
from tests.bench.timing import seconds
from tests.trace.shared_scenes import HEIGHT, WIDTH, SharedScene

VARIANTS = ("scalar_rgb", "llvm_ad_rgb")
LADDER = {
    "draft": Quality(0.5, samples=2, rounds=1, bounce_rays=0),
    "usual": Quality(bounce_rays=0),
    "fine": Quality(0.1, samples=8, rounds=4, bounce_rays=0),
    "finest": Quality(0.03, samples=16, rounds=8, bounce_rays=0),
}


@dataclass(frozen=True)
class OurRun:
    """One rung of the ladder: seconds of tracing, median relative error over lit pixels."""

    quality: str
    seconds: float
    error: float


def ours(scene: SharedScene, truth: Image, *, repeats: int = 5) -> list[OurRun]:
    """The ladder on one scene."""
    geometry = scene.geometry()
    answer = []
    for name, quality in LADDER.items():
        picture = scene.ours(geometry, quality)
        times = seconds(partial(scene.ours, geometry, quality), repeats=repeats)
        answer.append(OurRun(name, min(times), median_error(picture, truth)))
    return answer


def child(*arguments: str) -> str:
    """What `mitsuba_runs` printed before it ended, well or by an abort of its just-in-time compiler."""
    command = [sys.executable, "-m", "tests.bench.mitsuba_runs", *arguments]
    root = Path(__file__).parents[2]
    done = subprocess.run(
        command, capture_output=True, text=True, cwd=root, env=dict(os.environ), check=False
    )
    return done.stdout


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
    """All scenes, rungs and variants."""
    table = Table(
        title=f"Direct light at equal median relative error, {WIDTH} x {HEIGHT}, against Mitsuba 3 at its best"
    )
    for heading in (
        "scene",
        "quality",
        "error",
        "ours, s",
        "Mitsuba's variant, sampler, integrator",
        "its time, s",
        "ratio",
    ):
        table.add_column(
            heading, justify="right" if heading in ("error", "ours, s", "its time, s", "ratio") else "left"
        )
    silent = set()
    with tempfile.TemporaryDirectory() as folder:
        for scene in SCENES:
            name = scene.name.partition(":")[0]
            child(name, "scalar_rgb", folder)
            with np.load(Path(folder) / f"{name}.npz") as archive:
                truth, floor = archive["truth"], float(archive["error"])
            table.add_row(name, "reference", f"{floor:.3%}")
            mine = ours(scene, truth)
            for variant in VARIANTS:
                found = [MitsubaRun(**json.loads(line)) for line in child(name, variant, folder).splitlines()]
                if not found:
                    silent.add(variant)
                for run in mine if found else ():
                    _row(table, name, run, variant, at_error(found, run.error))
            table.add_section()
    table.caption = (
        "* carried on from its last runs. A ratio above 1: so many times less time here."
        + "".join(f" {variant} does not run on this machine." for variant in sorted(silent))
    )
    yield table


def _row(table: Table, name: str, run: OurRun, variant: str, theirs: AtError) -> None:
    star = "" if theirs.reached else "*"
    table.add_row(
        name,
        run.quality,
        f"{run.error:.3%}",
        f"{run.seconds:.3f}",
        f"{variant}, {theirs.kind}",
        f"{theirs.seconds:.2f}{star}",
        f"{theirs.seconds / run.seconds:.1f}{star}",
    )
