"""Face: the outer side of a wall in its own frame, and how cameras see it.

In the frame: a along the wall from its left end seen from outside, b above the ground, c out of the face.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from preview.build.mesh import Floats
from preview.script.house_plan import Bounds

UNDER_TRIM = 0.03
"""Boards and logs stop this far outside a hole's edge, where its casing hides their ends; metres."""


@dataclass(frozen=True)
class Face:
    """The outer face of a wall in its own frame, metres: `peak` is the height of a gable's point, else `high`."""

    length: float
    low: float
    high: float
    peak: float
    holes: tuple[Bounds, ...] = ()

    def ends(self, height: Floats) -> tuple[Floats, Floats]:
        """Its left and right end at heights (n,)."""
        rise = max(self.peak - self.high, 1e-9)
        share = np.clip((np.asarray(height) - self.high) / rise, 0.0, 1.0) if self.peak > self.high else 0.0
        aside = 0.5 * self.length * np.asarray(share) * np.ones_like(height)
        return aside, self.length - aside

    def top(self, along: Floats) -> Floats:
        """Its upper edge at places (n,) along it."""
        near = 1.0 - np.abs(2.0 * np.asarray(along) / self.length - 1.0)
        return self.high + (self.peak - self.high) * np.clip(near, 0.0, 1.0)

    def grown(self, by: float) -> list[tuple[float, float, float, float]]:
        """Its holes, larger by so much all round."""
        return [(h.left - by, h.bottom - by, h.right + by, h.top + by) for h in self.holes]


@dataclass(frozen=True)
class Eyes:
    """Cameras as a wall's face is seen from them: places (n, 3) of those before it, in its frame; `none` if there are no
    cameras at all, when everything is near.
    """

    before: Floats
    none: bool

    def away(self, along: Floats, height: Floats) -> Floats:
        """Metres from places on the face to the nearest camera before it, infinite where none is."""
        if self.none:
            return np.zeros_like(along)
        least = np.full_like(along, np.inf)
        for a, b, c in self.before:
            least = np.minimum(least, (along - a) ** 2 + (height - b) ** 2 + c * c)
        return np.sqrt(least)

    def nearest(self, face: Face) -> float:
        """To the nearest place of the face, metres."""
        if self.none:
            return 0.0
        a, b, c = self.before.T
        aside = a - np.clip(a, 0.0, face.length)
        over = b - np.clip(b, face.low, face.peak)
        return float(np.sqrt(np.min(aside**2 + over**2 + c * c, initial=np.inf)))


def eyes_before(eyes: Floats, corner: Floats, along: Floats, outward: Floats) -> Eyes:
    """Of cameras (n, 3): how the face whose left end at height 0 is `corner` is seen, in the frame they are given in."""
    away = eyes - corner
    seen = np.stack([away @ along, away[:, 2], away @ outward], axis=1)
    return Eyes(seen[seen[:, 2] > 0.0], not len(eyes))
