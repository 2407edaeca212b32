"""Fence: pickets, rails or boards on posts along a path, with gates that stand open.

A gate hangs on its post nearer the path's start; `open` turns the leaf to the right of the way the path runs.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from preview.build.land.course import points_of
from preview.build.mesh import Floats, Part, turned
from preview.build.site import Site
from preview.build.solids import Heap, boxes, heap_up, hexahedra, placed, quads
from preview.faults import UserError
from preview.script.models.pieces.things import Fence, Gate

POST, GATE_POST = 0.09, 0.12
FURTHEST_POSTS = 2.4
PICKET, PICKET_GAP, PICKET_DEPTH = 0.068, 0.052, 0.02
"""Width, gap and thickness of a picket, metres. Common practice, no source."""
BOARD = 0.14
OFF_GROUND = 0.06


@dataclass(frozen=True)
class Run:
    """A straight stretch without gates: plan points (2,) of its ends, and whether each end is a gate's post."""

    start: Floats
    end: Floats
    gate_at_start: bool
    gate_at_end: bool


def build_fence(name: str, model: Fence, site: Site) -> list[Part]:
    """Posts, rails, pickets or boards, gates. UserError for a gate that does not lie in one straight stretch."""
    line = points_of(name, model.along)
    runs, gates = laid_out(name, line, model.gates)
    rng = np.random.default_rng(model.seed)
    heap: Heap = {}
    for run in runs:
        _run(heap, model, run, rng)
    _posts(heap, model, runs)
    for number, (gate, hinge, azimuth) in enumerate(gates):
        local: Heap = {}
        _leaf(local, model, gate.width, rng)
        for (_, material), pieces in local.items():
            swung = [turned(piece, azimuth + gate.open, np.array([*hinge, 0.0])) for piece in pieces]
            heap_up(heap, f"gate[{number}]", material, *swung)
    return placed(name, heap, azimuth=0.0, at=(0.0, 0.0, 0.0))


def laid_out(
    name: str, line: Floats, gates: list[Gate]
) -> tuple[list[Run], list[tuple[Gate, Floats, float]]]:
    """The runs between corners and gates, and each gate with its hinge (2,) and the azimuth it closes along."""
    legs = np.linalg.norm(np.diff(line, axis=0), axis=1)
    starts = np.concatenate([[0.0], np.cumsum(legs)])
    runs, hung, faults, placed_gates = [], [], [], 0
    for leg, length in enumerate(legs):
        along = (line[leg + 1] - line[leg]) / length
        azimuth = float(np.arctan2(along[0], along[1]))
        within = sorted(
            (gate for gate in gates if starts[leg] - 1e-6 <= gate.from_start < starts[leg + 1] - 1e-6),
            key=lambda gate: gate.from_start,
        )
        reached, after_gate = 0.0, False
        for gate in within:
            placed_gates += 1
            first = gate.from_start - starts[leg]
            if first < reached - 1e-6 or first + gate.width > length + 1e-6:
                faults.append(
                    f"{name}: the gate {gate.from_start:g} m from the start, {gate.width:g} m wide,"
                    " runs into a corner, an end or another gate"
                )
                continue
            runs.append(Run(line[leg] + reached * along, line[leg] + first * along, after_gate, True))
            hung.append((gate, line[leg] + (first + GATE_POST / 2) * along, azimuth))
            reached, after_gate = first + gate.width, True
        runs.append(Run(line[leg] + reached * along, line[leg + 1], after_gate, False))
    if placed_gates < len(gates):
        faults.append(f"{name}: a gate lies beyond the fence, which is {starts[-1]:.3g} m long")
    if faults:
        raise UserError(*faults)
    return runs, hung


def _run(heap: Heap, model: Fence, run: Run, rng: np.random.Generator) -> None:
    """Rails and infill of one run; in its frame y runs along it, x to its right."""
    length = float(np.linalg.norm(run.end - run.start))
    if length < 0.1:
        return
    along = (run.end - run.start) / length
    at, azimuth = np.array([*run.start, 0.0]), float(np.arctan2(along[0], along[1]))
    pieces = [_rails(model, 0.0, length)]
    if model.kind == "picket":
        pieces.append(pickets(POST / 2 + 0.02, length - POST / 2 - 0.02, model.height, rng))
    elif model.kind == "board":
        pieces += [
            _boards(POST / 2 + 0.004, length - POST / 2 - 0.004, model.height, rng),
            _cap(length, model.height),
        ]
    heap_up(heap, "", model.material, *(turned(piece, azimuth, at) for piece in pieces))


def _rails(model: Fence, start: float, end: float) -> Floats:
    """Two rails behind pickets or boards; three between the posts of a rail fence."""
    if model.kind == "rail":
        middles, half_x, half_z, x = np.array([0.35, 0.65, 0.95]) * model.height - 0.06, 0.02, 0.055, 0.0
    else:
        middles, half_x, half_z, x = np.array([0.22, 0.78]) * model.height, 0.019, 0.045, -0.021
    count = len(middles)
    low = np.stack([np.full(count, x - half_x), np.full(count, start), middles - half_z], axis=1)
    return boxes(low, low + np.array([2 * half_x, end - start, 2 * half_z]))


