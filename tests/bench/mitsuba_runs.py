"""Mitsuba runs: one shared scene rendered in Mitsuba 3 in a process of its own, since a variant may abort where it runs.

    python -m tests.bench.mitsuba_runs SCENE VARIANT FOLDER

writes the reference into FOLDER if it is not there, else prints each run's kind, time and error as JSON lines.
"""

from __future__ import annotations

import json
import sys
import time
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tests.bench.six_frames import SIX_FRAMES
from tests.trace.shared_scenes import SHARED, SharedScene

Image = NDArray[np.float64]

SCENES = (*SHARED, SIX_FRAMES)
SAMPLERS = ("independent", "stratified", "multijitter", "orthogonal", "ldsampler")
BUDGET = 6.0
"""Seconds that the chosen kind may take for its most careful run."""


@dataclass(frozen=True)
class MitsubaRun:
    """One render: `kind` names sampler and integrator; `error` the median relative error over lit pixels."""

    kind: str
    samples: int
    seconds: float
    error: float


def scene_called(name: str) -> SharedScene:
    """A shared scene by the first words of its name."""
    (scene,) = (scene for scene in SCENES if scene.name.startswith(name))
    return scene


def is_soft(scene: SharedScene) -> bool:
    """Whether its light has an area, so that several samples of it a path may pay."""
    return "corners" in scene.mitsuba_emitter


def median_error(picture: NDArray[Any], reference: Image) -> float:
    """Median relative error over the pixels that direct light reaches."""
    lit = reference > 0.01 * np.median(reference[reference > 0])
    return float(np.median(np.abs(picture - reference)[lit] / reference[lit]))


def integrators(scene: SharedScene) -> dict[str, dict[str, Any]]:
    """Those that suit direct light."""
    several = (1, 4, 16) if is_soft(scene) else (1,)
    answer: dict[str, dict[str, Any]] = {"path": {"type": "path", "max_depth": 2}}
    for count in several:
        answer[f"direct x{count}"] = {"type": "direct", "emitter_samples": count, "bsdf_samples": 0}
    return {name: {**kind, "hide_emitters": True} for name, kind in answer.items()}


def render(mi: Any, loaded: Any, integrator: Any, *, samples: int, seed: int) -> Image:
    return np.array(mi.render(loaded, integrator=integrator, spp=samples, seed=seed))[..., 0].astype(float)


def reference(mi: Any, scene: SharedScene) -> tuple[Image, float]:
    """The true frame by many samples, with its own median relative error, told by two independent halves."""
    count = 16 if is_soft(scene) else 1
    integrator = mi.load_dict(integrators(scene)[f"direct x{count}"])
    loaded = scene.mitsuba_scene(mi, sampler="multijitter")
    samples = 64 if is_soft(scene) else 256
    halves = [render(mi, loaded, integrator, samples=samples, seed=seed) for seed in (101, 202)]
    mean = (halves[0] + halves[1]) / 2
    return mean, median_error(halves[0], mean)


def runs(mi: Any, scene: SharedScene, truth: Image, *, budget: float = BUDGET) -> list[MitsubaRun]:
    """Every kind at a small budget, then the most efficient at growing ones."""

    def once(sampler: str, name: str, samples: int) -> MitsubaRun:
        loaded = scene.mitsuba_scene(mi, sampler=sampler)
        integrator = mi.load_dict(integrators(scene)[name])
        if not mi.variant().startswith("scalar"):
            render(mi, loaded, integrator, samples=samples, seed=7)  # compiles the kernel
        started = time.perf_counter()
        picture = render(mi, loaded, integrator, samples=samples, seed=1)
        return MitsubaRun(
            f"{sampler}, {name}", samples, time.perf_counter() - started, median_error(picture, truth)
        )

    found = []
    for sampler in SAMPLERS:
        for name in integrators(scene):
            light_samples = int(name.partition("x")[2] or 1) if name != "path" else 1
            found.append(once(sampler, name, max(4, 16 // light_samples)))
    # Noise falls with the root of the time at least: the smaller error^2 x time, the better the kind.
    best = sorted(found, key=lambda run: run.error**2 * run.seconds)[:2]
    for kind in best:
        sampler, _, name = kind.kind.partition(", ")
        samples, last = kind.samples, kind.seconds
        found += [once(sampler, name, fewer) for fewer in (1, 4) if fewer < samples]
        while last * 4 < budget:
            samples *= 4
            found.append(once(sampler, name, samples))
            last = found[-1].seconds
    return found


def main() -> None:
    name, variant, folder = sys.argv[1:]
    import mitsuba as mi

    mi.set_variant(variant)
    mi.set_log_level(mi.LogLevel.Error)
    scene = scene_called(name)
    stored = Path(folder) / f"{name}.npz"
    if not stored.exists():
        truth, error = reference(mi, scene)
        np.savez(stored, truth=truth, error=error)
        return
    with np.load(stored) as archive:
        truth = archive["truth"]
    for run in runs(mi, scene, truth):
        print(json.dumps(asdict(run)), flush=True)


if __name__ == "__main__":
    main()
