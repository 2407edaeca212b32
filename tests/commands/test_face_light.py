"""Face light: what is read about a figure, against closed forms, and where it is read, against the figure's own mesh."""

# ruff: noqa: E501 - scripts are written whole
from __future__ import annotations

from math import log2
from pathlib import Path

import numpy as np
import pytest

from preview.commands.metering.face_light import FaceLight, about, faces
from preview.commands.prepare import Ready, prepare
from preview.trace.store_place import usual_store
from tests.script.scenes import scene

BALL = "head: {candela: 3000, shape: ball, aperture: 10 cm, kelvin: KELVIN}"
ADA = """\
cast: [{name: Ada, at: [0, 0], facing: 180, height: 1.75}]
camera: {lens: {focal: 85 mm, stop: 2.8}, at: [0, -3, 1.62], aim: Ada.face, iso: 800, balance: 5600 K}
"""
GREY = 25.0 * 10.76391 * 2.8**2 / (800 / 48)
"""Lux that expose grey: 25 fc times T squared over ISO times seconds, the camera department's rule (EX-06)."""


def made(folder: Path, *fixtures: str, cast: str = ADA, kelvin: int = 5600) -> Ready:
    rows = "".join(f"  - {{{row}, {BALL.replace('KELVIN', str(kelvin))}}}\n" for row in fixtures)
    return prepare(scene(folder, f"{cast}fixtures:\n{rows}"))


def light_of(ready: Ready) -> FaceLight:
    (found,) = faces(ready, store=usual_store())
    return found


def test_a_key_in_front_by_the_inverse_square(tmp_path: Path) -> None:
    """PH-01, and the cosine of a receptor that faces as the face does; nothing else lights it, so there is no fill."""
    ready = made(tmp_path, "name: key, at: [-3, -4, 1.62], aim: Ada.face")
    found = light_of(ready)
    flat = about(ready, ready.scene.cast[0], store=usual_store()).face.flat
    away = np.array([-3.0, -4.0, 1.62]) - flat.position
    lux = 3000.0 / float(away @ away) * float(away @ flat.facing) / float(np.linalg.norm(away))
    assert found.front_lux == pytest.approx(lux, rel=0.01)
    assert found.front_stops == pytest.approx(log2(lux / GREY), abs=0.02)
    assert found.key is not None
    assert found.key.key == "key"
    assert found.way is not None
    assert (found.way.side, round(found.way.round_deg)) == ("left", 38)
    assert found.cheeks.brighter == "left"


def test_a_stop_from_five_metres_to_seven(tmp_path: Path) -> None:
    """The inverse square: 5 / 7.0711 squared is a half. Counted from the receptor, 6 cm before the face."""
    place = about(
        made(tmp_path, "name: key, at: [0, -5, 1.6], aim: Ada.face"),
        scene(tmp_path, ADA).cast[0],
        store=usual_store(),
    ).face.flat.position
    near, far = (
        light_of(made(tmp_path, f"name: key, at: [0, {place[1] - away}, {place[2]}], aim: Ada.face"))
        for away in (5.0, 50.0**0.5)
    )
    assert near.key_stops is not None
    assert far.key_stops is not None
    assert far.key_stops - near.key_stops == pytest.approx(-1.0, abs=0.01)


def test_key_and_fill_of_two(tmp_path: Path) -> None:
    """EX-23's definition: key and fill together against the fill alone."""
    ready = made(
        tmp_path,
        "name: key, at: [-2, -3, 1.62], aim: Ada.face",
        "name: fill, level: 25 %, at: [2, -3, 1.62], aim: Ada.face",
    )
    found = light_of(ready)
    assert found.key is not None
    assert found.key.ratio is not None
    # The same place mirrored: the fill gives a quarter of the key, key and fill five quarters.
    assert found.key.ratio.to_one == pytest.approx(5.0, rel=0.02)
    assert found.key_stops is not None
    assert found.fill_stops is not None
    assert found.key_stops - found.fill_stops == pytest.approx(2.0, abs=0.03)


def test_a_rim_from_behind(tmp_path: Path) -> None:
    """Inverse square and cosine on the hair; the face that is turned from it has nothing."""
    ready = made(tmp_path, "name: rim, at: [1.5, 4, 4], aim: Ada.face")
    found, hair = light_of(ready), about(ready, ready.scene.cast[0], store=usual_store()).hair
    away = np.array([1.5, 4.0, 4.0]) - hair.position
    lux = 3000.0 / float(away @ away) * float(away @ hair.facing) / float(np.linalg.norm(away))
    assert found.hair_lux == pytest.approx(lux, rel=0.02)
    assert found.rim_by == "rim"
    assert found.rim_stops is not None
    assert found.rim_stops >= log2(lux / GREY) - 0.03
    assert found.front_lux == pytest.approx(0.0, abs=0.05 * lux)
    # It stands camera right: that shoulder has more of it.
    assert found.shoulders_lux[1] > found.shoulders_lux[0] > 0.0


def test_colour_of_the_key_in_mireds(tmp_path: Path) -> None:
    """CO-17: 3200 K is 312.5 mired, a million over kelvin; below 4000 K a white without a lamp is a full radiator."""
    found = light_of(made(tmp_path, "name: key, at: [-3, -4, 1.62], aim: Ada.face", kelvin=3200))
    assert found.key_colour is not None
    assert found.key_colour.mired == pytest.approx(1e6 / 3200, abs=0.5)


