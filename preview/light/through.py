"""Through: what a head's light passes, one thing after the other: cloths, boards, boxes, and what cuts it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.build.mesh import Part
from preview.build.rigging import Footing
from preview.light.light import Emitter, Glow
from preview.light.modifiers.bounces import bounced
from preview.light.modifiers.boxes import boxed
from preview.light.modifiers.cloths import framed, on_head
from preview.light.modifiers.cutters import doored, flagged, patterned, snooted
from preview.light.modifiers.passage import Aperture, Passage, Source
from preview.light.modifiers.record import Origin, Stood
from preview.script.fields import Place
from preview.script.models.through import Through
from preview.trade.catalogue import Catalogue

Floats = NDArray[np.float64]

HEAD_FIRST = ("cloth", "doors", "snoot", "box")
"""What hangs on the head itself comes first, wherever it is written; a box takes what the rest leaves."""


@dataclass(frozen=True)
class Passed:
    """A head's emitters after all that stands in its way, with what is seen of that and of its front.

    `origins`: of each emitter, what it last came from; `tint` (3,) linear ACEScg of luminance 1, by boards of a colour.
    """

    emitters: tuple[Emitter, ...]
    bodies: tuple[Part, ...]
    glows: tuple[Glow, ...]
    modifiers: tuple[Stood, ...]
    origins: tuple[Origin, ...]
    tint: tuple[float, float, float]


def passed(
    name: str,
    bare: Emitter,
    glow: Glow,
    through: Sequence[Through],
    *,
    at: Floats,
    axis: Floats,
    aperture: Aperture,
    lumens: float,
    stands: bool,
    catalogue: Catalogue,
    point: Callable[[Place], Floats],
    ground: Footing = 0.0,
) -> Passed:
    """The light of a head at `at` (3,) along unit `axis`, after all that it shines through.

    Each thing is lit by all that comes before it; what misses it goes past. `glow` is of the head's front; `point` turns
    a place of the script to metres; stands stand on `ground`.
    """
    passage = Passage(
        name,
        catalogue,
        stands,
        aperture,
        at,
        axis,
        lumens,
        at,
        axis,
        lumens,
        (Source(bare, Origin(-1, "bare"), at),),
        glows=(glow,),
        ground=ground,
    )
    for thing in sorted(through, key=_order):
        if thing.box is not None:
            passage = boxed(passage, thing)
        elif thing.bounce is not None:
            assert thing.to is not None
            passage = bounced(passage, thing, point(thing.to))
        elif thing.frame is not None:
            passage = framed(passage, thing)
        elif thing.flag is not None:
            passage = flagged(passage, thing)
        elif thing.cucoloris is not None:
            passage = patterned(passage, thing)
        elif thing.doors is not None:
            passage = doored(passage, thing)
        elif thing.snoot is not None:
            passage = snooted(passage, thing)
        elif thing.cloth is not None:
            passage = on_head(passage, thing)
    return Passed(
        passage.emitters,
        passage.bodies,
        passage.glows,
        passage.stood,
        tuple(source.origin for source in passage.sources),
        passage.tint,
    )


def _order(thing: Through) -> int:
    alone = thing.cloth is not None and thing.frame is None and thing.flag is None and thing.box is None
    if alone:
        return 0
    return next((1 + HEAD_FIRST.index(key) for key in ("doors", "snoot", "box") if getattr(thing, key)), 9)
