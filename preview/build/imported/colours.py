"""Colours: of a file's pixels and vertices to what a surface reflects: linear Rec.709, in which files multiply them, then
ACEScg."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from preview.build.mesh import Floats
from preview.light.spaces import ACESCG, REC709, adaptation_between

Colours = NDArray[np.float32]

MOST_REDUCED = 8
"""Pixels each way that are averaged at most: beyond, what lies beside a piece of a texture bleeds into it."""
STRIP = 512
"""Rows of a picture, after averaging, that are worked on at a time."""


def _decoding() -> Colours:
    """Linear light (256,) of the code values of a screen. Source: IEC 61966-2-1, as published: 0.04045, 12.92, 2.4."""
    code = np.arange(256) / 255.0
    return np.where(code <= 0.04045, code / 12.92, ((code + 0.055) / 1.055) ** 2.4).astype(np.float32)


LINEAR = _decoding()


def to_acescg(rec709: Colours) -> Colours:
    """Linear Rec.709 (n, 3) in ACEScg; grey stays grey."""
    adapt = adaptation_between(REC709.white, ACESCG.white)
    matrix = ACESCG.from_xyz @ adapt @ REC709.to_xyz
    return np.asarray(rec709 @ matrix.T.astype(np.float32), np.float32)


def from_screen(code: NDArray[Any]) -> Colours:
    """Linear Rec.709 (n, 3) of code values (n, 3), 0 to 255, of an sRGB screen."""
    return LINEAR[np.clip(np.rint(code), 0, 255).astype(np.uint8)]


def from_linear(code: NDArray[Any]) -> Colours:
    """Linear Rec.709 (n, 3) of the same in 255ths."""
    return (np.asarray(code, np.float32) / np.float32(255.0)).astype(np.float32)


def texel_edges(picture: Any, uv: Floats, faces: NDArray[np.int32]) -> Floats:
    """Pixels of a texture (m,) along the longest edge of each face."""
    at = uv * np.array(picture.size, dtype=np.float64)
    corners = at[faces]
    edges = corners - np.roll(corners, 1, axis=1)
    longest: Floats = np.sqrt(np.max(np.sum(edges * edges, axis=2), axis=1))
    return longest


def sampled(picture: Any, uv: Floats, *, pitch: float) -> Colours:
    """Linear Rec.709 (n, 3) of a picture at uv (n, 2), counted from the lower left; where any is beyond 0 to 1, it repeats.

    `pitch`: pixels from one place that is asked for to the next; about so many are averaged, in linear light.
    """
    image = np.asarray(picture.convert("RGB"))
    times = int(2 ** np.floor(np.log2(max(1.0, min(pitch, MOST_REDUCED)))))
    times = min(times, image.shape[0], image.shape[1])
    linear = _averaged(image, times)
    height, width = linear.shape[:2]
    repeats = bool(((uv < -1e-4) | (uv > 1.0 + 1e-4)).any())
    u, v = (np.mod(share, 1.0) if repeats else share for share in (uv[:, 0], 1.0 - uv[:, 1]))
    x, y = u * width - 0.5, v * height - 0.5
    left, top = np.floor(x).astype(np.int64), np.floor(y).astype(np.int64)
    right_share, low_share = (x - left).astype(np.float32)[:, None], (y - top).astype(np.float32)[:, None]
    answer = np.zeros((len(uv), 3), np.float32)
    for down in (0, 1):
        for right in (0, 1):
            weight = (right_share if right else 1.0 - right_share) * (low_share if down else 1.0 - low_share)
            row, column = top + down, left + right
            if repeats:
                row, column = row % height, column % width
            else:
                row, column = np.clip(row, 0, height - 1), np.clip(column, 0, width - 1)
            texel = linear[row, column]
            answer += weight * (LINEAR[texel] if texel.dtype == np.uint8 else texel)
    return answer


def _averaged(image: NDArray[np.uint8], times: int) -> NDArray[Any]:
    """A picture (h, w, 3) with `times` x `times` pixels averaged to one, linear float32; with 1, its own code values."""
    if times == 1:
        return image
    rows, columns = image.shape[0] // times, image.shape[1] // times
    small = np.empty((rows, columns, 3), np.float32)
    for first in range(0, rows, STRIP):
        some = image[first * times : min(rows, first + STRIP) * times, : columns * times]
        small[first : first + STRIP] = LINEAR[some].reshape(-1, times, columns, times, 3).mean(axis=(1, 3))
    return small
