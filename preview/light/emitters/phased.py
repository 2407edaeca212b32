"""Phased: a distant ball lit from one side, as the moon is: the camera sees its crescent, its half, its full disc."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.light.emitters.distant import Distant
from preview.light.vectors import column, dot

Array = NDArray[np.float32]


@dataclass(frozen=True, kw_only=True)
class Phased(Distant):
    """`lit`: the share of its disc that is lit, above 0; `limb` (3,): unit, square to `towards`, where the lit side lies.

    The lit part is even. Its light falls as that of the whole disc: what a shadow's edge loses by it is a quarter of
    a degree. Drawn no narrower than a pixel, and dimmer for it.
    """

    lit: float = 1.0
    limb: NDArray[np.float64]

    def background(self, directions: Array, *, dip: float = 0.0, pixel: float = 0.0) -> Array | None:
        """See `Distant.background`."""
        disc = super().background(directions, dip=dip, pixel=pixel)
        if disc is None or self.lit > 0.999:
            return disc
        drawn = np.float32(max(self.half_angle, pixel / 2.0))
        apart = directions - column(self.towards)
        along = dot(apart, column(self.limb)) / drawn
        across = dot(apart, column(np.cross(self.limb, self.towards))) / drawn
        # The line between day and night is half an ellipse: cos(phase angle) = 2 lit - 1 wide on the dark side.
        edge = np.float32(1.0 - 2.0 * self.lit) * np.sqrt(np.maximum(1.0 - across**2, 0.0))
        soft = np.float32(max(pixel, 1e-6)) / drawn
        share = np.clip((along - edge) / soft + np.float32(0.5), 0.0, 1.0)
        # A crescent thinner than a pixel is spread over one, and so is its light.
        kept = _mean_share(self.lit, float(soft))
        return np.asarray(disc * share / np.float32(kept), np.float32)


def _mean_share(lit: float, soft: float) -> float:
    """Mean of the lit share over a disc, both with an edge that is soft over `soft` radii: so no light is lost."""
    reach = 1.0 + soft / 2.0
    across, along = np.meshgrid(*2 * [np.linspace(-reach, reach, 161)])
    disc = np.clip((1.0 - np.hypot(across, along)) / soft + 0.5, 0.0, 1.0)
    edge = (1.0 - 2.0 * lit) * np.sqrt(np.maximum(1.0 - across**2, 0.0))
    share = np.clip((along - edge) / soft + 0.5, 0.0, 1.0)
    return float((disc * share).sum() / disc.sum())
