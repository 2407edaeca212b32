"""Data URIs: pictures as text that stands in a page itself, so that nothing is fetched."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Sequence
from io import BytesIO

import numpy as np
from PIL import Image

from preview.sheets.answer.blocks import Pixels

BUDGET = 2_500_000
"""Bytes that the frames of a page may take as text: what a telephone gets by mail in a village."""
QUALITIES = ((88, 1.0), (80, 1.0), (72, 1.0), (72, 0.75), (72, 0.5))
"""Of JPEG, and the share of its width that a frame keeps; the first that keeps to the BUDGET is taken."""
WIDEST = {1: 1456, 2: 960, 3: 720, 4: 640}
"""Pixels across a frame that a page has use for, by how many stand side by side."""
HEAVY = 400_000
"""Bytes of a drawing from which it is worth asking whether JPEG takes less than half."""


def frame_uris(frames: Sequence[tuple[Pixels, int]]) -> list[str]:
    """JPEG of each picture (h, w, 3), of how many stand beside one another with it, in the best quality that fits."""
    for quality, share in QUALITIES:
        uris = [
            _uri(_jpeg(_reduced(pixels, share * WIDEST[min(4, max(1, columns))], share), quality), "jpeg")
            for pixels, columns in frames
        ]
        if sum(map(len, uris)) <= BUDGET:
            break
    return uris


def drawing_uri(pixels: Pixels) -> str:
    """PNG, without loss; JPEG where a photograph in it makes that heavy."""
    image = Image.fromarray(np.ascontiguousarray(pixels))
    out = BytesIO()
    image.save(out, "PNG", optimize=True)
    exact = out.getvalue()
    if len(exact) > HEAVY:
        lossy = _jpeg(image, 90)
        if 2 * len(lossy) < len(exact):
            return _uri(lossy, "jpeg")
    return _uri(exact, "png")


def _reduced(pixels: Pixels, widest: float, share: float) -> Image.Image:
    image = Image.fromarray(np.ascontiguousarray(pixels))
    wide = max(1, round(min(widest, share * image.width)))
    if wide < image.width:
        high = max(1, round(image.height * wide / image.width))
        image = image.resize((wide, high), Image.Resampling.LANCZOS)
    return image


def _jpeg(image: Image.Image, quality: int) -> bytes:
    """With colour as fine as lightness, for lamps at night are small and coloured."""
    out = BytesIO()
    # Not optimized: Pillow's buffer for that is too small for what is full of grain.
    image.save(out, "JPEG", quality=quality, subsampling=0)
    return out.getvalue()


def _uri(data: bytes, kind: str) -> str:
    return f"data:image/{kind};base64,{b64encode(data).decode('ascii')}"
