"""PNG: pictures and sheets as files."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from PIL import Image

COMPRESSION = 3
"""Of zlib's nine: half the time of the default, files a tenth larger."""


def save_png(picture: NDArray[np.uint8] | Image.Image, path: Path) -> None:
    """A picture (h, w, 3) or a drawn sheet as a PNG file."""
    from PIL import Image

    image = Image.fromarray(picture) if isinstance(picture, np.ndarray) else picture
    image.save(path, compress_level=COMPRESSION)
