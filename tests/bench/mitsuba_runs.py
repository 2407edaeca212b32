"""Mitsuba runs: one twin rendered in Mitsuba 3 in a process of its own, since a variant may abort where it runs.

    python -m tests.bench.mitsuba_runs SCENE WIDTH VARIANT BOUNCES TRUTH [KIND]

prints each run's kind, time and error against the picture in the file TRUTH as JSON lines: every kind with a few samples,
or one with growing numbers of them.
"""

from __future__ import annotations

import json
import sys
import time
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from preview.light.spaces import ACESCG
from tests.bench.twin import Image, Twin, twin
from tests.bench.twin_in_mitsuba import in_mitsuba

SAMPLERS = ("independent", "stratified", "multijitter", "orthogonal", "ldsampler")
FIRST = 64
"""Samples of the lights a pixel with which kinds are tried."""
BUDGET = 30.0
"""Seconds that the chosen kind may take for its most careful run."""


@dataclass(frozen=True)
class MitsubaRun:
    """One render: `kind` names sampler and integrator; `error` the median relative error over lit pixels."""

    kind: str
    samples: int
    seconds: float
    error: float


def median_error(picture: NDArray[Any], truth: Image) -> float:
    """Median relative error over the pixels that are lit in `truth`; where either is nan, the sky is seen."""
    lit = (truth > 0.01 * np.median(truth[truth > 0.0])) & np.isfinite(picture)
    return float(np.median(np.abs(picture - truth)[lit] / truth[lit]))


def integrators(*, bounces: int) -> dict[str, dict[str, Any]]:
    """Those that suit direct light, or a bounce: name to description; `x4` for four samples of the lights a path."""
    kinds: dict[str, dict[str, Any]] = {"path": {"type": "path", "max_depth": 2 + bounces}}
    if bounces == 0:
        for count in (1, 4, 16):
            kinds[f"direct x{count}"] = {"type": "direct", "emitter_samples": count, "bsdf_samples": 0}
    return {name: {**kind, "hide_emitters": True} for name, kind in kinds.items()}


def tried(mi: Any, scene: Twin, truth: Image, *, bounces: int, first: int = FIRST) -> list[MitsubaRun]:
    """Every integrator with a few samples, and every sampler with the best of them."""
    described = integrators(bounces=bounces)
    counts = {name: max(1, first // int(name.partition("x")[2] or 1)) for name in described}
    found = [
        run(mi, scene, truth, f"independent, {name}", counts[name], bounces=bounces) for name in described
    ]
    name = min(found, key=pace).kind.partition(", ")[2]
    return found + [
        run(mi, scene, truth, f"{sampler}, {name}", counts[name], bounces=bounces) for sampler in SAMPLERS[1:]
    ]


def grown(
    mi: Any, scene: Twin, truth: Image, kind: str, *, bounces: int, budget: float = BUDGET
) -> list[MitsubaRun]:
    """One kind with growing numbers of samples."""
    found, samples = [], 1
    while not found or found[-1].seconds * 4.0 < budget:
        found.append(run(mi, scene, truth, kind, samples, bounces=bounces))
        samples *= 4
    return found


def pace(run: MitsubaRun) -> float:
    """Noise falls with the root of the time at least: the smaller error^2 x time, the better the kind."""
    return run.error**2 * run.seconds


def run(mi: Any, scene: Twin, truth: Image, kind: str, samples: int, *, bounces: int) -> MitsubaRun:
    """One render; building and compiling are not timed."""
    sampler, _, name = kind.partition(", ")
    loaded = in_mitsuba(mi, scene, sampler=sampler)
    integrator = mi.load_dict(integrators(bounces=bounces)[name])
    if not mi.variant().startswith("scalar"):
        _rendered(mi, loaded, integrator, samples, seed=7)
    started = time.perf_counter()
    picture = _rendered(mi, loaded, integrator, samples, seed=1)
    return MitsubaRun(kind, samples, time.perf_counter() - started, median_error(picture, truth))


def _rendered(mi: Any, loaded: Any, integrator: Any, samples: int, *, seed: int) -> Image:
    picture = np.array(mi.render(loaded, integrator=integrator, spp=samples, seed=seed))
    return np.asarray(picture[..., :3] @ ACESCG.luminance, np.float64)


def main() -> None:
    name, width, variant, bounces, file, *kind = sys.argv[1:]
    import mitsuba as mi

    mi.set_variant(variant)
    mi.set_log_level(mi.LogLevel.Error)
    scene = twin(name, width=int(width))
    if bounces == "0":
        scene = scene.without_sky()
    truth = np.load(file)
    if kind:
        found = grown(mi, scene, truth, kind[0], bounces=int(bounces))
    else:
        found = tried(mi, scene, truth, bounces=int(bounces))
    for one in found:
        print(json.dumps(asdict(one)))


if __name__ == "__main__":
    main()
