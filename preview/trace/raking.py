"""Raking: what the relief of a surface makes of the light that falls on it.

Each place gets of a light what its own slope gets; how much of its hills others hide is Smith's share, so that over
many hills the light is that on the flat surface, from whatever angle.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from preview.light.light import Emitter
from preview.light.vectors import dot
from preview.trace.geometry import Points

Array = NDArray[np.float32]

FILLED = 0.15
"""Share of its mean light that a hollow gets off the hills about it, or through them. From memory, by eye."""
SOFT, SKY = 0.1, 1.0
"""Half angles of a source, radians: from which its middle does not stand for it, and from which it shows no relief."""
PLACES = np.array([[0.21, 0.32], [0.71, 0.18], [0.31, 0.82], [0.79, 0.68]], np.float32)
"""Places of a soft source that do, about."""
MIDDLE = np.full((1, 2), 0.5, np.float32)
LEAST = np.float32(0.01)
"""Cosine of light on the flat surface below which it rakes no more: it is gone."""


def share(points: Points, emitter: Emitter, lux: Array, u: Array | None = None) -> Array:
    """Light (n,) of an emitter on points with their relief, as a share of what the flat surface gets, `lux` (n,).

    By u (2, n), of one place of it; without, of all of it, about. 1 where there is neither relief nor light.
    """
    answer = np.ones(len(points), np.float32)
    rough = np.flatnonzero((points.spread > 0.0) & (lux > 0.0))
    if len(rough) == 0:
        return answer
    hills = points.take(rough)
    middle = np.broadcast_to(MIDDLE.T, (2, len(rough)))
    direction, distance, _ = emitter.arrive(hills.position, hills.normal, middle)
    softness = emitter.softness(np.maximum(distance, np.float32(1e-6)))
    if u is not None:
        direction = emitter.arrive(hills.position, hills.normal, np.take(u, rough, axis=1))[0]
    answer[rough] = _ratio(*_lit(hills, direction))
    soft = np.flatnonzero((softness > SOFT) & (softness < SKY)) if u is None else np.zeros(0, np.intp)
    if len(soft):
        near = hills.take(soft)
        flat, shaped = np.zeros(len(soft), np.float32), np.zeros(len(soft), np.float32)
        for place in PLACES:
            way, _, lux = emitter.arrive(
                near.position, near.normal, np.broadcast_to(place[:, None], (2, len(soft)))
            )
            one, other = _lit(near, way)
            flat += lux * one
            shaped += lux * other
        known = np.flatnonzero(flat > 0.0)
        answer[rough[soft[known]]] = _ratio(flat[known], shaped[known])
    answer[rough[softness >= SKY]] = 1.0
    return answer


def _lit(points: Points, direction: Array) -> tuple[Array, Array]:
    """Cosine (n,) of light on the flat surface, and what the slope makes of it with other hills in its way."""
    flat = np.maximum(dot(direction, points.normal), LEAST)
    own = np.maximum(flat - dot(direction, points.slope), np.float32(0.0))
    return flat, own * lit_share(flat, points.spread)


def _ratio(flat: Array, shaped: Array) -> Array:
    return np.asarray(FILLED + (1.0 - FILLED) * shaped / flat, np.float32)


def lit_share(cosine: Array, spread: Array) -> Array:
    """How much (n,) of hills of that spread of slopes, turned to a light, other hills leave it.

    Source: B. Walter et al., Microfacet Models for Refraction through Rough Surfaces, EGSR 2007, equation 24 for Smith's
    function of a Gaussian of slopes.
    """
    sine = np.sqrt(np.maximum(1.0 - cosine * cosine, 1e-6))
    a = cosine / (np.float32(np.sqrt(2.0)) * np.maximum(spread, np.float32(1e-6)) * sine)
    rising = (3.535 * a + 2.181 * a * a) / (1.0 + 2.276 * a + 2.577 * a * a)
    return np.asarray(np.where(a < 1.6, rising, 1.0), np.float32)
