"""Bodies and poses against published measurements of people, and against their own promises.

Proportions of stature: R. Drillis, R. Contini, "Body Segment Parameters" (1966), as tabled in D. Winter,
"Biomechanics and Motor Control of Human Movement", figure 4.1; masses of segments: the same, table 4.1. Both from memory,
as are ranges of joints (tables of orthopaedic surgeons: elbow 0 to 150 degrees, knee 0 to 140 and more when sat upon, hip
-20 to 125) and children's proportions (growth charts).
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from preview.build.cast.figure import build_figure
from preview.build.site import Site
from preview.script.people import NAMES, PEOPLE, PersonName
from preview.script.poses import POSES, PoseName
from preview.script.skeleton import Skeleton, posed
from preview.script.standing import figure_on
from tests.build.figures import EVERYBODY, angle, everything, figure, parts
from tests.script.scenes import SMALL, scene


@pytest.mark.parametrize("name", ["man", "woman"])
def test_heights_and_lengths_of_adults(name: PersonName) -> None:
    person = PEOPLE[name]
    for measure, share in {
        "eye": 0.936, "acromion": 0.818, "hip": 0.530, "knee": 0.285, "ankle": 0.039, "upper_arm": 0.186,
        "forearm": 0.146, "hand": 0.108, "foot": 0.152, "head": 0.130,
    }.items():  # fmt: skip
        assert getattr(person, measure) / person.stature == pytest.approx(share, abs=0.006), measure


def test_breadths_of_adults() -> None:
    """Shoulders 0.259 and hips 0.191 of stature; a woman's hips are wider for her shoulders (from memory)."""
    man, woman = PEOPLE["man"], PEOPLE["woman"]
    assert man.shoulders / man.stature == pytest.approx(0.259, abs=0.005)
    assert man.hips / man.stature == pytest.approx(0.191, abs=0.006)
    assert woman.hips / woman.shoulders > 1.1 * man.hips / man.shoulders


def test_children_have_larger_heads_and_shorter_legs() -> None:
    """About a sixth of stature at eight years, a seventh and a half grown up; from memory of growth charts."""
    child, teen, man = PEOPLE["child"], PEOPLE["teen"], PEOPLE["man"]
    assert child.stature / child.head == pytest.approx(6.3, abs=0.3)
    assert teen.stature / teen.head == pytest.approx(7.3, abs=0.3)
    assert man.stature / man.head == pytest.approx(7.6, abs=0.2)
    assert child.hip / child.stature < teen.hip / teen.stature <= man.hip / man.stature


@pytest.mark.parametrize("name", NAMES)
def test_stature_is_as_average_or_as_asked(name: PersonName) -> None:
    assert figure(person=name).height == PEOPLE[name].stature / 1000
    for height in (PEOPLE[name].stature / 1000, 1.5):
        for pose in ("stand", "lantern"):
            made = parts(person=name, pose=pose, height=height, ground=0.3)
            assert made["head"].vertices[:, 2].max() == pytest.approx(0.3 + height, abs=0.001)


def test_clothed_shoulders() -> None:
    """Breadth 0.259 of stature, under about a centimetre of cloth on either side; the tips 0.818 high."""
    made = parts()["top"].vertices
    across = made[(made[:, 2] > 0.77 * 1.75) & (made[:, 2] < 0.80 * 1.75), 0]
    assert np.ptp(across) / 1.75 == pytest.approx(0.270, abs=0.014)
    tops = [made[np.abs(made[:, 0] - side * 0.175) < 0.015, 2].max() for side in (-1, 1)]
    # A jacket's padded shoulder stands 1 to 3 cm over the tip (common practice, no source).
    assert 0.01 < np.mean(tops) - 0.818 * 1.75 < 0.03


def test_fingertips_of_one_who_stands() -> None:
    made = parts()["hands"].vertices
    tips = [made[side * made[:, 0] > 0, 2].min() for side in (-1, 1)]
    assert np.mean(tips) / 1.75 == pytest.approx(0.377, abs=0.02)


