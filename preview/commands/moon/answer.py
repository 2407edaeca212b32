"""Moon answer: the blocks of the sheet: what is best, the plan, pictures, why, the order, how to read it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import degrees, log2

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from preview.camera.exposure import grey_illuminance_of
from preview.commands.moon.faces import EDGE, FaceUnder
from preview.commands.moon.figures import READS
from preview.commands.moon.found import Found
from preview.commands.moon.plan import drawing
from preview.commands.moon.rank import WORDS
from preview.commands.moon.sight import Disc
from preview.commands.moon.sweep import Direction, Sweep
from preview.commands.moon.words import lifted_words
from preview.script.words import listed_all
from preview.sheets.answer.blocks import Block, Cell, Pictures, Table, Words
from preview.sheets.answer.words import degrees_words, plan_words, signed
from preview.sheets.drawing import VERMILION, WHITE, Align, font

Pixels = NDArray[np.uint8]

ACROSS = 4
"""Azimuths side by side, at most."""
SQUARE = 90.0 + 1e-6
"""Degrees round from the lens up to which the moon is on the camera's side."""
TOLD = 6
"""Directions of which it is told why."""
FAINT = 4.5
"""Stops under what the camera is set for from which a moon hardly shows."""
ALIKE = 0.1
"""Between the first score and the last, under which the order says little."""
BEST = 3
"""Directions that are marked."""


def blocks(found: Found, weights: Mapping[str, float]) -> tuple[Block, ...]:
    """All of the answer."""
    places = [(found.place(n), disc.in_shot) for n, disc in enumerate(found.discs)]
    return (
        Words(_lead(found)),
        drawing(found.sweep, places),
        *_pictures(found),
        *([_why_table(found)] if found.is_judged else []),
        _rank_table(found, weights),
        Words(_how(found, weights), title="How to read it"),
    )


def _lead(found: Found) -> tuple[str, ...]:
    """What is best, what was swept, and who does not count."""
    best = found.ranks[0]
    direction = found.directions[best.number]
    lead = f"First by these weights: {from_words(found.sweep, direction)}, {direction.seen.short}. {best.why}"
    if not found.is_judged:
        lead = "Nothing that is weighed can be told in this frame: the order is only that of the compass."
    elif len(found.ranks) > 1 and best.total - found.ranks[-1].total < ALIKE:
        lead = f"By these weights all directions are much alike here. {lead}"
    sentences = [lead, swept_words(found.sweep)]
    stops = _over_grey(found.sweep)
    if stops < -FAINT:
        lux = found.sweep.moon.lux * 2.0 ** (-stops - 2.0)
        sentences.append(
            f"So little light hardly shows beside the rest: --lux {lux:.2g} would be 2 stops under what the camera is "
            "set for."
        )
    if found.unseen:
        names, many = listed_all([figure.name for figure in found.unseen]), len(found.unseen) > 1
        sentences.append(
            f"{names}: {'their heads are' if many else 'the head is'} not seen in this setup, so "
            f"{'they count' if many else 'it counts'} for nothing here."
        )
    if not found.sweep.ready.scene.cast:
        sentences.append("Nobody is in this scene: rims and faces cannot be judged, and count for nothing.")
    return tuple(sentences)


def swept_words(swept: Sweep) -> str:
    """What the moon is in this answer, and where its lux and kelvin are from."""
    moon, stops = swept.moon, _over_grey(swept)
    level = f" ({abs(stops):.1f} stops {'over' if stops > 0.0 else 'under'} what the camera is set for)"
    names = listed_all(moon.names) if moon.names else ""
    many = len(moon.names) > 1
    out = f"{names[:1].upper()}{names[1:]} {'are' if many else 'is'} taken out; in {'their' if many else 'its'} place is"
    place = out if moon.names else "No fixture plays the moon here; added is"
    return (
        f"{place} one source as far off as the moon, {degrees(swept.options.size):.2g}° across: {moon.lux:.3g} lux on "
        f"what faces it{'' if moon.lux_is_usual else level}, {50.0 * round(moon.kelvin / 50.0):.0f} K. "
        f"Its lux is {moon.lux_by}; its kelvin is {moon.kelvin_by}. All other light is as in the script."
    )


def _over_grey(swept: Sweep) -> float:
    """Stops from what the camera is set for, of a surface that faces the moon."""
    return log2(swept.moon.lux / grey_illuminance_of(swept.ready.scene.camera))


