"""Street lights other than those on an arm: a glazed lantern on a column, a bracket on a wall, a bollard. Nobody's design.

Each in its own frame: the arm along y, the foot at 0; parts are named `NAME.post`, `.lantern`, `.pane`, `.hood`.
"""

from __future__ import annotations

import numpy as np

from preview.build.mesh import Part, flat
from preview.build.rigging import bar
from preview.build.solids import boxes, quads, round_bar, turned_on_lathe
from preview.build.things.blocks import joined_as

LANTERN = 0.62
"""Height of a post-top lantern from its seat to the tip of its roof, metres."""
WIDE, NARROW = 0.185, 0.105
"""Half the width of its glass, above and below."""


def lantern_post(name: str, material: str, height: float, arm: float) -> list[Part]:
    """A column on a moulded foot with a four-sided lantern that is wider above."""
    seat = height - LANTERN - 0.06
    foot = min(0.75, 0.25 * seat)
    shaft = [
        (0.0, -0.1), (0.17, -0.1), (0.17, -0.1), (0.17, 0.10), (0.17, 0.10), (0.15, 0.13), (0.135, 0.16), (0.11,
        0.20), (0.095, foot - 0.06),
        (0.115, foot - 0.03), (0.12, foot), (0.10, foot + 0.03), (0.066, foot + 0.07), (0.060, foot + 0.12), (0.048,
        seat - 0.22),
        (0.048, seat - 0.22), (0.066, seat - 0.20), (0.070, seat - 0.18), (0.05, seat - 0.15), (0.045, seat - 0.05),
        (0.075, seat - 0.015), (0.075, seat), (0.075, seat), (0.0, seat),
    ]  # fmt: skip
    post = [turned_on_lathe("", "", shaft, centre=np.zeros(3), sides=20)]
    post.append(round_bar("", "", [[-0.27, 0, seat - 0.26], [0.27, 0, seat - 0.26]], [0.012, 0.012], sides=8))
    post += [
        turned_on_lathe(
            "",
            "",
            [(0, -0.022), (0.016, -0.016), (0.022, 0), (0.016, 0.016), (0, 0.022)],
            centre=[s * 0.275, 0, seat - 0.26],
            sides=10,
        )
        for s in (-1, 1)
    ]
    low, high = seat + 0.05, seat + 0.42
    frame = [flat("", "", boxes([-NARROW - 0.02, -NARROW - 0.02, seat], [NARROW + 0.02, NARROW + 0.02, low]))]
    corners = [(1, 1), (-1, 1), (-1, -1), (1, -1)]
    for x, y in corners:
        foot_at, head_at = np.array([x * NARROW, y * NARROW, low]), np.array([x * WIDE, y * WIDE, high])
        wide = np.array([1.0, 0.0, 0.0])
        way = head_at - foot_at
        wide = wide - way * (wide @ way) / (way @ way)
        frame.append(bar(foot_at, head_at, wide=wide / np.linalg.norm(wide), width=0.020, depth=0.020))
    for half, z in ((WIDE, high), (NARROW, low)):
        frame.append(flat("", "", boxes(
            [[-half - 0.012, s * half - 0.012, z - 0.004] for s in (-1, 1)] + [[s * half - 0.012, -half + 0.012,
            z - 0.004] for s in (-1, 1)],
            [[half + 0.012, s * half + 0.012, z + 0.018] for s in (-1, 1)] + [[s * half + 0.012, half - 0.012,
            z + 0.018] for s in (-1, 1)],
        )))  # fmt: skip
    roof = [
        (0.0, 0.0), (0.30, 0.0), (0.30, 0.0), (0.295, 0.014), (0.22, 0.055), (0.12, 0.115), (0.075, 0.13), (0.072,
        0.15), (0.085, 0.155),
        (0.06, 0.175), (0.02, 0.18), (0.012, 0.20), (0.016, 0.207), (0.0, 0.225),
    ]  # fmt: skip
    frame.append(
        turned_on_lathe(
            "",
            "",
            np.array(roof) * [0.94, (LANTERN + 0.06 - 0.44) / 0.225],
            centre=[0, 0, high + 0.018],
            sides=24,
        )
    )
    frame.append(round_bar("", "", [[0, 0, low - 0.01], [0, 0, low + 0.06]], [0.022, 0.016], sides=10))
    panes = quads(np.array([
        [[-NARROW, -NARROW, low], [NARROW, -NARROW, low], [WIDE, -WIDE, high], [-WIDE, -WIDE, high]],
        [[NARROW, -NARROW, low], [NARROW, NARROW, low], [WIDE, WIDE, high], [WIDE, -WIDE, high]],
        [[NARROW, NARROW, low], [-NARROW, NARROW, low], [-WIDE, WIDE, high], [WIDE, WIDE, high]],
        [[-NARROW, NARROW, low], [-NARROW, -NARROW, low], [-WIDE, -WIDE, high], [-WIDE, WIDE, high]],
    ]))  # fmt: skip
    del arm
    return [
        joined_as(f"{name}.post", material, post),
        joined_as(f"{name}.lantern", material, frame),
        flat(f"{name}.pane", "window glass", panes),
    ]


