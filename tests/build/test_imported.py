"""Imported meshes: placed, scaled, turned, coloured, cropped, thinned out, and refused in words when they will not do."""

from __future__ import annotations

import json
import struct
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh
from numpy.typing import NDArray
from PIL import Image

from preview.build.imported import build_imported
from preview.build.imported.facts import facts_of
from preview.build.mesh import Part
from preview.commands.check import check
from preview.faults import UserError
from preview.script.models.pieces.imported import ImportedMesh
from preview.trade.catalogue import material
from tests.build.standing import site
from tests.script.scenes import faults, scene

Floats = NDArray[np.float64]


def model(file: str, **given: Any) -> ImportedMesh:
    return ImportedMesh.model_validate({"file": file, **given})


def built(folder: Path, file: str, **given: Any) -> list[Part]:
    return build_imported("prop", model(file, **given), site(folder))


def refused(folder: Path, file: str, **given: Any) -> str:
    with pytest.raises(UserError) as caught:
        built(folder, file, **given)
    return str(caught.value)


def said(folder: Path, file: str, **given: Any) -> tuple[str, ...]:
    return facts_of(model(file, **given), folder).said


def reflected(part: Part) -> Floats:
    """What its vertices reflect, ACEScg."""
    rgb = np.array(material(part.material).rgb)
    return rgb * np.ones((len(part.vertices), 1)) if part.tint is None else rgb * part.tint


@pytest.fixture
def acescg(colour_science: Any) -> Callable[..., Floats]:
    """Of three values, 0 to 255, what the colour library makes of them: of a screen's code values by IEC 61966-2-1, or
    `linear`; adapted by Bradford."""

    def answer(*code: float, linear: bool = False) -> Floats:
        spaces = colour_science.RGB_COLOURSPACES
        told: Floats = colour_science.RGB_to_RGB(
            np.array(code) / 255.0,
            spaces["sRGB"],
            spaces["ACEScg"],
            chromatic_adaptation_transform="Bradford",
            apply_cctf_decoding=not linear,
        )
        return told

    return answer


@pytest.mark.parametrize("suffix", ["stl", "obj", "ply", "off"])
def test_any_format_is_read_and_put_in_its_place(tmp_path: Path, suffix: str) -> None:
    trimesh.creation.box(extents=(2, 1, 0.5)).export(tmp_path / f"crate.{suffix}")
    (part,) = build_imported("crate", model(f"crate.{suffix}", at=[3, 4], height=0.25), site(tmp_path))
    np.testing.assert_allclose(part.vertices.min(axis=0), [2, 3.5, 0.0], atol=1e-6)
    np.testing.assert_allclose(part.vertices.max(axis=0), [4, 4.5, 0.5], atol=1e-6)
    assert part.name == "crate"
    assert part.material == "grey card"


@pytest.mark.parametrize("suffix", ["glb", "gltf"])
def test_gltf_is_in_metres_and_its_y_is_up(tmp_path: Path, suffix: str) -> None:
    """Khronos glTF 2.0, 3.4: metres, y up, z towards the front."""
    exported = trimesh.exchange.gltf.export_gltf if suffix == "gltf" else trimesh.exchange.gltf.export_glb
    told = exported(trimesh.Scene(trimesh.creation.box(bounds=[[0, 0, 0], [2, 1, 0.5]])))
    for name, content in told.items() if isinstance(told, dict) else [("crate.glb", told)]:
        (tmp_path / name.replace("model", "crate")).write_bytes(content)
    (part,) = built(tmp_path, f"crate.{suffix}")
    np.testing.assert_allclose(part.vertices.min(axis=0), [0, -0.5, 0], atol=1e-6)
    np.testing.assert_allclose(part.vertices.max(axis=0), [2, 0, 1], atol=1e-6)
    assert said(tmp_path, f"crate.{suffix}") == ()


def test_nodes_of_a_file_keep_their_places(tmp_path: Path) -> None:
    scene = trimesh.Scene()
    for x in (-2, 2):
        scene.add_geometry(
            trimesh.creation.box(),
            node_name=f"box {x}",
            transform=trimesh.transformations.translation_matrix([x, 0, 0]),
        )
    scene.export(tmp_path / "two.glb")
    parts = built(tmp_path, "two.glb")
    assert {part.name for part in parts} == {"prop.box -2", "prop.box 2"}
    middles = {part.name: part.vertices.mean(axis=0)[0] for part in parts}
    assert middles == pytest.approx({"prop.box -2": -2, "prop.box 2": 2})


