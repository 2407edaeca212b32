"""Lamp post: a tapered post on a foot, an arm in a bow, a hood; the luminous part is the fixture's."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from preview.build.mesh import Floats, Part, stood
from preview.build.site import Site
from preview.build.solids import round_bar, turned_on_lathe
from preview.build.things.street_lights import bollard, bracket, lantern_post
from preview.script.models.pieces.things import LampPost
from preview.script.street_plan import LAMP_BELOW_TOP

SHORTEST_ARM = 0.35
"""With a shorter arm the lamp stands over the post and the hood over it on three stays."""
HOOD = 0.25
"""Radius of the hood's rim, metres."""


def build_lamp_post(name: str, model: LampPost, site: Site) -> list[Part]:
    """The post at its place with its arm the way it faces."""
    made = {"column": lantern_post, "bollard": bollard, "bracket": bracket}.get(model.kind)
    if made is not None:
        parts = made(name, model.material, model.tall, model.reach)
    elif model.kind == "double":
        parts = _double(name, model)
    else:
        parts = _with_arm(name, model.material, model.reach, model.tall)
    azimuth = site.azimuth(model.facing, model.at)
    return [stood(part, azimuth=azimuth, at=model.at) for part in parts]


def _with_arm(name: str, material: str, arm: float, height: float) -> list[Part]:
    reach = arm if arm >= SHORTEST_ARM else 0.0
    lamp = np.array([0.0, arm, height - LAMP_BELOW_TOP])
    post_top = height - 0.75 if reach else height - 0.34
    parts = [_post(name, material, post_top), hood(name, lamp)]
    if reach:
        return [*parts, _arm(name, material, reach, post_top, height)]
    return [*parts, *_stays(name, material, lamp, post_top)]


def _double(name: str, model: LampPost) -> list[Part]:
    """Two arms away from each other on a taller post."""
    reach, height = max(model.reach, SHORTEST_ARM), model.tall
    parts = [_post(name, model.material, height - 0.75)]
    for side in (1.0, -1.0):
        arm = _arm(name, model.material, reach, height - 0.75, height)
        flip = np.array([side, side, 1.0])
        parts.append(replace(arm, vertices=arm.vertices * flip, normals=arm.normals * flip))
        parts.append(hood(name, np.array([0.0, side * reach, height - LAMP_BELOW_TOP])))
    return parts


def _post(name: str, material: str, top: float) -> Part:
    """Foot, collar and tapering shaft."""
    foot = min(0.9, 0.22 * top)
    profile = [
        (0.0, -0.1), (0.15, -0.1), (0.15, -0.1), (0.15, 0.05), (0.15, 0.05), (0.115, 0.09), (0.105, 0.13),
        (0.098, foot), (0.098, foot), (0.118, foot + 0.02), (0.118, foot + 0.05), (0.07, foot + 0.09),
        (0.07, foot + 0.09), (0.045, top - 0.06), (0.045, top - 0.06), (0.06, top - 0.05), (0.06, top - 0.01),
        (0.045, top), (0.045, top), (0.0, top),
    ]  # fmt: skip
    return turned_on_lathe(f"{name}.post", material, profile, centre=np.zeros(3), sides=20)


def _arm(name: str, material: str, reach: float, start: float, height: float) -> Part:
    """A bow that leaves the post upwards and comes down into the hood."""
    crown = height + 0.22
    t = np.linspace(0.0, 1.0, 14)[:, None]
    a, b = np.array([0.0, 0.0, start - 0.05]), np.array([0.0, 0.0, crown + 0.12])
    c, d = np.array([0.0, reach, crown + 0.22]), np.array([0.0, reach, height - LAMP_BELOW_TOP + 0.12])
    bow = (1 - t) ** 3 * a + 3 * (1 - t) ** 2 * t * b + 3 * (1 - t) * t**2 * c + t**3 * d
    return round_bar(f"{name}.arm", material, bow, np.linspace(0.034, 0.022, len(bow)), sides=12)


def hood(name: str, lamp: Floats) -> Part:
    """A shallow hood over the lamp, hollow underneath; white inside and out, as enamel is."""
    profile = [
        (0.0, 0.082), (0.07, 0.070), (0.18, 0.032), (HOOD, -0.010), (HOOD, -0.010), (HOOD, 0.003), (HOOD, 0.003),
        (0.18, 0.045), (0.075, 0.090), (0.06, 0.125), (0.06, 0.125), (0.0, 0.13),
    ]  # fmt: skip
    return turned_on_lathe(f"{name}.hood", "white paint", profile, centre=lamp, sides=28)


def _stays(name: str, material: str, lamp: Floats, post_top: float) -> list[Part]:
    """Three thin rods from the post's head to the hood."""
    stays = []
    for turn in np.radians([30.0, 150.0, 270.0]):
        away = np.array([np.cos(turn), np.sin(turn), 0.0])
        foot = np.array([0.0, 0.0, post_top - 0.03]) + 0.04 * away
        elbow, head = foot + 0.17 * away + [0.0, 0.0, 0.06], lamp + 0.21 * away + [0.0, 0.0, 0.026]
        stays.append(round_bar(f"{name}.post", material, [foot, elbow, head], [0.008] * 3, sides=6))
    return stays
