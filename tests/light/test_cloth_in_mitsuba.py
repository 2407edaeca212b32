"""A frame of cloth before a lamp against Mitsuba 3, in which the cloth is a diffuse transmitter and the lamp a point."""

from __future__ import annotations

import mitsuba as mi
import numpy as np
import pytest

from preview.light.lights import lights_of
from preview.trade.catalogue import usual
from tests.script.scenes import SMALL, scene
from tests.trace.metering import lux_at

SAMPLES = 400_000


def in_mitsuba(mark: tuple[float, float, float], *, share: float, tilt: float) -> float:
    """Lux by way of the cloth, at a mark that faces back to the lamp at the origin. The meter sees no point lamp itself."""
    mi.set_variant("scalar_rgb")
    place = mi.ScalarTransform4f()
    leaning = place.rotate([0, 1, 0], tilt)
    thin = {
        "type": "principledthin",
        "base_color": {"type": "rgb", "value": share},
        "diff_trans": 2.0,
        "spec_trans": 0.0,
    }
    meter = {
        "type": "irradiancemeter",
        "sampler": {"type": "independent", "sample_count": SAMPLES},
        "film": {
            "type": "hdrfilm",
            "width": 1,
            "height": 1,
            "rfilter": {"type": "box"},
            "pixel_format": "luminance",
        },
    }
    facing = place.look_at(origin=list(mark), target=[mark[0] - 1, mark[1], mark[2]], up=[0, 0, 1])
    whole = mi.load_dict(
        {
            "type": "scene",
            "integrator": {"type": "path", "max_depth": 3},
            "lamp": {
                "type": "point",
                "position": [0, 0, 0],
                "intensity": {"type": "spectrum", "value": 1000.0},
            },
            "cloth": {
                "type": "rectangle",
                "to_world": place.translate([2, 0, 0]) @ leaning @ place.rotate([0, 1, 0], 90),
                "bsdf": thin,
            },
            "receptor": {
                "type": "rectangle",
                "to_world": facing @ place.scale(0.005),
                "bsdf": {"type": "diffuse", "reflectance": 0.0},
                "sensor": meter,
            },
        }
    )
    return float(np.array(mi.render(whole, spp=SAMPLES, seed=1)).ravel()[0])


@pytest.mark.parametrize("mark", [(4.0, 0.0, 0.0), (5.0, 1.5, 0.0), (3.0, 2.0, 0.5)])
@pytest.mark.parametrize("tilt", [0.0, 30.0])
def test_a_lamp_behind_a_cloth(mark, tilt, tmp_path):
    """2 x 2 m of full grid, upright and leaning the way the light goes, 2 m from a small bulb of 1000 cd."""
    words = (
        "fixtures:\n  - {name: key, at: [0, 0, 0], aim: [1, 0, 0], stand: no, head: {shape: ball, candela: 1000, "
        f"aperture: 2 cm}}, through: [{{frame: 2x2 m, cloth: full-grid, away: 2, tilt: {tilt} deg}}]}}\n"
    )
    (light,) = lights_of(scene(tmp_path, words + SMALL))
    ways = zip(light.emitters, light.origins, strict=True)
    diffuse = [emitter for emitter, origin in ways if origin.way == "diffuse"]
    got = lux_at(diffuse, mark, [-1.0, 0.0, 0.0], rays=16384)[0]
    share = usual().cloths["full-grid"].diffuse
    assert got == pytest.approx(in_mitsuba(mark, share=share, tilt=tilt), rel=0.01)
