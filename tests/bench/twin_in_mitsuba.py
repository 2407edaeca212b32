"""Twin in Mitsuba: a stripped demo scene handed to Mitsuba 3 as buffers, with the emitters that answer to ours."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from preview.light.emitters.ball import Ball
from preview.light.emitters.cloth import Cloth
from preview.light.emitters.distant import Distant
from preview.light.emitters.dome import Dome
from preview.light.emitters.patch import Patch, lambertian
from preview.light.emitters.tube import Tube
from preview.light.light import Emitter
from preview.light.vectors import across
from preview.trace.mix import weights
from tests.bench.twin import Twin

Floats = NDArray[np.floating[Any]]

SKY_ROWS = 513
"""Of the sky's picture; odd, so that one row is the horizon."""


def in_mitsuba(mi: Any, twin: Twin, *, sampler: str = "independent") -> Any:
    """The twin as a Mitsuba scene, its variant already set; `sampler` is one of its plugins."""
    things = _meshes(mi, twin)
    for number, (light, weight) in enumerate(zip(twin.lights, weights(twin.lights), strict=True)):
        for part, emitter in enumerate(light.emitters):
            things[f"emitter {number} {part}"] = _emitter(mi, emitter, weight)
    return mi.load_dict({"type": "scene", "sensor": _sensor(mi, twin, sampler), **things})


def _sensor(mi: Any, twin: Twin, sampler: str) -> dict[str, Any]:
    view = twin.view
    film = {
        "type": "hdrfilm",
        "width": twin.width,
        "height": twin.height,
        "rfilter": {"type": "box"},
        "pixel_format": "rgb",
        "component_format": "float32",
    }
    return {
        "type": "perspective",
        "fov": float(np.degrees(2 * np.arctan(view.tan_half_width))),
        "fov_axis": "x",
        "to_world": mi.ScalarTransform4f().look_at(
            origin=view.position.tolist(),
            target=(view.position + view.forward).tolist(),
            up=view.up.tolist(),
        ),
        "sampler": {"type": sampler},
        "film": film,
    }


def _meshes(mi: Any, twin: Twin) -> dict[str, Any]:
    """What does not shine, a mesh for each reflectance."""
    world = twin.solid.world
    reflectance, of_part = np.unique(
        twin.solid.surfaces.reflectance[: twin.sources], axis=0, return_inverse=True
    )
    dark = world.part_of_face < twin.sources
    of_face = of_part[np.where(dark, world.part_of_face, 0)]
    meshes = {}
    for number, rgb in enumerate(reflectance):
        faces = world.faces[dark & (of_face == number)]
        if len(faces) == 0:
            continue
        properties = mi.Properties()
        properties["bsdf"] = mi.load_dict({"type": "twosided", "bsdf": _diffuse(rgb)})
        mesh = mi.Mesh(f"mesh {number}", 3 * len(faces), len(faces), props=properties)
        buffers = mi.traverse(mesh)
        buffers["vertex_positions"] = np.ascontiguousarray(world.vertices[faces], np.float32).ravel()
        buffers["faces"] = np.arange(3 * len(faces), dtype=np.uint32)
        buffers.update()
        meshes[f"mesh {number}"] = mesh
    return meshes


