"""Fragments: a picture taken apart, on the edges of things, into what is near and what is behind it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float32]

PLAIN = 0.999
"""A pixel that one surface fills to more than this is no edge."""
APART = 0.5
"""Pixels of blur by which two surfaces must differ to be held apart."""
RING_1 = [(y, x) for y in (-1, 0, 1) for x in (-1, 0, 1) if (y, x) != (0, 0)]
RING_2 = [(y, x) for y in range(-2, 3) for x in range(-2, 3) if max(abs(y), abs(x)) == 2]


@dataclass(frozen=True)
class Behind:
    """What shows beside the nearer surface in edge pixels, of which there are n.

    index (n,) into the flat frame; colour (3, n); share (n,) of the pixel; blur (n,) pixels, signed.
    """

    index: NDArray[np.intp]
    colour: Array
    share: Array
    blur: Array


@dataclass(frozen=True)
class Fragments:
    """colour (3, h, w), share (h, w), blur (h, w) of the nearest surface in each pixel; `behind` on edges.

    Blur is the disc's radius in pixels, positive beyond the plane of focus, negative before it.
    """

    colour: Array
    share: Array
    blur: Array
    behind: Behind


def fragments_of(image: Array, *, near: Array, far: Array, cover: Array) -> Fragments:
    """Takes an image (h, w, 3) apart; near, far: blur (h, w) of the two surfaces; cover (h, w) of the nearer.

    An edge pixel's colour is a mixture of both. What each gave to it is judged by plain neighbours of its own kind;
    the two still add up to the pixel's colour. What neither explains is the nearer one's: a rim of light.
    """
    height, width = near.shape
    colour = np.ascontiguousarray(image.transpose(2, 0, 1), np.float32)
    edge = (cover < PLAIN) & (np.abs(far - near) > APART)
    index = np.flatnonzero(edge)
    share = np.ones((height, width), np.float32)
    share.ravel()[index] = cover.ravel()[index]
    if len(index) == 0:
        nothing = np.zeros(0, np.float32)
        return Fragments(colour, share, near, Behind(index, np.zeros((3, 0), np.float32), nothing, nothing))
    flat = colour.reshape(3, -1)
    mixed = np.take(flat, index, axis=1)
    before, behind = _unmixed(flat, edge, near, far, index, mixed, share.ravel()[index])
    for channel in range(3):
        flat[channel, index] = before[channel]
    return Fragments(
        colour, share, near, Behind(index, behind, 1.0 - share.ravel()[index], far.ravel()[index])
    )


def _unmixed(
    flat: Array,
    edge: NDArray[np.bool_],
    near: Array,
    far: Array,
    index: NDArray[np.intp],
    mixed: Array,
    cover: Array,
) -> tuple[Array, Array]:
    """Colours (3, n) of the nearer and the farther surface in edge pixels."""
    middle = 0.5 * (near.ravel()[index] + far.ravel()[index])
    near_sum, near_count, far_sum, far_count = _neighbours(flat, edge, near, index, middle, RING_1)
    lone = np.flatnonzero((near_count == 0) | (far_count == 0))
    if len(lone):
        more = _neighbours(flat, edge, near, index[lone], middle[lone], RING_2)
        for total, count, extra, extra_count in (
            (near_sum, near_count, *more[:2]),
            (far_sum, far_count, *more[2:]),
        ):
            needed = count[lone] == 0
            total[:, lone[needed]] = extra[:, needed]
            count[lone[needed]] = extra_count[needed]
    before = near_sum / np.maximum(near_count, 1.0)
    behind = far_sum / np.maximum(far_count, 1.0)
    share = np.clip(cover, 0.02, 0.98)
    guessed = np.maximum(mixed - (1.0 - share) * behind, 0.0) / share
    before = np.where((near_count == 0) & (far_count > 0), guessed, before)
    guessed = np.maximum(mixed - share * before, 0.0) / (1.0 - share)
    behind = np.where((far_count == 0) & (near_count > 0), guessed, behind)
    neither = (near_count == 0) & (far_count == 0)
    before, behind = np.where(neither, mixed, before), np.where(neither, mixed, behind)
    told = cover * before + (1.0 - cover) * behind
    too_much = told > mixed
    scale = np.where(too_much, mixed / np.maximum(told, 1e-30), 1.0)
    rim = np.where(too_much | (cover < 0.02), 0.0, (mixed - told) / np.maximum(cover, 0.02))
    return (before * scale + rim).astype(np.float32), (behind * scale).astype(np.float32)


def _neighbours(
    flat: Array,
    edge: NDArray[np.bool_],
    near: Array,
    index: NDArray[np.intp],
    middle: Array,
    ring: list[tuple[int, int]],
) -> tuple[Array, Array, Array, Array]:
    """Sums of colours (3, n) and counts (n,) of plain neighbours nearer and farther than `middle`."""
    height, width = near.shape
    row, column = np.divmod(index, width)
    near_sum, far_sum = np.zeros((3, len(index)), np.float32), np.zeros((3, len(index)), np.float32)
    near_count, far_count = np.zeros(len(index), np.float32), np.zeros(len(index), np.float32)
    for down, right in ring:
        other_row, other_column = row + down, column + right
        inside = (other_row >= 0) & (other_row < height) & (other_column >= 0) & (other_column < width)
        other = np.where(inside, other_row * width + other_column, index)
        plain = inside & ~edge.ravel()[other]
        nearer = near.ravel()[other] < middle
        colour = np.take(flat, other, axis=1)
        weight = (plain & nearer).astype(np.float32)
        near_sum += weight * colour
        near_count += weight
        weight = (plain & ~nearer).astype(np.float32)
        far_sum += weight * colour
        far_count += weight
    return near_sum, near_count, far_sum, far_count
