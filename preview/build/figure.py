"""Figure: a person of the cast as parts, from the stored sculpt, sized, seated, turned to face and placed."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from preview.build.mesh import Floats, Part, turned
from preview.build.site import Site
from preview.script.models.cast import Figure

ASSET = Path(__file__).with_name("figure.npz")
STATURE = 1.75
"""Metres; the stored person, from the soles to the top of the hair."""
STORED_SEAT = 0.46
ANKLE, UNDER_KNEE = 0.13, 0.40
"""Heights of the stored sitter between which the shins give when the seat is higher or lower."""
SHIN_GIVES = (-0.20, 0.08)
"""Metres (of the stored sitter) that the shins may shorten or lengthen; past that the feet sink or hang."""


@cache
def _stored() -> Mapping[str, NDArray[Any]]:
    with np.load(ASSET) as archive:
        return {name: archive[name] for name in archive.files}


def materials(figure: Figure) -> dict[str, str]:
    """Part -> material of the catalogue."""
    skin = f"skin {figure.skin}"
    return {
        "head": skin,
        "hair": f"hair {figure.hair}",
        "eyes": "eye white",
        "irises": "eye iris",
        "hands": skin,
        "top": figure.top,
        "bottom": figure.bottom,
        "shoes": "black",
    }


def _seated(vertices: Floats, normals: Floats, seat: float) -> tuple[Floats, Floats]:
    """The stored sitter on a seat of another height (metres in the sitter's own size)."""
    change = seat - STORED_SEAT
    shins = float(np.clip(change, *SHIN_GIVES))
    height = vertices[:, 2]
    moved = vertices.copy()
    moved[:, 2] += change - shins + shins * np.clip((height - ANKLE) / (UNDER_KNEE - ANKLE), 0.0, 1.0)
    within = (height > ANKLE) & (height < UNDER_KNEE)
    tilted = normals.copy()
    tilted[within, 2] /= 1.0 + shins / (UNDER_KNEE - ANKLE)
    return moved, tilted / np.linalg.norm(tilted, axis=1, keepdims=True)


def build_figure(site: Site, figure: Figure) -> list[Part]:
    """The parts `NAME.head`, `.hair`, `.eyes`, `.irises`, `.hands`, `.top`, `.bottom`, `.shoes`, each closed.

    Feet (when standing) on `figure.height_of_ground`, the head's axis over `figure.at`, the hair's top
    `figure.height` above the ground. Sitting, the seat is `figure.seat` above the ground.
    """
    at = np.array([*figure.at, figure.height_of_ground])
    azimuth = site.azimuth(figure.facing, figure.at)
    size = figure.height / STATURE
    stored = _stored()
    unit = float(stored["metres_per_unit"])
    parts = []
    for name, material in materials(figure).items():
        of_head = f"head.{name}.vertices" in stored
        key = f"head.{name}" if of_head else f"{figure.pose}.{name}"
        vertices = stored[f"{key}.vertices"] * unit
        normals = stored[f"{key}.normals"] / 32767.0
        if of_head:
            vertices[:, 2] += float(stored[f"eye.{figure.pose}"])
        if figure.pose == "sit":
            vertices, normals = _seated(vertices, normals, figure.seat / size)
        parts.append(
            Part(
                f"{figure.name}.{name}",
                material,
                turned(vertices * size, azimuth, at),
                stored[f"{key}.faces"].astype(np.int32),
                turned(normals, azimuth, np.zeros(3)),
            )
        )
    return parts
