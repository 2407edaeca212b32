"""Pattern: irregular holes in a board, the same for a seed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float32]

CELLS = 64
"""Along the longer side of a board."""
RIM = 0.06
"""Of the shorter side, that stays whole all round."""


@dataclass(frozen=True)
class Pattern:
    """`depth` (rows, columns): above 0 is a hole; row 0 at the bottom, the outermost values on the board's edge."""

    depth: NDArray[np.float32]

    def holes(self, x: Array, y: Array) -> NDArray[np.bool_]:
        """Whether (n,) there is a hole at places x, y (n,), both -1 to 1 across and up the board."""
        rows, columns = self.depth.shape
        column = np.clip((x + 1.0) * (0.5 * (columns - 1)), 0.0, columns - 1.001)
        row = np.clip((y + 1.0) * (0.5 * (rows - 1)), 0.0, rows - 1.001)
        left, low = column.astype(np.int32), row.astype(np.int32)
        right_share, up_share = column - left, row - low
        below = self.depth[low, left] * (1.0 - right_share) + self.depth[low, left + 1] * right_share
        above = self.depth[low + 1, left] * (1.0 - right_share) + self.depth[low + 1, left + 1] * right_share
        return np.asarray(below * (1.0 - up_share) + above * up_share > 0.0, bool)


def irregular(size_m: tuple[float, float], *, open_share: float, seed: int) -> Pattern:
    """Smooth blotches of three sizes, cut where they rise over what leaves the share `open_share` of the board open.

    The blotches are a fifteenth to a fifth of the longer side: leaves and gaps as a shop cuts them, our own choice. The
    rim stays whole, so no more than about four fifths can be open.
    """
    longer = max(size_m)
    columns, rows = (max(8, round(CELLS * side / longer)) + 1 for side in size_m)
    rng = np.random.default_rng(seed)
    frequency = np.hypot(
        np.fft.fftfreq(rows)[:, None] * CELLS, np.fft.fftfreq(columns)[None, :] * CELLS
    )  # cycles along the longer side
    noise = np.zeros((rows, columns))
    for cycles, weight in ((3.5, 1.0), (7.0, 0.6), (12.0, 0.25)):
        band = np.exp(-(((frequency - cycles) / (0.35 * cycles)) ** 2))
        layer = np.fft.ifft2(np.fft.fft2(rng.standard_normal((rows, columns))) * band).real
        noise += weight * layer / layer.std()
    y, x = np.meshgrid(np.linspace(-1, 1, rows), np.linspace(-1, 1, columns), indexing="ij")
    shorter = min(size_m)
    from_edge = np.minimum((1 - np.abs(x)) * size_m[0] / 2, (1 - np.abs(y)) * size_m[1] / 2) / shorter
    inner = from_edge > RIM
    low, high = float(noise[inner].min()), float(noise[inner].max())
    at = [grid.ravel().astype(np.float32) for grid in np.meshgrid(*[np.linspace(-1, 1, 201)] * 2)]
    for _ in range(20):
        level = 0.5 * (low + high)
        pattern = Pattern(np.where(inner, noise - level, -1.0).astype(np.float32))
        low, high = (level, high) if pattern.holes(*at).mean() > open_share else (low, level)
    return pattern
