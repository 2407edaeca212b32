"""The stored heads against published measurements of people, and what light does to them.

Sizes, from memory: the anthropometric surveys of the United States Army of 1988 and 2012 for adults; L. Farkas,
"Anthropometry of the Head and Face" (1994), for children of 13 and 8 years. What a key, a top light and a back light show
of a face is common practice, no source.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import get_args

import numpy as np
import pytest

from preview.build.cast import stored_mesh
from preview.build.sculpt.cornea import IRIS_RADIUS, RADIUS, cornea_of
from preview.script.people import PersonName
from preview.trace.rays import Rays

ASSET = Path(stored_mesh.__file__).with_name("heads.npz")
PEOPLE: tuple[PersonName, ...] = get_args(PersonName)
FAR = np.float32(10.0)


@cache
def stored() -> dict[str, np.ndarray]:
    with np.load(ASSET) as archive:
        return {name: archive[name] for name in archive.files}


def places(key: str) -> np.ndarray:
    """Vertices (n, 3) in millimetres."""
    return stored()[f"{key}.vertices"] * float(stored()["metres_per_unit"]) * 1000.0


def faces(key: str) -> np.ndarray:
    return stored()[f"{key}.faces"].astype(np.int32)


def normals(key: str) -> np.ndarray:
    return stored()[f"{key}.normals"] / 32767.0


def tints(key: str) -> np.ndarray:
    return stored()[f"{key}.tint"] * float(stored()["tint_per_unit"])


def keys(person: str) -> list[str]:
    return [k.removesuffix(".faces") for k in stored() if k.startswith(f"{person}.") and k.endswith(".faces")]


def unit(v: np.ndarray) -> np.ndarray:
    return v / np.linalg.norm(v, axis=-1, keepdims=True)


def way(aside: float, up: float) -> np.ndarray:
    """Unit direction to a light, degrees aside of straight ahead towards +x and up."""
    a, e = np.radians([aside, up])
    return np.array([np.sin(a) * np.cos(e), np.cos(a) * np.cos(e), np.sin(e)])


class Sitter:
    """A head with its eyes and a cut, in metres, to be looked at and lit."""

    def __init__(self, person: str, cut: str | None = None) -> None:
        eyes = stored()[f"{person}.eye_centres"]
        bodies = [("head", np.zeros(3)), ("brows", np.zeros(3))]
        bodies += [(part, centre) for centre in eyes for part in ("eye", "iris", "pupil")]
        if cut is not None:
            bodies.append((f"hair.{cut}", np.zeros(3)))
        self.names = [name for name, _ in bodies]
        vertices = [places(f"{person}.{name}") / 1000 + at for name, at in bodies]
        starts = np.cumsum([0] + [len(v) for v in vertices])
        self.vertices = np.concatenate(vertices)
        self.normals = np.concatenate([normals(f"{person}.{name}") for name, _ in bodies])
        index = [faces(f"{person}.{name}") for name, _ in bodies]
        self.faces = np.concatenate([f + n for f, n in zip(index, starts, strict=False)]).astype(np.int32)
        self.of = np.repeat(np.arange(len(bodies)), [len(f) for f in index])
        self.rays = Rays(self.vertices.astype(np.float32), self.faces)

    def seen(self, origins: np.ndarray, towards: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Places (n, 3) m, shading normals and which body (-1 for none) of rays from origins (n, 3)."""
        ways = np.tile(towards, (len(origins), 1))
        hit = self.rays.hit(origins.astype(np.float32), ways.astype(np.float32))
        found = np.where(hit.face >= 0, hit.face, 0)
        corner = self.faces[found]
        u, v = hit.u[:, None], hit.v[:, None]
        normal = unit(
            (1 - u - v) * self.normals[corner[:, 0]]
            + u * self.normals[corner[:, 1]]
            + v * self.normals[corner[:, 2]]
        )
        normal = np.where((normal @ towards > 0)[:, None], -normal, normal)
        where = origins + ways * np.where(np.isfinite(hit.distance), hit.distance, 0.0)[:, None]
        return where, normal, np.where(hit.face >= 0, self.of[found], -1)

    def light(self, where: np.ndarray, normal: np.ndarray, to: np.ndarray) -> np.ndarray:
        """What places get of a distant light, (n,): the cosine, 0 in shadow."""
        start = where + 3e-4 * normal
        blocked = self.rays.blocked(
            start.astype(np.float32),
            np.tile(to, (len(where), 1)).astype(np.float32),
            np.full(len(where), FAR),
        )
        return np.where(blocked, 0.0, np.maximum(normal @ to, 0.0))

    def front(self, across: np.ndarray, up: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """What is seen from straight ahead at x (n,) and z (n,) mm."""
        origins = np.stack([across, np.full(len(across), 500.0), up], axis=1) / 1000
        return self.seen(origins, np.array([0.0, -1.0, 0.0]))


@cache
def sitter(person: str, cut: str | None = None) -> Sitter:
    return Sitter(person, cut)


def profile(person: str) -> np.ndarray:
    """Middle line of the face from the front, (n, 2): y and z in mm, from the hairline down."""
    up = np.arange(70.0, -125.0, -0.5)
    where, _, _ = sitter(person).front(np.zeros(len(up)), up)
    return where[:, 1:] * 1000


def menton(person: str) -> float:
    """Height of the lowest point of the chin."""
    line = profile(person)
    low = line[line[:, 0] > 55]
    return float(low[:, 1].min())


def sellion(person: str) -> float:
    """Height of the root of the nose, the deepest place of the profile between brow and tip."""
    line = profile(person)
    root = line[(line[:, 1] < 16) & (line[:, 1] > -8)]
    return float(root[root[:, 0].argmin(), 1])


@pytest.mark.parametrize("person", PEOPLE)
def test_all_that_a_head_is_made_of(person: PersonName) -> None:
    parts = {key.removeprefix(f"{person}.") for key in keys(person)}
    assert {"head", "brows", "lashes", "eye", "iris", "pupil", "cap", "hair.short", "hair.cap"} <= parts
    assert len(parts & {"hair.long", "hair.tied", "hair.cropped", "hair.bald"}) >= 2
    assert stored()[f"{person}.eye_centres"].shape == (2, 3)
    assert 10_000 < len(faces(f"{person}.head")) < 18_000


def test_size_of_the_asset() -> None:
    assert ASSET.stat().st_size < 5e6


@pytest.mark.parametrize("person", PEOPLE)
@pytest.mark.parametrize("part", ["head", "eye", "iris", "pupil", "cap"])
def test_bodies_are_closed_and_wound_outward(person: PersonName, part: str) -> None:
    index, vertices = faces(f"{person}.{part}"), places(f"{person}.{part}")
    directed = np.concatenate([index[:, [0, 1]], index[:, [1, 2]], index[:, [2, 0]]])
    edges, counts = np.unique(directed, axis=0, return_counts=True)
    assert counts.max() == 1
    assert {tuple(e) for e in edges[:, ::-1].tolist()} == {tuple(e) for e in edges.tolist()}
    a, b, c = (vertices[index[:, i]] for i in range(3))
    assert np.einsum("ij,ij->i", a, np.cross(b, c)).sum() > 0


@pytest.mark.parametrize("person", PEOPLE)
def test_normals_are_unit_and_agree_with_the_faces(person: PersonName) -> None:
    for key in keys(person):
        normal, index, vertices = normals(key), faces(key), places(key)
        assert np.abs(np.linalg.norm(normal, axis=1) - 1).max() < 0.02, key
        a, b, c = (vertices[index[:, i]] for i in range(3))
        across = np.cross(b - a, c - a)
        agreeing = np.einsum("ij,ij->i", across, normal[index].sum(axis=1)) > 0
        area = np.linalg.norm(across, axis=1)
        assert area[agreeing].sum() / area.sum() > 0.97, key


# Head length, head breadth, bizygomatic breadth, sellion to menton, between the pupils; mm.
MEASURES: dict[PersonName, tuple[float, float, float, float, float]] = {
    "man": (197, 153, 142, 121, 64),
    "woman": (187, 146, 133, 111, 62),
    "teen": (186, 147, 130, 107, 60),
    "child": (181, 142, 121, 97, 54),
}
# About one and a half times the standard deviations of the surveys.
WITHIN = (10, 8, 8, 9, 4)


@pytest.mark.parametrize("person", PEOPLE)
def test_measures(person: PersonName) -> None:
    v = places(f"{person}.head")
    brow = v[(v[:, 2] > 14) & (v[:, 2] < 70)]
    length = brow[:, 1].max() - v[v[:, 2] > -40, 1].min()
    breadth = np.ptp(v[v[:, 2] > 30, 0])
    arch = v[(v[:, 1] > 8) & (v[:, 2] > -30) & (v[:, 2] < -6)]
    pupils = np.ptp(stored()[f"{person}.eye_centres"][:, 0]) * 1000
    found = (length, breadth, np.ptp(arch[:, 0]), sellion(person) - menton(person), pupils)
    for value, published, within in zip(found, MEASURES[person], WITHIN, strict=True):
        assert value == pytest.approx(published, abs=within), found


def test_a_nose_is_before_the_lips_and_its_root_behind_the_brow() -> None:
    for person in PEOPLE:
        line = profile(person)
        chin, root = menton(person), sellion(person)
        face = root - chin
        share = (line[:, 1] - chin) / face

        def forward(low: float, high: float, line: np.ndarray = line, share: np.ndarray = share) -> float:
            return float(line[(share > low) & (share < high), 0].max())

        tip, lips, front = forward(0.5, 0.75), forward(0.3, 0.5), forward(0.02, 0.2)
        assert 6 < tip - lips < 26, person
        assert lips > front, person
        assert forward(1.05, 1.3) > line[np.abs(line[:, 1] - root).argmin(), 0] + 2, person
        throat = places(f"{person}.head")
        below = throat[
            (np.abs(throat[:, 0]) < 12) & (np.abs(throat[:, 2] - (chin - 0.3 * face)) < 8), 1
        ].max()
        assert front - below > 30, person


def test_faces_differ_as_ages_and_sexes_do() -> None:
    """Farkas, from memory: with age the face grows against the skull; a man's jaw is the broadest, his nose the largest."""

    def jaw(person: str) -> float:
        v = places(f"{person}.head")
        level = menton(person) + 0.36 * (sellion(person) - menton(person))
        row = v[(np.abs(v[:, 2] - level) < 4) & (v[:, 1] > 2)]
        return float(np.ptp(row[:, 0]))

    def nose(person: str) -> float:
        line = profile(person)
        face = sellion(person) - menton(person)
        share = (line[:, 1] - menton(person)) / face
        return float(
            line[(share > 0.5) & (share < 0.75), 0].max() - line[(share > 0.4) & (share < 0.52), 0].min()
        )

    def low(person: str) -> float:
        v = places(f"{person}.head")
        return (sellion(person) - menton(person)) / (v[:, 2].max() - menton(person))

    assert jaw("man") > jaw("woman") + 6 > jaw("teen") > jaw("child")
    assert nose("man") > nose("woman") > nose("child")
    assert low("man") > low("child") + 0.03
    assert low("woman") > low("child") + 0.02


@pytest.mark.parametrize("person", PEOPLE)
def test_sides_differ_a_little(person: PersonName) -> None:
    """A living face is uneven by a millimetre or so, from memory."""
    x, z = (g.ravel() for g in np.meshgrid(np.arange(4.0, 44.0, 3.0), np.arange(-90.0, 30.0, 3.0)))
    right, left = (sitter(person).front(side * x, z)[0][:, 1] * 1000 for side in (1, -1))
    apart = np.abs(right - left)
    assert 0.1 < np.median(apart) < 2.0


@pytest.mark.parametrize("person", PEOPLE)
def test_cornea_is_where_the_catchlight_is_reckoned(person: PersonName) -> None:
    """Iris and pupil are a sphere of the cornea's radius, its middle where `cornea_of` says, out to the limbus."""
    ball = np.linalg.norm(places(f"{person}.eye"), axis=1).max() / 1000
    cornea = cornea_of(np.zeros(3), ball, np.array([0.0, 1.0, 0.0]))
    outer = []
    for part in ("iris", "pupil"):
        v, n = places(f"{person}.{part}") / 1000, normals(f"{person}.{part}")
        front = n[:, 1] > 0.6
        off = v[front] - cornea.centre
        on = np.abs(np.linalg.norm(off, axis=1) - RADIUS) < 4e-5
        assert on.mean() > 0.75
        assert np.einsum("ij,ij->i", unit(off[on]), n[front][on]).min() > 0.999
        outer.append(np.hypot(v[:, 0], v[:, 2]).max())
    assert outer[0] == pytest.approx(IRIS_RADIUS, abs=5e-5)
    assert 0.0015 < outer[1] < 0.004


@pytest.mark.parametrize("person", PEOPLE)
def test_lids_cover_the_top_of_the_iris_and_meet_its_foot(person: PersonName) -> None:
    """The upper lid covers 1 to 2 mm of the iris, the lower one touches it; the opening is 25 to 32 long, 8 to 12 high
    (children's nearly as adults'). From memory of ophthalmic texts."""
    head = sitter(person)
    for eye in stored()[f"{person}.eye_centres"] * 1000:
        x, z = (g.ravel() for g in np.meshgrid(np.arange(-18, 18.1, 0.4), np.arange(-12, 12.1, 0.4)))
        _, _, body = head.front(eye[0] + x, eye[2] + z)
        names = np.array([*head.names, ""])[body]
        colour = np.isin(names, ["iris", "pupil"])
        ball = colour | (names == "eye")
        assert 0.3 < 5.85 - z[colour].max() < 3.5
        assert -1.0 < 5.85 + z[colour].min() < 2.0
        assert 20 < np.ptp(x[ball]) < 31
        assert 7 < np.ptp(z[ball]) < 12.5
        assert (names[np.hypot(x, z) < 2.0] == "pupil").all()


@pytest.mark.parametrize("person", PEOPLE)
def test_side_key_leaves_the_triangle_on_the_far_cheek(person: PersonName) -> None:
    """Key 45 aside and 45 up: below the far eye a lit patch between the nose's shadow and the cheek's own, which meet
    below it beside the mouth; a child's nose is too short to shut it."""
    head = sitter(person)
    eye = stored()[f"{person}.eye_centres"][1, 0] * 1000
    face = sellion(person) - menton(person)
    across = np.arange(0.3 * eye, 2.2 * eye, 1.0)
    up = np.arange(-0.2, -0.4 if person == "child" else -0.6, -0.01) * face
    x, z = np.meshgrid(across, up)
    where, normal, body = head.front(-x.ravel(), z.ravel())
    lit = ((head.light(where, normal, way(45, 45)) > 0.06) & (body >= 0)).reshape(x.shape)
    # What is left of the nose's shadow is the nose.
    dark = np.array([np.flatnonzero(~row & (across < eye))[0] for row in lit])
    patch = np.array([row & (np.arange(len(across)) > first) for row, first in zip(lit, dark, strict=True)])
    width = patch.sum(axis=1)
    assert patch.sum() * 0.01 * face > 80
    assert width[0] > 12
    assert person == "child" or np.median(width[-8:]) == 0
    assert np.polyfit(up, width, 1)[0] > 0
    assert not patch[:, across > 1.85 * eye].any()
    beside_nose = (x > 0.42 * eye) & (x < 0.6 * eye) & (z < -0.27 * face) & (z > -0.4 * face)
    assert lit[beside_nose].mean() < 0.3
    near, near_normal, _ = head.front(np.array([1.1 * eye]), np.array([-0.25 * face]))
    assert head.light(near, near_normal, way(45, 45))[0] > 0.5


@pytest.mark.parametrize("person", PEOPLE)
def test_top_light_makes_the_sockets_dark(person: PersonName) -> None:
    """From the zenith: forehead and ridge of the nose lit, eyeballs in shadow."""
    head = sitter(person)
    eye = stored()[f"{person}.eye_centres"][1] * 1000
    x, z = (g.ravel() for g in np.meshgrid(np.arange(-12, 12.1, 0.5), np.arange(-6, 6.1, 0.5)))
    for side in (-1, 1):
        where, normal, body = head.front(side * eye[0] + x, z)
        ball = np.isin(np.array([*head.names, ""])[body], ["eye", "iris", "pupil"])
        assert ball.sum() > 200
        assert (head.light(where[ball], normal[ball], way(0, 90)) > 0.02).mean() < 0.02
    x, z = (g.ravel() for g in np.meshgrid(np.arange(-30, 30.1, 3), np.arange(34, 60, 3)))
    where, normal, _ = head.front(x, z)
    assert (head.light(where, normal, way(0, 90)) > 0.02).mean() > 0.9
    tip, tip_normal, _ = head.front(
        np.zeros(5), np.linspace(-0.18, -0.3, 5) * (sellion(person) - menton(person))
    )
    assert (head.light(tip, tip_normal, way(0, 90)) > 0.15).mean() > 0.7


@pytest.mark.parametrize("person", PEOPLE)
def test_back_light_rims_hair_ear_and_cheekbone(person: PersonName) -> None:
    """Three quarters back, 35 up: seen from ahead a line of light on hair and ear, the face in shade."""
    head = sitter(person, "short")
    x, z = (g.ravel() for g in np.meshgrid(np.arange(-110, 110.1, 1.5), np.arange(-95, 140, 1.5)))
    where, normal, body = head.front(x, z)
    lit = head.light(where, normal, way(140, 35)) > 0.05
    names = np.array([*head.names, ""])[body]
    hair = names == "hair.short"
    middle = (names == "head") & (np.abs(x) < 30) & (z < 30)
    assert lit[middle].mean() < 0.02
    assert lit[hair & (x > 20)].mean() > 0.25
    assert lit[hair & (x < -60) & (z < 40)].mean() < 0.05
    ear = (names == "head") & (x > 66) & (np.abs(z + 14) < 36)
    assert lit[ear].mean() > 0.2
    bone = (names == "head") & (x > 40) & (x < 68) & (z < 10) & (z > -60)
    assert 0.0 < lit[bone].mean() < 0.6


@pytest.mark.parametrize("person", PEOPLE)
def test_hair_is_no_helmet(person: PersonName) -> None:
    """It covers the crown, stays off the face, its surface turns hither and thither, its outline is uneven."""
    head = sitter(person, "short")
    x, y = (g.ravel() for g in np.meshgrid(np.arange(-50, 50.1, 4), np.arange(-60, 50.1, 4)))
    origins = np.stack([x, y, np.full(len(x), 400.0)], axis=1) / 1000
    _, normal, body = head.seen(origins, np.array([0.0, 0.0, -1.0]))
    names = np.array([*head.names, ""])[body]
    assert (names == "hair.short").mean() > 0.97
    grid = normal.reshape(28, 26, 3)
    turn = np.degrees(np.arccos(np.clip(np.einsum("ijk,ijk->ij", grid[1:], grid[:-1]), -1, 1)))
    bare = sitter(person).seen(origins, np.array([0.0, 0.0, -1.0]))[1].reshape(28, 26, 3)
    calm = np.degrees(np.arccos(np.clip(np.einsum("ijk,ijk->ij", bare[1:], bare[:-1]), -1, 1)))
    assert np.median(turn) > 3 * np.median(calm)
    x, z = (g.ravel() for g in np.meshgrid(np.arange(-25, 25.1, 2), np.arange(-60, 35, 2)))
    assert not (np.array([*head.names, ""])[head.front(x, z)[2]] == "hair.short").any()
    # Where the forehead meets the hair, column by column.
    edge = []
    for column in np.arange(-35, 35.1, 2.0):
        up = np.arange(30, 110, 0.25)
        seen = np.array([*head.names, ""])[head.front(np.full(len(up), column), up)[2]]
        edge.append(up[(seen == "hair.short").argmax()])
    rough = np.abs(np.diff(edge, 2))
    assert 0.35 < rough.mean() < 12


@pytest.mark.parametrize("person", PEOPLE)
def test_lips_are_redder_and_darker_than_the_forehead(person: PersonName) -> None:
    v, tint = places(f"{person}.head"), tints(f"{person}.head")
    face = sellion(person) - menton(person)
    level = menton(person) + 0.34 * face
    lip = (np.abs(v[:, 2] - level) < 0.05 * face) & (np.abs(v[:, 0]) < 8) & (v[:, 1] > 70)
    forehead = (v[:, 2] > 35) & (v[:, 2] < 60) & (v[:, 1] > 60)
    lips, skin = np.median(tint[lip], axis=0), np.median(tint[forehead], axis=0)
    assert skin == pytest.approx(np.ones(3), abs=0.06)
    assert lips.mean() < 0.85 * skin.mean()
    assert lips[0] / lips[1] > 1.2 * skin[0] / skin[1]
    brow = places(f"{person}.brows")
    assert 5 < brow[:, 2].min() < brow[:, 2].max() < 40
