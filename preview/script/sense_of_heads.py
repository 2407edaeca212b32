"""Whether a head that is described in place is whole: one output, what its shape needs, angles that can be."""

from __future__ import annotations

from collections.abc import Iterator
from math import degrees

from preview.script.document import Keys
from preview.script.models.heads import Head
from preview.script.words import listed

Found = Iterator[tuple[Keys, str]]

OUTPUTS = ("candela", "lumens", "reading")
NARROWEST_SKIRT = 1.01
"""Field angle over beam angle: below it the edge of the beam would be a step."""


def head_misfits(head: Head, keys: Keys) -> Found:
    outputs = [key for key in OUTPUTS if getattr(head, key) is not None]
    if len(outputs) != 1:
        found = "none is" if not outputs else f"{' and '.join(outputs)} are"
        yield keys, f"a head needs exactly one of {listed(OUTPUTS)}; {found} given"
    needed, not_taken = {
        "beam": ("beam", ("size",)),
        "panel": ("size", ("aperture",)),
        "ball": ("aperture", ("beam", "field", "size")),
    }[head.shape]
    if getattr(head, needed) is None:
        how = {
            "beam": "its beam angle, such as beam: 40 deg",
            "panel": "its size, such as size: 1.2x0.3 m",
            "ball": "its diameter, such as aperture: 60 cm",
        }[head.shape]
        yield (*keys, needed), f"is missing: a head of the shape {head.shape} needs {how}"
    for key in not_taken:
        if getattr(head, key) is not None:
            yield (*keys, key), f"a head of the shape {head.shape} has no {key}"
    if head.shape == "ball":
        return
    if head.beam is None and head.field is not None and head.shape == "panel":
        yield (*keys, "field"), "a field angle needs a beam angle beside it"
    if head.beam is not None and head.field is not None and head.field < NARROWEST_SKIRT * head.beam:
        beam, field = degrees(head.beam), degrees(head.field)
        yield (
            (*keys, "field"),
            f"the beam ({beam:g} deg) is wider than its field ({field:g} deg): the field is where the light falls to "
            "10 %, the beam where it falls to 50 %"
            if field < beam
            else f"the field ({field:g} deg) must be wider than the beam ({beam:g} deg): it is where the light falls to "
            "10 %, the beam where it falls to 50 %",
        )
