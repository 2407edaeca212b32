"""Grass and reeds: they grow where they are said to, keep off what is built, and are finest near a camera."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from numpy.typing import ArrayLike

from preview.build.growth import grass as grass_and_reeds
from preview.build.growth.clearings import cleared
from preview.build.growth.grass import FARTHEST, MOST_BLADES, SOD, SWARDS, build_grass, build_reeds
from preview.build.mesh import Floats, Part
from preview.build.site import Site
from preview.script.models.pieces.buildings import House, Shed, Shops
from preview.script.models.pieces.camp import Campfire
from preview.script.models.pieces.ground import Ground, Street
from preview.script.models.pieces.growth import Grass, Reeds
from preview.script.models.pieces.market import PhoneBox
from preview.script.models.pieces.piece import Piece
from preview.script.models.pieces.things import Box
from tests.build.standing import site

SQUARE = [(-3.0, 4.0), (3.0, 4.0), (3.0, 10.0), (-3.0, 10.0)]
NEAR = site(eyes=((0.0, 0.0, 1.6),))


def grass(viewed: Site = NEAR, /, **keys: Any) -> Part:
    (part,) = build_grass("grass", Grass.model_validate(keys), viewed)
    return part


def standing_among(*pieces: Piece, eyes: tuple[tuple[float, float, float], ...] = ((0.0, 0.0, 1.6),)) -> Site:
    viewed = site(eyes=eyes)
    object.__setattr__(viewed.scene, "set", tuple((f"piece {n}", piece) for n, piece in enumerate(pieces)))
    return viewed


def feet(part: Part) -> Floats:
    """Plan points of what stands on the ground."""
    return part.vertices[part.vertices[:, 2] < SOD + 1e-4, :2].astype(float)


@pytest.mark.parametrize("kind", ["lawn", "meadow", "tufts"])
def test_sound_and_of_the_asked_height(kind: str) -> None:
    part = grass(kind=kind, **{"in": SQUARE}, height=(0.2, 0.4))
    assert part.name == "grass.blades"
    assert np.isfinite(part.vertices).all()
    np.testing.assert_allclose(np.linalg.norm(part.normals, axis=1), 1.0, atol=1e-5)
    assert part.faces.max() == len(part.vertices) - 1
    assert part.tint is not None
    assert part.tint.min() > 0.0
    assert part.vertices[:, 2].min() >= 0.0
    assert 0.25 < part.vertices[:, 2].max() < 0.5
    corners = part.vertices[part.faces].astype(float)
    assert (
        np.linalg.norm(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1).min()
        > 0
    )


def test_it_keeps_to_its_land() -> None:
    inside = feet(grass(**{"in": SQUARE}))
    assert len(inside) > 5000
    assert (np.abs(inside[:, 0]) < 3.01).all()
    assert (np.abs(inside[:, 1] - 7.0) < 3.01).all()
    # All of it is grown over: no square of half a metre is bare.
    x, y = np.floor(2.0 * (inside - [-3.0, 4.0])).astype(int).clip(0, 11).T
    counts = np.bincount(12 * y + x, minlength=144)
    assert counts.min() > 0


def test_along_a_fence() -> None:
    strip = feet(grass(along=[[-3, 5], [3, 5]], width=0.6, kind="tufts"))
    assert np.abs(strip[:, 1] - 5.0).max() < 0.31
    assert strip[:, 0].min() < -2.0
    assert strip[:, 0].max() > 2.0


def test_it_keeps_off_what_is_built() -> None:
    house = House.model_validate({"at": [0, 12], "size": [9, 6], "porch": {"depth": 2}})
    path = Ground.model_validate({"material": "gravel", "at": [3, 2], "size": [1, 6]})
    crate = Box.model_validate({"at": [-3, 4], "size": [2, 1, 1], "turn": 90})
    lane = Street.model_validate({"along": [[-9, -3], [9, -3]], "width": 3, "pavement": [0, 1]})
    viewed = standing_among(Ground(), house, path, crate, lane)
    points = np.array(
        [
            [0.0, 12.0],
            [4.0, 8.5],
            [4.4, 14.9],
            [3.0, 3.0],
            [-3.0, 4.9],
            [-3.9, 4.0],
            [0.0, -1.6],
            [0.0, -5.4],
            [0.0, 2.0],
        ]
    )
    # A street that runs east has its right pavement to the south.
    assert cleared(points, viewed).tolist() == [True, True, True, True, True, False, True, True, False]
    left = cleared(np.array([[0.0, -0.4], [0.0, -1.2], [0.0, -6.0]]), viewed)
    assert left.tolist()[2] is False
    stood = feet(grass(viewed))
    assert len(stood) > 1000
    assert not cleared(stood[np.abs(stood - [3, 3]).max(axis=1) < 0.4], viewed).any()


@pytest.mark.parametrize(
    ("piece", "inside", "outside"),
    [
        (Shed.model_validate({"at": [0, 4], "facing": 90}), [1.4, 4.0], [1.9, 4.0]),
        (Shops.model_validate({"at": [0, 10], "bays": 3}), [7.4, 10.0], [7.6, 10.0]),
        (PhoneBox.model_validate({"at": [2, 3]}), [2.4, 3.0], [2.6, 3.0]),
        (Campfire.model_validate({"at": [1, 1]}), [1.5, 1.0], [1.8, 1.0]),
    ],
)
def test_it_keeps_off_smaller_things(piece: Piece, inside: list[float], outside: list[float]) -> None:
    assert cleared(np.array([inside, outside]), standing_among(Ground(), piece)).tolist() == [True, False]


def test_reeds_stand_in_water() -> None:
    pond = Ground.model_validate({"material": "water", "at": [0, 7], "size": [6, 6]})
    (part,) = build_reeds("reeds", Reeds.model_validate({"in": SQUARE}), standing_among(Ground(), pond))
    assert len(part.faces) > 1000
    assert 1.4 < part.vertices[:, 2].max() < 2.8
    assert not build_grass("grass", Grass.model_validate({"in": SQUARE}), standing_among(Ground(), pond))


def test_it_thins_out_far_off_and_blades_widen() -> None:
    part = grass(kind="meadow")
    away = np.linalg.norm(feet(part), axis=1)
    rings = np.histogram(away, bins=np.array([0, 4, 8, 16, 32, 64]))[0] / (
        np.pi * np.diff(np.square([0, 4, 8, 16, 32, 64]))
    )
    assert (np.diff(rings) < 0).all()
    assert rings[0] > 8 * rings[3]
    # A tuft spreads beyond its middle.
    assert away.max() < FARTHEST[1] + 2.0
    assert len(part.faces) < 4 * MOST_BLADES


def test_land_hides_as_much_of_itself_whatever_the_distance(monkeypatch: pytest.MonkeyPatch) -> None:
    """Area of blades on a square metre: fewer blades far off, but as much of them."""
    monkeypatch.setattr(grass_and_reeds, "FULL", (5.0,))

    def area(away: float) -> float:
        part = grass(site(eyes=((0.0, 7.0 - away, 1.6),)), kind="tufts", height=(0.3, 0.3), **{"in": SQUARE})
        corners = part.vertices[part.faces].astype(float)
        return float(
            np.linalg.norm(
                np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1
            ).sum()
        )

    assert area(20.0) == pytest.approx(area(11.0), rel=0.15)


def test_it_follows_the_ground() -> None:
    class Hill(Site):
        def ground(self, x: ArrayLike, y: ArrayLike) -> Floats:
            return 0.3 * np.asarray(x, float) + 5.0

    flat = grass(**{"in": SQUARE}, kind="meadow")
    hill = grass(Hill(NEAR.scene), **{"in": SQUARE}, kind="meadow")
    standing = flat.vertices[:, 2] < SOD + 1e-4
    foot = hill.vertices[standing]
    np.testing.assert_allclose(foot[:, 2], 0.3 * foot[:, 0] + 5.0 + SOD, atol=0.02)


def test_more_of_it_and_drier() -> None:
    sparse, dense = (len(grass(**{"in": SQUARE}, density=density).faces) for density in (0.5, 1.0))
    assert dense == pytest.approx(2 * sparse, rel=0.05)
    green, straw = (grass(**{"in": SQUARE}, dry=dry).tint for dry in (0.0, 1.0))
    assert green is not None
    assert straw is not None
    assert (straw.mean(axis=0)[0] / straw.mean(axis=0)[1]) > 1.25 * green.mean(axis=0)[0] / green.mean(
        axis=0
    )[1]


def test_same_seed_same_grass() -> None:
    first, again, other = (grass(**{"in": SQUARE}, seed=seed).vertices.tobytes() for seed in (1, 1, 2))
    assert first == again != other


def test_heights_of_swards() -> None:
    """A mown lawn 3 to 8 cm, hay 0.3 to 0.8 m, common reed 1.5 to 3 m: from memory."""
    assert 0.03 <= SWARDS["lawn"].height[0] < SWARDS["lawn"].height[1] <= 0.08
    assert 0.3 <= SWARDS["meadow"].height[0] < SWARDS["meadow"].height[1] <= 0.8
    assert 1.5 <= SWARDS["reeds"].height[0] < SWARDS["reeds"].height[1] <= 3.0
