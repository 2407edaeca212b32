"""Layer: one light's part of a frame, worked out tile by tile: all that the camera sees of that light alone."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.light.emitters.dome import Dome
from preview.light.light import Emitter, Light
from preview.light.spaces import ACESCG
from preview.light.vectors import column
from preview.trace.arrival import ONE_TELLS, one_sample
from preview.trace.bounce import BounceField
from preview.trace.direct import direct
from preview.trace.gloss import mirror_luminance, sheen
from preview.trace.haze import Haze
from preview.trace.quality import Quality
from preview.trace.raking import share
from preview.trace.sampling import shifted, shifts, spread_points, stream
from preview.trace.scatter_field import ScatterField
from preview.trace.seen import Seen
from preview.trace.spots import Spots
from preview.trace.stage import Stage
from preview.trace.tile import neighbourhood

Array = NDArray[np.float32]
Indices = NDArray[np.intp]

HORIZON_DIP = 0.02
"""How far below level, as a sine, the sky is still shown: the ground of a set ends, the country does not."""
FLOOR = 3e-3
"""cd/m2 that matter to no camera: an error beside them counts as small."""
FLECK = 2.0
"""How many times as bright as its neighbours' a pixel's rough reflection may be."""
ROUGH = 0.05
"""GGX alpha from which what a surface mirrors is so blurred that neighbouring pixels may share it."""
LUMINANCE = ACESCG.luminance.astype(np.float32)


@dataclass(frozen=True)
class Layer:
    """Of a tile: radiance (3, pixels) cd/m2; error (pixels,) cd/m2 of luminance, one standard deviation of chance."""

    radiance: Array
    error: Array


@dataclass(frozen=True)
class LayerWork:
    """What one light's layer is worked out from: `field` of the bounce and `scatter` of the haze for this light; whether
    it is worked out `alone`."""

    stage: Stage
    light: Light
    quality: Quality
    seed: int
    haze: Haze | None = None
    field: BounceField | None = None
    scatter: ScatterField | None = None
    alone: bool = False

    def tile(self, view: Seen) -> Layer:
        """The layer of a tile."""
        answer = self._first(view)
        if self.quality.rounds > 1 and view.tile.samples > 1:
            answer.refine()
        return Layer(answer.radiance(), answer.error())

    def _first(self, view: Seen) -> _Account:
        places, tile = view.spots, view.tile
        lux = np.zeros(len(places.pixel), np.float32)
        gloss = np.zeros_like(lux)
        error = np.zeros(tile.pixels, np.float32)
        coated = places.coated()
        number = tile.numbers()
        for index, emitter in enumerate(self.light.emitters):
            if self.field is not None and isinstance(emitter, Dome):
                continue  # it came with the bounce
            answer = direct(
                view,
                emitter,
                self.stage.solid.rays,
                shift=shifts(number, stream(self.seed, self.light.name, "direct", index)),
                quality=self.quality,
                haze=self.haze,
            )
            lux += answer.lux * share(places.points, emitter, answer.lux)
            error += answer.error * answer.error
            whole = view.plain[coated]
            gloss += _sheen(places, coated[whole], emitter, answer.seen)
            gloss += _sheen(places, coated[~whole], emitter, answer.seen, self._turn(places, index))
        diffuse = places.diffuse()
        value = self.lit(places, diffuse, lux, gloss)
        noise = np.zeros(tile.pixels, np.float32)
        plain = np.flatnonzero(view.plain)
        noise[places.pixel[plain]] = LUMINANCE @ np.take(diffuse, plain, axis=1)
        noise = np.sqrt(error) * noise
        mirroring = places.mirroring()
        if len(mirroring):
            mirrored, rough = self._mirrored_plain(view, mirroring, value)
            value += mirrored
            noise = np.hypot(noise, rough)
        return _Account(self, view, self.seen_through(places, value), noise)

    def further(self, view: Seen, number: int, wanted: NDArray[np.bool_]) -> tuple[Spots, Array]:
        """Further samples of the pixels that are `wanted` (pixels,): their spots, with the value (3, n) of each."""
        places = view.more(self.stage, number, wanted, shared=not self.alone)
        lux, gloss = np.zeros(len(places.pixel), np.float32), np.zeros(len(places.pixel), np.float32)
        coated = places.coated()
        for part, emitter in enumerate(self.light.emitters):
            if self.field is not None and isinstance(emitter, Dome):
                continue
            u = self._turn(places, part)
            answer = one_sample(places.points, emitter, self.stage.solid.rays, u, self.haze)
            shone = np.minimum(answer.lux, np.float32(ONE_TELLS * emitter.most))
            lux += shone * share(places.points, emitter, shone, u)
            gloss += _sheen(places, coated, emitter, answer.visible, u)
        value = self.lit(places, places.diffuse(), lux, gloss)
        mirroring = places.mirroring()
        if len(mirroring):
            value[:, mirroring] += self._mirrored(places, mirroring, 0)
        return places, self.seen_through(places, value)

    def _turn(self, places: Spots, part: int) -> Array:
        """Which place (2, n) of an emitter each spot looks at: those of a pixel are well spread."""
        most = places.tile.samples * (self.quality.rounds + 1)
        numbers = places.tile.numbers()[places.pixel]
        shift = shifts(numbers, stream(self.seed, self.light.name, "direct", part))
        return shifted(np.take(spread_points(most), places.sample % most, axis=1), shift)

    def lit(self, places: Spots, diffuse: Array, lux: Array, gloss: Array) -> Array:
        """Radiance (3, n) that leaves spots towards the eye: lit, or glowing of themselves."""
        arriving = lux if self.field is None else lux + self.field.at(self.light.name, places)
        value = np.asarray(diffuse * arriving + gloss, np.float32)
        shown = places.points.part < -1
        if shown.any():
            for part in np.unique(places.points.part[shown]):
                owner = self.stage.glow_of_part[-2 - part]
                if owner is None:
                    continue
                # What glows is taken to mirror nothing of anybody's light.
                here = places.points.part == part
                value[:, here] = 0.0
                name, glow = owner
                if name == self.light.name:
                    value[:, here] = glow.seen_at(places.points.position[:, here], places.to_eye[:, here])
        return value

    def _mirrored(
        self, places: Spots, mirroring: Indices, number: int, wanted: Indices | None = None
    ) -> Array:
        """What smooth coats (3, c) show along one reflected ray each; only at `wanted`, where it is given."""
        mirror = places.mirror(self.stage, number, self.seed)
        if wanted is not None:
            mirror = mirror.only(wanted)
        pixel = places.tile.numbers()[places.pixel[mirroring]]
        turn = shifts(pixel, stream(self.seed, self.light.name, "mirror", number))
        u = shifted(np.take(spread_points(64), places.sample[mirroring] % 64, axis=1), turn)
        points = places.points.take(mirroring)
        return mirror_luminance(mirror, points, self.light, self.stage.solid.rays, u=u)

    def _mirrored_plain(self, view: Seen, mirroring: Indices, value: Array) -> tuple[Array, Array]:
        """What coats show (3, n) of a tile's spots, and the error left of it (pixels,).

        Plain pixels ask again until the error is within the target, rough ones with their neighbours.
        """
        places, pixels = view.spots, view.tile.pixels
        answer = np.zeros_like(value)
        answer[:, mirroring] = first = self._mirrored(places, mirroring, 0)
        lead = np.flatnonzero(view.plain[mirroring])
        if len(lead) == 0 or self.quality.rounds == 1:
            return answer, np.zeros(pixels, np.float32)
        pixel = places.pixel[mirroring[lead]]
        rough = places.points.roughness[mirroring[lead]] > ROUGH
        wide = _at(pixel[rough], pixels)
        # Sums over rays, by pixel: colour, luminance squared, number.
        total = np.zeros((5, pixels), np.float32)
        beside = np.zeros(pixels, np.float32)
        beside[pixel] = LUMINANCE @ np.take(value, mirroring[lead], axis=1)

        def add(found: Array, at: Indices) -> None:
            mine = pixel[at]
            total[:3, mine] += found
            total[3, mine] += np.square(LUMINANCE @ found)
            total[4, mine] += 1.0

        def told() -> tuple[Array, Array]:
            chosen = np.where(wide > 0.0, view.blended(_held(view, _held(view, total * wide))), total)
            count = np.maximum(chosen[4], np.float32(1.0))
            mean = chosen[:3] / count
            bright = LUMINANCE @ mean
            spread = np.maximum(chosen[3] / count - bright * bright, np.float32(0.0))
            return mean, np.asarray(np.sqrt(spread / np.maximum(count - 1.0, np.float32(1.0))), np.float32)

        add(np.take(first, lead, axis=1), np.arange(len(lead)))
        again = np.arange(len(lead))
        for number in range(1, 2 * self.quality.rounds):
            found = self._mirrored(places, mirroring, number, lead[again])
            add(np.take(found, lead[again], axis=1), again)
            mean, error = told()
            enough = np.float32(self.quality.noise) * (LUMINANCE @ mean + beside + np.float32(FLOOR))
            again = np.flatnonzero(error[pixel] > enough[pixel])
            if len(again) == 0:
                break
        answer[:, mirroring[lead]] = np.take(mean, pixel, axis=1)
        return answer, error

    def seen_through(self, places: Spots, value: Array) -> Array:
        """The value (3, n) of spots after the glass and the haze before them."""
        value *= places.through
        if self.haze is not None:
            eye = column(places.view.position)
            value *= self.haze.passing(eye, -places.to_eye, places.distance)
            if self.scatter is not None:
                u, v = places.frame()
                value += self.scatter.at(u, v, places.distance)
        return value

    def background(self, places: Spots) -> Array:
        """Luminance (b,) of the sky where samples met nothing."""
        total = np.zeros(len(places.bare_pixel), np.float32)
        if len(total) == 0:
            return total
        pixel = 2.0 * places.view.tan_half_width / places.tile.width
        for emitter in self.light.emitters:
            sky = emitter.background(places.bare_direction, dip=HORIZON_DIP, pixel=pixel)
            if sky is not None:
                total += sky
        total *= places.bare_through
        if self.haze is not None:
            endless = np.full(len(total), np.inf, np.float32)
            total *= self.haze.passing(column(places.view.position), places.bare_direction, endless)
            if self.scatter is not None:
                total += self.scatter.at(*places.bare_frame(), endless)
        return total

    def glass(self, places: Spots) -> Array:
        """What panes mirror (3, q)."""
        glass = places.glass
        if len(glass.pixel) == 0:
            return np.zeros((3, 0), np.float32)
        mirror, rays = places.glass_mirror(self.stage, self.seed), self.stage.solid.rays
        turn = shifts(places.tile.numbers()[glass.pixel], stream(self.seed, self.light.name, "glass"))
        value = np.zeros((3, len(glass.pixel)), np.float32)
        for u in spread_points(places.tile.samples).T:
            # One ray finds what is mirrored; how that is lit takes more.
            value += mirror_luminance(mirror, glass.points, self.light, rays, u=shifted(u[:, None], turn))
        value *= glass.share / np.float32(places.tile.samples)
        if self.haze is not None:
            value *= self.haze.passing(column(places.view.position), -glass.to_eye, glass.distance)
        return value


def _sheen(places: Spots, coated: Indices, emitter: Emitter, seen: Array, u: Array | None = None) -> Array:
    """What coats show (n,) of an emitter of which spots see the share `seen` (n,); by u (2, n), of one place of it."""
    answer = np.zeros(len(seen), np.float32)
    lit = coated[seen[coated] > 0.0]
    if len(lit):
        points, to_eye = places.points.take(lit), np.take(places.to_eye, lit, axis=1)
        answer[lit] = seen[lit] * sheen(
            points, to_eye, emitter, None if u is None else np.take(u, lit, axis=1)
        )
    return answer


def _held(view: Seen, total: Array) -> Array:
    """Sums over rays (5, pixels), as in `_mirrored_plain`, without flecks: what a ray met by chance that is many times as
    bright as what its neighbours' met is held to a few times that."""
    beside = view.blended(total) - total
    own, other = LUMINANCE @ total[:3], LUMINANCE @ beside[:3]
    most = np.float32(FLECK) * other * total[4]
    bright = own * beside[4]
    share = np.where((bright > most) & (beside[4] > 0.0), most / np.maximum(bright, np.float32(1e-20)), 1.0)
    held = total.copy()
    held[:3] *= share
    held[3] *= share * share
    return held


