"""Heads of a photometric file in a script: how they lie, how strong they are, what is seen of them, what is wrong."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from preview.build.luminous import luminous_part
from preview.commands.notes.photometric import photometric_notes
from preview.light.emitters.webbed import WebGlow
from preview.light.heads import head_output
from preview.light.light import Light
from preview.light.lights import lights_of
from preview.light.photometry.read import web_of_file
from tests.script.scenes import SMALL, faults, scene
from tests.trace.metering import lumens_of, lux_at

FILES = Path(__file__).parent / "files"
EAST, NORTH, UP = np.eye(3)


@pytest.fixture
def folder(tmp_path):
    for file in FILES.iterdir():
        shutil.copy(file, tmp_path)
    return tmp_path


def light(folder: Path, head: str, rest: str = "") -> Light:
    """The head at the origin, aimed north unless the rest says otherwise."""
    aim = "" if "aim" in rest else ", aim: [0, 1, 0]"
    text = f"fixtures:\n  - {{name: key, at: [0, 0, 0]{aim}, stand: no, head: {{{head}}}{rest}}}\n{SMALL}"
    (only,) = lights_of(scene(folder, text))
    return only


def candela(of: Light, way) -> float:
    """Along a direction, from 50 m off."""
    way = np.asarray(way, float) / np.linalg.norm(way)
    return float(lux_at(of.emitters, 50.0 * way, -way, rays=16)[0]) * 2500.0


def leaning(forward, towards, degrees: float):
    angle = np.radians(degrees)
    return np.cos(angle) * forward + np.sin(angle) * towards


def test_horizontal_0_is_to_the_right_and_90_above(folder):
    """For who stands behind the head; C0 of this file is far stronger at 55 degrees than C180 (541 to 89 cd/klm)."""
    head = light(folder, "photometry: asymmetric-0.ldt")
    klm = 164.0
    assert candela(head, NORTH) == pytest.approx(225.22 * klm, rel=0.01)
    assert candela(head, leaning(NORTH, EAST, 55)) == pytest.approx(542.61 * klm, rel=0.01)
    assert candela(head, leaning(NORTH, -EAST, 55)) == pytest.approx(89.33 * klm, rel=0.01)
    assert candela(head, leaning(NORTH, UP, 60)) == pytest.approx(174.97 * klm, rel=0.01)
    assert candela(head, leaning(NORTH, -UP, 60)) == pytest.approx(182.87 * klm, rel=0.01)


@pytest.mark.parametrize(("turn", "strong"), [(90, -UP), (-90, UP), (180, -EAST)])
def test_it_turns_clockwise_as_the_light_goes(turn, strong, folder):
    head = light(folder, "photometry: asymmetric-0.ldt", f", turn: {turn} deg")
    assert candela(head, leaning(NORTH, strong, 55)) == pytest.approx(542.61 * 164, rel=0.01)


def test_aimed_down_a_file_lies_as_on_the_drawing(folder):
    """East is horizontal 0 and north 90, counterclockwise from above: a lantern over a road that runs east."""
    head = light(folder, "photometry: road-3.ldt", ", aim: [0, 0, -1]")
    for towards, told in ((-NORTH, 295), (NORTH, 119), (EAST, 188), (-EAST, 188)):
        assert candela(head, leaning(-UP, towards, 20)) == pytest.approx(told * 33.2, rel=0.01)


def test_type_b_has_its_vertical_angles_above_and_its_horizontal_ones_to_the_right(folder):
    """H 29, V 42.5 and -42.5 of the floodlight: 2144 and 2290 cd, alike to both sides."""
    head = light(folder, "photometry: floodlight-b-2002.ies")
    across, up = np.radians(29), np.radians(42.5)
    for side in (EAST, -EAST):
        for sign, told in ((1, 2144), (-1, 2290)):
            way = np.sin(across) * side + np.cos(across) * (np.cos(up) * NORTH + sign * np.sin(up) * UP)
            assert candela(head, way) == pytest.approx(told, rel=0.01)


@pytest.mark.parametrize("kind", [2, 3])
def test_horizontal_angles_of_types_b_and_a_count_to_the_right(kind, folder):
    """Clockwise, LM-63-02 section 3: 10 cd at H -30 rising to 40 at 30; 100 cd more for every 30 degrees upwards."""
    rows = "\n".join(f"{level} {100 + level} {200 + level}" for level in (10, 25, 40))
    text = f"x\nTILT=NONE\n1 -1 1 3 3 {kind} 2 0.1 0.1 0\n1 1 10\n-30 0 30\n-30 0 30\n{rows}\n"
    (folder / "aside.ies").write_text(text)
    head = light(folder, "photometry: aside.ies")
    for towards, told in ((EAST, 138.5), (-EAST, 111.5), (UP, 215), (-UP, 35)):
        assert candela(head, leaning(NORTH, towards, 27)) == pytest.approx(told, rel=0.01)


def test_light_goes_backwards_where_the_file_says_so(folder):
    head = light(folder, "photometry: upwards-1995.ies", ", aim: [0, 0, -1]")
    assert candela(head, UP) == pytest.approx(738, rel=0.01)
    assert candela(head, -UP) == 0.0
    assert lumens_of(head.emitters, radius=20.0, polar=128, turns=96, rays=16) == pytest.approx(
        4972, rel=0.005
    )


@pytest.mark.parametrize(
    ("words", "axial"),
    [
        ("", 7658.85),
        ("lumens: 9904.5", 7658.85 * 9904.5 / 19809.0),
        ("candela: 1000", 1000),
        ("reading: {lux: 50, at: 4 m}", 800),
    ],
)
def test_strength_is_the_file_s_or_given_beside_it(words, axial, folder):
    head = light(folder, f"photometry: round-1.ldt, {words}")
    assert candela(head, NORTH) == pytest.approx(axial, rel=3e-3)


def test_kelvin_watts_and_opening_are_the_file_s_or_given_beside_it(folder):
    text = (
        "fixtures:\n  - {name: key, at: [0, 0, 0], aim: [0, 1, 0], stand: no, head: {photometry: %s}}\n"
        + SMALL
    )
    made = scene(folder, text % "round-1.ldt, kelvin: 3200")
    output = head_output(made.fixtures[0], made.catalogue, made.path.parent)
    assert (output.kelvin, output.watts, output.aperture) == (3200, 195, 1.486)
    assert output.lumens == pytest.approx(19809, rel=1e-4)
    (only,) = lights_of(scene(folder, text % "round-1.ldt, aperture: 30 cm, watts: 5"))
    assert only.emitters[0].softness(np.ones(1, np.float32)) == pytest.approx(0.15)
    (only,) = lights_of(scene(folder, text % "wide-1991.ies, size: 1.2x0.3 m"))
    assert only.emitters[0].softness(np.ones(1, np.float32)) == pytest.approx(0.6)


def test_a_lamp_that_loses_light_when_it_is_tilted(folder):
    """tiny3: factors 1, 0.9, 0.8 aimed straight down, level and straight up; 240 cd on its axis."""
    for aim, way, factor in (("[0, 0, -1]", -UP, 1.0), ("[0, 1, 0]", NORTH, 0.9), ("[0, 0, 1]", UP, 0.8)):
        head = light(folder, "photometry: tiny3.ies", f", aim: {aim}")
        assert candela(head, way) == pytest.approx(240 * factor, rel=0.01)


def test_the_camera_sees_the_opening_as_bright_as_its_intensity_makes_it(folder):
    """round-1: 7658.85 cd from a disc of 1.486 m across; at 60 degrees 144.3752 cd/klm, over its cosine."""
    (glow,) = light(folder, "photometry: round-1.ldt").glows
    assert isinstance(glow, WebGlow)
    disc = np.pi * 0.743**2
    leaving = np.stack([NORTH, leaning(NORTH, EAST, 60)], axis=1).astype(np.float32)
    told = [7658.85 / disc, 19.8 * 144.3752 / disc / 0.5]
    assert glow.seen(leaving) == pytest.approx(told, rel=1e-3)
    assert glow.luminance == pytest.approx(told[0], rel=1e-3)
    across = np.ptp(glow.part.vertices, axis=0)
    assert across == pytest.approx([1.486, 0.0, 1.486], abs=0.01)


@pytest.mark.parametrize("shape", ["point", "rectangle", "ellipse", "box", "ellipsoid", "cylinder"])
@pytest.mark.parametrize("hand", [1.0, -1.0])
def test_openings_as_they_are_seen(shape, hand):
    """Their extent along their axes; solid ones wind outwards, flat ones towards their axis."""
    axes = np.array([[0.6, 0.0, 0.8], [0.0, hand, 0.0], [0.8, 0.0, -0.6]])
    half = np.array([0.5, 0.3, 0.2])
    at = np.array([1.0, 2.0, 3.0])
    part = luminous_part("x", "glass", shape=shape, half_size=half, axes=axes, at=at, across=2)
    local = (part.vertices - at) @ axes.T
    flat = shape in ("rectangle", "ellipse")
    assert np.ptp(local, axis=0) == pytest.approx([1.0, 0.6, 0.0 if flat else 0.4], rel=0.02)
    corners = part.vertices[part.faces]
    outward = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    away = np.broadcast_to(axes[2], outward.shape) if flat else corners.mean(axis=1) - at
    assert (np.einsum("ij,ij->i", outward, away) >= -1e-12).all()


def test_what_is_wrong_is_told_with_the_script_s_other_faults(folder):
    """Every fault at once: of the script by its line, of a photometric file by its own as well."""
    (folder / "bad.ies").write_text("x\nTILT=NONE\n1 1 1 3 1 1 2 0 0 0\n1 1 1\n0 90 45\n0\n1 1 1\n")
    text = """fixtures:
  - name: a
    at: [0, 0, 2]
    aim: [0, 3, 0]
    head: {photometry: gone.ies}
  - name: b
    at: [0, 0, 2]
    aim: [0, 3, 0]
    head:
      photometry: bad.ies
      beam: 20 deg
  - name: c
    at: [0, 0, 2]
    aim: [0, 3, 0]
    head: {photometry: round-1.ldt, candela: 5, lumens: 7}
  - name: d
    at: [0, 0, 2]
    aim: [0, 3, 0]
    head: {photometry: upwards-1995.ies, candela: 5}
  - name: e
    at: [0, 0, 2]
    aim: nobody
    head: {photometry: round-1.ldt, size: 1x1 m, aperture: 1}
  - name: f
    at: [0, 0, 2]
    aim: [0, 3, 0]
    head: {photometry: ""}
