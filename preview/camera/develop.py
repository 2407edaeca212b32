"""Develop: luminance on the set to scene-linear ACEScg as the camera exposes it, on to an sRGB picture.

The way to the display is the Academy's own (ACES 2 output transform), from the configuration built into OpenColorIO.
"""

from __future__ import annotations

import os
from concurrent.futures import ThreadPoolExecutor
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from preview.camera.balance import balance_matrix
from preview.camera.exposure import exposure_scale
from preview.faults import UserError
from preview.script.models.camera import Camera

Array = NDArray[np.float32]

CONFIG = "cg-config-v4.0.0_aces-v2.0_ocio-v2.5"
DISPLAY = "sRGB - Display"
VIEW = "ACES 2.0 - SDR 100 nits (Rec.709)"
BRIGHTEST = 60_000.0
"""Scene-linear values are held to this, near the top of a half float: 18 stops over grey."""
ROWS = 64
"""Rows a thread takes at a time."""


def scene_linear(radiance: Array, camera: Camera) -> Array:
    """Exposed and balanced linear ACEScg (h, w, 3), 18 % grey at 0.18, from luminance in cd/m2 as ACEScg."""
    matrix = (exposure_scale(camera) * balance_matrix(camera)).astype(np.float32)
    return np.asarray(np.einsum("hwc,dc->hwd", radiance, matrix), dtype=np.float32)


def display_values(linear: Array) -> Array:
    """sRGB display values (h, w, 3), 0 to 1, of scene-linear ACEScg (h, w, 3)."""
    import PyOpenColorIO as ocio

    processor = _to_display()
    values = np.ascontiguousarray(np.clip(linear, -BRIGHTEST, BRIGHTEST), dtype=np.float32)

    def develop_rows(block: Array) -> None:
        processor.apply(ocio.PackedImageDesc(block, block.shape[1], block.shape[0], 3))

    blocks = [values[top : top + ROWS] for top in range(0, len(values), ROWS)]
    with ThreadPoolExecutor(os.cpu_count()) as threads:
        for done in [threads.submit(develop_rows, block) for block in blocks]:
            done.result()
    return np.clip(values, 0.0, 1.0, out=values)


def picture(linear: Array) -> NDArray[np.uint8]:
    """The sRGB picture (h, w, 3), 8 bit, of scene-linear ACEScg (h, w, 3)."""
    return dithered(display_values(linear))


def dithered(values: Array) -> NDArray[np.uint8]:
    """Display values (h, w, 3), 0 to 1, as 8 bit; `values` are spent.

    Rounding is dithered by half a step either way, so that a dark sky does not fall into bands; the pattern depends
    on the pixel's place alone. Black and full white stay themselves.
    """
    height, width = values.shape[:2]
    values *= np.float32(255.0)
    values += _dither(height, width)[..., np.newaxis]
    # Not quite 256: the largest dither on full white would round up to it in float32.
    return np.minimum(values, np.float32(255.9)).astype(np.uint8)


def _dither(height: int, width: int) -> Array:
    """Even noise (h, w) in [0, 1): a hash of the pixel's place (the finaliser of a published 32-bit hash)."""
    rows = np.arange(height, dtype=np.uint32)[:, np.newaxis] * np.uint32(0x9E3779B1)
    columns = np.arange(width, dtype=np.uint32)[np.newaxis, :] * np.uint32(0x85EBCA77)
    mixed = rows ^ (columns + np.uint32(0x165667B1))
    for shift, factor in ((16, 0x7FEB352D), (15, 0x846CA68B)):
        mixed ^= mixed >> np.uint32(shift)
        mixed *= np.uint32(factor)
    mixed ^= mixed >> np.uint32(16)
    return (mixed >> np.uint32(8)).astype(np.float32) * np.float32(2.0**-24)


@cache
def _to_display() -> Any:
    """OpenColorIO's processor from ACEScg to the display, from the first built-in config that has the view."""
    import PyOpenColorIO as ocio

    known = [row[0] for row in ocio.BuiltinConfigRegistry().getBuiltinConfigs()]
    for name in sorted((n for n in known if n.startswith("cg-config")), key=lambda n: (n != CONFIG, n)):
        config = ocio.Config.CreateFromBuiltinConfig(name)
        if VIEW in config.getViews(DISPLAY):
            transform = ocio.DisplayViewTransform(src="ACEScg", display=DISPLAY, view=VIEW)
            return config.getProcessor(transform).getDefaultCPUProcessor()
    raise UserError(
        f"this OpenColorIO ({ocio.GetVersion()}) has no built-in config with the view {VIEW!r}; "
        "install opencolorio 2.5 or newer"
    )