def _emitter(mi: Any, emitter: Emitter, weight: Floats) -> dict[str, Any]:
    """Mitsuba's description of an emitter whose white light is multiplied by `weight` (3,)."""
    match emitter:
        case Cloth():
            texture = emitter.luminance()[:, :, None] * weight
            return _flat(mi, "rectangle", emitter, _picture(mi, texture))
        case Patch(profile=profile) if profile is lambertian:
            luminance = emitter.candela / emitter._area
            return _flat(mi, "disk" if emitter.round else "rectangle", emitter, _rgb(luminance * weight))
        case Patch(profile=profile):
            full, none = (profile.keywords[name] for name in ("full", "none"))  # type: ignore[attr-defined]
            return {
                "type": "spot",
                "intensity": _rgb(emitter.candela * weight),
                "beam_width": float(np.degrees(full)),
                "cutoff_angle": float(np.degrees(none)),
                "to_world": _frame(mi, emitter.centre, emitter.axis, (1.0, 1.0)),
            }
        case Ball():
            sphere = {"type": "sphere", "center": emitter.centre.tolist(), "radius": emitter.radius}
            return _shining(sphere, _rgb(emitter.luminance * weight))
        case Tube():
            ends = [emitter.centre + side * emitter.length / 2.0 * emitter.along for side in (-1.0, 1.0)]
            cylinder = {
                "type": "cylinder",
                "p0": ends[0].tolist(),
                "p1": ends[1].tolist(),
                "radius": emitter.radius,
            }
            luminance = emitter.candela / (2.0 * emitter.radius * emitter.length)
            return _shining(cylinder, _rgb(luminance * weight))
        case Distant():
            towards = (-emitter.towards).tolist()
            return {"type": "directional", "direction": towards, "irradiance": _rgb(emitter.lux * weight)}
        case Dome():
            return _sky(mi, emitter, weight)
    raise TypeError(f"a twin has no {type(emitter).__name__}")


def _flat(mi: Any, shape: str, emitter: Cloth | Patch, radiance: dict[str, Any]) -> dict[str, Any]:
    placed = _frame(mi, emitter.centre, emitter.axis, emitter.half_size)
    return _shining({"type": shape, "to_world": placed}, radiance)


def _shining(shape: dict[str, Any], radiance: dict[str, Any]) -> dict[str, Any]:
    return {**shape, "bsdf": _diffuse(np.zeros(3)), "emitter": {"type": "area", "radiance": radiance}}


def _frame(mi: Any, centre: Floats, axis: Floats, half_size: tuple[float, float]) -> Any:
    """The square -1..1, its face turned along `axis`: x against the width of `across`, so that it is right-handed."""
    width, height = across(axis)
    matrix = np.eye(4)
    matrix[:3, :3] = np.stack([-half_size[0] * width, half_size[1] * height, axis], axis=1)
    matrix[:3, 3] = centre
    return mi.ScalarTransform4f(matrix)


def _picture(mi: Any, texture: Floats) -> dict[str, Any]:
    """Cells (rows, columns, 3), row 0 at the bottom, seen from behind: left and right change places."""
    bitmap = mi.Bitmap(np.ascontiguousarray(texture[:, ::-1], np.float32))
    return {
        "type": "bitmap",
        "bitmap": bitmap,
        "raw": True,
        "filter_type": "nearest",
        "wrap_mode": "clamp",
    }


def _sky(mi: Any, dome: Dome, weight: Floats) -> dict[str, Any]:
    """A dome that is the same all round; its horizon is half as bright, being the mean of sky and nothing."""
    zenith = np.linspace(0.0, np.pi, SKY_ROWS)
    up = np.stack([np.sin(zenith), np.zeros(SKY_ROWS), np.cos(zenith)]).astype(np.float32)
    middle = SKY_ROWS // 2
    seen = np.where(np.arange(SKY_ROWS) <= middle, dome.luminance(up), np.float32(0.0))
    seen[middle] /= 2.0
    picture = np.repeat(seen[:, None, None] * weight, 4, axis=1).astype(np.float32)
    return {
        "type": "envmap",
        "bitmap": mi.Bitmap(np.ascontiguousarray(picture)),
        "to_world": mi.ScalarTransform4f().rotate([1, 0, 0], 90),
    }


def _diffuse(rgb: Floats) -> dict[str, Any]:
    return {"type": "diffuse", "reflectance": _rgb(rgb)}


def _rgb(value: Floats) -> dict[str, Any]:
    return {"type": "rgb", "value": [float(channel) for channel in value]}
