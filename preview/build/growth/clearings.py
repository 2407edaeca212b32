"""Clearings: where no grass grows, because something else lies or stands there."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from preview.build.mesh import Floats
from preview.build.site import Site
from preview.script.models.pieces.buildings import House, Outbuilding, Shelter, Shops
from preview.script.models.pieces.camp import Campfire
from preview.script.models.pieces.ground import Footpath, Ground, Street
from preview.script.models.pieces.growth import Hedge
from preview.script.models.pieces.market import PhoneBox
from preview.script.models.pieces.piece import Piece
from preview.script.models.pieces.things import Box, Wall
from preview.script.prop_plan import BOX

GREEN = {"grass", "dry grass", "soil", "mud", "leaf litter"}
"""Materials of ground that grass grows on."""
LOW = 0.25
"""Metres above the ground from which a box hides no grass below it."""


def cleared(points: Floats, site: Site) -> NDArray[np.bool_]:
    """Which of plan points (n, 2) are covered: by buildings, streets, paths, fires, boxes, walls, hedges, or by a ground
    of another material that lies on an earlier one."""
    covered = np.zeros(len(points), bool)
    grounds = 0
    for _, piece in site.scene.set:
        if isinstance(piece, Ground):
            grounds += 1
            if grounds > 1 and piece.material not in GREEN:
                covered |= _in_rectangle(points, piece.at, piece.size, 0.0)
        else:
            covered |= _under(points, piece, site)
    return covered


def _under(points: Floats, piece: Piece, site: Site) -> NDArray[np.bool_]:
    if isinstance(piece, House | Shelter | Outbuilding):
        azimuth = site.azimuth(piece.facing, piece.at)
        covered = _in_rectangle(points, piece.at, (piece.size[0] + 0.1, piece.size[1] + 0.1), azimuth)
        if isinstance(piece, House) and piece.porch is not None:
            out = (piece.size[1] + piece.porch.depth) / 2
            before = (piece.at[0] + out * float(np.sin(azimuth)), piece.at[1] + out * float(np.cos(azimuth)))
            covered |= _in_rectangle(
                points, before, (piece.porch.width or piece.size[0], piece.porch.depth), azimuth
            )
        return covered
    if isinstance(piece, Shops):
        azimuth = site.azimuth(piece.facing, piece.at)
        return _in_rectangle(points, piece.at, (piece.bays * piece.bay, piece.depth), azimuth)
    if isinstance(piece, PhoneBox):
        return _in_rectangle(points, piece.at, BOX[:2], site.azimuth(piece.facing, piece.at))
    if isinstance(piece, Campfire):
        return np.asarray(np.linalg.norm(points - np.array(piece.at), axis=1) < piece.size)
    if isinstance(piece, Box) and piece.height < LOW:
        return _in_rectangle(points, piece.at, (piece.size[0], piece.size[1]), piece.turn)
    if isinstance(piece, Street):
        left, right = (piece.width / 2 + pavement for pavement in piece.pavement)
        return _in_strip(points, piece.along, max(left, right))
    if isinstance(piece, Footpath):
        return _in_strip(points, piece.along, piece.width / 2)
    if isinstance(piece, Wall | Hedge):
        return _in_strip(points, piece.along, piece.thickness / 2)
    return np.zeros(len(points), bool)


def _in_rectangle(
    points: Floats, at: tuple[float, float], size: tuple[float, float], azimuth: float
) -> NDArray[np.bool_]:
    away = points - np.array(at)
    cosine, sine = np.cos(azimuth), np.sin(azimuth)
    wide = np.abs(away[:, 0] * cosine - away[:, 1] * sine)
    deep = np.abs(away[:, 0] * sine + away[:, 1] * cosine)
    return np.asarray((wide < size[0] / 2) & (deep < size[1] / 2))


def _in_strip(points: Floats, path: list[tuple[float, float]], reach: float) -> NDArray[np.bool_]:
    """Which of points (n, 2) lie within `reach` of a path."""
    near = np.zeros(len(points), bool)
    for a, b in pairwise(np.array(path, float)):
        leg = b - a
        share = np.clip((points - a) @ leg / max(float(leg @ leg), 1e-12), 0.0, 1.0)
        gap = a + share[:, None] * leg - points
        near |= np.einsum("ij,ij->i", gap, gap) < reach**2
    return near
