"""In focus: whom of the cast the script's camera is focused on."""

from __future__ import annotations

from preview.script.fields import Place
from preview.script.scene import Scene


def in_focus(scene: Scene) -> str | None:
    """The figure that the focus is set on; None for another place or a distance."""
    focus = scene.camera.focus
    place = focus if isinstance(focus, Place) else scene.camera.aim if focus is None else None
    name = "" if place is None or place.of is None else place.of.partition(".")[0]
    return name if name in {figure.name for figure in scene.cast} else None
