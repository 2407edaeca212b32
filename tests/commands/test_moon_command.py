"""`preview moon`: from a script to its answer, against closed forms; the stated curves; what is said of wrong words."""

from __future__ import annotations

import json
from math import cos, log2, radians, sin, tan
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from click.testing import CliRunner, Result
from PIL import Image

from preview import cli
from preview.commands.moon.answer import _face, columns_of
from preview.commands.moon.faces import FaceUnder
from preview.commands.moon.rank import RIM, USUAL, _rim, on, ranked, weights_of
from preview.commands.moon.sight import Reach
from preview.commands.moon.sweep import SweepOptions, mooned, sweep
from preview.commands.moon.words import _rims, texture_words
from preview.faults import UserError
from preview.script.read import read_scene
from preview.sheets.moon_plan import Mark, Plan, moon_plan
from preview.trace.store import Scratch
from tests.script.scenes import scene

ADA = "cast: [{name: Ada, at: [0, 0], facing: 180, height: 1.75}]\n"
CAMERA = "camera: {lens: {focal: 50 mm, stop: 2}, at: [0, -4, 1.6], aim: Ada.face, iso: 800}\n"
WALL = "set: [{wall: {name: yard wall, along: [[2, -6], [2, 6]], height: 3, thickness: 0.3}}]\n"
HEAD = "head: {candela: 9000, beam: 60 deg, field: 100 deg, aperture: 5 cm, kelvin: 5000}"


@pytest.fixture
def run(tmp_path: Path):  # type: ignore[no-untyped-def]
    def call(script: str, *words: str) -> Result:
        file = tmp_path / "yard.yaml"
        file.write_text(script, encoding="utf-8")
        small = ("--size", "160", "--out", str(tmp_path / "out"))
        return CliRunner().invoke(cli.app, ["moon", str(file), *small, *words])

    return call


def told(answer: Result) -> dict:  # type: ignore[type-arg]
    assert answer.exception is None, answer.output
    return dict(json.loads(answer.stdout))


def at(answer: dict, azimuth: float, height: float) -> dict:  # type: ignore[type-arg]
    (one,) = (
        each
        for each in answer["directions"]
        if (each["azimuth_deg"], each["height_deg"]) == (azimuth, height)
    )
    return dict(one)


def test_the_lux_is_what_the_moon_gives_now(tmp_path: Path) -> None:
    """Inverse square from a head that plays the moon, behind a wall that does not count, and a moon: on a surface that
    faces the stronger, the other by its cosine."""
    text = ADA + CAMERA + WALL
    text += f"fixtures: [{{name: key, at: [10, -0.06, 1.6], aim: Ada.face, motive: moon, {HEAD}}}, "
    text += "{name: moon, moon: {azimuth: 45, elevation: 30, lux: 20}}, "
    text += "{name: bulb, practical: {kind: bulb, watts: 40, kelvin: 2700, at: [0, 8, 2]}}]\n"
    found = mooned(scene(tmp_path, text), SweepOptions())
    away = found.at - (10.0, -0.06, 1.6)
    distance = float(np.linalg.norm(away))
    moon = np.array([sin(radians(45)) * cos(radians(30)), cos(radians(45)) * cos(radians(30)), 0.5])
    assert found.names == ("key", "moon")
    # Where a head of so narrow an angle off its axis still has its full candela.
    assert found.lux == pytest.approx(9000.0 / distance**2 + 20.0 * float(moon @ -away / distance), rel=0.01)
    assert found.kelvin == pytest.approx(5000.0, abs=30.0)


def test_what_plays_the_moon_is_out_and_all_else_stays(tmp_path: Path) -> None:
    text = ADA + CAMERA + f"fixtures: [{{name: key, at: [3, -3, 2], aim: Ada, motive: moon, {HEAD}}}, "
    text += (
        "{name: moon, moon: {azimuth: 45, elevation: 30}}, {name: fill, at: [-3, -3, 2], aim: Ada, "
        + HEAD
        + "}]\n"
    )
    options = SweepOptions(every_deg=120.0, heights_deg=(30.0,), across=64)
    swept = sweep(scene(tmp_path, text), options, store=Scratch())
    assert [light.name for light in swept.ready.lights[: swept.others]] == ["fill"]
    assert [one.azimuth_deg for one in swept.directions] == [0.0, 120.0, 240.0]


