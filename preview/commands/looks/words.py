"""Look words: what a look does, and how it differs from the script's own, in the trade's words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import log2
from typing import Final

from preview.camera.exposure import exposure_scale
from preview.commands.in_focus import in_focus
from preview.commands.looks.figures import Group, Lamp, LookFigures
from preview.commands.looks.sweeps import amount_words, trimmed
from preview.commands.metering.face_light import FaceLight
from preview.light.colour_reading import AS_BALANCED_MIRED
from preview.script.models.camera import Camera
from preview.script.scene import Scene
from preview.script.words import listed_all
from preview.sheets.answer.words import percent

TELLS: Final = 0.1
"""Stops under which a difference is not told: less than a third of a step of a wedge. Common practice, no source."""
TELLS_MIRED: Final = 5.0
TELLS_SHARE: Final = 0.02
"""Of the frame."""
CLIPS: Final = 0.01
"""Share of a practical from which it is said to clip."""
WHOLE: Final = 0.99
MOST_SENTENCES: Final = 4


def cell_rows(figures: LookFigures, *, most: int) -> list[tuple[str, str]]:
    """What stands below a look's picture: faces (`most` of them), moon, practicals, what is lost. Every look of a scene has
    the same rows."""
    rows = []
    faces = figures.faces[:most]
    if faces:
        names = [face.figure for face in faces]
        rows = [
            ("Faces", _each(names, [face.front_stops for face in faces], "no light")),
            ("Key to fill", _each(names, [_key_to_fill(face) for face in faces], "no fill", plain=True)),
            ("Rim", _each(names, [face.rim_stops for face in faces], "no light")),
        ]
    moon, practicals = figures.moon, figures.practicals
    if moon is not None:
        rows.append(("Moon", off_white(moon)))
    if moon is not None and practicals is not None:
        places = [short(name) for name in figures.places[:most]]
        dark = (
            "practicals off" if practicals.colour is None else "moon off" if moon.colour is None else "none"
        )
        rows.append(("Moon ratio", _each(places, figures.moon_over_practicals[:most], dark)))
    if practicals is not None:
        rows += [("Practicals", off_white(practicals)), ("Clip", clipped_words(figures.lamps))]
    rows.append(("Lost", f"{share_words(figures.under_share)} of the frame"))
    return rows


def _each(names: Sequence[str], values: Sequence[float | None], missing: str, *, plain: bool = False) -> str:
    """`Mara −1.4, Visitor +0.2 stops`."""
    if all(value is None for value in values):
        return missing
    told = [
        f"{name} {missing if value is None else f'{value:.1f}' if plain else trimmed(value)}"
        for name, value in zip(names, values, strict=True)
    ]
    return f"{', '.join(told)}{'' if values[-1] is None else ' stops'}"


def _key_to_fill(face: FaceLight) -> float | None:
    return None if face.key is None or face.key.ratio is None else face.key.ratio.stops


def share_words(share: float) -> str:
    """`0.4 %`, `under 0.1 %`, `nothing`."""
    return "nothing" if share <= 0.0 else percent(share).replace("<", "under")


def short(name: str) -> str:
    """A mark of a face is told by whose it is."""
    return name.removesuffix(".face")


def off_white(group: Group) -> str:
    """`83 mired cool`, as the camera's balance has it."""
    told = group.told_mired
    if group.colour is None:
        return "off"
    if told is None:
        return group.reads.partition(",")[0]
    if abs(told) < AS_BALANCED_MIRED:
        return "white"
    return f"{abs(told)} mired {'warm' if told > 0 else 'cool'}"


def reading_sentence(figures: LookFigures) -> str | None:
    """`The moon reads 41 mired cool of white, the practicals read 120 mired warm: 161 apart.`"""
    parts: list[str] = []
    off: list[int] = []
    for name, group in (("moon", figures.moon), ("practicals", figures.practicals)):
        if group is not None and group.colour is not None:
            of_white = " of white" if not parts and "mired" in off_white(group) else ""
            parts.append(f"the {name} {_verb(name)} {off_white(group)}{of_white}")
            off += [group.told_mired] if group.told_mired is not None and "mired" in off_white(group) else []
    if not parts:
        return None
    apart = f": {abs(off[1] - off[0])} apart" if len(off) == 2 else ""
    return f"{_title(', '.join(parts))}{apart}."


