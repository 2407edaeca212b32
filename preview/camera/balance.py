"""Balance: the camera's white balance as a chromatic adaptation.

The light that the camera is set for (its kelvin, with its tint) becomes the ACES white, equal parts of ACEScg; a full
von Kries adaptation in Bradford's cone responses carries every other colour with it. Luminance of the balanced light
is kept, so balance does not change exposure.
Source: ICC.1 annex E (Bradford); CIE 159 gives CAT02, which differs by less than 0.01 for daylight and tungsten.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from preview.light.colour import POINT_DUV, chromaticity
from preview.light.spaces import ACESCG, adaptation_between
from preview.script.models.camera import Camera


@lru_cache(maxsize=64)
def _matrix(cct_k: float, tint: float) -> NDArray[np.float64]:
    camera_white = chromaticity(cct_k=cct_k, duv=POINT_DUV * tint)
    matrix: NDArray[np.float64] = (
        ACESCG.from_xyz @ adaptation_between(camera_white, ACESCG.white) @ ACESCG.to_xyz
    )
    matrix.flags.writeable = False
    return matrix


def balance_matrix(camera: Camera) -> NDArray[np.float64]:
    """The (3, 3) matrix, read-only, that takes linear ACEScg of the set to balanced linear ACEScg (as columns)."""
    return _matrix(camera.balance, camera.tint)