def test_cheeks_rim_and_what_the_face_looks_into(run) -> None:  # type: ignore[no-untyped-def]
    """Cheeks are held 45 degrees to either side, so a moon 22.5 degrees off the face gives them cos 22.5 to cos 67.5, at
    any height. From straight behind there is an edge and no front."""
    answer = told(run(ADA + CAMERA, "--every", "22.5", "--heights", "20", "--json"))
    (face,) = at(answer, 157.5, 20.0)["figures"]
    # A moon in the south-east is on her left, which is camera right.
    assert face["bright_cheek"] == "right"
    expected = log2(cos(radians(22.5)) / cos(radians(67.5)))
    assert face["cheeks_stops"] == pytest.approx(expected, abs=0.06)
    assert face["off_face_deg"] == pytest.approx(
        np.degrees(np.arccos(cos(radians(22.5)) * cos(radians(20)))), abs=0.1
    )
    assert face["looks_into_it"]
    assert not at(answer, 90.0, 20.0)["figures"][0]["looks_into_it"]
    behind = at(answer, 22.5, 20.0)
    assert behind["figures"][0]["moon_makes_rim"]
    assert "rims Ada" in behind["why"].replace("Rims", "rims")
    assert not at(answer, 180.0, 20.0)["figures"][0]["moon_makes_rim"]
    assert at(answer, 112.5, 20.0)["short"] == "side, camera right, 20° up"


def test_what_keeps_the_moon_off_is_named(run) -> None:  # type: ignore[no-untyped-def]
    """A wall 2 m to the east and 3 m high stands up to atan(1.4 / 2), 35 degrees, from a face at 1.6 m."""
    answer = told(run(ADA + CAMERA + WALL, "--every", "90", "--heights", "20,60", "--json"))
    low, high = at(answer, 90.0, 20.0), at(answer, 90.0, 60.0)
    assert (low["figures"][0]["reached"], low["figures"][0]["kept_off_by"]) == (0.0, "yard wall")
    assert "blocked from Ada by the yard wall" in low["why"]
    assert low["figures"][0]["front_stops"] is None or low["figures"][0]["front_stops"] < -4.0
    assert (high["figures"][0]["reached"], high["figures"][0]["kept_off_by"]) == (1.0, None)


def test_a_rim_of_another_light_is_told_as_that(run) -> None:  # type: ignore[no-untyped-def]
    """A lamp behind her draws an edge under every moon: from the front the moon makes none."""
    lamp = f"fixtures: [{{name: kicker, at: [1, 4, 4], aim: Ada.face, {HEAD}}}]\n"
    words = ("--every", "180", "--heights", "20", "--lux", "5")
    front = at(told(run(ADA + CAMERA + lamp, *words, "--json")), 180.0, 20.0)
    (face,) = front["figures"]
    assert face["rim_over_front_stops"] > 0.5
    assert (face["moon_makes_rim"], face["rim_by"], front["marks"]["rim"]) == (False, "kicker", 0.0)
    assert front["why"].startswith("No rim from the moon")
    alone = at(told(run(ADA + CAMERA, *words, "--json")), 180.0, 20.0)
    assert alone["why"].startswith("No rim;")
    shown = " ".join(run(ADA + CAMERA + lamp, *words).stdout.replace("\N{NO-BREAK SPACE}", " ").split())
    assert f"rim +{face['rim_over_front_stops']:.1f} by kicker" in shown