"""
    assert [fault.removeprefix("scene.yaml:") for fault in faults(folder, text + SMALL)] == [
        "5: fixtures[0].head.photometry: gone.ies: there is no such file",
        "10: fixtures[1].head.photometry: bad.ies:5: the vertical angles should rise: 45 comes after 90",
        "11: fixtures[1].head.beam: a head of a photometric file has no beam: the file says how its light spreads",
        "15: fixtures[2].head.lumens: the file gives the strength, or one of candela, lumens or reading in its place; "
        "candela and lumens are given",
        "19: fixtures[3].head.candela: by its file this head gives no light straight ahead; give it lumens",
        '22: fixtures[4].aim: no place "nobody"; there is a, b, c, d, e, f',
        "23: fixtures[4].head.size: an opening is round by its aperture or has sides by its size, not both",
        "27: fixtures[5].head.photometry: is the name of a photometric file, such as washer.ies",
    ]


def test_a_bad_file_ends_with_status_2_and_nothing_written(folder):
    (folder / "bad.ies").write_bytes(b"\x00\xff junk")
    text = (
        f"fixtures:\n  - {{name: a, at: [0, 0, 2], aim: [0, 3, 0], head: {{photometry: bad.ies}}}}\n{SMALL}"
    )
    (folder / "scene.yaml").write_text(text)
    words = [sys.executable, "-m", "preview", "frame", "scene.yaml", "--out", "out"]
    done = subprocess.run(words, cwd=folder, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr == (
        "scene.yaml:2: fixtures[0].head.photometry: bad.ies: this is no LM-63 file: it has no line that starts with TILT=\n"
    )
    assert not (folder / "out").exists()


def test_a_file_that_changes_is_read_anew(folder):
    before = web_of_file(folder / "tiny1.ies").axial
    text = (folder / "tiny1.ies").read_text().replace("1 -1 10 5", "1 -1 20 5")
    (folder / "tiny1.ies").write_text(text + "\n")
    assert web_of_file(folder / "tiny1.ies").axial == 2 * before


def test_a_head_of_one_s_own_catalogue_may_have_a_file(folder):
    """Beside the catalogue, which is beside the script."""
    (folder / "own.yaml").write_text(
        "heads:\n  washer: {photometry: asymmetric-0.ldt, watts: 1200, kelvin: 5700}\n"
    )
    text = "catalogue: own.yaml\nfixtures:\n  - {name: key, at: [0, 0, 0], aim: [0, 1, 0], stand: no, head: washer}\n"
    (only,) = lights_of(scene(folder, text + SMALL))
    assert candela(only, leaning(NORTH, EAST, 55)) == pytest.approx(542.61 * 164, rel=0.01)
    assert only.kelvin == pytest.approx(5700)


def test_what_a_file_was_read_as_is_told(folder):
    (folder / "wrong.ldt").write_text(
        (folder / "round-1.ldt").read_text().replace("19800", "198000").replace("100.0", "10")
    )
    (folder / "much.ies").write_text(
        (folder / "wide-1991.ies").read_text().replace("13172.61 1\n", "1000 1\n")
    )
    text = "fixtures:\n" + "".join(
        f"  - {{name: {name}, at: [{x}, 0, 0], aim: [0, 1, 0], stand: no, head: {{photometry: {file}}}}}\n"
        for x, (name, file) in enumerate(
            [("a", "floodlight-b-2002.ies"), ("b", "wrong.ldt"), ("c", "much.ies")]
        )
    )
    told = list(photometric_notes(scene(folder, text + SMALL)))
    assert told[0] == (
        "a: LM-63-2002, type B: 10 700 lm, 4 266 cd ahead, 5 287 at most; beam 99 deg across and 78 up, field 147 and "
        "109; shines from 0.2 × 0.16 m."
    )
    assert told[2] == "b: its file states 19 800 lm, its intensities make 198 100 lm."
    assert told[4] == (
        "c: its intensities make 13 150 lm, more than the 1 000 lm of its lamps: a factor of the file may be wrong."
    )
    assert len(told) == 5
