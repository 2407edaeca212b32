"""Colour notes: mixes that a head cannot reach, and what it gives for them."""

from __future__ import annotations

from collections.abc import Iterator

from preview.light.colour_reading import colour_words, read_xy
from preview.light.finish import bare_light
from preview.light.spectrum import xy_of_spectrum
from preview.script.models.heads import Head
from preview.script.scene import Scene


def colour_notes(scene: Scene) -> Iterator[str]:
    """One for each fixture whose colour is not the one that was asked for."""
    for fixture in scene.fixtures:
        if fixture.head is None:
            continue
        head = fixture.head if isinstance(fixture.head, Head) else scene.catalogue.heads[fixture.head]
        bare = bare_light(fixture, scene.catalogue, kelvin=head.kelvin)
        if bare.mix is not None and not bare.mix.reached:
            reading = read_xy(xy_of_spectrum(bare.spectrum))
            given = reading.hue or f"{reading.kelvin:.0f} K"
            cast = colour_words(reading, balance_k=reading.kelvin)
            also = "" if reading.hue or cast == "on the balance" else f", {cast}"
            yield f"{fixture.name}: its LED cannot mix what is asked; it gives the nearest towards white: {given}{also}."
