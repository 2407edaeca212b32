"""Assembly: every kind of piece has its builder, faults are gathered, grounds never share a plane."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from preview.build.assemble import BUILDERS, assemble
from preview.build.world import split
from preview.faults import Fault, UserError
from preview.script.models.camera import Camera
from preview.script.models.pieces import PIECES
from preview.script.models.pieces.buildings import House
from preview.script.models.pieces.ground import Ground
from preview.script.models.pieces.piece import Piece
from preview.script.models.pieces.things import Fence, LampPost
from preview.script.scene import Scene

CAMERA = Camera.model_validate({"lens": {"focal": 35}, "at": [0, -8, 1.5], "aim": [0, 0, 1.5]})


def scene(*pieces: tuple[str, Piece]) -> Scene:
    return Scene(Path("scenes/x.yaml"), "x", "main", pieces, (), CAMERA, (), (), {})


def test_every_piece_of_the_script_has_a_builder() -> None:
    assert set(BUILDERS) == set(PIECES.values())


def test_pieces_come_out_under_their_names_in_script_order() -> None:
    world = assemble(
        scene(
            ("meadow", Ground()),
            ("house", House.model_validate({"at": [0, 9], "size": [9, 6]})),
            ("lamp", LampPost(at=(4, 0))),
        )
    )
    assert [name.split(".")[0] for name in world.names if True] == sorted(
        (name.split(".")[0] for name in world.names), key=["meadow", "house", "lamp"].index
    )
    assert {"meadow", "house.roof", "lamp.post"} <= set(world.names)
    assert world.faces.max() == len(world.vertices) - 1
    np.testing.assert_allclose(np.linalg.norm(world.normals, axis=1), 1.0, atol=1e-5)
    assert world.vertices.dtype == np.float32


def test_grounds_of_one_height_lie_over_each_other() -> None:
    world = assemble(
        scene(
            ("grass", Ground()),
            ("path", Ground.model_validate({"material": "gravel", "size": [2, 9]})),
            ("water", Ground.model_validate({"material": "water", "height": -0.8})),
        )
    )
    levels = [float(world.vertices[world.faces[world.part_of_face == i], 2].max()) for i in range(3)]
    assert levels == pytest.approx([0.0, 0.006, -0.8])


def test_the_faults_of_all_pieces_are_gathered_in_the_scene_file() -> None:
    fence = Fence.model_validate({"along": [[0, 0], [5, 0]], "gates": [{"from_start": 8}]})
    window = {"wall": "front", "from_left": 8.5, "size": [1, 1]}
    house = House.model_validate({"at": [0, 9], "size": [9, 6], "windows": [window]})
    with pytest.raises(UserError) as caught:
        assemble(scene(("fence", fence), ("house", house)))
    assert [str(fault) for fault in caught.value.faults] == [
        "scenes/x.yaml: set: fence: a gate lies beyond the fence, which is 5 m long",
        "scenes/x.yaml: set: house: windows[0] spans 8.5 to 9.5 m from the left end of the front wall;"
        " there is room from 0.18 to 8.82 m",
    ]
    assert all(isinstance(fault, Fault) for fault in caught.value.faults)


def test_clear_parts_are_split_from_those_that_stop_light() -> None:
    house = {"at": [0, 9], "size": [9, 6], "windows": [{"from_left": 1, "size": [1, 1]}]}
    world = assemble(
        scene(
            ("meadow", Ground.model_validate({"wet": 0.3})),
            ("house", House.model_validate(house)),
            ("lamp", LampPost(at=(4, 0))),
        )
    )
    solid, panes = split(world)
    assert panes.names == ("house.windows[0].pane",)
    assert panes.materials == ("window glass",)
    assert solid.names == tuple(name for name in world.names if not name.endswith(".pane"))
    assert solid.wets == (0.3, *(0.0 for _ in solid.names[1:]))
    for part in (solid, panes):
        assert part.part_of_face.max() == len(part.names) - 1
        # Each part's triangles are where they were.
        for index, (name, material) in enumerate(zip(part.names, part.materials, strict=True)):
            (before,) = [i for i, n in enumerate(world.names) if (n, world.materials[i]) == (name, material)]
            mine = part.vertices[part.faces[part.part_of_face == index]]
            assert (mine == world.vertices[world.faces[world.part_of_face == before]]).all()
            normals = part.normals[part.faces[part.part_of_face == index]]
            assert (normals == world.normals[world.faces[world.part_of_face == before]]).all()


def test_a_world_without_glass_is_all_solid() -> None:
    world = assemble(scene(("meadow", Ground())))
    solid, panes = split(world)
    assert solid is world
    assert len(panes.faces) == len(panes.vertices) == len(panes.names) == 0
