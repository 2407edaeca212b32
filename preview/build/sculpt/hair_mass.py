"""Closed bodies of hair and knitting."""

from __future__ import annotations

import numpy as np

from preview.build.sculpt.decimate import decimated
from preview.build.sculpt.hair_locks import Tress
from preview.build.sculpt.nets import normals, settled, surface
from preview.build.sculpt.shapes import Shape

LOW, HIGH = (-125, -165, -258), (125, 130, 160)
"""Millimetres that hair stays within."""


def closed(shape: Shape, cell: float, faces: int, *, shade: float) -> Tress:
    vertices, triangles = surface(shape, LOW, HIGH, cell)
    vertices, triangles = decimated(vertices, triangles, faces)
    vertices = settled(shape, vertices, cell)
    return Tress(vertices, triangles, normals(shape, vertices, 1.2), np.full((len(vertices), 3), shade))