def test_shoes_are_a_little_larger_than_feet() -> None:
    """0.152 long and 0.055 broad, and 10 to 15 % more for the shoe (from memory)."""
    made = parts()["shoes"].vertices
    left = made[made[:, 0] < 0.0][:, :2]
    _, _, axes = np.linalg.svd(left - left.mean(axis=0), full_matrices=False)
    length, breadth = np.ptp(left @ axes.T, axis=0) / 1.75
    assert 0.152 < length < 0.152 * 1.15
    assert 0.055 < breadth < 0.055 * 1.18


@pytest.mark.parametrize(("name", "pose"), EVERYBODY)
def test_bones_keep_their_lengths(name: PersonName, pose: PoseName) -> None:
    person, joints = PEOPLE[name], posed(name, POSES[pose]).joints
    for side in ("left", "right"):
        for start, end, length in (
            ("shoulder", "forearm", person.upper_arm),
            ("forearm", "hand", person.forearm),
            ("thigh", "shin", person.hip - person.knee),
            ("shin", "foot", person.knee - person.ankle),
        ):
            found = np.linalg.norm(joints[f"{end}.{side}"] - joints[f"{start}.{side}"])
            assert found == pytest.approx(length, rel=1e-6), (side, start)


@pytest.mark.parametrize(("name", "pose"), EVERYBODY)
def test_joints_bend_as_joints_do(name: PersonName, pose: PoseName) -> None:
    made = posed(name, POSES[pose])
    joints = made.joints
    for side in ("left", "right"):
        upper = joints[f"forearm.{side}"] - joints[f"shoulder.{side}"]
        lower = joints[f"hand.{side}"] - joints[f"forearm.{side}"]
        thigh = joints[f"shin.{side}"] - joints[f"thigh.{side}"]
        shin = joints[f"foot.{side}"] - joints[f"shin.{side}"]
        assert angle(upper, lower) <= 150
        assert angle(thigh, shin) <= 160
        # The knee gives backward, the elbow forward: seen in the axes of the bone above.
        assert (made.turns[f"thigh.{side}"].T @ shin)[1] < 0.03 * np.linalg.norm(shin)
        local = made.turns["pelvis"].T @ thigh
        assert -25 <= np.degrees(np.arctan2(local[1], -local[2])) <= 128
        assert (
            angle(made.turns[f"shin.{side}"].T @ made.turns[f"foot.{side}"] @ [0, 1, 0], np.array([0, 1, 0]))
            <= 55
        )
    for upper_bone, lower_bone, most in (
        ("waist", "pelvis", 25),
        ("chest", "waist", 25),
        ("head", "chest", 60),
    ):
        turn = made.turns[lower_bone].T @ made.turns[upper_bone]
        assert np.degrees(np.arccos(np.clip((np.trace(turn) - 1) / 2, -1, 1))) <= most, upper_bone


MASSES = (
    ("head", "head", 0.0, 0.081), ("pelvis", "neck", 0.5, 0.497),
    *((f"{a}.{side}", f"{b}.{side}", at, mass) for side in ("left", "right") for a, b, at, mass in (
        ("shoulder", "forearm", 0.436, 0.028), ("forearm", "hand", 0.430, 0.016), ("hand", "hand", 0.0, 0.006),
        ("thigh", "shin", 0.433, 0.100), ("shin", "foot", 0.433, 0.0465), ("foot", "foot", 0.0, 0.0145),
    )),
)  # fmt: skip
"""From one joint to another, how far along the middle of mass is, and the share of the body's mass."""


def _centre_of_mass(skeleton: Skeleton) -> np.ndarray:
    assert sum(mass for *_, mass in MASSES) == pytest.approx(1.0, abs=0.01)
    return sum(mass * ((1 - at) * skeleton.joints[a] + at * skeleton.joints[b]) for a, b, at, mass in MASSES)  # type: ignore[return-value]


