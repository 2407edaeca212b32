"""Moon words: what each direction of the moon does, in the words of the floor, and why it ranks as it does."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf

from preview.camera.exposure import incident_stops
from preview.commands.moon.faces import FaceUnder
from preview.commands.moon.figures import Frame, Groups, Lifted
from preview.commands.moon.rank import DARK, FLAT
from preview.commands.moon.sight import Disc
from preview.script.models.camera import Camera
from preview.script.words import listed_all

TEXTURES = ((0.15, "no texture"), (0.4, "soft texture"), (0.8, "clear texture"), (inf, "hard raking texture"))
"""Contrasts up to which the ground is called so. Common practice, no source."""
OPEN = 0.9
"""Share of the moon from which nothing worth a word keeps it off."""


def why(faces: Sequence[FaceUnder], frame: Frame, disc: Disc, groups: Groups, camera: Camera) -> str:
    """One sentence: rims, faces, what it lifts, what keeps it off, whether it is in shot."""
    parts = [_rims(faces)] if faces else []
    parts += [face_words(face, camera) for face in faces]
    for group, lifted in ((groups.trees, frame.trees), (groups.buildings, frame.buildings)):
        if group is not None and lifted is not None:
            parts.append(f"{per_cent(lifted.reads)} of {group.called} can be read")
    if groups.trees is None and groups.buildings is None and frame.behind is not None:
        parts.append(f"{per_cent(frame.behind.reads)} of the background can be read")
    if frame.texture is not None and groups.ground is not None:
        parts.append(texture_words(frame.texture, frame.moon_on_ground, groups.ground.called))
    parts += kept_off(faces)
    if disc.in_shot:
        parts.append("the moon is in shot")
    text = "; ".join(part for part in parts if part)
    return f"{text[0].upper()}{text[1:]}." if text else "Nothing in this frame tells it from the others."


def _rims(faces: Sequence[FaceUnder]) -> str:
    """`rims Bo, 0.6 stops over the front of the face`, `a slight rim on Bo`, `no rim from the moon` where another light
    makes one."""
    with_rim = [face for face in faces if face.moon_rims]
    slight = [face.figure for face in faces if face.moon_rims_slightly]
    if not with_rim and slight:
        return f"a slight rim on {listed_all(slight)}"
    if not with_rim:
        return "no rim from the moon" if any(face.rim_of_another for face in faces) else "no rim"
    more = f", slightly {listed_all(slight)}" if slight else ""
    return _strong(faces, with_rim) + more


def _strong(faces: Sequence[FaceUnder], with_rim: Sequence[FaceUnder]) -> str:
    over = [face.light.rim_over_front for face in with_rim]
    if len(with_rim) == len(faces) and len(faces) > 1:
        whom = "both" if len(faces) == 2 else f"all {len(faces)}"
    else:
        whom = listed_all([face.figure for face in with_rim])
    if None in over:
        return f"rims {whom} against black" if len(over) == 1 else f"rims {whom}, one at least against black"
    stops = listed_all([f"{each:.1f}" for each in over])
    return f"rims {whom}, {stops} stops over the front of the face"


def face_words(face: FaceUnder, camera: Camera) -> str:
    """What a face is like, in words."""
    cheeks, name = face.light.cheeks, face.figure
    bright = max(cheeks.left_lux, cheeks.right_lux)
    if bright <= 0.0 or incident_stops(bright, camera) < -DARK:
        return f"{name}'s face is dark"
    into = f"{name} looks into it" if face.looks_into_it else ""
    if cheeks.ratio is None:
        return f"{name}'s cheek on camera {_dimmer(face)} gets no light"
    if cheeks.ratio.stops < FLAT:
        return f"{into}, flat" if into else f"{name}'s face is flat"
    falls = f"cheek on camera {_dimmer(face)} falls {cheeks.ratio.stops:.1f} stops under"
    return f"{into}, the {falls}" if into else f"{name}'s {falls}"


def _dimmer(face: FaceUnder) -> str:
    return "right" if face.light.cheeks.brighter == "left" else "left"


def kept_off(faces: Sequence[FaceUnder]) -> list[str]:
    """What keeps the moon off whom: `blocked from Mara by the house`."""
    words = []
    by: dict[str, list[str]] = {}
    for face in faces:
        if face.reach.kept_off_by is None or face.reach.share > OPEN:
            continue
        what = face.reach.called
        if face.blocked:
            by.setdefault(what, []).append(face.figure)
        else:
            words.append(f"{what} keeps {per_cent(1.0 - face.reach.share)} of it off {face.figure}")
    return [f"blocked from {listed_all(whom)} by {what}" for what, whom in by.items()] + words


def texture_words(texture: float, share: float, ground: str) -> str:
    """How strongly the moon rakes the ground, of which it gives a share of the light: `soft texture on the beach`."""
    contrast = texture * share
    if contrast < TEXTURES[0][0] <= texture:
        return f"other light drowns its texture on {ground}"
    return f"{next(word for least, word in TEXTURES if contrast < least)} on {ground}"


def lifted_words(lifted: Lifted) -> str:
    """`41 % reads (91 %)`: in brackets what is over the camera's noise floor."""
    return f"{per_cent(lifted.reads)} reads ({per_cent(lifted.over_floor)})"


def per_cent(share: float) -> str:
    """A share of 0 to 1: `41 %`; neither 0 nor 100 for what is not all or nothing."""
    whole = round(100.0 * share)
    if whole == 0 and share > 0.0:
        return "under 1 %"
    return "99 %" if whole == 100 and share < 1.0 else f"{whole} %"