def test_y_up_and_turn_and_unit(tmp_path: Path) -> None:
    trimesh.creation.box(bounds=[[0, 0, 0], [100, 200, 30]]).export(tmp_path / "post.stl")
    (part,) = built(tmp_path, "post.stl", up="y", scale="cm", turn=90)
    # y becomes up, z comes towards the south; then a quarter turn clockwise: east goes south, south goes west.
    np.testing.assert_allclose(part.vertices.min(axis=0), [-0.3, -1, 0], atol=1e-6)
    np.testing.assert_allclose(part.vertices.max(axis=0), [0, 0, 2], atol=1e-6)


def floor(up: int) -> trimesh.Trimesh:
    """A floor of 4 x 3 m with a post on it; the axis `up` is up."""
    sizes = np.insert([4.0, 3.0], up, 0.1)
    post = np.insert([0.2, 0.2], up, 1.5)
    middle = np.insert([0.0, 0.0], up, 0.8)
    whole = (
        trimesh.creation.box(extents=sizes),
        trimesh.creation.box(extents=post, transform=trimesh.transformations.translation_matrix(middle)),
    )
    return trimesh.util.concatenate(whole)


@pytest.mark.parametrize(("up", "letter"), [(1, "y"), (2, "z")])
def test_which_way_is_up_is_seen_by_the_ground(tmp_path: Path, up: int, letter: str) -> None:
    floor(up).export(tmp_path / "yard.obj")
    (part,) = built(tmp_path, "yard.obj")
    assert np.ptp(part.vertices, axis=0) == pytest.approx([4, 3, 1.6], abs=1e-6)
    assert any(
        f"taken to be {letter}: so there is level ground in it" in one for one in said(tmp_path, "yard.obj")
    )
    assert not any("which way" in one for one in said(tmp_path, "yard.obj", up=letter))


def test_gentle_edges_are_shaded_round_and_sharp_ones_stay(tmp_path: Path) -> None:
    trimesh.creation.icosphere(subdivisions=3, radius=1.0).export(tmp_path / "ball.stl")
    (ball,) = built(tmp_path, "ball.stl")
    np.testing.assert_allclose(np.sum(ball.normals * ball.vertices, axis=1), 1.0, atol=2e-3)
    assert (
        len(ball.vertices) == len(ball.faces) / 2 + 2
    )  # Euler: a closed ball whose triangles share their corners
    trimesh.creation.box().export(tmp_path / "box.ply")
    (box,) = built(tmp_path, "box.ply")
    assert np.sort(np.abs(box.normals), axis=1)[:, :2].max() < 1e-9
    (rounded,) = built(tmp_path, "box.ply", smooth=100)
    assert np.abs(rounded.normals).max() < 0.95


def test_faces_that_wind_the_wrong_way_are_shaded_as_their_neighbours(tmp_path: Path) -> None:
    ball = trimesh.creation.icosphere(subdivisions=3, radius=1.0)
    ball.faces[::3] = ball.faces[::3, ::-1]
    ball.export(tmp_path / "ball.ply")
    (part,) = built(tmp_path, "ball.ply")
    np.testing.assert_allclose(np.abs(np.sum(part.normals * part.vertices, axis=1)), 1.0, atol=2e-3)


# Colours


def test_colours_of_vertices_are_what_they_reflect(tmp_path: Path, acescg: Callable[..., Floats]) -> None:
    colours = [[200, 60, 20, 255], [255, 255, 255, 255], [0, 0, 0, 255], [20, 90, 200, 255]]
    square = trimesh.Trimesh(
        [[0, 0, 0], [1, 0, 0], [1, 1, 0], [0, 1, 0]],
        [[0, 1, 2], [0, 2, 3]],
        vertex_colors=colours,
        process=False,
    )
    square.export(tmp_path / "square.ply")
    (part,) = built(tmp_path, "square.ply")
    assert part.material == "scanned"
    for code in colours:
        at = square.vertices[colours.index(code)]
        (index,) = np.flatnonzero(np.linalg.norm(part.vertices - at, axis=1) < 1e-6)
        # Nothing reflects more than 98 %.
        assert reflected(part)[index] == pytest.approx(np.minimum(acescg(*code[:3]), 0.98), abs=1e-4)
    (plain,) = built(tmp_path, "square.ply", colours=False)
    assert (plain.material, plain.tint) == ("grey card", None)
    (brick,) = built(tmp_path, "square.ply", material="brick")
    assert (brick.material, brick.tint) == ("brick", None)