@pytest.mark.parametrize(("name", "pose"), EVERYBODY)
def test_everybody_stands_on_the_ground_and_in_balance(name: PersonName, pose: PoseName) -> None:
    """The middle of mass is over what the shoes touch, where nothing else holds the body up."""
    made = parts(person=name, pose=pose, seat=0.46 * PEOPLE[name].stature / 1750)
    shoes = made["shoes"].vertices
    assert shoes[:, 2].min() == pytest.approx(0.0, abs=0.006)
    assert everything(made)[:, 2].min() > -0.008
    if pose in ("sit", "lean"):
        return
    centre = _centre_of_mass(posed(name, POSES[pose]))[:2] / 1000
    sole = shoes[shoes[:, 2] < 0.03 * PEOPLE[name].stature / 1000][:, :2]
    low, high = sole.min(axis=0), sole.max(axis=0)
    assert (low < centre).all(), (low, centre)
    assert (centre < high).all(), (centre, high)


@pytest.mark.parametrize(("pose", "azimuth"), [("stand", 90), ("walk", 0), ("lantern", 60)])
def test_both_feet_stand_on_a_slope(tmp_path: Path, pose: str, azimuth: float) -> None:
    text = "set: [{ground: {name: hill, size: [40, 40], slope: {rise: 12 %, towards: 0}}}]\n"
    text += f"cast: [{{name: A, at: [1, 2], facing: {azimuth}, pose: {pose}}}]\n"
    made = scene(tmp_path, text + SMALL)
    built = build_figure(Site(made), figure_on(made.cast[0], made.terrain))
    shoes = next(part for part in built if part.name == "A.shoes").vertices
    for shoe in np.array_split(shoes, 2):
        above = shoe[:, 2] - 0.12 * shoe[:, 1]
        # A level sole on a slope of 12 % stands on its edge: 4 cm over a shoe's length at most.
        assert -0.03 < above.min() < 0.012
    feet = np.array(made.anchors["A.feet"].position)
    assert feet[2] == pytest.approx(0.12 * feet[1], abs=0.05)
    eyes = next(part for part in built if part.name == "A.eyes").vertices
    assert np.linalg.norm(eyes.mean(axis=0) - made.anchors["A.eyes"].position) < 0.05


@pytest.mark.parametrize(("height", "seat"), [(1.75, 0.46), (1.6, 0.40), (1.9, 0.50), (1.72, 0.38)])
def test_sitters_rest_on_the_seat_with_feet_on_the_ground(height: float, seat: float) -> None:
    made = parts(pose="sit", height=height, seat=seat)
    for part, sunk in (("top", 0.018), ("bottom", 0.025)):
        # What is sat upon gives by a centimetre or two.
        behind = made[part].vertices
        assert -sunk < behind[behind[:, 1] < 0.1, 2].min() - seat < 0.012
    assert made["shoes"].vertices[:, 2].min() == pytest.approx(0.0, abs=0.006)


def test_sitting_eye_height() -> None:
    """0.451 of stature in the survey of 1988, from memory, bolt upright on a hard seat; cloth adds a centimetre."""
    eyes = parts(pose="sit")["eyes"].vertices[:, 2].mean()
    assert (eyes - 0.46) / 1.75 == pytest.approx(0.455, abs=0.012)


def test_high_stool_leaves_the_feet_hanging() -> None:
    high, low = parts(pose="sit", seat=0.80), parts(pose="sit")
    assert high["shoes"].vertices[:, 2].min() > 0.1
    rise = high["eyes"].vertices[:, 2].mean() - low["eyes"].vertices[:, 2].mean()
    assert rise == pytest.approx(0.34, abs=1e-6)


def test_who_leans_touches_a_wall_15_cm_behind() -> None:
    made = parts(pose="lean", height=1.75)
    assert everything(made)[:, 1].min() == pytest.approx(-0.15, abs=0.012)
    assert made["hair"].vertices[:, 1].min() > -0.15
