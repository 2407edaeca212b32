"""Coverage against published optics and hand-made geometry."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from preview.build.mesh import Part, flat
from preview.build.solids import boxes
from preview.build.world import World, gather
from preview.camera.coverage import Coverage, cover, focus_of, frame_lines, image_circle, to_json
from preview.camera.framing import view_of
from preview.camera.in_shot import RigUnit, Sighting
from preview.faults import UserError
from preview.script.models.camera import Camera
from preview.script.models.cast import Figure, Mark
from preview.script.models.pieces.ground import Ground, Street
from preview.script.models.pieces.piece import Piece
from preview.script.models.pieces.things import Wall
from preview.script.scene import Anchor, Scene
from preview.trace.rays import Rays

SUPER35_4PERF = {"width": 24.89, "height": 18.66}
FULL_FRAME = {"width": 36, "height": 24}


def camera(**changes: Any) -> Camera:
    """A 32 mm at chest height, level, looking north from the origin."""
    given = {
        "format": SUPER35_4PERF,
        "lens": {"focal": 32, "stop": 2.8},
        "at": [0, 0, 1.5],
        "aim": [0, 10, 1.5],
    }
    return Camera.model_validate(given | changes)


def scene(
    lens: Camera,
    *,
    pieces: Sequence[tuple[str, Piece]] = (),
    cast: Sequence[Figure] = (),
    marks: Sequence[Mark] = (),
) -> Scene:
    anchors = {}
    for figure in cast:
        east, north = figure.at
        anchors[f"{figure.name}.eyes"] = Anchor(
            (east, north, figure.height_of_ground + 0.936 * figure.height)
        )
    return Scene(
        Path("gate.yaml"), "Gate", "main", tuple(pieces), tuple(cast), lens, (), tuple(marks), anchors
    )


def box(name: str, low: Sequence[float], high: Sequence[float], material: str = "grey card") -> Part:
    return flat(name, material, boxes(low, high))


def covered(given: Scene, solids: Sequence[Part] = (), units: Sequence[RigUnit] = ()) -> Coverage:
    world: World = gather(solids)
    return cover(given, view_of(given), world, Rays(world.vertices, world.faces), units)


def sighting(unit: RigUnit, solids: Sequence[Part] = (), lens: Camera | None = None) -> Sighting:
    (seen,) = covered(scene(lens or camera()), solids, [unit]).items
    return seen


def figure(name: str = "Mara", at: tuple[float, float] = (0, 10), height: float = 1.75) -> Figure:
    return Figure.model_validate({"name": name, "at": at, "facing": 180, "height": height})


# --- the lens --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("focal", "horizontal", "vertical", "diagonal"),
    [
        (24, 73.74, 53.13, 84.06),
        (35, 54.43, 37.85, 63.44),
        (50, 39.60, 26.99, 46.79),
        (85, 23.91, 16.07, 28.56),
    ],
)
def test_angles_of_view(focal: float, horizontal: float, vertical: float, diagonal: float) -> None:
    # The usual published list for 24 x 36 mm prints 84, 63, 47 and 29 degrees diagonal (list from memory).
    angles = covered(scene(camera(format=FULL_FRAME, lens={"focal": focal}))).format_angles
    assert angles.horizontal_deg == pytest.approx(horizontal, abs=0.05)
    assert angles.vertical_deg == pytest.approx(vertical, abs=0.05)
    assert angles.diagonal_deg == pytest.approx(diagonal, abs=0.05)


def test_anamorphic_angles() -> None:
    # 50 mm, 2x, on 21.95 x 18.59 mm: as wide as a 25 mm spherical lens, as high as a 50.
    lens = camera(format={"width": 21.95, "height": 18.59}, lens={"focal": 50, "squeeze": 2})
    angles = covered(scene(lens)).format_angles
    assert angles.horizontal_deg == pytest.approx(47.40, abs=0.05)
    assert angles.vertical_deg == pytest.approx(21.06, abs=0.05)
    assert frame_lines(lens).aspect == pytest.approx(2.361, abs=0.001)


def test_field_size_at_a_figure_and_a_mark() -> None:
    # 32 mm on 24.89 x 18.66 mm takes in 7.778 x 5.831 m at 10 m (similar triangles).
    given = scene(
        camera(), cast=[figure()], marks=[Mark.model_validate({"name": "gate", "at": [2, 10, 1.2]})]
    )
    answer = covered(given)
    for subject in (*answer.figures, *answer.marks):
        assert subject.distance_m == pytest.approx(10.0, abs=1e-6)
        assert subject.frame_width_m == pytest.approx(7.778, rel=0.001)
        assert subject.frame_height_m == pytest.approx(5.831, rel=0.001)


def test_depth_of_field() -> None:
    # 32 mm at 2.8, c 0.025 mm, 5 m: hyperfocal 14.661 m, sharp from 3.732 to 7.571 m (thin-lens formulas).
    focus = focus_of(camera(circle_of_confusion=0.025), 5.0)
    assert focus.circle_of_confusion_mm == 0.025
    assert focus.hyperfocal_m == pytest.approx(14.661, rel=0.002)
    assert (focus.near_m, focus.far_m) == pytest.approx((3.732, 7.571), rel=0.002)


def test_navy_depth_of_field() -> None:
    # Source: US Navy training manual 14209, Photography (Basic): 155 mm, f/2.8, 10 ft, c 0.002 in: 9.8 to 10.2 ft.
    lens = camera(lens={"focal": 155, "stop": 2.8}, circle_of_confusion=0.0508)
    focus = focus_of(lens, 10 * 0.3048)
    assert focus.far_m is not None
    assert focus.near_m / 0.3048 == pytest.approx(9.8, abs=0.05)
    assert focus.far_m / 0.3048 == pytest.approx(10.2, abs=0.05)


def test_beyond_the_hyperfocal_there_is_no_far_limit() -> None:
    assert focus_of(camera(circle_of_confusion=0.025), 15.0).far_m is None


def test_who_is_sharp() -> None:
    lens = camera(circle_of_confusion=0.025, focus=5.0)
    cast = [figure("Near", (0, 3.6)), figure("Sharp", (0, 7.4)), figure("Far", (0, 7.7))]
    assert [f.sharp for f in covered(scene(lens, cast=cast)).figures] == [False, True, False]


def test_focus_behind_the_lens_is_refused() -> None:
    with pytest.raises(UserError, match=r"camera\.focus: -3\.00 m"):
        covered(scene(camera(focus=[0, -3, 1])))


def test_image_circle() -> None:
    # Super 35 4 perf has a diagonal of 31.11 mm.
    covers = image_circle(camera(lens={"focal": 32, "image_circle": 33.0}))
    assert covers is not None
    assert covers.format_margin_mm == pytest.approx(1.89, abs=0.01)
    assert covers.words == "covers the format with 1.9 mm to spare"
    short = image_circle(camera(lens={"focal": 32, "image_circle": 28.0}, aspect=2.39))
    assert short is not None
    # 24.89 mm wide at 2.39:1 is 10.414 mm high: a diagonal of 26.98 mm.
    assert short.words == "falls 3.1 mm short of the format, covers the frame by 1.0 mm"
    dark = image_circle(camera(lens={"focal": 32, "image_circle": 20.0}))
    assert dark is not None
    assert dark.words == "falls short of the frame by 11.1 mm: dark corners"
    assert image_circle(camera()) is None


def test_frame_lines() -> None:
    lines = frame_lines(camera(aspect=2.39))
    assert (lines.width_mm, lines.height_mm) == pytest.approx((24.89, 10.414), abs=0.001)
    assert lines.box == pytest.approx((0.0, 0.22095, 1.0, 0.77905), abs=1e-4)
    assert lines.share == pytest.approx(0.5581, abs=1e-4)


# --- shot sizes ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("frame_height", "top_room", "size"),
    [
        (12.0, 5.0, "extreme long shot"),
        (5.0, 1.0, "long shot"),
        (2.1, 0.15, "full shot"),
        (1.35, 0.10, "medium long shot (cowboy)"),  # cut at the knee, 1.25 m below the crown
        (0.85, 0.10, "medium shot"),  # cut just under the waist
        (0.60, 0.08, "medium close-up"),  # cut at the chest
        (0.40, 0.04, "close-up"),  # cut under the shoulders
        (0.16, 0.0, "extreme close-up"),
    ],
)
def test_shot_size_by_where_the_frame_cuts(frame_height: float, top_room: float, size: str) -> None:
    # The cuts of each name are common practice, no source: knee, waist, chest, shoulder on a figure of 1.75 m.
    lens = camera()
    distance = frame_height * 32 / 18.66
    middle = 1.75 + top_room - frame_height / 2
    lens = camera(at=[0, 0, middle], aim=[0, 10, middle])
    (seen,) = covered(scene(lens, cast=[figure(at=(0, distance))])).figures
    assert seen.shot_size == size
    assert seen.fills == pytest.approx(1.75 / frame_height, rel=1e-6)


def test_a_figure_beside_the_frame_has_no_shot_size() -> None:
    (seen,) = covered(scene(camera(), cast=[figure(at=(6, 10))])).figures
    assert (seen.in_frame, seen.shot_size) == (False, None)
    assert seen.where == "out of frame past the right edge"


@pytest.mark.parametrize(("x", "side"), [(4.0, "right"), (-4.0, "left")])
def test_a_shoulder_at_the_side_is_no_shot_size(x: float, side: str) -> None:
    """At 10 m the frame ends 3.89 m out; half the shoulders of 1.75 m are 0.23 m."""
    (seen,) = covered(scene(camera(), cast=[figure(at=(x, 10))])).figures
    assert (seen.in_frame, seen.shot_size) == (True, None)
    assert seen.where == f"partly in frame; eyes out of frame past the {side} edge"


def test_a_figure_behind_the_lens() -> None:
    (seen,) = covered(scene(camera(), cast=[figure(at=(0, -3))])).figures
    assert (seen.in_frame, seen.frame_width_m, seen.where) == (False, None, "behind the lens")


def test_legs_without_a_head() -> None:
    lens = camera(at=[0, 0, 0.5], aim=[0, 10, 0.5])
    (seen,) = covered(scene(lens, cast=[figure(at=(0, 1.6))])).figures
    assert seen.shot_size is not None
    assert seen.shot_size.endswith("head out of frame")


def test_a_face_behind_a_fence() -> None:
    given = scene(camera(), cast=[figure(at=(0, 10))])
    fence = box("fence.boards", [-2, 5, 0], [2, 5.1, 2.2])
    own = box("Mara.hat", [-0.2, 9.5, 1.5], [0.2, 9.6, 1.9])
    assert covered(given, [fence]).figures[0].hidden_by == "fence.boards"
    assert covered(given, [own]).figures[0].hidden_by is None


def shifted(unit: RigUnit, by: Any) -> RigUnit:
    return replace(unit, part=replace(unit.part, vertices=unit.part.vertices + np.asarray(by, float)))


# --- in shot, hidden, clear ------------------------------------------------------------------------------------


def head(low: Sequence[float], high: Sequence[float], **more: Any) -> RigUnit:
    return RigUnit("moon key.head", "head", box("moon key.head", low, high), **more)


def test_a_head_in_the_upper_right() -> None:
    # At 10 m the frame is 7.778 x 5.831 m about (0, 1.5): 3 m right is u 0.886, 3.8 m high is v 0.106.
    seen = sighting(head([2.9, 10, 3.7], [3.1, 10.001, 3.9]))
    assert seen.status == "in shot"
    assert seen.visible_share == 1.0
    assert seen.box == pytest.approx((0.8728, 0.0884, 0.8985, 0.1227), abs=1e-3)
    assert seen.words == "in shot, upper right"


def test_the_shortest_move_leaves_the_frame_and_no_less_does() -> None:
    unit = head([2.9, 10, 3.7], [3.1, 10.001, 3.9])
    seen = sighting(unit)
    assert seen.clears is not None
    # The right edge is 3.889 m out, the near corner is at 2.9: 0.989 m; up is 4.416 - 3.7 = 0.716 m.
    assert seen.clears.words == "raise by 0.8 m"
    assert sighting(shifted(unit, [0, 0, seen.clears.amount])).status == "clear"
    assert sighting(shifted(unit, [0, 0, seen.clears.amount - 0.1])).status == "in shot"


@pytest.mark.parametrize("seed", range(12))
def test_every_shortest_move_clears(seed: int) -> None:
    rng = np.random.default_rng(seed)
    lens = camera(
        at=[0, 0, float(rng.uniform(1, 6))],
        aim=[float(rng.uniform(-3, 3)), 8, 1.0],
        roll=float(rng.uniform(-8, 8)),
    )
    low = rng.uniform([-2, 4, 0.8], [2, 12, 2.5])
    unit = head(low, low + rng.uniform(0.1, 1.0, 3))
    seen = sighting(unit, lens=lens)
    if seen.clears is None:
        assert seen.status != "in shot"
        return
    view = view_of(scene(lens))
    level = np.array([view.right[0], view.right[1], 0]) / np.hypot(*view.right[:2])
    ways = {
        "camera right": level,
        "camera left": -level,
        "up": np.array([0, 0, 1.0]),
        "down": np.array([0, 0, -1.0]),
        "away from the camera": np.array([-level[1], level[0], 0]),
        "towards the camera": np.array([level[1], -level[0], 0]),
    }
    step = seen.clears.amount * ways[seen.clears.direction]
    assert sighting(shifted(unit, step), lens=lens).status == "clear"


def test_a_stand_only_moves_level() -> None:
    # Raising it would be the shorter way out: 1.0 m.
    part = box("moon key.stand", [-0.05, 10, 3.5], [0.05, 10.1, 3.9])
    seen = sighting(RigUnit("moon key.stand", "stand", part))
    assert seen.clears is not None
    # Its foot, 2.0 m over the axis, meets the frame's top edge 6.859 m out; its far side stands 10.1 m out.
    assert seen.clears.words == "move 3.3 m towards the camera"


def test_a_head_is_not_lowered_into_the_ground() -> None:
    ground = box("ground", [-50, -50, -1], [50, 50, 0])
    # Low in the frame: 0.5 m down would clear it, were there no ground.
    seen = sighting(head([-0.1, 5, 0.1], [0.1, 5.1, 0.3]), [ground])
    assert seen.clears is not None
    assert seen.clears.direction != "down"


def test_hidden_by_a_wall() -> None:
    wall = box("house.wall", [1, 6, 0], [4, 6.2, 5])
    seen = sighting(head([2.9, 10, 3.0], [3.1, 10.2, 3.2]), [wall])
    assert (seen.status, seen.hidden_by, seen.clears) == ("hidden", ("house.wall",), None)
    assert seen.words == "hidden by house.wall; upper right"


def test_half_hidden() -> None:
    wall = box("house.wall", [-4, 6, 0], [0, 6.2, 5])
    seen = sighting(head([-0.5, 10, 1.4], [0.5, 10.001, 1.6]), [wall])
    assert seen.status == "in shot"
    assert seen.visible_share == pytest.approx(0.5, abs=0.02)
    assert "the rest behind house.wall" in seen.words


def test_glass_hides_nothing() -> None:
    pane = box("house.window[0].pane", [-4, 6, 0], [4, 6.01, 5], "glass")
    assert sighting(head([-0.1, 10, 1.4], [0.1, 10.1, 1.6]), [pane]).status == "in shot"


def test_its_own_body_does_not_hide_it() -> None:
    unit = head([-0.1, 10, 1.4], [0.1, 10.3, 1.6])
    assert sighting(unit, [unit.part]).visible_share == 1.0


def test_clear_by_degrees_and_metres() -> None:
    # 1 m past the right edge at 10 m: the edge runs at atan(0.3889) = 21.252 deg; 4.8891 m is 26.054 deg.
    seen = sighting(head([4.8891, 10, 1.4], [5, 10.001, 1.6]))
    assert seen.status == "clear"
    assert seen.clear_of == "right"
    assert seen.clear_deg == pytest.approx(4.80, abs=0.02)
    assert seen.clear_m == pytest.approx(1.0 * np.cos(np.radians(21.252)), abs=0.002)
    assert seen.words == "clear of the right edge by 4.8° (0.9 m)"


def test_behind_the_lens_is_clear() -> None:
    seen = sighting(head([-0.1, -3.2, 1.4], [0.1, -3, 1.6]))
    assert seen.clear_deg is not None
    assert seen.clear_deg > 90
    assert seen.words == "clear, behind the lens (3.0 m)"


def test_a_cloth_larger_than_the_frame_is_in_shot() -> None:
    # No corner of it lies in the frame.
    part = box("moon key.cloth", [-20, 8, -20], [20, 8.01, 20])
    seen = sighting(RigUnit("moon key.cloth", "cloth", part))
    assert seen.status == "in shot"
    assert seen.where == "all over the frame"


def test_a_thin_edge_on_frame_is_found() -> None:
    edge_on = flat("k.frame", "steel", np.array([[[0, 5, 1], [0, 9, 1], [0, 9, 2]]], float))
    assert sighting(RigUnit("k.frame", "frame", edge_on)).status == "in shot"


# --- shining into the lens -------------------------------------------------------------------------------------


def test_a_head_that_shines_into_the_lens() -> None:
    # 12 deg off: the lens is at the origin, 1.5 m high; the head 10 m north, turned 12 deg from it.
    axis = np.array([np.sin(np.radians(12)), -np.cos(np.radians(12)), 0])
    unit = head(
        [-0.1, 10, 1.4], [0.1, 10.3, 1.6], axis=axis, field=np.radians(40), centre=np.array([0, 9.99, 1.5])
    )
    seen = sighting(unit)
    assert seen.shines is not None
    assert seen.shines.off_axis_deg == pytest.approx(12.0, abs=1e-6)
    assert seen.shines.words == "shines straight into the lens, 12° off its axis: expect flare"
    assert sighting(replace(unit, field=np.radians(20))).shines is None
    flag = box("flag", [-0.5, 5, 1], [0.5, 5.01, 2])
    assert sighting(unit, [flag]).shines is None


def test_flare_from_out_of_frame() -> None:
    unit = head([9, 10, 3], [9.2, 10.2, 3.2], axis=np.array([-1.0, -1, 0]) / np.sqrt(2), field=1.2,
                centre=np.array([9.0, 10, 3.1]))  # fmt: skip
    seen = sighting(unit)
    assert seen.status == "clear"
    assert seen.shines is not None
    assert not seen.shines.in_frame


def test_a_head_behind_the_lens_does_not_flare() -> None:
    # It points at the lens all the same; the front glass looks the other way.
    unit = head([-0.1, -5.3, 1.4], [0.1, -5, 1.6], axis=np.array([0.0, 1, 0]), field=1.0,
                centre=np.array([0.0, -5, 1.5]))  # fmt: skip
    assert sighting(unit).shines is None


def test_its_own_cloth_stops_it_and_its_own_body_does_not() -> None:
    unit = head([-0.1, 10, 1.4], [0.1, 10.3, 1.6], axis=np.array([0.0, -1, 0]), field=1.0,
                centre=np.array([0, 10.1, 1.5]))  # fmt: skip
    assert sighting(unit, [unit.part]).shines is not None
    cloth = RigUnit("moon key.cloth", "cloth", box("moon key.cloth", [-1, 8, 0], [1, 8.01, 3]))
    found = {s.name: s for s in covered(scene(camera()), (), [unit, cloth]).items}
    assert found["moon key.head"].shines is None
    assert found["moon key.head"].hidden_by == ("moon key.cloth",)
    assert found["moon key.cloth"].status == "in shot"


# --- edges of the set ------------------------------------------------------------------------------------------


def edges(
    pieces: Sequence[tuple[str, Piece]], solids: Sequence[Part] = (), lens: Camera | None = None
) -> Any:
    return {edge.name: edge for edge in covered(scene(lens or camera(), pieces=pieces), solids).edges}


def test_the_far_edge_of_the_ground_shows_and_a_house_hides_it() -> None:
    ground = Ground.model_validate({"size": [60, 40]})
    found = edges([("ground", ground)])
    far = found["ground, north edge"]
    assert far.status == "in shot"
    assert far.distance_m == pytest.approx(np.hypot(20, 1.5), abs=0.02)
    assert found["ground, south edge"].status == "clear"
    hidden = edges([("ground", ground)], [box("barn", [-20, 12, 0], [20, 13, 3])])
    assert hidden["ground, north edge"].status == "hidden"
    assert hidden["ground, north edge"].hidden_by == ("barn",)


def test_the_turn_that_clears_an_edge_does() -> None:
    ground = Ground.model_validate({"size": [400, 40]})
    far = edges([("ground", ground)])["ground, north edge"]
    assert far.clears is not None
    # Horizon tilt: the edge lies atan(1.5 / 20) = 4.3 deg under the axis, the frame's top 16.3 deg above it.
    # Tilting up 12.5 deg puts it past the bottom of the frame.
    assert far.clears.direction == "tilt up"
    assert far.clears.amount == pytest.approx(12.5, abs=0.5)
    up = 1.5 + 10 * np.tan(np.radians(far.clears.amount))
    turned = edges([("ground", ground)], lens=camera(aim=[0, 10, float(up)]))["ground, north edge"]
    assert turned.status == "clear"


def test_a_ground_that_goes_on_has_no_edge_there() -> None:
    near = Ground.model_validate({"size": [60, 40]})
    wide = Ground.model_validate({"size": [400, 400], "height": -0.1})
    found = edges([("grass", near), ("field", wide)])
    assert not [name for name in found if name.startswith("grass")]
    assert len([name for name in found if name.startswith("field")]) == 4


def test_a_neighbour_on_another_level_carries_the_set_on() -> None:
    quay = Ground.model_validate({"at": [5, 0], "size": [10, 40]})
    harbour = Ground.model_validate({"at": [-20, 0], "size": [40, 40], "height": -1.4})
    found = edges([("quay", quay), ("harbour", harbour)])
    assert "quay, west edge" not in found
    assert "harbour, east edge" not in found
    assert {"quay, east edge", "harbour, west edge"} <= set(found)


def test_the_end_of_a_street() -> None:
    street = Street.model_validate({"along": [[0, 0], [0, 25]], "kerb": 0.12})
    ground = Ground.model_validate({"size": [400, 400]})
    found = edges([("ground", ground), ("street", street)])
    assert found["street, end"].status == "in shot"
    assert "street, left side" not in found
    # The street's own top, 0.12 m up, does not hide its end.
    top = box("street", [-5.25, 0, 0], [5.25, 25, 0.12])
    assert edges([("ground", ground), ("street", street)], [top])["street, end"].status == "in shot"
    assert edges([("street", street)])["street, left side"].status == "in shot"
    onwards = Street.model_validate({"along": [[0, 25], [0, 90]]})
    assert "street, end" not in edges([("street", street), ("street 2", onwards)])


def test_a_flat_source_gives_nothing_to_its_side() -> None:
    centre = np.array([0, 10.0, 1.5])
    for off_axis, shines in ((80, True), (86, False)):
        axis = np.array([np.sin(np.radians(off_axis)), -np.cos(np.radians(off_axis)), 0])
        unit = head([-0.1, 10, 1.4], [0.1, 10.3, 1.6], axis=axis, field=np.pi, centre=centre)
        assert (sighting(unit).shines is not None) == shines


def test_the_end_of_a_wall() -> None:
    wall = Wall.model_validate({"along": [[-30, 12], [1, 12]], "height": 2})
    found = edges([("wall", wall)])
    assert found["wall, end"].status == "in shot"
    assert found["wall, start"].status == "clear"
    joined = Wall.model_validate({"along": [[1, 12.2], [1, 30]], "height": 2})
    assert "wall, end" not in edges([("wall", wall), ("wall 2", joined)])
    closed = Wall.model_validate({"along": [[0, 9], [3, 9], [3, 12], [0, 9]], "height": 2})
    assert edges([("wall", closed)]) == {}


# --- the whole answer ------------------------------------------------------------------------------------------


def test_numbers_run_through_with_what_is_in_shot_first() -> None:
    wall = box("house.wall", [1, 6, 0], [4, 6.2, 5])
    units = [
        RigUnit("a.head", "head", box("a.head", [30, 10, 3], [31, 11, 4])),
        RigUnit("b.head", "head", box("b.head", [2.9, 10, 3.0], [3.1, 10.2, 3.2])),
        RigUnit("c.head", "head", box("c.head", [-1, 10, 3.0], [-0.9, 10.2, 3.2])),
    ]
    answer = covered(scene(camera()), [wall], units)
    assert [(s.number, s.name, s.status) for s in answer.items] == [
        (1, "c.head", "in shot"),
        (2, "b.head", "hidden"),
        (3, "a.head", "clear"),
    ]


def test_json_round_trip() -> None:
    pieces = [("ground", Ground.model_validate({"size": [60, 40]}))]
    given = scene(camera(focus=30.0, lens={"focal": 32, "image_circle": 33}), pieces=pieces, cast=[figure()])
    answer = covered(given, units=[head([2.9, 10, 3.7], [3.1, 10.2, 3.9])])
    written = json.dumps(to_json(answer), allow_nan=False)
    read = json.loads(written)
    assert read["focus"]["far_m"] is None
    assert read["items"][0]["clears"]["amount"] == answer.items[0].clears.amount  # type: ignore[union-attr]
    assert read["figures"][0]["shot_size"] == "long shot"
    assert json.dumps(read) == written
