"""PNG files against Pillow, which reads them."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from preview.sheets import png


@pytest.mark.parametrize("shape", [(1, 1), (1, 7), (9, 1), (37, 53), (700, 901)])
@pytest.mark.parametrize("kind", ["noise", "even", "ramp"])
def test_what_is_written_is_read(shape: tuple[int, int], kind: str) -> None:
    height, width = shape
    if kind == "noise":
        picture = np.random.default_rng(3).integers(0, 256, (height, width, 3), dtype=np.uint8)
    elif kind == "even":
        picture = np.full((height, width, 3), (250, 248, 243), np.uint8)
    else:
        picture = np.arange(height * width * 3, dtype=np.uint32).astype(np.uint8).reshape(height, width, 3)
    with Image.open(io.BytesIO(png.png_bytes(picture))) as read:
        assert (read.format, read.mode, read.size) == ("PNG", "RGB", (width, height))
        read.verify()
    with Image.open(io.BytesIO(png.png_bytes(picture))) as read:
        assert (np.asarray(read) == picture).all()


def test_stretches_are_joined(monkeypatch: pytest.MonkeyPatch) -> None:
    """However long they are, and where one ends with the data."""
    picture = np.random.default_rng(5).integers(0, 9, (40, 33, 3), dtype=np.uint8)
    whole = 40 * (33 * 3 + 1)
    for stretch in (1, 97, whole // 4, whole - 1, whole, whole + 1):
        monkeypatch.setattr(png, "STRETCH", stretch)
        with Image.open(io.BytesIO(png.png_bytes(picture))) as read:
            assert (np.asarray(read) == picture).all()


def test_a_sheet_of_pillows_own(tmp_path: Path) -> None:
    sheet = Image.new("RGB", (30, 20), (1, 2, 3))
    png.save_png(sheet, tmp_path / "sheet.png")
    with Image.open(tmp_path / "sheet.png") as read:
        assert read.tobytes() == sheet.tobytes()


@pytest.mark.parametrize("shape", [(4, 4), (4, 4, 4), (0, 4, 3)])
def test_no_other_arrays(shape: tuple[int, ...]) -> None:
    with pytest.raises(ValueError, match="no picture"):
        png.png_bytes(np.zeros(shape, np.uint8))
