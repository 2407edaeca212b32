"""Modifiers: the rays of framed and bounced light against those of a plain area source, at equal error.

One wall behind a post, lit in turn by a plain panel and by heads through cloths and off boards of the panel's size. Each is
traced as `look`; its error is against the mean of several finals. Rays for equal error go as the error's square.
"""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from unittest.mock import patch

import numpy as np
from rich.table import Table

from preview.commands.prepare import Ready, prepare
from preview.light.spaces import ACESCG
from preview.script.read import read_scene
from preview.trace.plate import trace
from preview.trace.quality import QUALITIES, Quality
from preview.trace.rays import Rays

SCENE = """
set:
  - ground: {{material: grey card, size: [30, 30]}}
  - wall: {{along: [[-5, 4], [5, 4]], height: 4, material: plaster}}
  - box: {{at: [0.2, 2.2], size: [0.3, 0.3, 1.8], material: grey card}}
camera: {{lens: {{focal: 24 mm}}, at: [0, -5, 1.6], aim: [0, 4, 1.6]}}
fixtures:
  - {{name: key, {head}}}
"""
PLAIN = "plain panel"
FROM = "at: [-3, -1.5, 3], aim: [0.3, 3, 1.4]"
BEHIND = "at: [-4.2, -3.1, 3.55], aim: [0.3, 3, 1.4]"
OFF = "at: [2, -1, 3.3], aim: [-3, -1.5, 3]"
HMI = "head: hmi-fresnel-2500"
HEADS = {
    PLAIN: f"head: {{shape: panel, candela: 5000, size: 8x8 ft}}, {FROM}",
    **{
        f"{cloth} in a frame": f"{HMI}, {BEHIND}, through: [{{frame: 8x8 ft, cloth: {cloth}, away: 2}}]"
        for cloth in ("full-grid", "half-silk")
    },
    **{
        f"{board} bounce": f"{HMI}, {OFF}, through: [{{bounce: 8x8 ft, of: {board}, away: 5, to: [0.3, 3, 1.4]}}]"
        for board in ("muslin", "silver-soft")
    },
}
WIDTH = 240
FINAL = replace(QUALITIES["final"], bounce_rays=0)
LOOK = replace(QUALITIES["look"], bounce_rays=0)


def ready_of(head: str) -> Ready:
    """The scene with its key of one kind."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "wall.yaml"
        path.write_text(SCENE.format(head=head), encoding="utf-8")
        return prepare(read_scene(path))


def traced(ready: Ready, quality: Quality, *, width: int, seed: int) -> tuple[np.ndarray, int]:
    """Luminance (h, w) of the set, and how many shadow rays it took."""
    asked = [0]
    real = Rays.blocked

    def counting(self: Rays, origins: np.ndarray, *rest: np.ndarray) -> np.ndarray:
        asked[0] += len(origins)
        return real(self, origins, *rest)

    with patch.object(Rays, "blocked", counting):
        plate = trace(
            ready.stage, ready.lights, ready.view, width=width, height=width // 2, quality=quality, seed=seed
        )
    value = plate.layers[0].astype(np.float64) @ ACESCG.luminance
    return np.where(plate.part >= 0, value, 0.0), asked[0]


def cost(head: str, *, width: int = WIDTH, truths: int = 4) -> tuple[int, float]:
    """Shadow rays of a `look`, and its error beside the mean light, root of squares."""
    ready = ready_of(head)
    truth = np.mean(
        [traced(ready, FINAL, width=width, seed=seed)[0] for seed in range(2, 2 + truths)], axis=0
    )
    value, rays = traced(ready, LOOK, width=width, seed=1)
    return rays, float(np.sqrt(np.mean((value - truth) ** 2)) / truth.mean())


def tables(*, width: int = WIDTH, truths: int = 4) -> Iterator[Table]:
    """Rays, error, and rays for the plain panel's error, in times of the plain panel's."""
    table = Table(title=f"Framed and bounced light against a plain area source, `look`, {width} wide")
    table.add_column("light")
    for heading in ("rays", "error", "rays at equal error"):
        table.add_column(heading, justify="right")
    found = {name: cost(head, width=width, truths=truths) for name, head in HEADS.items()}
    plain = found[PLAIN][0] * found[PLAIN][1] ** 2
    for name, (rays, error) in found.items():
        table.add_row(name, f"{rays:,}", f"{error:.2%}", f"{rays * error**2 / plain:.2f}")
    yield table
