"""Poses: how the cast stands, walks, sits, leans, crouches and holds a lantern, for a body of any size."""

from __future__ import annotations

from typing import Literal

from preview.script.skeleton import Limbs, Pose

PoseName = Literal["stand", "walk", "sit", "lean", "crouch", "lantern"]

STAND = Pose(
    # Weight on the left leg: left hip up, left shoulder down, right knee eased.
    left=Limbs(
        (0.165, 0.03, -0.97), (0.45, -1.0, 0.0), (-0.95, -0.2, 0.1), (-0.03, 0.12, -1.0), (0.082, -0.02), 8.0
    ),
    right=Limbs(
        (0.185, 0.06, -0.965), (0.5, -1.0, 0.0), (-0.9, -0.35, 0.1), (-0.03, 0.14, -1.0), (0.150, 0.045), 24.0
    ),
    hips=(-0.016, 0.0, 0.994),
    pelvis=(0.0, 2.5, -4.0),
    waist=(-2.0, -2.5, 2.0),
    chest=(2.0, -2.0, 2.0),
    upright=True,
)
LANTERN = Pose(
    left=Limbs(
        (0.175, 0.05, -0.97), (0.5, -1.0, 0.0), (-0.9, -0.3, 0.1), (-0.02, 0.12, -1.0),
        (0.095, -0.06), 14.0,
    ),
    right=Limbs(
        (0.12, 0.72, 0.02), (0.75, -0.25, -1.0), (-0.35, 0.15, -0.9), (-0.25, 0.95, 0.0), (0.10, 0.06), 10.0,
        raised=1.2, hand="grip",
    ),
    hips=(0.0, -0.01, 0.995),
    pelvis=(0.0, 0.0, 4.0),
    waist=(-2.0, 0.0, 4.0),
    chest=(1.0, -3.0, 4.0),
    upright=True,
)  # fmt: skip
WALK = Pose(
    # Mid-stride: the left heel lands, the right foot leaves over its toes, the arms swing against the legs.
    left=Limbs(
        (0.16, -0.40, -0.88), (0.35, -1.0, -0.2), (-0.95, 0.0, 0.0), (0.0, -0.25, -1.0),
        (0.060, 0.335), 7.0, heel_up=-15.0,
    ),
    right=Limbs(
        (0.14, 0.38, -0.84), (0.45, -1.0, 0.0), (-0.95, 0.0, 0.2), (-0.1, 0.6, -0.8),
        (0.060, -0.395), 7.0, heel_up=40.0, toes_bent=38.0,
    ),
    hips=(0.0, 0.0, 0.962),
    pelvis=(3.0, 0.0, -7.0),
    waist=(1.0, 0.0, 6.0),
    chest=(1.0, 0.0, 8.0),
)  # fmt: skip
SIT = Pose(
    left=Limbs(
        (0.02, 0.50, -0.60), (0.75, -0.9, 0.1), (0.1, 0.15, -1.0), (-0.30, 1.0, -0.18),
        (0.115, 0.455), 8.0, hand="spread",
    ),
    right=Limbs(
        (0.03, 0.47, -0.62), (0.75, -0.9, 0.1), (0.1, 0.15, -1.0), (-0.28, 1.0, -0.2),
        (0.145, 0.405), 16.0, hand="spread",
    ),
    hips=(0.0, 0.0, 0.598),
    pelvis=(-12.0, 0.0, 0.0),
    waist=(12.0, 0.0, 0.0),
    chest=(7.0, 0.0, 0.0),
    on_seat=True,
)  # fmt: skip
LEAN = Pose(
    # The back of the shoulders and the seat on a wall behind, the right foot crossed over the left.
    left=Limbs(
        (0.19, 0.03, -0.95), (0.7, -0.8, 0.0), (-0.9, -0.3, 0.1), (-0.1, 0.2, -1.0),
        (0.075, 0.235), 9.0,
    ),
    right=Limbs(
        (-0.16, 0.42, -0.50), (1.0, -0.5, -0.2), (-0.1, -0.9, 0.25), (-0.95, 0.1, 0.28), (-0.115, 0.335), 4.0,
        heel_up=14.0, toes_bent=8.0, knee=(0.45, 1.0, 0.0),
    ),
    hips=(0.0, 0.0, 0.948),
    pelvis=(-9.0, -1.5, 0.0),
    waist=(3.0, 1.0, 0.0),
    chest=(2.0, 2.0, 3.0),
    head=(3.0, 0.0, 0.0),
)  # fmt: skip
CROUCH = Pose(
    # One foot flat, one on its ball, forearms past the knees, hands spread to what is warm.
    left=Limbs(
        (0.00, 0.80, -0.28), (0.9, -0.3, -0.6), (0.05, 0.75, -0.65), (-0.1, 0.75, 0.62),
        (0.135, 0.13), 12.0, heel_up=0.0, toes_bent=0.0, knee=(0.42, 1.0, 0.35), hand="spread",
    ),
    right=Limbs(
        (0.02, 0.74, -0.36), (0.9, -0.3, -0.6), (0.05, 0.72, -0.7), (-0.1, 0.75, 0.6),
        (0.135, 0.03), 12.0, heel_up=42.0, toes_bent=40.0, knee=(0.40, 1.0, -0.05), hand="spread",
    ),
    hips=(0.0, -0.06, 0.345),
    pelvis=(0.0, 0.0, 0.0),
    waist=(20.0, 0.0, 0.0),
    chest=(14.0, 0.0, 0.0),
    head=(6.0, 0.0, 0.0),
)  # fmt: skip
POSES: dict[PoseName, Pose] = {
    "stand": STAND,
    "walk": WALK,
    "sit": SIT,
    "lean": LEAN,
    "crouch": CROUCH,
    "lantern": LANTERN,
}
