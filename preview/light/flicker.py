"""Flicker: how a lamp that pulses with the mains comes out of a shutter."""

from __future__ import annotations

from dataclasses import dataclass
from math import log2

import numpy as np

SEEN = 0.02
"""Share of the light by which frames may differ unseen. From memory: slow flicker is seen from one per cent or so."""
STEADY = 0.02
"""Beats a second below which nobody waits for one."""


@dataclass(frozen=True)
class Pulsing:
    """What one frame after the other shows: `depth`, highest less lowest over their sum; `beats` a second."""

    depth: float
    beats: float

    @property
    def stops(self) -> float:
        """From the darkest frame to the brightest."""
        return log2((1.0 + self.depth) / (1.0 - self.depth))

    @property
    def is_seen(self) -> bool:
        return self.depth > SEEN and self.beats > STEADY


def pulsing(percent: float, *, fps: float, exposure_s: float, mains_hz: float) -> Pulsing:
    """What frames of this exposure show of a lamp of this percent flicker, at twice the frequency of its mains.

    A shutter averages the pulse 1 + m cos(2 pi f t) over its time: m |sin(pi f t) / (pi f t)| is left, nothing where a
    whole number of pulses fits into it. Frames differ by how far they fall from a whole number of pulses apart.
    Only the first harmonic is reckoned: steeper pulses leave a little more. Percent flicker as the IES defines it.
    """
    pulses = 2.0 * mains_hz
    depth = percent / 100.0 * abs(float(np.sinc(pulses * exposure_s)))
    return Pulsing(min(depth, 0.999), abs(pulses - round(pulses / fps) * fps))