@pytest.mark.parametrize(
    ("over", "by", "said", "cell"),
    [
        (0.6, "moon", "rims Bo, 0.6 stops over the front of the face", "rim +0.6"),
        (0.5, "moon", "rims Bo, 0.5 stops over the front of the face", "rim +0.5"),
        (0.2, "moon", "a slight rim on Bo", "rim +0.2"),
        (-0.4, "moon", "no rim", "no rim"),
        (None, "moon", "rims Bo against black", "rim on black"),
        (2.6, "tube", "no rim from the moon", "rim +2.6 by tube"),
    ],
)
def test_words_and_cell_say_one_thing_of_a_rim(over: float | None, by: str, said: str, cell: str) -> None:
    """What is told as a rim in the one is one in the other, and earns a mark where the moon makes it."""
    cheeks = SimpleNamespace(ratio=None, left_lux=0.0, right_lux=0.0)
    light = SimpleNamespace(
        rim_over_front=over, rim_by=by, hair_lux=1.0, shoulders_lux=(1.0, 1.0), rim_stops=0.0, cheeks=cheeks
    )
    face = FaceUnder("Bo", light, 90.0, Reach(1.0, None))  # type: ignore[arg-type]
    assert _rims([face]) == said
    assert _face(face).replace("\N{NO-BREAK SPACE}", " ") == f"black, {cell}"
    assert (_rim(face) > 0.0) == (by == "moon" and (over is None or over > 0.0))


def test_ground_that_other_light_drowns_is_no_ground_without_texture() -> None:
    assert texture_words(0.44, 0.1, "the quay") == "other light drowns its texture on the quay"
    assert texture_words(0.05, 1.0, "the quay") == "no texture on the quay"
    assert texture_words(0.44, 0.5, "the quay") == "soft texture on the quay"
    assert texture_words(2.5, 1.0, "the quay") == "hard raking texture on the quay"


def test_where_true_north_is_not_the_plans(run) -> None:  # type: ignore[no-untyped-def]
    """With true north at 307 degrees of the plan, what comes from its north comes from 53 degrees of the compass."""
    place = "place: {latitude: 57 N, longitude: 4 E, zone: CET, north: 307}\n"
    words = ("--every", "180", "--heights", "20")
    answer = told(run(ADA + CAMERA + place, *words, "--json"))
    assert at(answer, 0.0, 20.0)["true_azimuth_deg"] == pytest.approx(53.0)
    assert at(answer, 180.0, 20.0)["true_azimuth_deg"] == pytest.approx(233.0)
    shown = " ".join(run(ADA + CAMERA + place, *words).stdout.split())
    assert "0° of the plan, true NE 53°" in shown
    assert "true north is at 307° of it" in shown
    plain = " ".join(run(ADA + CAMERA, *words).stdout.split())
    assert "S 180°, 20° up" in plain
    assert "of the plan" not in plain


@pytest.mark.parametrize(("north", "way"), [(0.0, (-1.0, 0.0)), (90.0, (0.0, -1.0)), (180.0, (1.0, 0.0))])
def test_the_arrow_of_the_plan_is_true_north(
    monkeypatch: pytest.MonkeyPatch, north: float, way: tuple[float, float]
) -> None:
    """The camera looks east, up the sheet: the plan's north is on the left, its east above."""
    drawn: list[tuple[tuple[float, float], float]] = []

    def kept(draw: object, corner: object, north: tuple[float, float], *, scale: float, fine: float) -> None:
        drawn.append((north, scale / fine))

    monkeypatch.setattr("preview.sheets.moon_plan.north_and_scale", kept)
    marks = (Mark(0.0, 20.0, 1, False), Mark(90.0, 20.0, 2, True))
    moon_plan(Plan((0.0, 0.0), (1.0, 0.0), 0.4, (3.0, 0.0), 10.0, (), (), marks, north))
    ((told_way, scale),) = drawn
    assert told_way == pytest.approx(way, abs=1e-9)
    # Ten metres from the middle to the rim of what is drawn, which is clear of the one ring of directions.
    assert 10.0 * scale < 520.0 - 27.0


def test_a_figure_that_keeps_the_moon_off_has_no_article(run) -> None:  # type: ignore[no-untyped-def]
    """Somebody close behind the other, and out of frame, is named as people are."""
    two = "cast: [{name: Ada, at: [0, 0], facing: 180, height: 1.6}, "
    two += "{name: Ben, at: [0.55, 0], facing: 180, height: 2.2}]\n"
    tight = CAMERA.replace("50 mm", "180 mm")
    answer = told(run(two + tight, "--every", "90", "--heights", "5", "--json"))
    assert answer["not_seen"] == ["Ben"]
    why = at(answer, 90.0, 5.0)["why"]
    assert "the Ben" not in why
    assert "by Ben" in why or "Ben keeps" in why


