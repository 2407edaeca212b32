"""Defocus: a picture sharp everywhere, made as sharp as a thin lens would show it.

The picture is cut into layers by the size of the blur. Each layer's colour and coverage are spread by the iris's
outline, and the layers are laid over one another from the farthest to the nearest. What is hidden behind something
nearer is taken to go on as it is beside it: a layer's blurred coverage is divided by the blurred coverage of all
that is not nearer (normalised convolution), so that no nearer thing bleeds into it and nothing darkens at an edge.
Under things before the plane of focus, whose soft edges are seen through, what is behind is filled in from around.

Points far brighter than the rest are left out of the layers and drawn one by one, as discs of their own exact size.
Two things differ from rays traced through the iris: what a pinhole does not see at all is not there, and a blurred
thing before a farther light dims its disc evenly rather than cutting a part of it off.
Source: the thin lens, S. F. Ray, Applied Photographic Optics; normalised convolution, Knutsson and Westin 1993
(both from memory).
"""

from __future__ import annotations

import os
from collections import deque
from collections.abc import Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.camera.aperture import Iris
from preview.camera.fourier import Plane, Spectrum, fast_length, plane_of, spectrum_of
from preview.camera.fragments import Fragments, fragments_of
from preview.camera.glare import enlarged
from preview.camera.highlights import Highlights, highlights_of

Array = NDArray[np.float32]

SHARP = 0.5
"""A blur disc of this radius, pixels, is a pixel: nothing is done."""
STEP, GROWTH = 0.5, 0.18
"""From one layer to the next the radius grows by so many pixels, and by this share at the least."""
LARGEST = 0.5
"""Radii are held to this share of the frame's height."""
COARSE = 8.0
"""A layer is spread on a coarser grid as long as its radius has so many of its points."""
KNOWN = 0.02
"""Where less than this share of a disc meets what is not hidden, nothing is known of a layer."""
STEEP = 1000.0
"""A layer in which something is brighter than this times the picture's median is spread in float64."""
LARGE = 4_000_000
"""Pixels of a frame from which on layers are spread one at a time, to spare memory."""
FULL = 1.0 - 4e-6
"""Coverage from which on, but for rounding, a layer hides all that is behind it."""
Box = tuple[slice, slice]


@dataclass(frozen=True)
class _Cut:
    """How a picture is cut into layers: their radii on one side of focus, and what all share."""

    nodes: NDArray[np.float64]
    iris: Iris
    highlights: Highlights
    steep: float
    """A layer with anything brighter is spread in float64."""
    threads: int
    """That share one layer."""


@dataclass(frozen=True)
class _Layer:
    """What is cut out for one layer: coverage, coverage of all that is not nearer, colour times coverage (3, ...)."""

    number: int
    box: Box
    cover: Array
    not_nearer: Array
    colour: Array


@dataclass(frozen=True)
class _Spread:
    """A layer as the lens shows it: what it hides, 0 to 1, and colour times that (3, ...)."""

    number: int
    box: Box
    hides: Array
    colour: Array


def defocused(image: Array, *, near: Array, far: Array, cover: Array, iris: Iris | None = None) -> Array:
    """The image (h, w, 3), linear, out of focus where `near` and `far` say.

    `near`, `far` (h, w): radius of the blur disc (half its height) in pixels of the nearer and the farther surface in
    a pixel, positive beyond the plane of focus, negative before it; `cover` (h, w): the nearer one's share, 1 where
    there is one surface. Light is neither made nor lost, but for what leaves the frame.
    """
    height = image.shape[0]
    most = np.float32(LARGEST * height)
    near, far = np.clip(near, -most, most), np.clip(far, -most, most)
    if max(np.abs(near).max(), np.abs(np.where(cover < 1.0, far, near)).max()) <= SHARP:
        return image
    fragments = fragments_of(image, near=near, far=far, cover=cover)
    nodes = _nodes(float(max(np.abs(near).max(), np.abs(far).max())))
    place, place_behind = _place(fragments.blur, nodes), _place(fragments.behind.blur, nodes)
    threads = min(4, os.cpu_count() or 1)
    workers = 1 if near.size > LARGE else threads
    cut = _Cut(
        nodes,
        iris or Iris(),
        highlights_of(fragments, place, place_behind, sharp=SHARP),
        STEEP * float(np.median(image[::3, ::3])),
        threads // workers,
    )
    total = np.zeros((3, *near.shape), np.float32)
    known = np.zeros(near.shape, np.float32)
    filled = False
    for layer in _spread_all(_layers(fragments, place, place_behind, nodes), cut, workers=workers):
        if layer.number < 0 and not filled:
            _fill(total, known)
            filled = True
        behind = 1.0 - layer.hides
        for channel in range(3):
            part = total[channel][layer.box]
            part *= behind
            part += layer.colour[channel]
        known[layer.box] = known[layer.box] * behind + layer.hides
    if float(known.min()) < FULL:
        _fill(total, known)
    return np.ascontiguousarray(total.transpose(1, 2, 0))