def bracket(name: str, material: str, height: float, arm: float) -> list[Part]:
    """A plate on the wall behind, an arm with a scroll below it, a hood."""
    reach, lamp = max(arm, 0.25), height - 0.1
    top = height + 0.10
    iron = [
        flat("", "", boxes([-0.06, 0.0, height - 0.34], [0.06, 0.018, height + 0.22])),
        round_bar("", "", [[0, 0.012, top], [0, 0.6 * reach, top], [0, 0.93 * reach, top - 0.005], [0, reach,
        top - 0.05], [0, reach, lamp + 0.12]], [0.016] * 5, sides=10),
    ]  # fmt: skip
    turn = np.linspace(0.0, 1.9 * np.pi, 26)
    size = 0.22 * reach * (1.0 - 0.62 * turn / turn[-1])
    scroll = np.stack(
        [
            np.zeros(26),
            0.40 * reach + size * np.sin(turn + 0.3) - 0.1 * reach,
            top - 0.42 * reach + size * np.cos(turn + 0.3) + 0.12 * reach,
        ],
        axis=1,
    )
    stay = np.array(
        [
            [0.0, 0.012, height - 0.26],
            [0.0, 0.16 * reach, height - 0.20],
            [0.0, 0.5 * reach, top - 0.14 * reach],
            [0.0, 0.86 * reach, top - 0.012],
        ]
    )
    iron += [
        round_bar("", "", scroll, np.full(26, 0.008), sides=8),
        round_bar("", "", stay, [0.010] * 4, sides=8),
    ]
    shade = [
        (0.0, 0.072), (0.06, 0.060), (0.15, 0.022), (0.19, -0.016), (0.19, -0.016), (0.19, -0.006), (0.19, -0.006),
        (0.15, 0.034), (0.07, 0.078), (0.05, 0.115), (0.05, 0.115), (0.0, 0.12),
    ]  # fmt: skip
    return [
        joined_as(f"{name}.post", material, iron),
        turned_on_lathe(f"{name}.hood", material, shade, centre=[0.0, reach, lamp], sides=28),
    ]


def bollard(name: str, material: str, height: float, arm: float) -> list[Part]:
    """A short post whose lamp shines out between rings that hide it from above."""
    head = height - 0.24
    body = [
        (0.0, -0.1), (0.085, -0.1), (0.085, -0.1), (0.085, 0.03), (0.085, 0.03), (0.07, 0.045), (0.07, head), (0.07,
        head), (0.0, head),
    ]  # fmt: skip
    parts = [turned_on_lathe("", "", body, centre=np.zeros(3), sides=24)]
    for z in np.linspace(head + 0.045, height - 0.065, 4):
        ring = [
            (0.036, 0.012),
            (0.082, -0.010),
            (0.084, -0.008),
            (0.084, -0.005),
            (0.038, 0.017),
            (0.034, 0.016),
            (0.036, 0.012),
        ]
        parts.append(turned_on_lathe("", "", ring, centre=[0, 0, z], sides=24))
    parts += [
        round_bar(
            "",
            "",
            [
                [0.066 * np.cos(a), 0.066 * np.sin(a), head - 0.005],
                [0.066 * np.cos(a), 0.066 * np.sin(a), height - 0.03],
            ],
            [0.005] * 2,
            sides=6,
        )
        for a in np.radians([30, 150, 270])
    ]
    cap = [(0.0, -0.035), (0.086, -0.035), (0.086, -0.035), (0.086, -0.012), (0.07, -0.002), (0.0, 0.0)]
    parts.append(turned_on_lathe("", "", cap, centre=[0, 0, height], sides=24))
    del arm
    return [joined_as(f"{name}.post", material, parts)]
