"""Mitsuba runs: one twin rendered in Mitsuba 3 in a process of its own, since a variant may abort where it runs.

    python -m tests.bench.mitsuba_runs SCENE WIDTH VARIANT BOUNCES TRUTH

prints each run's kind, time and error against the picture in the file TRUTH as JSON lines.
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
FIRST = 16
"""Samples of the lights a pixel with which kinds are tried."""
BUDGET = 6.0
"""Seconds that the chosen kind may take for its most careful run."""


@dataclass(frozen=True)
class MitsubaRun:
    """One render: `kind` names sampler and integrator; `error` the median relative error over lit pixels."""

    kind: str
    samples: int
    seconds: float
    error: float


def median_error(picture: NDArray[Any], truth: Image) -> float:
    """Median relative error over the pixels that are lit in `truth`; where that is nan, the sky is seen."""
    lit = truth > 0.01 * np.median(truth[truth > 0.0])
    return float(np.median(np.abs(picture - truth)[lit] / truth[lit]))


def integrators(*, bounces: int) -> dict[str, dict[str, Any]]:
    """Those that suit direct light, or a bounce: name to description; `x4` for four samples of the lights a path."""
    kinds: dict[str, dict[str, Any]] = {"path": {"type": "path", "max_depth": 2 + bounces}}
    if bounces == 0:
        for count in (1, 4, 16):
            kinds[f"direct x{count}"] = {"type": "direct", "emitter_samples": count, "bsdf_samples": 0}
    return {name: {**kind, "hide_emitters": True} for name, kind in kinds.items()}


def runs(
    mi: Any, scene: Twin, truth: Image, *, bounces: int, budget: float = BUDGET, first: int = FIRST
) -> list[MitsubaRun]:
    """Every integrator, every sampler with the best of them, and the best kind of all with growing numbers of samples."""
    loaded = {sampler: in_mitsuba(mi, scene, sampler=sampler) for sampler in SAMPLERS}
    described = integrators(bounces=bounces)

    def once(sampler: str, name: str, samples: int) -> MitsubaRun:
        integrator = mi.load_dict(described[name])
        if not mi.variant().startswith("scalar"):
            _rendered(mi, loaded[sampler], integrator, samples, seed=7)  # compiles the kernel
        started = time.perf_counter()
        picture = _rendered(mi, loaded[sampler], integrator, samples, seed=1)
        elapsed = time.perf_counter() - started
        return MitsubaRun(f"{sampler}, {name}", samples, elapsed, median_error(picture, truth))

    # Noise falls with the root of the time at least: the smaller error^2 x time, the better the kind.
    def pace(run: MitsubaRun) -> float:
        return run.error**2 * run.seconds

    tried = {name: once("independent", name, first // int(name.partition("x")[2] or 1)) for name in described}
    name, run = min(tried.items(), key=lambda item: pace(item[1]))
    found = [*tried.values(), *(once(sampler, name, run.samples) for sampler in SAMPLERS[1:])]
    best = min((one for one in found if one.kind.endswith(f", {name}")), key=pace)
    sampler = best.kind.partition(", ")[0]
    samples, last = best.samples, best.seconds
    found += [once(sampler, name, fewer) for fewer in (1, 4) if fewer < samples]
    while last * 4 < budget:
        samples *= 4
        found.append(once(sampler, name, samples))
        last = found[-1].seconds
    return found


def _rendered(mi: Any, loaded: Any, integrator: Any, samples: int, *, seed: int) -> Image:
    picture = np.array(mi.render(loaded, integrator=integrator, spp=samples, seed=seed))
    return np.asarray(picture[..., :3] @ ACESCG.luminance, np.float64)


def main() -> None:
    name, width, variant, bounces, file = sys.argv[1:]
    import mitsuba as mi

    mi.set_variant(variant)
    mi.set_log_level(mi.LogLevel.Error)
    scene = twin(name, width=int(width))
    if bounces == "0":
        scene = scene.without_sky()
    for run in runs(mi, scene, np.load(file), bounces=int(bounces)):
        print(json.dumps(asdict(run)), flush=True)


if __name__ == "__main__":
    main()