def _nodes(most: float) -> NDArray[np.float64]:
    """Radii of the layers on one side of focus, from the sharp one, whose disc is the pixel, to `most` or beyond."""
    nodes = [SHARP]
    while nodes[-1] < most:
        nodes.append(nodes[-1] + max(STEP, GROWTH * nodes[-1]))
    return np.array(nodes)


def _place(blur: Array, nodes: NDArray[np.float64]) -> Array:
    """Where a blur lies among the layers, in layers from the sharp one; signed. Between two, it is shared so that
    the mean square of the disc's radius is right."""
    squares = nodes**2
    place = np.interp(np.square(blur), squares, np.arange(len(nodes)))
    return np.copysign(place, blur).astype(np.float32)


def _spread_all(layers: Iterator[_Layer], cut: _Cut, *, workers: int) -> Iterator[_Spread]:
    """The layers as the lens shows them, from the farthest to the nearest."""
    waiting: deque[Future[_Spread]] = deque()
    with ThreadPoolExecutor(workers) as pool:
        for layer in layers:
            waiting.append(pool.submit(_spread, layer, cut))
            if len(waiting) >= 2 * workers - 1:
                yield waiting.popleft().result()
        while waiting:
            yield waiting.popleft().result()


def _layers(
    fragments: Fragments, place: Array, place_behind: Array, nodes: NDArray[np.float64]
) -> Iterator[_Layer]:
    """The layers, from the farthest to the nearest."""
    behind = fragments.behind
    numbers = {int(n) for p in (place, place_behind) for f in (np.floor, np.ceil) for n in np.unique(f(p))}
    not_nearer = np.zeros_like(fragments.share)
    for number in sorted(numbers, reverse=True):
        cover = np.maximum(1.0 - np.abs(place - np.float32(number)), 0.0)
        cover *= fragments.share
        part = np.maximum(1.0 - np.abs(place_behind - np.float32(number)), 0.0) * behind.share
        chosen = np.flatnonzero(part > 0.0)
        index, part = behind.index[chosen], part[chosen]
        there = cover > 0.0
        there.ravel()[index] = True
        box = _box(there, 2.0 * float(nodes[abs(number)]) + 2.0)
        colour = fragments.colour[(slice(None), *box)] * cover[box]
        row, column = np.divmod(index, cover.shape[1])
        for channel in range(3):
            light = part * behind.colour[channel, chosen]
            colour[channel, row - box[0].start, column - box[1].start] += light
        cover.ravel()[index] += part
        not_nearer += cover
        yield _Layer(number, box, cover[box], not_nearer[box].copy(), colour)


def _box(there: NDArray[np.bool_], margin: float) -> Box:
    """The rectangle about all that is there, `margin` pixels wider all round, within the frame."""
    extra = int(np.ceil(margin))
    rows, columns = np.flatnonzero(there.any(axis=1)), np.flatnonzero(there.any(axis=0))
    return (
        slice(max(0, rows[0] - extra), min(there.shape[0], rows[-1] + 1 + extra)),
        slice(max(0, columns[0] - extra), min(there.shape[1], columns[-1] + 1 + extra)),
    )