def test_colours_of_faces_change_at_their_edges(tmp_path: Path, acescg: Callable[..., Floats]) -> None:
    square = trimesh.Trimesh(
        [[0, 0, 0], [1, 0, 0], [1, 1, 0], [0, 1, 0]], [[0, 1, 2], [0, 2, 3]], process=False
    )
    square.visual.face_colors = [[255, 0, 0, 255], [0, 0, 255, 255]]
    square.export(tmp_path / "square.ply")
    (part,) = built(tmp_path, "square.ply")
    seen = reflected(part)[part.faces]
    assert np.ptp(seen, axis=1).max() < 1e-6
    expected = np.minimum([acescg(255, 0, 0), acescg(0, 0, 255)], 0.98)
    assert seen[np.argsort(-seen[:, 0, 0]), 0] == pytest.approx(expected, abs=1e-4)


def test_materials_of_obj_and_mtl_are_colours_and_parts(
    tmp_path: Path, acescg: Callable[..., Floats]
) -> None:
    (tmp_path / "shed.mtl").write_text("newmtl felt\nKd 0.2 0.2 0.2\nnewmtl boards\nKd 0.8 0.4 0.2\n")
    (tmp_path / "shed.obj").write_text(
        "mtllib shed.mtl\nv 0 0 0\nv 2 0 0\nv 2 2 0\nv 0 2 0\nv 0 0 2\nv 2 0 2\nv 2 2 2\n"
        "o walls\nusemtl boards\nf 1 2 6\nf 1 6 5\no roof\nusemtl felt\nf 5 6 7\n"
    )
    parts = {part.name: part for part in built(tmp_path, "shed.obj")}
    assert set(parts) == {"prop.walls", "prop.roof"}
    # Kd is taken as a screen shows it: common practice, no source.
    assert reflected(parts["prop.walls"])[0] == pytest.approx(acescg(204, 102, 51), abs=1e-4)
    assert reflected(parts["prop.roof"])[0] == pytest.approx(acescg(51, 51, 51), abs=1e-4)
    given = {
        part.name: part for part in built(tmp_path, "shed.obj", parts={"ROOF": "slate", "board*": "wood"})
    }
    assert given["prop.roof"].material == "slate"
    assert given["prop.roof"].tint is None
    assert given["prop.walls"].material == "wood"
    assert "Parts of shed.obj: " in said(tmp_path, "shed.obj")[-1]


def test_parts_are_told_apart_without_their_list_of_materials(tmp_path: Path) -> None:
    (tmp_path / "shed.obj").write_text(
        "mtllib gone.mtl\nv 0 0 0\nv 2 0 0\nv 2 2 0\nv 0 0 2\nusemtl felt\nf 1 2 3\nusemtl boards\nf 1 2 4\n"
    )
    parts = {part.name: part.material for part in built(tmp_path, "shed.obj", parts={"felt": "slate"})}
    assert parts == {"prop.felt": "slate", "prop.boards": "grey card"}


def test_a_name_that_no_part_bears_is_refused_with_those_there_are(tmp_path: Path) -> None:
    (tmp_path / "shed.obj").write_text(
        "v 0 0 0\nv 2 0 0\nv 2 2 0\nv 0 0 2\ng walls\nf 1 2 3\ng roof\nf 1 2 4\n"
    )
    assert refused(tmp_path, "shed.obj", parts={"rooof": "slate"}) == (
        'prop: parts: no part "rooof"; the file has roof, walls'
    )


def gltf_triangle(folder: Path, name: str, **more: Any) -> None:
    """A triangle with vertex colours in floats, which by the standard are linear and multiply the material's factor."""
    places = np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0]], np.float32)
    shares = np.array([[0.2, 0.4, 0.8]] * 3, np.float32)
    content = places.tobytes() + shares.tobytes()
    (folder / "data.bin").write_bytes(content)
    told = {
        "asset": {"version": "2.0"},
        "buffers": [{"uri": "data.bin", "byteLength": len(content)}],
        "bufferViews": [
            {"buffer": 0, "byteOffset": 0, "byteLength": 36},
            {"buffer": 0, "byteOffset": 36, "byteLength": 36},
        ],
        "accessors": [
            {
                "bufferView": 0,
                "componentType": 5126,
                "count": 3,
                "type": "VEC3",
                "min": [0, 0, 0],
                "max": [1, 1, 0],
            },
            {"bufferView": 1, "componentType": 5126, "count": 3, "type": "VEC3"},
        ],
        "materials": [{"name": "wash", "pbrMetallicRoughness": {"baseColorFactor": [0.5, 0.5, 1.0, 1.0]}}],
        "meshes": [{"primitives": [{"attributes": {"POSITION": 0, "COLOR_0": 1}, "material": 0}]}],
        "nodes": [{"mesh": 0, "name": "sail"}],
        "scenes": [{"nodes": [0]}],
        "scene": 0,
        **more,
    }
    (folder / name).write_text(json.dumps(told))


