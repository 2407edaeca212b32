"""Figures for tests: anybody, built before a gate and a star."""

from __future__ import annotations

from itertools import product

import numpy as np

from preview.build.cast.figure import build_figure
from preview.build.mesh import Part
from preview.script.models.cast import Figure
from preview.script.people import NAMES
from preview.script.poses import POSES
from tests.build.standing import site

STAR = (3.0, 4.0, 2.5)
PLACES = site(places={"gate": (10.0, 0.0, 0.0), "star": STAR})
GARMENTS = ("jacket", "coat", "jumper", "raincoat", "dress")
EVERYBODY = list(product(NAMES, POSES))


def figure(**changes: object) -> Figure:
    return Figure.model_validate({"name": "Mara", "at": [0, 0], "facing": 0} | changes)


def parts(**changes: object) -> dict[str, Part]:
    return {p.name.removeprefix("Mara."): p for p in build_figure(PLACES, figure(**changes))}


def everything(made: dict[str, Part]) -> np.ndarray:
    return np.concatenate([p.vertices for p in made.values()])


def angle(a: np.ndarray, b: np.ndarray) -> float:
    """Degrees between two vectors (3,)."""
    return float(np.degrees(np.arccos(np.clip(a @ b / np.linalg.norm(a) / np.linalg.norm(b), -1, 1))))
