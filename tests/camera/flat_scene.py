"""A scene of glowing cards that face the lens, told once for Mitsuba and for a pinhole picture with its depths.

Run as a script it renders the reference: python -m tests.camera.flat_scene
"""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np

REFERENCE = Path(__file__).parent / "thin_lens_reference.json"
WIDTH, HEIGHT = 72, 48
HALF_WIDTH = 0.3
"""Tangent of half the angle of view across."""
PUPIL_RADIUS, FOCUS = 0.3, 4.0
SAMPLES = 4096
CARDS = (
    # metres away, left, right, bottom, top at that distance, radiance
    (12.0, -9.0, 9.0, -9.0, 9.0, 0.2),
    (11.99, 0.6, 1.7, -0.4, 0.9, 3.0),
    (11.99, 2.4, 2.9, -1.9, -0.7, 3.0),
    (7.0, 0.1, 0.5, -3.0, 3.0, 0.02),
    (4.0, -0.25, 0.35, -2.0, 0.45, 1.0),
    (2.0, -0.45, -0.3, -2.0, 2.0, 0.6),
)


def pinhole(fine: int = 16) -> dict[str, np.ndarray]:
    """image (h, w), near, far (h, w) m, cover (h, w) of the scene, each pixel of fine x fine points."""
    x = ((np.arange(WIDTH * fine) + 0.5) / (WIDTH * fine) * 2.0 - 1.0) * HALF_WIDTH
    y = (1.0 - (np.arange(HEIGHT * fine) + 0.5) / (HEIGHT * fine) * 2.0) * HALF_WIDTH * HEIGHT / WIDTH
    depth, light = np.zeros((len(y), len(x))), np.zeros((len(y), len(x)))
    for away, left, right, bottom, top, radiance in CARDS:
        inside = ((x * away > left) & (x * away < right))[np.newaxis, :] & (
            (y * away > bottom) & (y * away < top)
        )[:, np.newaxis]
        depth[inside], light[inside] = away, radiance
    points = depth.reshape(HEIGHT, fine, WIDTH, fine)
    near, far = points.min(axis=(1, 3)), points.max(axis=(1, 3))
    cover = (points < 0.5 * (near + far)[:, np.newaxis, :, np.newaxis]).mean(axis=(1, 3))
    cover[far - near < 0.1] = 1.0
    image = light.reshape(HEIGHT, fine, WIDTH, fine).mean(axis=(1, 3))
    return {"image": image, "near": near, "far": far, "cover": cover}


def blur_radius(depth: np.ndarray) -> np.ndarray:
    """Pixels, signed: R (1 / s - 1 / d), the tangent by which rays through the rim of the pupil miss."""
    pixel = 2.0 * HALF_WIDTH / WIDTH
    return (PUPIL_RADIUS * (1.0 / FOCUS - 1.0 / depth) / pixel).astype(np.float32)


def rendered() -> np.ndarray:
    """The scene (h, w) by Mitsuba's thin lens."""
    import mitsuba as mi

    mi.set_variant("scalar_rgb")
    to = mi.ScalarTransform4f
    scene: dict[str, object] = {
        "type": "scene",
        "integrator": {"type": "direct", "emitter_samples": 0, "bsdf_samples": 1},
        "sensor": {
            "type": "thinlens",
            "fov": float(np.degrees(2.0 * np.arctan(HALF_WIDTH))),
            "fov_axis": "x",
            "aperture_radius": PUPIL_RADIUS,
            "focus_distance": FOCUS,
            "to_world": to().look_at(origin=[0, 0, 0], target=[0, 0, -1], up=[0, 1, 0]),
            "film": {"type": "hdrfilm", "width": WIDTH, "height": HEIGHT, "rfilter": {"type": "box"}},
            "sampler": {"type": "multijitter", "sample_count": SAMPLES, "seed": 1},
        },
    }
    for number, (away, left, right, bottom, top, radiance) in enumerate(CARDS):
        middle = [(left + right) / 2, (bottom + top) / 2, -away]
        scene[f"card{number}"] = {
            "type": "rectangle",
            "to_world": to().translate(middle).scale([(right - left) / 2, (top - bottom) / 2, 1]),
            "emitter": {"type": "area", "radiance": {"type": "rgb", "value": radiance}},
        }
    return np.array(mi.render(mi.load_dict(scene)))[..., 0]


if __name__ == "__main__":
    import mitsuba

    values = [[round(float(v), 4) for v in row] for row in rendered()]
    how = f"Mitsuba {mitsuba.__version__}, scalar_rgb, thinlens, {SAMPLES} samples: python -m tests.camera.flat_scene"
    REFERENCE.write_text(json.dumps({"made": how, "radiance": values}) + "\n", encoding="utf-8")