def test_colours_of_gltf_are_linear_and_multiply(tmp_path: Path, acescg: Callable[..., Floats]) -> None:
    """Khronos glTF 2.0, 3.9.2: COLOR_0 and baseColorFactor are linear factors of the base colour."""
    gltf_triangle(tmp_path, "sail.gltf")
    (part,) = built(tmp_path, "sail.gltf")
    linear = acescg(25.5, 51.0, 204.0, linear=True)
    assert reflected(part)[0] == pytest.approx(linear, abs=3e-3)  # a reader keeps eight bits of the factor


def textured(folder: Path, picture: Image.Image, name: str = "card.glb", *, size: float = 1.0) -> None:
    """A card that stands up (y) with a picture on it, upright."""
    visual = trimesh.visual.TextureVisuals(
        uv=np.array([[0, 0], [1, 0], [1, 1], [0, 1]], float),
        material=trimesh.visual.material.PBRMaterial(baseColorTexture=picture),
    )
    corners = np.array([[0, 0, 0], [size, 0, 0], [size, size, 0], [0, size, 0]], float)
    trimesh.Trimesh(corners, [[0, 1, 2], [0, 2, 3]], visual=visual, process=False).export(folder / name)


def test_a_texture_is_carried_by_vertices_as_fine_as_it_is(
    tmp_path: Path, acescg: Callable[..., Floats]
) -> None:
    """Two triangles are cut up until the four fields of a picture, and where they meet, are seen."""
    picture = Image.new("RGB", (64, 64), (200, 60, 20))
    picture.paste((20, 90, 200), (32, 0, 64, 32))
    picture.paste((255, 255, 255), (0, 32, 32, 64))
    textured(tmp_path, picture)
    (part,) = built(tmp_path, "card.glb")
    assert len(part.faces) > 1000
    x, z = part.vertices[:, 0], part.vertices[:, 2]
    clear = (np.abs(x - 0.5) > 0.05) & (np.abs(z - 0.5) > 0.05)
    for (right, high), code in {
        (False, True): (200, 60, 20),
        (True, True): (20, 90, 200),
        (False, False): (255, 255, 255),
        (True, False): (200, 60, 20),
    }.items():
        inside = clear & ((x > 0.5) == right) & ((z > 0.5) == high)
        expected = np.minimum(acescg(*code), 0.98)
        assert reflected(part)[inside] == pytest.approx(
            np.broadcast_to(expected, (inside.sum(), 3)), abs=2e-3
        )
    # Cut up on the spot: as large as before, and as flat.
    assert area(part) == pytest.approx(1.0, rel=1e-9)
    assert np.ptp(part.vertices[:, 1]) == 0.0


def area(part: Part) -> float:
    corners = part.vertices[part.faces]
    return float(
        np.linalg.norm(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1).sum()
        / 2
    )


def test_a_large_texture_is_averaged_in_linear_light(tmp_path: Path) -> None:
    """A picture of black and white by turns reflects half: the mean of 0 and 1, not of their codes (0.21)."""
    fine = np.indices((2048, 2048)).sum(axis=0) % 2 * np.uint8(255)
    textured(tmp_path, Image.fromarray(fine.astype(np.uint8)).convert("RGB"))
    (part,) = built(tmp_path, "card.glb")
    assert len(part.faces) < 1_300_000
    assert reflected(part).mean(axis=0) == pytest.approx([0.5] * 3, abs=0.01)