def _verb(name: str) -> str:
    return "reads" if name == "moon" else "read"


def mired_apart(figures: LookFigures) -> float | None:
    """The practicals' mireds less the moon's; None where one has no colour temperature."""
    groups = figures.practicals, figures.moon
    mireds = [group.colour.mired for group in groups if group and group.colour and not group.colour.hue]
    return mireds[0] - mireds[1] if len(mireds) == 2 else None


def clipped_words(lamps: Sequence[Lamp]) -> str:
    """`porch bulb by 8.1, 40 % of room lamp by 0.6 stops`: those in frame that clip, by how much over the latitude."""
    told = []
    for lamp in lamps:
        if lamp.clipped is not None and lamp.clipped >= CLIPS:
            part = "" if lamp.clipped >= WHOLE else f"{percent(lamp.clipped)} of "
            told.append(f"{part}{lamp.name} by {lamp.over_stops:.1f}")
    if told:
        return f"{', '.join(told)} stops"
    return "none" if any(lamp.clipped is not None for lamp in lamps) else "none in frame"


def differences(own: LookFigures, other: LookFigures, was: Scene, now: Scene) -> list[str]:
    """Sentences that say how a look differs from the script's own, the exposure first; one that says so if it does
    not."""
    told = [
        *_exposed(was.camera, now.camera),
        *_focus(was.camera, now.camera),
        *_lamps(own.lamps, other.lamps),
        *_on_faces(own, other, _tenths(log2(exposure_scale(now.camera) / exposure_scale(was.camera)))),
        *_ratios(own, other),
        *_colours(own, other),
        *_floor(own, other),
    ]
    return told[:MOST_SENTENCES] or ["Nothing that reads is different."]


def _exposed(was: Camera, now: Camera) -> Iterator[str]:
    stops = log2(exposure_scale(now) / exposure_scale(was))
    if abs(stops) >= TELLS:
        yield f"The camera takes {_amount(stops)}."


def _focus(was: Camera, now: Camera) -> Iterator[str]:
    stops = 2.0 * log2(now.lens.stop / was.lens.stop)
    if abs(stops) >= TELLS:
        yield f"{'More' if stops > 0 else 'Less'} is sharp, T{now.lens.stop:g} for T{was.lens.stop:g}."


def _amount(stops: float) -> str:
    """`1 stop more`, `0.4 stop less`."""
    return f"{amount_words(stops)} {'more' if stops > 0 else 'less'}"


def out_of_frame(scene: Scene, out: Sequence[str]) -> str:
    """`Tomas is out of frame, so nothing is told of the light there; the focus is on Tomas all the same.`"""
    whole = len(out) == len(scene.cast)
    are = "is" if len(out) == 1 else "are"
    told = (
        "Nobody is in frame: what is told is of the light out of it"
        if whole
        else f"{listed_all(out)} {are} out of frame, so nothing is told of the light there"
    )
    focus = in_focus(scene)
    return f"{told}; the focus is on {focus} all the same." if focus in out else f"{told}."


def _tenths(stops: float) -> float:
    """As it is printed: what is told of a difference is that of what is printed on either side of it."""
    return float(f"{stops:.1f}")


def _change(was: float, now: float, less: float = 0.0) -> float:
    """The difference of two figures as they are printed, `less` what else makes them differ; 0 where it is too little to
    be told."""
    if abs(now - was - less) < TELLS:
        return 0.0
    return round(_tenths(now) - _tenths(was) - less, 1)