def test_colour_is_the_keys_alone(tmp_path: Path) -> None:
    """A daylight fill on a tungsten key leaves the key's own colour as it is."""
    tungsten = BALL.replace("KELVIN", "3200")
    text = f"{ADA}fixtures:\n  - {{name: key, at: [-2, -3, 1.62], aim: Ada.face, {tungsten}}}\n"
    text += f"  - {{name: fill, level: 50 %, at: [2, -3, 1.62], aim: Ada.face, {BALL.replace('KELVIN', '5600')}}}\n"
    found = light_of(prepare(scene(tmp_path, text)))
    assert found.key_colour is not None
    assert found.key_colour.mired == pytest.approx(1e6 / 3200, abs=0.5)


def test_no_light_is_none(tmp_path: Path) -> None:
    found = light_of(made(tmp_path, "name: key, level: off, at: [-3, -4, 1.62], aim: Ada.face"))
    assert (found.key, found.key_stops, found.front_stops, found.rim_stops, found.key_colour) == (None,) * 5
    assert found.rim_over_front is None


WORN = ("man, pose: stand, wears: coat, build: heavy", "woman, pose: walk, cut: long, wears: dress", "teen, pose: sit, cut: long, wears: jumper",
        "man, pose: lean, cut: cap, wears: jacket", "child, pose: crouch, cut: long, wears: raincoat, hood: up", "woman, pose: lantern, wears: raincoat",
        "child, pose: lantern, cut: long, wears: raincoat, looks_at: {of: F6.lantern, offset: [0, 0, 0.05]}", "woman, pose: crouch, wears: raincoat, looks_at: [28, -1, 0.2]")  # fmt: skip


@pytest.mark.parametrize("camera", [(10, -30), (10, 40), (-30, 2), (40, -20)])
def test_receptors_are_clear_of_their_figure(tmp_path: Path, camera: tuple[int, int]) -> None:
    """Seen from front, back and side: 3 cm of air before each, and the figure itself close behind, or close below its
    shoulder. By rays against the built mesh."""
    cast = "".join(
        f"  - {{name: F{i}, person: {each}, at: [{4 * i}, 0], facing: 180}}\n" for i, each in enumerate(WORN)
    )
    text = f"cast:\n{cast}camera: {{lens: {{focal: 35 mm}}, at: [{camera[0]}, {camera[1]}, 1.6], aim: [10, 0, 1.5]}}\n"
    ready = prepare(scene(tmp_path, text))
    for figure in ready.scene.cast:
        held = about(ready, figure, store=usual_store())
        places = np.array([one.position for one in held.receptors], np.float32)
        facing = np.array([one.facing for one in held.receptors], np.float32)
        behind = -facing
        behind[6:] = (0.0, 0.0, -1.0)
        before, after = (ready.stage.solid.rays.hit(places, way) for way in (facing, behind))
        round_about = np.tile(np.concatenate([np.eye(3), -np.eye(3)]).astype(np.float32), (len(places), 1))
        beside = ready.stage.solid.rays.hit(np.repeat(places, 6, axis=0), round_about)
        assert (beside.distance > 0.025).all(), figure.name
        assert (before.distance > 0.03).all(), figure.name
        assert (after.distance < 0.3).all(), figure.name
        owners = {ready.world.names[part].split(".")[0] for part in ready.world.part_of_face[after.face]}
        assert owners == {figure.name}
        left, right = held.shoulders
        assert left.position @ ready.view.right <= right.position @ ready.view.right


@pytest.mark.parametrize("worn", ["cut: long, wears: raincoat", "wears: coat, build: heavy"])
def test_a_bowed_head_has_both_its_cheeks(tmp_path: Path, worn: str) -> None:
    """A lamp ahead of a head bowed by 45 degrees: on each cheek the inverse square and the cosine, no coat before it. The
    ways the cheeks face: 45 degrees either way round the head's own axis, so (1, 1, 0) / sqrt 2 nodded."""
    cast = ADA.replace("height: 1.75", f"person: child, height: 1.2, looks_at: [0, -0.2, 0.1], {worn}")
    ready = made(tmp_path, "name: key, at: [0, -4, 1.2], aim: Ada.face", cast=cast)
    found, held = light_of(ready), about(ready, ready.scene.cast[0], store=usual_store()).face
    half = 0.5**0.5
    world = ready.world
    head = world.vertices[world.faces[world.part_of_face == world.names.index("Ada.head")]].reshape(-1, 3)
    for cheek, lux, side in zip(
        held.cheeks, (found.cheeks.left_lux, found.cheeks.right_lux), (-1.0, 1.0), strict=True
    ):
        assert cheek.facing == pytest.approx([side * half, -half * half, -half * half], abs=0.02)
        away = np.array([0.0, -4.0, 1.2]) - cheek.position
        cosine = float(away @ cheek.facing) / float(np.linalg.norm(away))
        assert lux == pytest.approx(3000.0 / float(away @ away) * cosine, rel=0.02)
        # As far off the skin as on a child's head that is held upright, by its own mesh.
        assert np.linalg.norm(head - cheek.position, axis=1).min() == pytest.approx(0.09, abs=0.005)