def test_a_texture_that_is_missing_is_named(tmp_path: Path, acescg: Callable[..., Floats]) -> None:
    (tmp_path / "wall.mtl").write_text("newmtl wall\nKd 1 1 1\nmap_Kd wall.jpg\n")
    (tmp_path / "wall.obj").write_text(
        "mtllib wall.mtl\nv 0 0 0\nv 2 0 0\nv 2 2 0\nvt 0 0\nvt 1 0\nvt 1 1\nusemtl wall\nf 1/1 2/2 3/3\n"
    )
    assert refused(tmp_path, "wall.obj") == (
        "prop: file: wall.obj names the texture wall.jpg, which is not beside it; put it there, or write `colours: no`"
    )
    assert built(tmp_path, "wall.obj", colours=False)[0].material == "grey card"
    Image.new("RGB", (8, 8), (100, 120, 140)).save(tmp_path / "wall.png")
    (tmp_path / "wall.mtl").write_text("newmtl wall\nmap_Kd wall.png\n")
    (part,) = built(tmp_path, "wall.obj")
    assert reflected(part).mean(axis=0) == pytest.approx(acescg(100, 120, 140), abs=1e-4)


# Crop, drop, simplify


def terrain(folder: Path, *, cells: int = 60, name: str = "field.ply") -> None:
    """10 x 10 m of gentle ground at about 100 m, west half red and east half blue, with a stray point far below."""
    edge = np.linspace(-5, 5, cells + 1)
    x, y = (axis.ravel() for axis in np.meshgrid(edge, edge))
    z = 100 + 0.3 * np.sin(x) * np.cos(y)
    corner = np.arange((cells + 1) ** 2).reshape(cells + 1, cells + 1)
    a, b, c, d = (
        part.ravel() for part in (corner[:-1, :-1], corner[:-1, 1:], corner[1:, 1:], corner[1:, :-1])
    )
    colours = np.where((x < 0)[:, None], [200, 40, 30, 255], [30, 40, 200, 255])
    z[5] = 60.0
    trimesh.Trimesh(
        np.stack([x, y, z], axis=1),
        np.concatenate([np.stack([a, b, c], axis=1), np.stack([a, c, d], axis=1)]),
        vertex_colors=colours,
        process=False,
    ).export(folder / name)


def test_a_scan_is_dropped_to_the_ground_but_for_strays(tmp_path: Path) -> None:
    terrain(tmp_path)
    (part,) = built(tmp_path, "field.ply", drop=True, up="z")
    assert np.quantile(part.vertices[:, 2], 0.005) == pytest.approx(0.0, abs=0.02)
    assert part.vertices[:, 2].min() < -30.0
    (higher,) = built(tmp_path, "field.ply", drop=True, up="z", height=0.5)
    assert higher.vertices[:, 2] == pytest.approx(part.vertices[:, 2] + 0.5)


def test_a_crop_is_a_box_in_the_set(tmp_path: Path) -> None:
    terrain(tmp_path)
    box = {"from": [12, -2, -1], "to": [8, 2, 2]}
    (part,) = built(tmp_path, "field.ply", drop=True, up="z", at=[10, 0], crop=box)
    assert part.vertices[:, :2].min(axis=0) == pytest.approx([8, -2], abs=0.2)
    assert part.vertices[:, :2].max(axis=0) == pytest.approx([12, 2], abs=0.2)
    # Seen from above, its area is the box's, but for half a cell all round.
    assert area(part) == pytest.approx(16.0, rel=0.1)
    assert any(
        "of the 7,200 triangles" in one
        for one in said(tmp_path, "field.ply", drop=True, up="z", at=[10, 0], crop=box)
    )
    words = refused(tmp_path, "field.ply", up="z", scale="m", crop={"from": [0, 0, 0], "to": [1, 1, 1]})
    assert words == (
        "prop: crop: nothing of field.ply lies in it: as placed, it goes from [-5.00, -5.00, 60.00] to [5.00, 5.00, 100.30]"
    )