def _on_faces(own: LookFigures, other: LookFigures, exposed: float) -> Iterator[str]:
    """Of what falls on each face, whatever the camera does, which is `exposed` stops more."""
    changes = []
    for was, now in zip(own.faces, other.faces, strict=True):
        if was.front_stops is not None and now.front_stops is not None:
            changes.append((now.figure, _change(was.front_stops, now.front_stops, exposed)))
        elif was.front_lux != now.front_lux:
            yield f"{now.figure}'s face {'has light now' if now.front_lux > 0.0 else 'has no light now'}."
    telling = [(name, stops) for name, stops in changes if stops]
    if len(telling) > 1 and len(telling) == len(own.faces) and len({stops for _, stops in telling}) == 1:
        yield f"Every face gets {_amount(telling[0][1])}."
        return
    for name, stops in telling:
        yield f"{name}'s face gets {_amount(stops)}."


def _ratios(own: LookFigures, other: LookFigures) -> Iterator[str]:
    keys, changes = [], []
    for was, now in zip(own.faces, other.faces, strict=True):
        if was.key is None or now.key is None:
            continue
        if was.key.key != now.key.key:
            keys.append((now.figure, now.key.key))
        before, after = _key_to_fill(was), _key_to_fill(now)
        if before is not None and after is not None and _change(before, after):
            changes.append(f"{now.figure} {_amount(_change(before, after))}")
    for figure, key in keys:
        yield f"The {key} is {figure}'s key now."
    if changes:
        yield f"Key to fill: {', '.join(changes)}."
    moons = [
        _change(was, now)
        for was, now in zip(own.moon_over_practicals, other.moon_over_practicals, strict=True)
        if was is not None and now is not None
    ]
    if any(moons):
        even = len(set(moons)) == 1
        most = max(range(len(moons)), key=lambda place: abs(moons[place]))
        where = "" if even else f" at {short(other.places[most])}"
        yield f"Moon to practicals {_amount(moons[most])}{where}."


def _colours(own: LookFigures, other: LookFigures) -> Iterator[str]:
    shifts = []
    for name, was, now in (
        ("moon", own.moon, other.moon),
        ("practicals", own.practicals, other.practicals),
    ):
        if was is None or now is None or was.told_mired is None or now.told_mired is None:
            continue
        shifts.append((name, now.told_mired - was.told_mired))
    telling = [(name, shift) for name, shift in shifts if abs(shift) >= TELLS_MIRED]
    if len(telling) == 2 and abs(telling[0][1] - telling[1][1]) < TELLS_MIRED:
        yield f"Everything reads {warmer(telling[0][1])}."
        return
    for name, shift in telling:
        yield f"The {name} {_verb(name)} {warmer(shift)}."


def warmer(mired: float) -> str:
    return f"{abs(mired):.0f} mired {'warmer' if mired > 0 else 'cooler'}"


def _lamps(own: Sequence[Lamp], other: Sequence[Lamp]) -> Iterator[str]:
    both = list(zip(own, other, strict=True))
    for word, lit in (("off", True), ("on", False)):
        names = [now.name for was, now in both if was.lit is lit and now.lit is not lit]
        if names:
            yield f"{_title(_listed(names))} {'is' if len(names) == 1 else 'are'} {word}."
    for was, now in both:
        if was.clipped is None or now.clipped is None or was.lit is not now.lit:
            continue
        before, after = was.clipped >= CLIPS, now.clipped >= CLIPS
        if after and not before:
            yield f"The {now.name} clips now, {percent(now.clipped)} of it."
        elif before and not after:
            yield f"The {now.name} holds now."
        elif after and abs(now.clipped - was.clipped) >= 0.1:
            more = "more" if now.clipped > was.clipped else "less"
            yield f"{percent(now.clipped)} of the {now.name} clips, {more} than {percent(was.clipped)}."


def _floor(own: LookFigures, other: LookFigures) -> Iterator[str]:
    change = other.under_share - own.under_share
    if abs(change) >= TELLS_SHARE:
        more = "more" if change > 0 else "less"
        yield f"{_title(share_words(other.under_share))} of the frame is lost, {more} than {share_words(own.under_share)}."


def _listed(names: Sequence[str]) -> str:
    """`the porch bulb`, `the porch bulb and the room lamp`."""
    *others, last = [f"the {name}" for name in names]
    return f"{', '.join(others)} and {last}" if others else last


def _title(words: str) -> str:
    return words[:1].upper() + words[1:]
