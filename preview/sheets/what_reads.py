"""What reads: which pieces and figures in frame are lost in the dark, stand out as silhouettes, only just read, or clip.

The thresholds are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from math import isfinite
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from preview.script.models.camera import Latitude

Fate = Literal["lost", "silhouette", "barely", "clips", "reads"]
Array = NDArray[np.float32]

SKY = "sky"
WORTH = {"cast": 0.001, "set": 0.005, "sky": 0.005}
"""Share of the frame from which something is worth a word."""
LOST = 5.0
"""Stops under grey below which nothing reads, even where the sensor still holds something."""
BARELY = 3.5
"""Stops under grey below which something only just reads."""
APART = 2.0
"""Stops by which what is round it must be brighter than a dark thing's bright tenth to make it a silhouette."""
DARK = 2.5
"""Stops under grey that a silhouette at least is."""
CLIPS = 0.05
"""Share of a thing that clips before it is called so."""
MOST = 5
"""Sentences."""


@dataclass(frozen=True)
class PieceTones:
    """How one piece or figure lies on the sensor. `share` of the frame, 0 to 1; stops from grey, None for no light:
    the median, what the brightest tenth of it exceeds, the median of what is round it; share of it that clips.
    """

    name: str
    kind: Literal["cast", "set", "sky"]
    share: float
    median_stops: float | None
    bright_stops: float | None
    around_stops: float | None
    clipped_share: float
    fate: Fate


def pieces_in_frame(
    stops: Array, part: NDArray[np.int32], names: Sequence[str], cast: Collection[str], latitude: Latitude
) -> tuple[PieceTones, ...]:
    """The tones of all that is worth a word, cast first, then what is largest.

    stops (h, w) from grey, -inf for no light; part (h, w): numbers into `names`, -1 for sky, below it what belongs to
    the rig, of which nothing is said. A name is that of a piece or figure up to its first full stop.
    """
    owners = [name.partition(".")[0] for name in names]
    order = sorted(set(owners))
    number = np.array([order.index(owner) for owner in owners] + [len(order), -1], np.int64)
    owner_of = number[np.where(part >= 0, part, np.where(part == -1, len(owners), len(owners) + 1))]
    found = []
    for index, name in enumerate([*order, SKY]):
        kind: Literal["cast", "set", "sky"] = (
            "sky" if index == len(order) else "cast" if name in cast else "set"
        )
        here = owner_of == index
        share = float(here.mean())
        if share >= WORTH[kind]:
            found.append(_tones(name, kind, share, stops, here, owner_of >= 0, latitude))
    return tuple(sorted(found, key=lambda one: (one.kind != "cast", -one.share)))


def _tones(
    name: str,
    kind: Literal["cast", "set", "sky"],
    share: float,
    stops: Array,
    here: NDArray[np.bool_],
    told: NDArray[np.bool_],
    latitude: Latitude,
) -> PieceTones:
    own = np.sort(stops[here])
    median, bright = float(own[len(own) // 2]), float(own[min(len(own) - 1, int(0.9 * len(own)))])
    ring = _within(here, max(2, here.shape[1] // 30)) & ~here & told
    beside = float(np.sort(stops[ring])[ring.sum() // 2]) if ring.any() else None
    clipped = float(np.mean(own > latitude.over))
    floor = -min(LOST, latitude.under)
    fate: Fate = "reads"
    if clipped >= CLIPS:
        fate = "clips"
    elif kind != "sky" and beside is not None and median < -DARK and beside > max(bright + APART, -BARELY):
        fate = "silhouette"
    elif bright < floor:
        fate = "lost"
    elif bright < -BARELY:
        fate = "barely"
    return PieceTones(name, kind, share, _finite(median), _finite(bright), _finite(beside), clipped, fate)


def _finite(stops: float | None) -> float | None:
    return stops if stops is not None and isfinite(stops) else None


def _within(mask: NDArray[np.bool_], reach: int) -> NDArray[np.bool_]:
    """A mask (h, w) widened by `reach` pixels each way."""
    for axis in (0, 1):
        sums = np.cumsum(
            np.pad(mask, [(reach + 1, reach) if a == axis else (0, 0) for a in (0, 1)]), axis=axis
        )
        size = mask.shape[axis]
        first, last = np.arange(size), np.arange(size) + 2 * reach + 1
        mask = np.take(sums, last, axis) > np.take(sums, first, axis)
    return mask


def reading_words(pieces: Sequence[PieceTones]) -> list[str]:
    """What a gaffer would say of them, a sentence each, at most `MOST`; of one thing one sentence only."""
    lost = [one for one in pieces if one.fate == "lost" and one.kind != "cast"]
    told = []
    for one in pieces:
        if one.fate == "reads" or (one in lost[1:]):
            continue
        told.append(_lost(lost) if lost and one is lost[0] else _sentence(one))
    return told[:MOST]


def _sentence(one: PieceTones) -> str:
    if one.fate == "lost":
        return _lost([one])
    name = _called(one)
    if one.fate == "silhouette":
        return f"{name} is a silhouette: {_under(one.median_stops)}, {_under(one.around_stops)} round it."
    if one.fate == "barely":
        return f"{name} only just reads: {_under(one.bright_stops)} where it is brightest."
    share = round(100 * one.clipped_share)
    return f"{name} clips: {share} % of what is seen of it is past what the sensor holds."


def _lost(pieces: Sequence[PieceTones]) -> str:
    names = [_called(one) for one in pieces]
    medians = [one.median_stops for one in pieces if one.median_stops is not None]
    many = len(names) > 1
    whom = f"{', '.join(names[:-1])} and {names[-1]} are" if many else f"{names[0]} is"
    if not medians:
        return f"{whom} black: no light reaches {'them' if many else 'it'}."
    more = " or darker" if many else ""
    return f"{whom} {_under(max(medians))}{more}: nothing there will read."


def _called(one: PieceTones) -> str:
    return "the sky" if one.kind == "sky" else one.name


def _under(stops: float | None) -> str:
    """`6 stops under`, `1 stop over`, `at grey`, `black`, to half a stop."""
    if stops is None:
        return "black"
    half = round(2.0 * abs(stops)) / 2.0
    if half == 0.0:
        return "at grey"
    return f"{half:g} stop{'' if half <= 1.0 else 's'} {'over' if stops > 0 else 'under'}"