@pytest.mark.parametrize(("asked", "kept"), [(1000, 1000), ("20 %", 1440), ("2 000 faces", 2000)])
def test_a_mesh_is_thinned_out_with_its_shape_and_colours(
    tmp_path: Path, asked: Any, kept: int, acescg: Callable[..., Floats]
) -> None:
    terrain(tmp_path)
    box = {"from": [-4.9, -4.9, 90], "to": [4.9, 4.9, 110]}
    (whole,) = built(tmp_path, "field.ply", up="z", crop=box)
    (part,) = built(tmp_path, "field.ply", up="z", crop=box, simplify=asked)
    share = len(whole.faces) / 7200
    assert len(part.faces) == pytest.approx(kept * (share if kept == 1440 else 1.0), rel=0.02)
    assert area(part) == pytest.approx(area(whole), rel=0.01)
    off = part.vertices[:, 2] - (100 + 0.3 * np.sin(part.vertices[:, 0]) * np.cos(part.vertices[:, 1]))
    assert np.abs(off).max() < 0.03
    west, east = (reflected(part)[side] for side in (part.vertices[:, 0] < -1, part.vertices[:, 0] > 1))
    assert west.mean(axis=0) == pytest.approx(acescg(200, 40, 30), abs=0.01)
    assert east.mean(axis=0) == pytest.approx(acescg(30, 40, 200), abs=0.01)


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ("most", "write how many triangles"),
        (3, "3 triangles cannot be asked for"),
        ("150 %", "not a share"),
        (1.5, "not a number"),
    ],
)
def test_amounts_that_are_none_are_refused(asked: Any, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        model("field.ply", simplify=asked)


def test_the_middle_of_a_scan_can_stand_where_asked(tmp_path: Path) -> None:
    """Coordinates of a survey: 450 km east and 5200 km north of anything."""
    trimesh.creation.box(bounds=[[450_000, 5_200_000, 300], [450_004, 5_200_006, 302]]).export(
        tmp_path / "site.off"
    )
    assert refused(tmp_path, "site.off", scale="m", up="z").startswith(
        "prop: origin: the points of site.off lie 5,219 km from its own origin; write `origin: middle`"
    )
    (part,) = built(tmp_path, "site.off", scale="m", up="z", origin="middle", at=[1, 2], drop=True)
    np.testing.assert_allclose(part.vertices.min(axis=0), [-1, -1, 0], atol=1e-6)
    np.testing.assert_allclose(part.vertices.max(axis=0), [3, 5, 2], atol=1e-6)


# Faults


def test_a_scan_that_is_no_manifold_is_built(tmp_path: Path) -> None:
    """Three fins on one edge, a face twice, a face on its back, a loose triangle, a sliver."""
    (tmp_path / "odd.obj").write_text(
        "v 0 0 0\nv 0 0 1\nv 1 0 0\nv -1 1 0\nv -1 -1 0\nv 3 0 0\nv 4 0 0\nv 3 1 0\n"
        "f 1 2 3\nf 1 2 4\nf 1 2 5\nf 1 2 3\nf 3 2 1\nf 6 7 8\nf 1 2 2\n"
    )
    (part,) = built(tmp_path, "odd.obj", up="z")
    assert len(part.faces) == 6
    assert np.isfinite(part.normals).all()
    assert np.linalg.norm(part.normals, axis=1) == pytest.approx(1.0)


def file_of(folder: Path, name: str, content: str | bytes) -> str:
    (folder / name).write_bytes(content if isinstance(content, bytes) else content.encode())
    return name


PLY_HEAD = (
    "ply\nformat binary_little_endian 1.0\nelement vertex {}\nproperty float x\nproperty float y\nproperty float z\n"
    "element face {}\nproperty list uchar int vertex_indices\nend_header\n"
)


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("empty.obj", "", "empty.obj is empty"),
        ("nothing.obj", "# empty\n", "nothing"),
        ("points.obj", "v 0 0 0\nv 1 0 0\nv 1 1 0\n", "points.obj holds no faces"),
        ("odd.obj", "v 0 0 0\nv nan 0 0\nv 1 1 0\nf 1 2 3\n", "not finite numbers; export it again"),
        ("flat.obj", "v 0 0 0\nv 1 0 0\nv 2 0 0\nf 1 2 3\n", "sliver without area"),
        ("one.obj", "v 1 1 0\nv 1 1 0\nv 1 1 0\nf 1 2 3\n", "all points of one.obj are one point"),
        ("wild.obj", "v 0 0 0\nv 1 0 0\nv 1 1 0\nf 1 2 9\n", "wild.obj"),
        ("words.stl", "solid but not really", "words.stl"),
        ("words.glb", "not a mesh at all", "words.glb cannot be read as a mesh"),
        ("words.ply", "not a mesh at all", "words.ply cannot be read as a mesh"),
        ("words.txt", "not a mesh at all", "words.txt cannot be read as a mesh"),
        ("words.obj", b"\x7fELF\x00\x01\x02\x00" * 30, "words.obj cannot be read as a mesh: it is not text"),
        ("shed.obj", PLY_HEAD.format(3, 1), "shed.obj is PLY inside; call it shed.ply"),
        ("shed.txt", b"glTF" + bytes(40), "shed.txt .* it is GLB inside: call it shed.glb"),
        ("cloud.ply", PLY_HEAD.format(1234, 0), "cloud.ply is a cloud of 1,234 points"),
        ("cut.ply", PLY_HEAD.format(1000, 2000) + "x" * 900, "cut.ply is cut short: it should be"),
        ("cut.stl", bytes(80) + struct.pack("<I", 500) + bytes(1000), "cut.stl is cut short"),
        (
            "cut.glb",
            struct.pack("<4sII", b"glTF", 2, 5000) + bytes(90),
            "cut.glb is cut short: it should be 5,000 bytes",
        ),
        (
            "huge.ply",
            PLY_HEAD.format(50_000_000, 100_000_000).replace("binary_little_endian", "ascii"),
            "huge.ply holds about 100 million triangles, which would take 25 GB of memory; 20 million are the most",
        ),
        ("huge.stl", bytes(80) + struct.pack("<I", 100_000_000) + bytes(1000), "about 100 million triangles"),
        ("broken.gltf", '{"asset": {"version": "2.0"}, ', "broken.gltf .*description is broken"),
        ("bare.gltf", '{"asset": {"version": "2.0"}}', "bare.gltf holds no faces"),
    ],
)
def test_files_that_hold_no_mesh_are_refused_in_words(
    tmp_path: Path, name: str, content: str | bytes, words: str
) -> None:
    with pytest.raises(UserError, match=words) as caught:
        built(tmp_path, file_of(tmp_path, name, content))
    assert str(caught.value).startswith("prop: file: ")