def _spread(layer: _Layer, cut: _Cut) -> _Spread:
    """A layer blurred, as a share of all that is not nearer, with its highlights."""
    if layer.number == 0:
        sure = np.maximum(layer.not_nearer, np.float32(1e-6))
        hides = np.asarray(np.minimum(layer.cover / sure, 1.0), np.float32)
        colour = np.asarray(layer.colour / sure, np.float32)
    else:
        radius = float(cut.nodes[abs(layer.number)])
        step = 1
        while radius / (2 * step) >= COARSE:
            step *= 2
        disc = cut.iris.disc(radius / step, beyond=layer.number > 0)
        spread = _Convolution(
            layer.cover.shape, disc, step, float(layer.colour.max()) > cut.steep, cut.threads
        )
        known = spread(layer.not_nearer)
        share = np.where(known > KNOWN, 1.0 / np.maximum(known, KNOWN), 0.0).astype(np.float32)
        hides = np.clip(spread(layer.cover) * share, 0.0, 1.0).astype(np.float32)
        hides[hides > FULL] = 1.0
        hides = spread.enlarged(hides)
        colour = np.stack([spread.enlarged(np.maximum(spread(plane), 0.0) * share) for plane in layer.colour])
    cut.highlights.draw(colour, layer.number, layer.box, cut.iris)
    return _Spread(layer.number, layer.box, hides, colour)


class _Convolution:
    """Spreads planes of one shape by one disc, on a grid `step` times coarser; nothing lies outside the plane."""

    def __init__(self, shape: tuple[int, ...], disc: Array, step: int, steep: bool, threads: int) -> None:
        self.shape, self.step, self.threads = shape, step, threads
        self.kind = np.float64 if steep else np.float32
        self.rows, self.columns = -(-shape[0] // step), -(-shape[1] // step)
        down, right = disc.shape[0] // 2, disc.shape[1] // 2
        # The disc's middle is the origin: what is above and left of it wraps to the far end.
        height, width = max(self.rows + down, disc.shape[0]), max(self.columns + right, disc.shape[1])
        self.padded = fast_length(height), fast_length(width)
        placed = np.zeros(self.padded, self.kind)
        row, column = np.arange(disc.shape[0]) - down, np.arange(disc.shape[1]) - right
        placed[np.ix_(row % self.padded[0], column % self.padded[1])] = disc
        self.spectrum = self._forward(placed)

    def _forward(self, plane: Plane) -> Spectrum:
        return spectrum_of(plane.astype(self.kind, copy=False), self.padded, threads=self.threads)

    def __call__(self, plane: Array) -> Array:
        """The plane spread, on the coarser grid."""
        spectrum = self._forward(self._coarse(plane))
        spectrum *= self.spectrum
        found = plane_of(spectrum, self.padded, threads=self.threads)[: self.rows, : self.columns]
        return found.astype(np.float32)

    def _coarse(self, plane: Array) -> Array:
        if self.step == 1:
            return plane
        padded = np.zeros((self.rows * self.step, self.columns * self.step), np.float32)
        padded[: self.shape[0], : self.shape[1]] = plane
        return padded.reshape(self.rows, self.step, self.columns, self.step).mean(axis=(1, 3))

    def enlarged(self, plane: Array) -> Array:
        """A spread plane at the size of what was given."""
        return enlarged(plane, self.step, self.shape[0], self.shape[1])


def _fill(total: Array, known: Array) -> None:
    """Fills in, from around, what is not known (h, w, 0 to 1) of total (3, h, w), its colour times that."""
    if float(known.min()) >= FULL:
        return
    height, width = known.shape
    if max(height, width) > 1:
        coarse = np.stack([_halved(plane) for plane in (*total, known)])
        sure = np.maximum(coarse[3], 1e-9)
        # A quarter known is as good as wholly known: the nearest of what is known tells most.
        gain = np.minimum(4.0, 1.0 / sure)
        coarse *= gain
        _fill(coarse[:3], coarse[3])
        for channel in range(3):
            total[channel] += (1.0 - known) * enlarged(coarse[channel], 2, height, width)
    else:
        total /= np.maximum(known, 1e-9)
    known[:] = 1.0


def _halved(plane: Array) -> Array:
    padded = np.pad(plane, ((0, plane.shape[0] % 2), (0, plane.shape[1] % 2)), mode="edge")
    return 0.25 * (padded[::2, ::2] + padded[1::2, ::2] + padded[::2, 1::2] + padded[1::2, 1::2])
