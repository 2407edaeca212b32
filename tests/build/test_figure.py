"""Figures against their promises: heads and eyes turn as asked, clothes are whole, places are where they say."""

from __future__ import annotations

from itertools import product
from pathlib import Path

import numpy as np
import pytest

from preview.build.cast import figure_body
from preview.build.cast.stored_mesh import Archive, archive, packed, unpacked
from preview.build.mesh import Part
from preview.script.figure_plan import places, stance
from preview.script.models.cast import CUTS
from preview.script.people import NAMES, PEOPLE, PersonName
from preview.script.poses import POSES, PoseName
from preview.trace.rays import Rays
from tests.build.figures import EVERYBODY, GARMENTS, STAR, angle, figure, parts
from tests.script.scenes import SMALL, faults


@pytest.mark.parametrize(("facing", "turn"), [(0, 0), (90, 30), (20, -60), (0, 70)])
def test_a_head_turns_by_what_is_asked(facing: float, turn: float) -> None:
    """The nose, as the axis of the two eyes has it; and the shoulders stay."""
    made = parts(facing=facing, head={"turn": turn})
    eyes = made["eyes"].vertices
    half = len(eyes) // 2
    across = eyes[half:].mean(axis=0) - eyes[:half].mean(axis=0)
    found = np.degrees(np.arctan2(-across[1], across[0])) - facing
    assert (found - turn + 180) % 360 - 180 == pytest.approx(0.0, abs=0.5)
    still = parts(facing=facing)["top"].vertices
    assert np.array_equal(made["top"].vertices, still)


def test_a_head_nods() -> None:
    face = places(figure(head={"nod": 20}), 0.0)["face"][1]
    np.testing.assert_allclose(face, [0, np.cos(np.radians(20)), -np.sin(np.radians(20))], atol=0.01)


@pytest.mark.parametrize("pose", POSES)
@pytest.mark.parametrize("key", ["looks_at", "gaze"])
def test_eyes_meet_what_they_look_at(pose: PoseName, key: str) -> None:
    """From the middle of each eyeball through the middle of its iris to the target."""
    made = parts(pose=pose, facing=15, **{key: "star"})
    target = np.array(STAR)
    for ball, iris in zip(
        *(np.array_split(made[part].vertices, 2) for part in ("eyes", "irises")), strict=True
    ):
        centre = 0.5 * (ball.min(axis=0) + ball.max(axis=0))
        assert angle(iris.mean(axis=0) - centre, target - centre) < 3.0


def test_what_is_too_far_round_is_left_to_the_eyes() -> None:
    made = stance(figure(looks_at=[9, -9, 1.6]), 0.0, np.array([9.0, -9.0, 1.6]))
    assert made.turn == pytest.approx(70.0)
    assert made.gazes is not None
    assert np.degrees(np.arctan2(made.gazes[0][0], made.gazes[0][1])) == pytest.approx(40.0, abs=1.0)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("turn", [0, 60])
@pytest.mark.parametrize("garment", GARMENTS)
def test_collars_keep_off_the_face(name: PersonName, turn: float, garment: str) -> None:
    """No cloth lies inside the chin and jaw, straight or turned: of what is before the neck, rays up leave no skin."""
    made = parts(person=name, wears=garment, head={"turn": turn})
    size = PEOPLE[name].head / 228
    cloth = np.concatenate([made[p].vertices for p in ("top", "shirt", "hood") if p in made])
    ahead = cloth[:, :2] @ [np.sin(np.radians(turn)), np.cos(np.radians(turn))]
    cloth = cloth[(cloth[:, 2] > PEOPLE[name].eye / 1000 - 0.20 * size) & (ahead > 0.045 * size)]
    assert len(cloth) > 0
    head = made["head"]
    rays = Rays(head.vertices.astype(np.float32), head.faces.astype(np.int32))
    up = np.broadcast_to(np.array([0.0, 0.0, 1.0], np.float32), cloth.shape)
    hit = rays.hit(cloth.astype(np.float32), up)
    corners = head.vertices[head.faces[np.maximum(hit.face, 0)]]
    outward = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])[:, 2]
    assert not ((hit.face >= 0) & (outward > 0)).any()


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("garment", GARMENTS)
def test_no_gap_between_neck_and_clothes(name: PersonName, garment: str) -> None:
    """Looked down upon from all round, the neck goes into its clothes: none of its open end is seen."""
    made = parts(person=name, wears=garment)
    low = made["head"].vertices[:, 2].min()
    top = made["top"].vertices
    near = np.hypot(top[:, 0], top[:, 1] + 0.03) < 0.11
    around = np.arctan2(top[near, 0], top[near, 1] + 0.03)
    for sector in np.linspace(-np.pi, np.pi, 9)[:-1]:
        there = (around > sector) & (around <= sector + np.pi / 4)
        assert top[near][there, 2].max() > low + 0.01