def test_what_a_gltf_needs_and_lacks_is_named(tmp_path: Path) -> None:
    gltf_triangle(tmp_path, "sail.gltf", extensionsRequired=["KHR_draco_mesh_compression"])
    assert "is compressed (KHR_draco_mesh_compression)" in refused(tmp_path, "sail.gltf")
    gltf_triangle(tmp_path, "sail.gltf")
    (tmp_path / "data.bin").write_bytes(bytes(40))
    assert "data.bin is cut short: it should be 72 bytes and is 40" in refused(tmp_path, "sail.gltf")
    (tmp_path / "data.bin").unlink()
    assert "names the file data.bin, which is not beside it" in refused(tmp_path, "sail.gltf")


def test_a_missing_file_is_named_with_its_place(tmp_path: Path) -> None:
    assert refused(tmp_path, "gone.stl") == f"prop: file: there is no file {tmp_path / 'gone.stl'}"


@pytest.mark.parametrize(
    ("extent", "scale", "words"),
    [
        (
            1800.0,
            "m",
            r"would be 1.8e\+03 m at its largest, .* in mm, write `scale: mm`, which makes it 1.8 m",
        ),
        (10_000.0, "m", r"would be 10 km at its largest, surely in the wrong unit"),
        (0.012, "mm", "would be 0.0012 cm at its largest, .* give `scale` as a factor"),
        (1.8, "mm", "would be 0.18 cm at its largest, .* in m, write `scale: m`, which makes it 1.8 m"),
        (250.0, "m", "in cm, write `scale: cm`, which makes it 2.5 m"),
        (1e9, None, "surely in the wrong unit; give `scale` as a factor"),
    ],
)
def test_a_likely_wrong_unit_is_named_with_the_likely_right_one(
    tmp_path: Path, extent: float, scale: str | None, words: str
) -> None:
    trimesh.creation.box(extents=(extent, extent / 2, extent / 4)).export(tmp_path / "prop.ply")
    with pytest.raises(UserError, match=words):
        built(tmp_path, "prop.ply", **({} if scale is None else {"scale": scale}))


@pytest.mark.parametrize(
    ("suffix", "extent", "unit", "metres"),
    [
        ("ply", 4.0, "m", 4.0),
        ("ply", 150.0, "m", 150.0),
        ("stl", 150.0, "cm", 1.5),
        ("ply", 1800.0, "mm", 1.8),
    ],
)
def test_where_no_unit_is_given_a_likely_one_is_taken_and_said(
    tmp_path: Path, suffix: str, extent: float, unit: str, metres: float
) -> None:
    trimesh.creation.box(extents=(extent, extent / 2, extent / 4)).export(tmp_path / f"prop.{suffix}")
    (part,) = built(tmp_path, f"prop.{suffix}")
    assert np.ptp(part.vertices[:, 0]) == pytest.approx(metres)
    first = said(tmp_path, f"prop.{suffix}")[0]
    assert first.startswith(f"prop.{suffix} does not say its unit; taken to be {unit}, which makes it ")
    assert f"`scale: {unit}` settles it." in first
    assert not any("unit" in one for one in said(tmp_path, f"prop.{suffix}", scale=unit))