def from_words(swept: Sweep, direction: Direction) -> str:
    """`NE 45°`; `45° of the plan, true E 98°` where the script says that true north lies elsewhere."""
    return plan_words(direction.azimuth_deg, swept.north_deg, decimals=1)


def _pictures(found: Found) -> list[Pictures]:
    """Blocks of azimuths side by side, as the camera sees them from its left to its right; the highest moon on top."""
    blocks = []
    for title, azimuths in columns_of(found.directions):
        cells = []
        for height in sorted({one.height_deg for one in found.directions}, reverse=True):
            for azimuth in azimuths:
                for number, one in enumerate(found.directions):
                    if (one.azimuth_deg, one.height_deg) == (azimuth, height):
                        cells.append(_cell(found, number))
        blocks.append(Pictures(tuple(cells), len(azimuths), title))
    return blocks


def columns_of(directions: Sequence[Direction]) -> list[tuple[str, list[float]]]:
    """Azimuths in rows of at most ACROSS, each with its title: those beyond the figures first, each from camera left to
    camera right."""
    signed = {one.azimuth_deg: _signed(one) for one in directions}
    beyond = sorted((a for a, turn in signed.items() if abs(turn) > SQUARE), key=lambda a: _past(signed[a]))
    near = sorted((a for a, turn in signed.items() if abs(turn) <= SQUARE), key=lambda a: signed[a])
    rows = []
    for title, azimuths in (("Moon beyond them", beyond), ("Moon on the camera's side", near)):
        count = max(1, -(-len(azimuths) // ACROSS))
        size = -(-len(azimuths) // count) if azimuths else 1
        chunks = [azimuths[first : first + size] for first in range(0, len(azimuths), size)]
        for n, chunk in enumerate(chunks, 1):
            part = f", {n} of {len(chunks)}" if len(chunks) > 1 else ""
            rows.append((f"{title}, from camera left to camera right{part}", chunk))
    return rows


def _signed(one: Direction) -> float:
    """Degrees round from the lens, to the right positive."""
    return one.seen.round_deg if one.seen.side == "right" else -one.seen.round_deg


def _past(turn: float) -> float:
    """Degrees from straight behind, to the right positive."""
    return 180.0 - turn if turn > 0.0 else -180.0 - turn


def _cell(found: Found, number: int) -> Cell:
    direction, frame, place = found.directions[number], found.frames[number], found.place(number)
    shown = frame.picture
    if place <= BEST and found.is_judged:
        shown = badged(shown, place)
    figures = [("from", from_words(found.sweep, direction))]
    figures += [(face.figure, _face(face)) for face in found.faces[number]]
    for group, told in ((found.groups.trees, frame.trees), (found.groups.buildings, frame.buildings)):
        if group is not None and told is not None:
            figures.append((group.called.removeprefix("the "), lifted_words(told)))
    if found.groups.trees is None and found.groups.buildings is None and frame.behind is not None:
        figures.append(("behind", lifted_words(frame.behind)))
    if found.groups.ground is not None:
        figures.append(("ground", "no moon on it" if frame.texture is None else f"raked {frame.texture:.2f}"))
    if any(each.in_frame for each in found.discs):
        figures.append(("moon", _moon(found.discs[number])))
    return Cell(f"{place}: {direction.seen.short}", shown, tuple(figures))


def _moon(disc: Disc) -> str:
    if not disc.in_frame:
        return "out of frame"
    return "in shot" if disc.hidden_by is None else f"behind {disc.called}"


def _face(face: FaceUnder) -> str:
    """`left by 2.8, rim +1.4`, `even, rim +2.6 by tube`."""
    cheeks = face.light.cheeks
    if cheeks.ratio is None:
        shape = "one cheek black" if max(cheeks.left_lux, cheeks.right_lux) > 0.0 else "black"
    else:
        shape = "even" if cheeks.brighter == "even" else f"{cheeks.brighter} by {cheeks.ratio.stops:.1f}"
    over = face.light.rim_over_front
    edge = "no rim"
    if face.has_rim:
        edge = "rim on black" if over is None else f"rim\N{NO-BREAK SPACE}{signed(over)}"
        edge += f" by {face.rim_of_another}" if face.rim_of_another else ""
    into = ", looks into it" if face.looks_into_it else ""
    off = f", blocked by {face.reach.called}" if face.blocked and face.reach.kept_off_by else ""
    return f"{shape}, {edge}{into}{off}"


def badged(shown: Pixels, place: int) -> Pixels:
    """A picture with its place in a disc in the corner, and a frame round it."""
    image = Image.fromarray(shown)
    draw = ImageDraw.Draw(image)
    size = image.width / 480.0
    width, radius, edge = max(2, round(7 * size)), 30 * size, 44 * size
    draw.rectangle((0, 0, image.width - 1, image.height - 1), outline=VERMILION, width=width)
    draw.ellipse(
        (edge - radius, edge - radius, edge + radius, edge + radius),
        fill=VERMILION,
        outline=WHITE,
        width=max(1, width // 2),
    )
    draw.text((edge, edge - size), str(place), font=font("strong", 1.2 * size), fill=WHITE, anchor="mm")
    return np.asarray(image)


def _why_table(found: Found) -> Table:
    rows = [
        (
            str(one.place),
            f"{from_words(found.sweep, found.directions[one.number])}, {found.directions[one.number].height_deg:g}° up",
            one.why,
        )
        for one in found.ranks[:TOLD]
    ]
    return Table("The best, and why", ("", "from", "why"), tuple(rows), ("right", "left", "left"))


def _rank_table(found: Found, weights: Mapping[str, float]) -> Table:
    words = [word for word in WORDS if weights.get(word)]
    rows = []
    for one in found.ranks:
        direction = found.directions[one.number]
        marks = [one.marks[word] for word in words]
        rows.append(
            (
                str(one.place),
                direction.seen.short,
                degrees_words(direction.azimuth_deg, 1),
                f"{one.total:.2f}",
                *("no" if mark is None else f"{mark:.2f}" for mark in marks),
            )
        )
    align: tuple[Align, ...] = ("right", "left", "decimal", "decimal")
    for _ in words:
        align = (*align, "decimal")
    shares = ", ".join(f"{word} {weights[word]:g}" for word in words)
    return Table(
        "In order, by these weights",
        ("", "direction", "azimuth", "score", *words),
        tuple(rows),
        align,
        f"Weights: {shares}. Score: the weighted mean of marks from 0 to 1; no: cannot be judged in this frame. "
        "Weights and curves are taste: set your own with --weigh.",
    )


def _how(found: Found, weights: Mapping[str, float]) -> tuple[str, ...]:
    camera, bare = found.sweep.ready.scene.camera, found.bare
    told = found.sweep.moon.where
    north = found.sweep.north_deg
    which = "north" if north == 0.0 else f"the plan's north; true north is at {degrees_words(north)} of it"
    sentences = [
        f"Directions are as the camera sees them from {told}; azimuths are the script's, clockwise from {which}."
    ]
    if any(found.faces):
        sentences.append(
            "“left by 2.8”: the cheek on camera left is 2.8 stops brighter. “rim +1.4”: the brightest edge of hair or "
            f"shoulders is 1.4 stops over the front of the face; under {EDGE:g} it is slight. A rim by another light earns "
            "no mark."
        )
    sentences += [
        f"“reads”: brighter than {READS:g} stops under grey; in brackets, over the camera's noise floor, "
        f"{camera.latitude.under:g} stops under grey; shares of what is seen of it, all lights together. “raked”: "
        "RMS contrast of the moon alone on the ground in frame, without its fall-off: 0 is even, 1 half in shadow; its "
        "mark counts it only as far as the moon is what lights the ground, and as it reads.",
    ]
    known = [
        f"{group.called} {lifted_words(told)}"
        for group, told in zip(
            (found.groups.trees, found.groups.buildings, found.groups.behind), bare, strict=True
        )
        if group is not None and told is not None
    ]
    if known:
        sentences.append(f"Without any moon: {', '.join(known)}.")
    missing = [
        word for word in weights if weights[word] and all(one.marks[word] is None for one in found.ranks)
    ]
    if missing:
        sentences.append(
            f"Not judged here, and left out of every score: {listed_all(missing)}: nothing of it in frame, or nothing for "
            "the moon to lift."
        )
    sentences.append(
        "A moon lights near and far alike. A head that plays it falls off: preview moon SCENE --rig AZIMUTH,HEIGHT says "
        "where one can stand."
    )
    if found.sweep.options.visible and any(one.in_shot for one in found.discs):
        sentences.append("A moon in shot is drawn as bright as the real one, whatever its lux here.")
    return tuple(sentences)