def pickets(start: float, end: float, height: float, rng: np.random.Generator) -> Floats:
    """Pointed pickets from y = start to end, on the right-hand side of x = 0; none quite like the next."""
    count = max(1, round((end - start + PICKET_GAP) / (PICKET + PICKET_GAP)))
    middles = start + (end - start) * (np.arange(count) + 0.5) / count
    half = np.full(count, PICKET / 2)
    lean = 0.004 * rng.standard_normal(count)
    top = height - 0.01 * rng.random(count)
    front = 0.0 + PICKET_DEPTH + 0.0015 * rng.random(count)
    bottom = np.full(count, OFF_GROUND) + 0.01 * rng.random(count)
    shoulder = top - 0.055
    # Outline seen from +x, where y runs to the right: counterclockwise.
    y = np.stack(
        [middles - half, middles + half, middles + half + lean, middles + lean, middles - half + lean], 1
    )
    z = np.stack([bottom, bottom, shoulder, top, shoulder], 1)
    face = np.stack([np.broadcast_to(front[:, None], y.shape), y, z], axis=2)
    back = face - np.stack([front + 0.003, np.zeros(count), np.zeros(count)], axis=1)[:, None, :]
    fan = np.array([[0, 1, 2], [0, 2, 4], [2, 3, 4]])
    around = np.array([[0, 1], [1, 2], [2, 3], [3, 4], [4, 0]])
    sides = np.stack(
        [back[:, around[:, 0]], back[:, around[:, 1]], face[:, around[:, 1]], face[:, around[:, 0]]], 2
    )
    return np.concatenate(
        [
            face[:, fan].reshape(-1, 3, 3),
            back[:, fan[:, ::-1]].reshape(-1, 3, 3),
            quads(sides.reshape(-1, 4, 3)),
        ]
    )


def _boards(start: float, end: float, height: float, rng: np.random.Generator) -> Floats:
    """Close boards, hairline apart, each a little prouder or shyer than the next."""
    count = max(1, round((end - start) / BOARD))
    lines = np.linspace(start, end, count + 1)
    front = 0.019 + 0.006 * rng.random(count)
    low = np.stack([np.full(count, -0.003), lines[:-1] + 0.0015, np.full(count, 0.04)], axis=1)
    high = np.stack([front, lines[1:] - 0.0015, height - 0.025 - 0.004 * rng.random(count)], axis=1)
    return boxes(low, high)


def _cap(length: float, height: float) -> Floats:
    return boxes([-0.052, 0.03, height - 0.032], [0.055, length - 0.03, height])


def _posts(heap: Heap, model: Fence, runs: list[Run]) -> None:
    """Posts at corners and gates and between; one post where two runs meet."""
    stood: list[Floats] = []
    for run in runs:
        length = float(np.linalg.norm(run.end - run.start))
        along = (run.end - run.start) / length if length > 1e-9 else np.array([0.0, 1.0])
        azimuth = float(np.arctan2(along[0], along[1]))
        count = max(1, int(np.ceil(length / FURTHEST_POSTS)))
        for step in range(count + 1):
            place = run.start + (run.end - run.start) * step / count
            if any(np.linalg.norm(place - other) < 0.05 for other in stood):
                continue
            stood.append(place)
            gate = (step == 0 and run.gate_at_start) or (step == count and run.gate_at_end)
            at = np.array([*place, 0.0])
            post = _post((GATE_POST if gate else POST) / 2, model.height + (0.14 if gate else 0.05))
            heap_up(heap, "", model.material, turned(post, azimuth, at))


def _post(half: float, height: float) -> Floats:
    """A square post with a weathered (pyramid) head; stands a hand deep in the ground."""
    low, shoulder = -0.12, height - 0.045
    shaft = boxes([-half, -half, low], [half, half, shoulder])
    wide = half + 0.014
    base = np.array([[-wide, -wide], [wide, -wide], [-wide, wide], [wide, wide]])
    corners = np.zeros((1, 8, 3))
    corners[0, :4, :2], corners[0, 4:, :2] = base, base * 0.15
    corners[0, :4, 2], corners[0, 4:, 2] = shoulder - 0.012, height
    return np.concatenate([shaft, hexahedra(corners)])


def _leaf(heap: Heap, model: Fence, width: float, rng: np.random.Generator) -> None:
    """A gate's leaf from its hinge along y: rails, brace, infill as the fence's, iron straps."""
    start, end = 0.02, width - GATE_POST - 0.02
    height = model.height - 0.02
    rails = _rails(model, start, end)
    foot, head = 0.22 * model.height, 0.78 * model.height
    brace = np.zeros((1, 8, 3))
    for corner in range(8):
        far, upper, right = corner & 1, corner >> 1 & 1, corner >> 2
        y = end - 0.06 if far else start + 0.06
        z = (head if far else foot) + (0.035 if upper else -0.035)
        # a runs along y, b up, c to the right (+x): right-handed.
        brace[0, corner] = [-0.003 if right else -0.036, y, z]
    heap_up(heap, "", model.material, rails, hexahedra(brace))
    if model.kind == "picket":
        heap_up(heap, "", model.material, pickets(start, end, height, rng))
    elif model.kind == "board":
        heap_up(heap, "", model.material, _boards(start, end, height, rng))
    for level in (foot, head):
        strap = boxes([-0.046, -0.03, level - 0.014], [-0.038, 0.45 * (end - start), level + 0.014])
        heap_up(heap, "", "dark paint", strap)