@pytest.mark.parametrize(("name", "pose"), EVERYBODY)
def test_places_are_where_they_say(name: PersonName, pose: PoseName) -> None:
    changes = {"person": name, "pose": pose, "head": {"turn": 35, "nod": 8}, "at": [2, 3], "ground": 0.5}
    made, found = parts(**changes), places(figure(**changes), 0.0)

    def away(place: str, *names: str) -> float:
        skin = np.concatenate([made[part].vertices for part in names])
        return float(np.linalg.norm(skin - found[place][0], axis=1).min())

    assert away("face", "head") < 0.03
    assert away("eyes", "eyes") < 0.03
    assert away("chest", "top", "shirt") < 0.09
    for side in ("left", "right"):
        assert away(f"hand.{side}", "hands") < 0.03
    if pose == "lantern":
        assert 0.18 < away("lantern", "hands") < 0.24
    eyes = made["eyes"].vertices.reshape(2, -1, 3).mean(axis=1)
    across = (eyes[1] - eyes[0]) / np.linalg.norm(eyes[1] - eyes[0])
    assert abs(across @ found["face"][1]) < 0.02


def _check_closed(part: Part) -> None:
    faces = part.faces
    directed = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]]).astype(np.int64)
    forward, backward = directed[:, 0] * 10**6 + directed[:, 1], directed[:, 1] * 10**6 + directed[:, 0]
    assert len(np.unique(forward)) == len(forward), part.name
    assert np.array_equal(np.sort(forward), np.sort(backward)), part.name
    a, b, c = (part.vertices[faces[:, i]] for i in range(3))
    assert (
        np.einsum(
            "ij,ij->i", a - part.vertices[0], np.cross(b - part.vertices[0], c - part.vertices[0])
        ).sum()
        > 0
    ), part.name
    face_normals = np.cross(b - a, c - a)
    agreeing = np.einsum("ij,ij->i", face_normals, part.normals[faces].sum(axis=1)) > 0
    area = np.linalg.norm(face_normals, axis=1)
    # A shirt's front is a slab of a few millimetres, whose edges are round to the light.
    assert area[agreeing].sum() / area.sum() > (0.85 if part.name.endswith("shirt") else 0.97), part.name
    assert np.abs(np.linalg.norm(part.normals, axis=1) - 1).max() < 1e-3, part.name
    assert np.isfinite(part.vertices).all(), part.name


@pytest.mark.parametrize(("name", "pose"), EVERYBODY)
def test_clothes_are_closed_and_outward(name: PersonName, pose: PoseName) -> None:
    for garment in GARMENTS:
        made = parts(person=name, pose=pose, wears=garment)
        for part in ("top", "shirt", "hood", "bottom", "hands", "shoes"):
            if part in made:
                _check_closed(made[part])


def test_hood_up_is_closed_and_turns_with_the_head() -> None:
    ahead, turned = (parts(wears="raincoat", hood="up", head={"turn": turn}) for turn in (0, 50))
    _check_closed(turned["hood"])
    moved = np.linalg.norm(turned["hood"].vertices - ahead["hood"].vertices, axis=1)
    assert moved.max() > 0.04


