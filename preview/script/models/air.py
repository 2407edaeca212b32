"""The air as the script gives it: haze, mist or fog that light scatters in on its way."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from preview.script.fields import Length, Model, Number, Positive

KOSCHMIEDER = 3.912
"""Optical depth through which a black thing against the sky keeps 2 % of its contrast: -ln 0.02.

Source: H. Koschmieder, Theorie der horizontalen Sichtweite, Beitraege zur Physik der freien Atmosphaere 12, 1924.
"""


class Haze(Model):
    """How thick the air is: exactly one of visibility, density."""

    # The visibilities of fog and mist are those of WMO No. 407 (from memory); of a set's smoke: common practice, no source.
    visibility: Annotated[Length, Field(ge=1)] | None = None
    """How far one sees by day: fog is less than 1 km, mist 1 to 5 km; smoke laid on a set often 20 to 200 m."""
    density: Annotated[Number, Field(gt=0, le=4)] | None = None
    """Extinction per metre: 0.02 takes 2 % of the light away on each metre."""
    falloff: Positive | None = None
    """Height over which it thins to 37 %, above `from`. Default: even at all heights."""
    from_: Length = Field(default=0.0, alias="from")
    """Height up to which it is as thick as given, where it has a falloff."""
    # Source: M. Hess, P. Koepke and I. Schult, Optical Properties of Aerosols and Clouds, Bulletin of the American
    # Meteorological Society 79, 1998: about 0.7 to 0.8 for hazes, 0.85 for fogs; the values from memory.
    forward: Annotated[Number, Field(ge=-0.9, le=0.95)] = 0.8
    """How much it scatters forwards: mean cosine of the turn. Fog is 0.85, haze 0.7 to 0.8; 0 is even all round."""
    # Source: the same: more than 0.95 for hazes without soot, 1 for fogs; the values from memory.
    albedo: Annotated[Number, Field(ge=0, le=1)] = 0.98
    """Share of what it takes away that it scatters; the rest it swallows, as soot does."""

    @property
    def extinction(self) -> float:
        """Per metre, where it is thickest; 0 where neither visibility nor density is given."""
        if self.visibility is not None:
            return KOSCHMIEDER / self.visibility
        return self.density or 0.0
