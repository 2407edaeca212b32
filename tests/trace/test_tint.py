"""Tints: what a surface reflects varies over its vertices, to the eye, in the bounce, to the meter and in every key."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from preview.build.mesh import Part, flat
from preview.build.surfaces import matt
from preview.build.world import gather
from preview.camera.view import View, look
from preview.light.emitters.distant import Distant
from preview.light.light import Light
from preview.trace.clay import clay
from preview.trace.geometry import Geometry
from preview.trace.keys import keys_of, set_digest
from preview.trace.plate import trace
from preview.trace.quality import Quality
from preview.trace.receptors import read
from preview.trace.stage import Stage

Floats = NDArray[np.float64]

RHO = 0.5
LUX = 100.0
WEST, EAST = np.array([0.2, 0.9, 1.6]), np.array([1.4, 0.5, 0.1])
"""Tints of the card's two sides."""
SIZE = 64


def card(west: Floats, east: Floats, *, cells: int = 1, name: str = "card") -> Part:
    """A square of 2 m that faces south, of `cells` x `cells`; its tint goes evenly from one side's to the other's."""
    edge = np.linspace(-1.0, 1.0, cells + 1)
    x, z = (axis.ravel() for axis in np.meshgrid(edge, edge))
    corner = np.arange((cells + 1) ** 2).reshape(cells + 1, cells + 1)
    a, b, c, d = (
        part.ravel() for part in (corner[:-1, :-1], corner[:-1, 1:], corner[1:, 1:], corner[1:, :-1])
    )
    faces = np.concatenate([np.stack([a, b, c], axis=1), np.stack([a, c, d], axis=1)]).astype(np.int32)
    share = (x + 1.0) / 2.0
    return Part(
        name,
        "grey",
        np.stack([x, np.zeros_like(x), z], axis=1),
        faces,
        np.broadcast_to([0.0, -1.0, 0.0], (len(x), 3)),
        tint=(west + share[:, None] * (east - west)).astype(np.float32),
    )


def geometry(*parts: Part, rho: float = RHO) -> Geometry:
    return Geometry(gather(parts), matt(np.full((len(parts), 3), rho, np.float32)))


def stage(*parts: Part, rho: float = RHO) -> Stage:
    return Stage(geometry(*parts, rho=rho), geometry(), geometry(), ())


def sun() -> Light:
    """Square to the card."""
    return Light("sun", (Distant(np.array([0.0, -1.0, 0.0]), LUX, 1e-4),), 1.0, (1.0, 1.0, 1.0))


def front(distance: float = 4.0, half: float = 0.24) -> View:
    return look(
        np.array([0.0, -distance, 0.0]), np.zeros(3), roll=0.0, tan_half_width=half, tan_half_height=half
    )


def seen(what: Stage, view: View, *, samples: int = 4) -> NDArray[np.float32]:
    """Luminance by channel (SIZE, SIZE, 3)."""
    quality = Quality(samples=samples, rounds=1, bounce_rays=0)
    return trace(what, [sun()], view, width=SIZE, height=SIZE, quality=quality).layers[0]


def test_a_card_is_seen_by_the_mixture_of_its_corners():
    """Definition of reflectance: L = E rho / pi, with rho in each channel linear between the vertices."""
    picture = seen(stage(card(WEST, EAST)), front())
    x = (np.arange(SIZE) + 0.5) / SIZE * 2.0 * 0.24 * 4.0 - 0.24 * 4.0
    expected = LUX * RHO / np.pi * (WEST + (x[:, None] + 1.0) / 2.0 * (EAST - WEST))
    assert picture == pytest.approx(np.broadcast_to(expected, picture.shape), rel=2e-3)


def test_a_tint_is_of_its_own_part_alone():
    """A part without any keeps its material's."""
    beside = replace(card(WEST, EAST, name="other"), tint=None)
    beside = replace(beside, vertices=beside.vertices + np.array([2.0, 0.0, 0.0]))
    world = gather([card(WEST, EAST), beside])
    assert world.tint is not None
    assert world.tint[:4] == pytest.approx(np.stack([WEST, EAST, WEST, EAST]), rel=1e-6)
    picture = seen(
        Stage(Geometry(world, matt(np.full((2, 3), RHO, np.float32))), geometry(), geometry(), ()),
        look(
            np.array([2.0, -4.0, 0.0]),
            np.array([2.0, 0.0, 0.0]),
            roll=0.0,
            tan_half_width=0.2,
            tan_half_height=0.2,
        ),
    )
    assert picture == pytest.approx(LUX * RHO / np.pi, rel=1e-3)


@pytest.mark.parametrize(("tint", "reflected"), [(5.0, 0.98), (-1.0, 0.0)])
def test_nothing_reflects_more_than_all_or_less_than_nothing(tint, reflected):
    picture = seen(stage(card(np.full(3, tint), np.full(3, tint))), front())
    assert picture == pytest.approx(LUX * reflected / np.pi, rel=1e-3)


