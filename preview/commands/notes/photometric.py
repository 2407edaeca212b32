"""Photometric notes: what a photometric file was read as, so that a wrong file, or one that lies wrong, is seen."""

from __future__ import annotations

from collections.abc import Iterator
from math import degrees

from preview.light.heads import head_output
from preview.light.photometric import Photometry
from preview.script.scene import Scene

DOUBT = 0.03
"""By how much lumens may differ from the file's own word, or exceed those of its lamps: laboratories sum otherwise."""


def photometric_notes(scene: Scene) -> Iterator[str]:
    """A sentence for each head of a photometric file, another where its numbers disagree."""
    for fixture in scene.fixtures:
        if fixture.head is None:
            continue
        photometry = head_output(fixture, scene.catalogue, scene.path.parent).photometry
        if photometry is None:
            continue
        yield f"{fixture.name}: {_read_as(photometry)}"
        yield from (f"{fixture.name}: {doubt}" for doubt in _doubts(photometry))


def _read_as(photometry: Photometry) -> str:
    web = photometry.web
    beam, field = ([f"{degrees(angle):.0f}" for angle in angles] for angles in (web.beam, web.field))
    across, up = (0, 1) if web.kind == "C" else (1, 0)
    width, height = photometry.size
    return (
        f"{web.edition}, type {web.kind}: {_rounded(photometry.lumens)} lm, {_rounded(photometry.candela)} cd ahead, "
        f"{_rounded(photometry.scale * web.peak)} at most; beam {beam[across]} deg across and {beam[up]} up, field "
        f"{field[across]} and {field[up]}; shines from {width:.2g} × {height:.2g} m."
    )


def _doubts(photometry: Photometry) -> Iterator[str]:
    web = photometry.web
    lumens = web.lumens()
    if web.stated_lumens is not None and abs(lumens / web.stated_lumens - 1.0) > DOUBT:
        yield f"its file states {_rounded(web.stated_lumens)} lm, its intensities make {_rounded(lumens)} lm."
    elif web.lamp_lumens is not None and lumens > (1.0 + DOUBT) * web.lamp_lumens:
        yield (
            f"its intensities make {_rounded(lumens)} lm, more than the {_rounded(web.lamp_lumens)} lm of its lamps: a "
            "factor of the file may be wrong."
        )


def _rounded(value: float) -> str:
    """Four figures, thousands apart."""
    shown = float(f"{value:.4g}")
    return f"{shown:,.0f}".replace(",", " ") if shown >= 1000 else f"{shown:g}"
