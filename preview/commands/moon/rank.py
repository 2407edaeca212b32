"""Moon rank: directions in order, by what a user weighs. The figures are measured; the weights, and the curves that turn
figures into marks from 0 to 1, are taste, and are told."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from preview.camera.exposure import incident_stops
from preview.commands.moon.faces import MOON, FaceUnder
from preview.commands.moon.figures import Frame, Lifted
from preview.commands.moon.sight import Disc
from preview.faults import UserError
from preview.script.models.camera import Camera
from preview.script.quantities import number
from preview.script.words import unknown

Curve = tuple[tuple[float, float], ...]
"""Points (figure, mark) that are joined by straight lines; level beyond the ends."""

RIM: Final[Curve] = ((0.0, 0.0), (1.5, 1.0), (3.0, 1.0), (5.0, 0.5))
"""Of the stops that the brightest edge, lit by the moon, has over the front. Common practice, no source."""
EDGE_READS: Final[Curve] = ((-4.0, 0.0), (-1.5, 1.0))
"""Of that edge's own stops from grey."""
SHAPE: Final[Curve] = ((0.0, 0.2), (0.5, 0.4), (1.5, 1.0), (3.0, 1.0), (4.5, 0.5), (6.0, 0.2))
"""Of the stops between the cheeks. Common practice, no source: flat under half a stop, hard over three."""
FACE_READS: Final[Curve] = ((-5.0, 0.0), (-2.0, 1.0), (1.5, 1.0), (4.0, 0.3))
"""Of the brighter cheek's stops from grey."""
INTO_IT: Final = 0.5
"""What is left of a face's mark when it looks into the moon."""
TEXTURE: Final[Curve] = ((0.0, 0.0), (0.8, 1.0))
"""Of the RMS contrast of the moon on the ground, times its share of the light there."""
NOTHING_TO_LIFT: Final = 0.02
"""Share of a group that must not read without the moon for the moon to be judged by what it lifts."""
FLAT: Final = 0.5
"""Stops between cheeks under which a face is flat."""
DARK: Final = 4.0
"""Stops under grey of the brighter cheek from which a face is dark."""

WORDS: Final[Mapping[str, str]] = {
    "rim": "the moon's edge on hair and shoulders: best 1.5 to 3 stops over the front of the face",
    "faces": "shape of each face: best 1.5 to 3 stops between the cheeks, and bright enough to read; half where it "
    "looks into the moon",
    "background": "of what does not read behind the figures without a moon, the share that reads with it",
    "trees": "the same of the trees and hedges in frame",
    "house": "the same of the buildings in frame",
    "texture": "how strongly the moon rakes the ground in frame, as far as it is the moon that lights it and it reads: "
    "best from a contrast of 0.8",
    "unseen": "1 where the moon is not in shot, 0 where it is",
}
"""What can be weighed."""
USUAL: Final[Mapping[str, float]] = {"rim": 1.0, "faces": 1.0, "background": 1.0, "texture": 0.5}
MOST: Final = 100.0


@dataclass(frozen=True)
class Ranked:
    """A direction by its `number` in the sweep: `place` from 1; `total` 0 to 1, the weighted mean of `marks`, which are
    None for what cannot be judged in this frame; `why` in words."""

    number: int
    place: int
    total: float
    marks: Mapping[str, float | None]
    why: str


def weights_of(text: str | None) -> dict[str, float]:
    """Weights from `rim=2,faces=1`; what is not named weighs nothing. UserError for a word or a number that will not do."""
    if text is None:
        return dict(USUAL)
    found: dict[str, float] = {}
    how = "write such as --weigh rim=2,faces=1,background=1,texture=0.5"
    for part in text.split(","):
        word, equals, value = (piece.strip() for piece in part.partition("="))
        if not word or not equals:
            raise UserError(f'--weigh: "{part.strip()[:40]}" is not a word with its weight; {how}')
        if word.lower() not in WORDS:
            raise UserError(f"--weigh: {unknown('such word', word, WORDS)}")
        try:
            weight = number(value)
        except ValueError as error:
            raise UserError(f"--weigh: {word}: {error}") from None
        if not 0.0 <= weight <= MOST:
            raise UserError(f"--weigh: {word}: a weight is from 0 to {MOST:g}, not {value}")
        if word.lower() in found:
            raise UserError(f"--weigh: {word} is weighed twice")
        found[word.lower()] = weight
    if not any(found.values()):
        raise UserError(f"--weigh: all weights are 0, so nothing ranks; {how}")
    return found


def on(curve: Curve, figure: float) -> float:
    """The mark of a figure."""
    places, marks = zip(*curve, strict=True)
    return float(np.interp(figure, places, marks))


def marks_of(
    faces: Sequence[FaceUnder], frame: Frame, disc: Disc, bare: Sequence[Lifted | None], camera: Camera
) -> dict[str, float | None]:
    """All marks of one direction; `bare`: trees, buildings and background without the moon."""
    trees, house, background = (
        _gained(with_moon, without)
        for with_moon, without in zip((frame.trees, frame.buildings, frame.behind), bare, strict=True)
    )
    return {
        "rim": float(np.mean([_rim(face) for face in faces])) if faces else None,
        "faces": float(np.mean([_face(face, camera) for face in faces])) if faces else None,
        "background": background,
        "trees": trees,
        "house": house,
        "texture": _texture(frame),
        "unseen": 0.0 if disc.in_shot else 1.0,
    }


def _texture(frame: Frame) -> float | None:
    """Of the contrast that is left beside the other lights on the ground, where it reads."""
    if frame.texture is None or frame.ground is None:
        return None
    return on(TEXTURE, frame.texture * frame.moon_on_ground) * frame.ground.reads


def _rim(face: FaceUnder) -> float:
    over, edge = face.light.rim_over_front, face.light.rim_stops
    if edge is None or face.light.rim_by != MOON:
        return 0.0
    # A front without any light is as far under as an edge is over.
    return on(RIM, RIM[-1][0] if over is None else over) * on(EDGE_READS, edge)


def _face(face: FaceUnder, camera: Camera) -> float:
    cheeks = face.light.cheeks
    bright = max(cheeks.left_lux, cheeks.right_lux)
    if bright <= 0.0:
        return 0.0
    # One cheek without any light is as far under as shape goes.
    between = cheeks.ratio.stops if cheeks.ratio is not None else SHAPE[-1][0]
    mark = on(SHAPE, between) * on(FACE_READS, float(incident_stops(bright, camera)))
    return mark * (INTO_IT if face.looks_into_it else 1.0)


def _gained(with_moon: Lifted | None, without: Lifted | None) -> float | None:
    if with_moon is None or without is None or 1.0 - without.reads < NOTHING_TO_LIFT:
        return None
    return max(0.0, (with_moon.reads - without.reads) / (1.0 - without.reads))


def ranked(
    marks: Sequence[Mapping[str, float | None]], reasons: Sequence[str], weights: Mapping[str, float]
) -> tuple[Ranked, ...]:
    """Directions, best first; of equals the first of the sweep. What cannot be judged in a frame counts for nothing."""
    totals = []
    for each in marks:
        counted = [
            (weights[word], mark) for word, mark in each.items() if weights.get(word) and mark is not None
        ]
        whole = sum(weight for weight, _ in counted)
        totals.append(sum(weight * mark for weight, mark in counted) / whole if whole else 0.0)
    order = sorted(range(len(totals)), key=lambda n: (-round(totals[n], 6), n))
    return tuple(
        Ranked(number, place, totals[number], marks[number], reasons[number])
        for place, number in enumerate(order, 1)
    )