def _at(pixel: Indices, pixels: int) -> Array:
    """1 at the pixels named, 0 elsewhere (pixels,)."""
    mask = np.zeros(pixels, np.float32)
    mask[pixel] = 1.0
    return mask


class _Account:
    """What has been found of a tile so far: sums by pixel, over samples."""

    def __init__(self, work: LayerWork, view: Seen, value: Array, noise: Array) -> None:
        self.work, self.view, self.noise = work, view, noise
        pixels = view.tile.pixels
        self.total = np.zeros((3, pixels), np.float32)
        self.squares = np.zeros(pixels, np.float32)
        self.sums = np.zeros(pixels, np.float32)
        self.number = np.ones(pixels, np.float32)
        self.number[view.edge] = 0.0
        self._add(view.spots, value, view.edge)

    def _add(self, places: Spots, value: Array, many: NDArray[np.bool_]) -> None:
        """Adds the values (3, n) of spots, the sky and the glass beside them; `many` (pixels,): of all samples there."""
        pixels, samples = self.view.tile.pixels, self.view.tile.samples
        sky = self.work.background(places)
        luminance = np.zeros(samples * pixels, np.float32)
        for pixel, sample, found in (
            (places.pixel, places.sample, value),
            (places.bare_pixel, places.bare_sample, np.broadcast_to(sky, (3, len(sky)))),
            (places.glass.pixel, places.glass.sample, self.work.glass(places)),
        ):
            if len(pixel) == 0:
                continue
            for channel in range(3):
                self.total[channel] += np.bincount(pixel, weights=found[channel], minlength=pixels)
            # Each kind has one value a sample.
            luminance[(sample - places.first) * pixels + pixel] += LUMINANCE @ found
        chosen = luminance.reshape(samples, pixels)[:, many]
        self.sums[many] += chosen.sum(axis=0)
        self.squares[many] += np.square(chosen).sum(axis=0)
        self.number[many] += samples

    def refine(self) -> None:
        """Adds samples to pixels on an edge until what they leave to chance is within the quality's target."""
        quality = self.work.quality
        for number in range(1, quality.rounds):
            bright = self.sums / np.maximum(self.number, np.float32(1.0))
            wanted = self.view.edge & (
                self.error() > np.float32(quality.noise) * (bright + np.float32(FLOOR))
            )
            if not wanted.any():
                return
            self._add(*self.work.further(self.view, number, wanted), wanted)

    def radiance(self) -> Array:
        return np.asarray(self.total / self.number, np.float32)

    def error(self) -> Array:
        """One standard deviation (pixels,) of the luminance: of an edge's mean by its samples, elsewhere as found.

        Where all the samples of an edge agree, the next may still find what its neighbours have: by one of n + 2.
        Source: P.-S. Laplace's rule of succession, Essai philosophique sur les probabilites, 1814.
        """
        number = np.maximum(self.number, np.float32(1.0))
        mean = self.sums / number
        spread = np.maximum(self.squares / number - mean * mean, 0.0) / np.maximum(
            number - 1.0, np.float32(1.0)
        )
        shape = self.view.tile.rows, self.view.tile.columns
        bright = np.asarray(LUMINANCE @ self.total / number, np.float32).reshape(shape)
        unlike = (neighbourhood(bright, 1) + neighbourhood(-bright, 1)).ravel()
        unseen = unlike / (number + np.float32(2.0))
        return np.asarray(
            np.where(self.view.edge, np.maximum(np.sqrt(spread), unseen), self.noise), np.float32
        )