def test_a_moon_in_shot_is_seen_and_a_wall_hides_it(run, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    north = CAMERA.replace("aim: Ada.face", "aim: [0, 20, 1.6]")
    words = ("--every", "90", "--heights", "4", "--lux", "200")
    answer = told(run(north, *words, "--json"))
    assert [each["moon_in_shot"] for each in answer["directions"]].count(True) == 1
    assert at(answer, 0.0, 4.0)["moon_in_shot"]
    blocked = north + "set: [{wall: {name: barn end, along: [[-9, 12], [9, 12]], height: 6}}]\n"
    hidden = at(told(run(blocked, *words, "--json")), 0.0, 4.0)
    assert (hidden["moon_in_frame"], hidden["moon_in_shot"], hidden["moon_hidden_by"]) == (
        True,
        False,
        "barn end",
    )
    soft = told(run(north, *words, "--soft", "--json"))
    assert soft["moon"]["size_deg"] == pytest.approx(12.0)
    assert not soft["moon"]["seen_in_shot"]


def test_the_disc_is_the_real_moons_whatever_the_lux(tmp_path: Path) -> None:
    """Two moons of 1 and 400 lux look alike in the sky: each at most what 0.25 lux from half a degree have."""
    from preview.commands.moon.figures import frames, groups_of, without

    text = CAMERA.replace("aim: Ada.face", "aim: [0, 20, 1.6]")
    shown = []
    for lux in (1.0, 400.0):
        options = SweepOptions(every_deg=360.0, heights_deg=(4.0,), lux=lux, across=160)
        swept = sweep(scene(tmp_path, text), options, store=Scratch())
        (frame,) = frames(swept, groups_of(swept), without(swept))
        shown.append(frame.picture.astype(int))
    assert shown[0].max() > 200
    assert np.abs(shown[0] - shown[1]).max() <= 2


def ridged(folder: Path, slope_deg: float, ridge: float = 0.3) -> None:
    """A roof-like plane of ridges from north to south, 24 m square, whose sides slope east and west."""
    lines, faces, height = [], [], ridge / 2.0 * tan(radians(slope_deg))
    count = round(24.0 / ridge * 2.0)
    for n in range(count + 1):
        x, z = -12.0 + n * ridge / 2.0, height * (n % 2)
        lines += [f"v {x} -12 {z:.6f}", f"v {x} 12 {z:.6f}"]
    for n in range(count):
        a, b, c, d = 2 * n + 1, 2 * n + 3, 2 * n + 4, 2 * n + 2
        # Twice over: of its own corners each side is flat.
        faces += [f"f {a} {b} {c}", f"f {a} {c} {d}"]
    (folder / "ridges.obj").write_text("\n".join([*lines, *faces]) + "\n", encoding="utf-8")


@pytest.mark.parametrize("height", [10.0, 80.0])
def test_texture_of_ridges(tmp_path: Path, height: float) -> None:
    """Sides that slope by a under a moon square to them at h get sin(h + a) and sin(h - a): the RMS contrast of the two,
    equally large from above, is tan a / tan h. On a level plane there is none."""
    from preview.commands.moon.figures import LUMINANCE, patches_of, texture_of

    slope = 5.0
    ridged(tmp_path, slope)
    mesh = (
        "set: [{mesh: {name: field, file: ridges.obj, up: z, smooth: 0, material: grey card, turn: TURN}}]\n"
    )
    view = "camera: {lens: {focal: 35 mm}, format: {width: 24 mm, height: 16 mm}, at: [0, -0.01, 8], aim: [0, 0, 0]}\n"
    # The moon comes from the north; the ridges run north, and then across.
    options = SweepOptions(every_deg=360.0, heights_deg=(height,), across=240)
    for turn, expected in ((0, 0.0), (90, tan(radians(slope)) / tan(radians(height)))):
        swept = sweep(scene(tmp_path, (mesh + view).replace("TURN", str(turn))), options, store=Scratch())
        luminance = np.asarray(swept.plate.layers[-1]) @ LUMINANCE
        found = texture_of(luminance, patches_of(swept.plate, np.ones(swept.plate.part.shape, bool)))
        assert found == pytest.approx(expected, rel=0.08, abs=0.003)


def test_texture_of_arrays() -> None:
    """Even light has none, however it falls off; stripes of light and shadow of equal width have 1."""
    from preview.commands.moon.figures import patches_of, texture_of

    part = np.zeros((90, 240), np.int32)

    def texture(luminance: np.ndarray) -> float | None:
        plate = SimpleNamespace(part=part)
        return texture_of(luminance, patches_of(plate, np.ones(part.shape, bool)))  # type: ignore[arg-type]

    falling = np.broadcast_to(np.linspace(3.0, 1.0, 240), part.shape)
    striped = np.broadcast_to((np.arange(240) // 2 % 2).astype(float), part.shape)
    assert texture(falling) == pytest.approx(0.0, abs=0.02)
    assert texture(striped) == pytest.approx(1.0, abs=0.05)
    assert texture(striped * falling) == pytest.approx(1.0, abs=0.05)
    assert texture(np.zeros(part.shape)) is None
    # Two surfaces of different reflectance, each evenly lit, have none.
    part[:, 120:] = 1
    assert texture(np.where(part == 1, 5.0, 0.2)) == pytest.approx(0.0, abs=1e-6)


def test_another_lux_kelvin_or_weight_traces_nothing(run, monkeypatch) -> None:  # type: ignore[no-untyped-def]
    words = ("--every", "180", "--heights", "30", "--json")
    first = told(run(ADA + CAMERA, *words))
    for name in ("trace.receptors.read", "commands.moon.sight._met"):
        monkeypatch.setattr(f"preview.{name}", None)
    monkeypatch.setattr("preview.trace.plate._works", None)
    again = told(
        run(
            ADA + CAMERA,
            *words,
            "--lux",
            str(4.0 * first["moon"]["lux"]),
            "--kelvin",
            "6000",
            "--weigh",
            "faces=1",
        )
    )
    before, after = at(first, 180.0, 30.0), at(again, 180.0, 30.0)
    stops = [each["figures"][0]["front_stops"] for each in (before, after)]
    assert stops[1] - stops[0] == pytest.approx(2.0, abs=1e-3)
    assert again["moon"]["kelvin"] == 6000.0
    assert after["score"] == after["marks"]["faces"]


def test_nobody_and_nothing_are_sentences(run) -> None:  # type: ignore[no-untyped-def]
    bare = "camera: {lens: {focal: 35 mm}, at: [0, -5, 1.5], aim: [0, 0, 1.5]}\n"
    answer = run(bare, "--every", "90", "--heights", "20")
    assert answer.exception is None, answer.output
    text = " ".join(answer.stdout.split())
    assert "Nobody is in this scene: rims and faces cannot be judged" in text
    assert "Nothing that is weighed can be told in this frame" in text
    assert "No fixture plays the moon here; added is one source" in text
    assert "nan" not in text.lower().split()


def test_a_figure_out_of_frame_is_a_sentence(run) -> None:  # type: ignore[no-untyped-def]
    two = "cast: [{name: Ada, at: [0, 0], facing: 180}, {name: Ben, at: [30, 0], facing: 180}]\n"
    answer = run(two + CAMERA, "--every", "180", "--heights", "20")
    assert answer.exception is None, answer.output
    assert "Ben: the head is not seen in this setup, so it counts for nothing here." in " ".join(
        answer.stdout.split()
    )


def test_files(run, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    answer = run(ADA + CAMERA + WALL, "--every", "120", "--heights", "20,40", "--page")
    assert answer.exception is None, answer.output
    assert {"moon.png", "moon.json", "moon.html"} <= {path.name for path in (tmp_path / "out").iterdir()}
    with Image.open(tmp_path / "out" / "moon.png") as sheet:
        assert sheet.width == 1600


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--every", "3"), "--every: from 5 to 360 degrees, not 3"),
        (("--every", "wide"), '--every: "wide" is not an angle; write 38 (degrees), 38 deg or 0.66 rad'),
        (("--every", "5", "--heights", "10,20,30"), "are 216 directions, and 96 are the most"),
        (("--heights", "0"), "--heights: a moon is from 1 to 85 degrees up here, not 0"),
        (("--heights", "20,20"), "--heights: 20,20 names a height twice"),
        (("--heights", "20,"), '--heights: "" is not an angle'),
        (("--lux", "-3"), "--lux: from 0.0001 to 100000 lux, not -3"),
        (("--kelvin", "20 lux"), '--kelvin: no unit "lux" for a colour temperature; write 3200 or 3200 K'),
        (("--moon-size", "90"), "--moon-size: from 0.05 to 60 degrees across, not 90"),
        (("--weigh", "rims=2"), '--weigh: no such word "rims"; did you mean "rim"?'),
        (("--weigh", "rim"), '--weigh: "rim" is not a word with its weight; write such as --weigh rim=2'),
        (("--weigh", "rim=lots"), '--weigh: rim: "lots" is not a number'),
        (("--weigh", "rim=-1"), "--weigh: rim: a weight is from 0 to 100, not -1"),
        (("--weigh", "rim=0"), "--weigh: all weights are 0, so nothing ranks"),
        (("--weigh", "rim=1,rim=2"), "--weigh: rim is weighed twice"),
        (("--rig", "45"), '--rig: "45" is not an azimuth and a height; write --rig 45,35'),
        (("--mark", "Ada.face"), "--mark goes with --rig"),
        (("--rig", "45,35", "--every", "45"), "--every is for a sweep of directions, and --rig is for one"),
        (("--rig", "45,35", "--heights", "20"), "leave --heights out"),
        (("--rig", "45,35", "--weigh", "rim=1"), "leave --weigh out"),
        (("--setup", "tihgt"), 'no setup "tihgt"'),
    ],
)
def test_wrong_words_are_told(run, words: tuple[str, ...], said: str) -> None:  # type: ignore[no-untyped-def]
    answer = run(ADA + CAMERA, *words)
    assert isinstance(answer.exception, UserError), answer.output
    assert said in str(answer.exception)


def test_marks_and_order() -> None:
    """Weighted means by hand: (2 x 1 + 0.5) / 3, (2 x 0.5 + 1) / 3; what cannot be judged is left out of its mean."""
    weights = {"rim": 2.0, "faces": 1.0, "trees": 0.0}
    marks = [
        {"rim": 0.5, "faces": 1.0, "trees": 1.0},
        {"rim": 1.0, "faces": 0.5, "trees": 0.0},
        {"rim": None, "faces": 0.7, "trees": 0.0},
        {"rim": None, "faces": None, "trees": 1.0},
    ]
    order = ranked(marks, ["a", "b", "c", "d"], weights)
    assert [(one.number, one.place, one.why) for one in order] == [
        (1, 1, "b"),
        (2, 2, "c"),
        (0, 3, "a"),
        (3, 4, "d"),
    ]
    assert [one.total for one in order] == pytest.approx([2.5 / 3.0, 0.7, 2.0 / 3.0, 0.0])


def test_curves_and_weights() -> None:
    assert [on(RIM, stops) for stops in (-3.0, 0.75, 2.0, 4.0, 9.0)] == pytest.approx(
        [0.0, 0.5, 1.0, 0.75, 0.5]
    )
    assert weights_of(None) == USUAL
    assert weights_of(" Rim = 2 ,faces=1") == {"rim": 2.0, "faces": 1.0}


def test_columns_run_as_the_camera_sees_the_sky(tmp_path: Path) -> None:
    """A camera that looks north: beyond the figures the west is on its left; behind the camera too."""
    file = tmp_path / "yard.yaml"
    file.write_text(ADA + CAMERA, encoding="utf-8")
    from preview.commands.moon.sweep import directions_of, main_place
    from preview.commands.prepare import prepare

    ready = prepare(read_scene(file))
    options = SweepOptions(every_deg=30.0, heights_deg=(20.0,))
    rows = columns_of(directions_of(ready.scene, ready, main_place(ready.scene)[1], options))
    azimuths = [row for _, row in rows]
    beyond = [azimuth for row in azimuths[:2] for azimuth in row]
    near = [azimuth for row in azimuths[2:] for azimuth in row]
    assert beyond == [300.0, 330.0, 0.0, 30.0, 60.0]
    assert near == [270.0, 240.0, 210.0, 180.0, 150.0, 120.0, 90.0]
    assert all(len(row) <= 4 for row in azimuths)
