"""Modifiers: how many rays framed and bounced light needs against a plain area source of the same size, for equal error.

`python -m tests.bench.modifiers` prints a line for each. Error is the standard deviation of one sample's lux beside its
mean, at points before the source; rays for equal error go as its square.
"""

from __future__ import annotations

from math import radians

import numpy as np

from preview.light.emitters.cloth import Cloth
from preview.light.emitters.mirrored import Mirrored
from preview.light.emitters.patch import Patch
from preview.light.emitters.softened import Softened
from preview.light.light import Emitter

AXIS = np.array([1.0, 0.0, 0.0])
HEAD = Patch(np.zeros(3), AXIS, (0.12, 0.12), 1000.0)


def spread_of(emitter: Emitter, point: tuple[float, float, float], *, count: int = 65536) -> float:
    """Standard deviation of a sample over its mean at a point that faces the origin."""
    u = np.random.default_rng(1).random((2, count)).astype(np.float32)
    points = np.repeat(np.array(point, np.float32)[:, None], count, axis=1)
    normals = -points / np.sqrt((points**2).sum(axis=0))
    direction, _, lux = emitter.arrive(points, normals, u)
    value = lux.astype(float) * np.maximum((direction * normals).sum(axis=0), 0.0)
    return float(value.std() / value.mean())


def main() -> None:
    """Prints the ratios."""
    centre, half = 2.0 * AXIS, (1.2, 1.2)
    plain = Patch(centre, AXIS, half, 1000.0, round=False)
    soft = Softened(HEAD, centre, AXIS, half, 0.5, radians(6), 2.0)
    sources: dict[str, Emitter] = {
        "cloth, half filled": Cloth(centre, AXIS, half, np.outer(np.hanning(26)[1:-1], np.hanning(26)[1:-1])),
        "cloth, softened share": soft,
        "silver board": Mirrored(Softened(HEAD, centre, AXIS, half, 0.7, radians(8), 2.0), centre, -AXIS),
    }
    for name, source in sources.items():
        x = 5.0 if name != "silver board" else -1.0
        for aside in (0.0, 1.0):
            own, area = spread_of(source, (x, aside, 0.2)), spread_of(plain, (5.0, aside, 0.2))
            print(f"{name}, {aside:.0f} m aside: {(own / area) ** 2:.2f} of the rays of a plain area source")


if __name__ == "__main__":
    main()
