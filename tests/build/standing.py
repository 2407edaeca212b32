"""Where pieces are built in tests: a site that holds a few named places and nothing else."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType

from preview.build.site import Site
from preview.script.scene import Anchor, Scene


def site(
    folder: Path = Path(),
    *,
    places: Mapping[str, tuple[float, float, float]] | None = None,
    eyes: tuple[tuple[float, float, float], ...] = (),
) -> Site:
    """Level ground; `folder` for files that a piece names."""
    bare = object.__new__(Scene)
    anchors = {name: Anchor(at) for name, at in (places or {}).items()}
    for field, value in {
        "path": folder / "scene.yaml", "set": (), "cast": (), "anchors": MappingProxyType(anchors), "eyes": eyes,
    }.items():  # fmt: skip
        object.__setattr__(bare, field, value)
    return Site(bare)
