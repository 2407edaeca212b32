"""EXR: the scene-linear frame as the camera exposes it, for whoever grades or composites."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

# x, y of red, green, blue, white. Source: Academy S-2014-004 (ACEScg, AP1 primaries, white near D60).
AP1 = (0.713, 0.293, 0.165, 0.830, 0.128, 0.044, 0.32168, 0.33767)


def write_exr(path: Path, linear: NDArray[np.float32]) -> None:
    """Linear ACEScg (h, w, 3), 18 % grey at 0.18, as half floats; beyond half's range it is held at its end."""
    import OpenEXR

    half = np.clip(linear, -65504.0, 65504.0).astype(np.float16)
    header = {
        "compression": OpenEXR.ZIP_COMPRESSION,
        "type": OpenEXR.scanlineimage,
        "chromaticities": AP1,
    }
    with OpenEXR.File(header, {"RGB": np.ascontiguousarray(half)}) as file:
        file.write(str(path))