def test_what_is_finer_than_a_pixel_is_seen_by_its_mean():
    """Vertices by turns black and white, five to a pixel across: every pixel is as light as half of white, within 12 %."""
    fine = card(np.ones(3), np.ones(3), cells=320)
    drawn = np.random.default_rng(1).random(len(fine.vertices)) < 0.5
    noisy = replace(fine, tint=np.repeat(drawn[:, None], 3, axis=1).astype(np.float32))
    one, four = (seen(stage(noisy), front(), samples=samples)[..., 1] for samples in (1, 4))
    assert four.mean() == pytest.approx(0.5 * LUX * RHO / np.pi, rel=0.02)
    # Four samples of a plain pixel count, although one spot stands for them: half the deviation of one sample.
    assert four.std() < 0.6 * one.std()


def board_reading(board: Part, *, rho: float = RHO) -> Floats:
    """Lux by channel that a board gives by one bounce to a receptor that looks at it from a metre."""
    reading = read(
        np.array([[0.3, -1.0, 0.1]]),
        np.array([[0.0, 1.0, 0.0]]),
        geometry(board, rho=rho),
        [sun()],
        bounce_rays=4096,
    )
    lux: Floats = reading.indirect[0, 0]
    return lux


def test_the_bounce_is_of_the_tinted_reflectance():
    """A board of tint t sends what one of reflectance rho t sends."""
    tint = np.array([0.3, 0.8, 1.2])
    tinted = board_reading(card(tint, tint))
    for channel, factor in enumerate(tint):
        plain = board_reading(replace(card(tint, tint), tint=None), rho=RHO * factor)
        assert tinted[channel] == pytest.approx(plain[channel], rel=1e-5)


def test_the_bounce_is_linear_in_the_tint():
    """A board between two tints sends the sum of two boards, each black on one side."""
    black = np.zeros(3)
    both = board_reading(card(WEST, EAST))
    assert both == pytest.approx(
        board_reading(card(WEST, black)) + board_reading(card(black, EAST)), rel=1e-5
    )
    assert board_reading(card(black, EAST))[0] > 0.0


def test_the_bounce_in_a_frame_takes_the_tint_along():
    """A floor lit by nothing but a red wall is red, and as bright as before a wall whose material is that red."""
    red = np.array([1.2, 0.3, 0.1])
    floor = flat(
        "floor",
        "grey",
        np.array([[[-1, 0, -1], [-1, -2, -1], [1, -2, -1]], [[-1, 0, -1], [1, -2, -1], [1, 0, -1]]], float),
    )
    wall = card(red, red)
    view = look(
        np.array([0.0, -3.0, 2.0]),
        np.array([0.0, -1.0, -1.0]),
        roll=0.0,
        tan_half_width=0.15,
        tan_half_height=0.15,
    )
    quality = Quality(samples=1, rounds=1, bounce_rays=64)
    tinted = Geometry(gather([wall, floor]), matt(np.full((2, 3), RHO, np.float32)))
    painted = Geometry(
        gather([replace(wall, tint=None), floor]),
        matt(np.stack([RHO * red, np.full(3, RHO)]).astype(np.float32)),
    )
    shots = [
        trace(
            Stage(one, geometry(), geometry(), ()), [sun()], view, width=24, height=24, quality=quality
        ).layers[0]
        for one in (tinted, painted)
    ]
    assert shots[0] == pytest.approx(shots[1], rel=1e-4)
    assert shots[0][..., 0].mean() == pytest.approx(4.0 * shots[0][..., 1].mean(), rel=0.05)


def test_every_key_knows_the_tint():
    def key(*parts: Part) -> str:
        made = keys_of(
            stage(*parts), [sun()], front(), width=8, height=8, quality=Quality(), haze=None, seed=1
        )
        return made.layers["sun"]

    plain, tinted = replace(card(WEST, EAST), tint=None), card(WEST, EAST)
    other = card(WEST, EAST * 1.001)
    assert len({key(plain), key(tinted), key(other)}) == 3
    assert key(tinted) == key(card(WEST, EAST))
    assert len({set_digest(stage(one)) for one in (plain, tinted, other)}) == 3
    # What of the rig is seen has one too.
    rigs = [Stage(geometry(), geometry(one), geometry(), (None,)) for one in (plain, tinted, other)]
    frames = {
        keys_of(rig, [sun()], front(), width=8, height=8, quality=Quality(), haze=None, seed=1).frame
        for rig in rigs
    }
    assert len(frames) == 3


def test_clay_is_of_one_grey():
    shots = [
        clay(stage(one), front(), width=24, height=24)
        for one in (card(WEST, EAST), replace(card(WEST, EAST), tint=None))
    ]
    assert np.array_equal(*shots)
