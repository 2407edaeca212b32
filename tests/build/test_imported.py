"""Imported meshes: placed, scaled, turned, shaded round, and refused in words when they will not do."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh

from preview.build.imported import build_imported
from preview.faults import UserError
from preview.script.models.pieces.imported import ImportedMesh
from tests.build.standing import site


def model(file: str, **given: Any) -> ImportedMesh:
    return ImportedMesh.model_validate({"file": file, **given})


@pytest.mark.parametrize("suffix", ["stl", "obj", "ply", "glb", "off"])
def test_any_format_is_read_and_put_in_its_place(tmp_path: Path, suffix: str) -> None:
    trimesh.creation.box(extents=(2, 1, 0.5)).export(tmp_path / f"crate.{suffix}")
    (part,) = build_imported("crate", model(f"crate.{suffix}", at=[3, 4], height=0.25), site(tmp_path))
    np.testing.assert_allclose(part.vertices.min(axis=0), [2, 3.5, 0.0], atol=1e-6)
    np.testing.assert_allclose(part.vertices.max(axis=0), [4, 4.5, 0.5], atol=1e-6)
    assert part.name == "crate"


def test_parts_of_a_file_keep_their_places(tmp_path: Path) -> None:
    scene = trimesh.Scene()
    for x in (-2, 2):
        scene.add_geometry(
            trimesh.creation.box(), transform=trimesh.transformations.translation_matrix([x, 0, 0])
        )
    scene.export(tmp_path / "two.glb")
    (part,) = build_imported("two", model("two.glb"), site(tmp_path))
    assert len(part.faces) == 24
    assert np.ptp(part.vertices[:, 0]) == pytest.approx(5)


def test_y_up_and_turn_and_unit(tmp_path: Path) -> None:
    trimesh.creation.box(bounds=[[0, 0, 0], [100, 200, 30]]).export(tmp_path / "post.stl")
    (part,) = build_imported("post", model("post.stl", up="y", scale="cm", turn=90), site(tmp_path))
    # y becomes up, z comes towards the south; then a quarter turn clockwise: east goes south, south goes west.
    np.testing.assert_allclose(part.vertices.min(axis=0), [-0.3, -1, 0], atol=1e-6)
    np.testing.assert_allclose(part.vertices.max(axis=0), [0, 0, 2], atol=1e-6)


def test_gentle_edges_are_shaded_round_and_sharp_ones_stay(tmp_path: Path) -> None:
    trimesh.creation.icosphere(subdivisions=3, radius=1.0).export(tmp_path / "ball.stl")
    (ball,) = build_imported("ball", model("ball.stl"), site(tmp_path))
    np.testing.assert_allclose(np.sum(ball.normals * ball.vertices, axis=1), 1.0, atol=2e-3)
    trimesh.creation.box().export(tmp_path / "box.ply")
    (box,) = build_imported("box", model("box.ply"), site(tmp_path))
    assert np.sort(np.abs(box.normals), axis=1)[:, :2].max() < 1e-9
    (rounded,) = build_imported("box", model("box.ply", smooth=100), site(tmp_path))
    assert np.abs(rounded.normals).max() < 0.95


def broken(tmp_path: Path, name: str, text: str) -> str:
    (tmp_path / name).write_text(text)
    return name


@pytest.mark.parametrize(
    ("name", "text", "words"),
    [
        ("nothing.obj", "# empty\n", "nothing"),
        ("points.obj", "v 0 0 0\nv 1 0 0\nv 1 1 0\n", "points"),
        ("odd.obj", "v 0 0 0\nv nan 0 0\nv 1 1 0\nf 1 2 3\n", "not finite numbers; export it again"),
        ("flat.obj", "v 0 0 0\nv 1 0 0\nv 2 0 0\nf 1 2 3\n", "sliver without area"),
        ("words.stl", "solid but not really", "words.stl"),
        ("words.glb", "not a mesh at all", "words.glb cannot be read as a mesh"),
        ("words.txt", "not a mesh at all", "words.txt cannot be read as a mesh"),
    ],
)
def test_files_that_hold_no_mesh_are_refused_in_words(
    tmp_path: Path, name: str, text: str, words: str
) -> None:
    with pytest.raises(UserError, match=words) as caught:
        build_imported("prop", model(broken(tmp_path, name, text)), site(tmp_path))
    assert str(caught.value).startswith("prop: file: ")


def test_a_missing_file_is_named_with_its_place(tmp_path: Path) -> None:
    with pytest.raises(UserError) as caught:
        build_imported("prop", model("gone.stl"), site(tmp_path))
    assert str(caught.value) == f"prop: file: there is no file {tmp_path / 'gone.stl'}"


@pytest.mark.parametrize(
    ("extent", "scale", "words"),
    [
        (
            1800.0,
            "m",
            r"would be 1.8e\+03 m at its largest, .* in mm, write `scale: mm`, which makes it 1.8 m",
        ),
        (0.012, "mm", "would be 0.0012 cm at its largest, .* give `scale` as a factor"),
        (1.8, "mm", "would be 0.18 cm at its largest, .* in m, write `scale: m`, which makes it 1.8 m"),
        (250.0, "m", "in cm, write `scale: cm`, which makes it 2.5 m"),
    ],
)
def test_a_likely_wrong_unit_is_named_with_the_likely_right_one(
    tmp_path: Path, extent: float, scale: str, words: str
) -> None:
    trimesh.creation.box(extents=(extent, extent / 2, extent / 4)).export(tmp_path / "prop.ply")
    with pytest.raises(UserError, match=words):
        build_imported("prop", model("prop.ply", scale=scale), site(tmp_path))