# In a script


SCRIPT = """
set:
  - ground: {material: grass}
  - mesh:
      name: shed
      file: shed.obj
      up: z
      scale: m
      at: [2, 5]
camera: {at: [0, -6, 1.6], aim: shed.roof, lens: {focal: 35 mm}}
fixtures:
  - {name: moon, moon: {azimuth: 120 deg, elevation: 40 deg}}
"""
SHED = (
    "v -1 -1 0\nv 1 -1 0\nv 1 1 0\nv -1 1 0\nv -1 -1 2\nv 1 -1 2\nv 1 1 2\nv -1 1 2\n"
    "o walls\nf 1 2 6\nf 1 6 5\nf 3 4 8\nf 3 8 7\no roof\nf 5 6 7\nf 5 7 8\n"
)


def test_named_parts_are_places(tmp_path: Path) -> None:
    (tmp_path / "shed.obj").write_text(SHED)
    read = scene(tmp_path, SCRIPT)
    assert read.anchors["shed"].position == (2, 5, 0)
    assert read.anchors["shed.roof"].position == pytest.approx((2, 5, 2))
    assert read.anchors["shed.walls"].position == pytest.approx((2, 5, 1))
    assert read.anchors["shed.top"].position == pytest.approx((2, 5, 2))


def test_a_place_that_a_file_does_not_have_is_refused_with_those_it_has(tmp_path: Path) -> None:
    (tmp_path / "shed.obj").write_text(SHED)
    (fault,) = faults(tmp_path, SCRIPT.replace("shed.roof", "shed.chimney"))
    assert "shed has shed.roof, shed.walls, shed.middle, shed.top" in fault
    (tmp_path / "shed.obj").write_text("v 0 0 0\n")
    (fault,) = faults(tmp_path, SCRIPT)
    assert 'no place "shed.roof": shed.obj holds no faces' in fault


def test_a_file_is_not_read_for_places_that_nobody_asks_for(tmp_path: Path, monkeypatch: Any) -> None:
    monkeypatch.setattr("preview.build.imported.facts.chunks_of", None)
    (tmp_path / "shed.obj").write_text(SHED)
    read = scene(tmp_path, SCRIPT.replace("shed.roof", "shed"))
    assert read.anchors["shed"].position == (2, 5, 0)


def test_faults_of_a_file_name_the_line_of_the_script(tmp_path: Path) -> None:
    file_of(tmp_path, "shed.obj", PLY_HEAD.format(3, 1))
    path = scene(tmp_path, SCRIPT.replace("shed.roof", "shed")).path
    with pytest.raises(UserError) as caught:
        check(path, explain=False)
    line = path.read_text().splitlines().index("      file: shed.obj") + 1
    (fault,) = caught.value.faults
    assert str(fault) == (f"{path}:{line}: set[1].mesh.file: shed.obj is PLY inside; call it shed.ply")


def test_what_was_taken_for_granted_is_told_by_check(tmp_path: Path) -> None:
    (tmp_path / "shed.obj").write_text(SHED)
    settled = scene(tmp_path, SCRIPT).path
    told = [str(one) for one in check(settled, explain=False)]
    assert "shed: Parts of shed.obj: roof, walls." in told
    asked = "      up: z\n      scale: m\n"
    assert asked in SCRIPT
    told = [str(one) for one in check(scene(tmp_path, SCRIPT.replace(asked, "")).path, explain=False)]
    assert (
        "shed: shed.obj does not say its unit; taken to be m, which makes it 2 m at its largest. `scale: m` settles it."
    ) in told
    assert any(
        one.startswith("shed: shed.obj does not say which way is up; taken to be z: nothing in it tells")
        for one in told
    )


def test_a_material_that_is_none_is_refused_by_name(tmp_path: Path) -> None:
    (tmp_path / "shed.obj").write_text(SHED)
    (fault,) = faults(tmp_path, SCRIPT.replace("scale: m", "scale: m\n      parts: {roof: slaate}"))
    assert 'no material "slaate"; did you mean "slate"?' in fault