def test_names_and_materials() -> None:
    made = parts(
        skin="dark", hair="grey", top="red cloth", bottom="blue cloth", shirt="light cloth", shoes="leather"
    )
    found = {name: part.material for name, part in made.items()}
    expected = {
        "head": "skin dark", "hair": "hair grey", "eyes": "eye white", "irises": "eye iris", "hands": "skin dark",
        "top": "red cloth", "bottom": "blue cloth", "shirt": "light cloth", "shoes": "leather",
    }  # fmt: skip
    assert expected.items() <= found.items()


@pytest.mark.parametrize("garment", GARMENTS)
def test_builds_differ_in_girth_not_in_folds(garment: str) -> None:
    slight, medium, heavy = (parts(wears=garment, build=build) for build in ("slight", "medium", "heavy"))

    def waist(made: dict[str, Part]) -> float:
        v = made["top"].vertices
        belly = v[(np.abs(v[:, 2] - 1.07) < 0.03) & (np.abs(v[:, 0]) < 0.03)]
        return float(np.ptp(belly[:, 1]))

    assert waist(slight) < 0.95 * waist(medium)
    assert waist(heavy) > 1.12 * waist(medium)
    # A fold is a turn of the surface: normals stay near what they were.
    turned = np.einsum("ij,ij->i", medium["top"].normals, heavy["top"].normals)
    assert np.quantile(turned, 0.05) > 0.85
    np.testing.assert_allclose(heavy["head"].vertices, medium["head"].vertices)


def test_facing_turns_the_nose() -> None:
    east = parts(at=[2, 3], facing=90)["head"].vertices
    tip = east[east[:, 0].argmax()]
    assert tip[:2] == pytest.approx([2 + 0.114, 3.0], abs=0.015)
    there = parts(at=[10, -4], facing="gate")["head"].vertices
    assert there[there[:, 1].argmax(), :2] == pytest.approx([10.0, -4 + 0.114], abs=0.015)


def test_size_of_the_asset_and_of_a_figure() -> None:
    assert figure_body.__file__ is not None
    assert Path(figure_body.__file__).with_name("bodies.npz").stat().st_size < 6e6
    for name, garment in product(NAMES, GARMENTS):
        made = parts(person=name, wears=garment)
        body = sum(
            len(made[p].faces) for p in ("top", "shirt", "hood", "bottom", "hands", "shoes") if p in made
        )
        assert 12_000 < body < 27_000


def test_figures_share_no_arrays() -> None:
    first, second = parts(), parts()
    before = second["top"].vertices.copy()
    first["top"].vertices[:] = 0.0
    assert np.array_equal(second["top"].vertices, before)


def test_rows_pack_and_unpack() -> None:
    rows = np.array([[0, -5, 32_767, -32_768], [1, 2, 3, 4]], np.int16)
    assert np.array_equal(unpacked(packed(rows), np.int16), rows)
    faces = np.array([[0, 65_535, 7]], np.uint16)
    assert np.array_equal(unpacked(packed(faces), np.uint16), faces)


def test_what_an_archive_lacks_is_said(tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError, match=r"python -m preview\.build\.sculpt bodies"):
        Archive(tmp_path / "bodies.npz", "bodies")
    with pytest.raises(KeyError, match=r"holds no man\.toga"):
        archive("bodies")["man.toga"]


def test_every_cut_is_in_the_archive() -> None:
    for name, cuts in CUTS.items():
        for cut in cuts:
            assert f"{name}.hair.{cut}.vertices" in archive("heads") or cut == "bald"


def test_what_does_not_fit_is_told(tmp_path: Path) -> None:
    told = "\n".join(
        faults(tmp_path, "cast: [{name: A, at: [0, 0], facing: 0, person: child, cut: bald}]\n" + SMALL)
    )
    assert "a child's cut can be short, long, tied, cap, not bald" in told
    told = "\n".join(
        faults(tmp_path, "cast: [{name: A, at: [0, 0], facing: 0, head: {turn: 120}}]\n" + SMALL)
    )
    assert "80" in told
