"""A catalogue of the user's own, as its file gives it: heads, gels, cloths and lamps in rows by name.

A row is written as those of the program are: bare numbers are candela, degrees, metres, kilograms, watts and kelvin, and
a quantity may have its unit, as in a script.
"""

from __future__ import annotations

from math import pi
from typing import Annotated, Any

from pydantic import BeforeValidator, Field

from preview.script import quantities
from preview.script.fields import Amount, Angle, Kelvin, Model, Number, Positive, Rectangle
from preview.script.models.heads import FIELD_TO_BEAM
from preview.trade.head_row import Ballast, Dims, Shape

Candela = Annotated[Amount, Field(le=1e9)]
Across = Annotated[Positive, Field(le=20)]


def _percent(value: Any) -> float:
    return quantities.number(value.rstrip(" %") if isinstance(value, str) else value)


Wavelength = Annotated[Number, Field(ge=200, le=2000)]
Band = tuple[Wavelength, Wavelength, Annotated[Number, Field(ge=0, le=1)]]
Percent = Annotated[float, BeforeValidator(_percent), Field(ge=0, le=100)]


class Given(Model):
    """What a head gives, as it is set or with one of its lenses."""

    candela: Candela | None = None
    """On the axis, bare, at full level."""
    beam: Annotated[Angle, Field(gt=0, lt=pi)] | None = None
    """Full angle at half of that."""
    field: Annotated[Angle, Field(gt=0, le=pi)] | None = None
    """Full angle at a tenth. Default: 1.4 of the beam."""

    @property
    def field_angle(self) -> float | None:
        """The field angle in radians: as given, else the usual for the beam; None for an even source."""
        if self.field is not None or self.beam is None:
            return self.field
        return min(FIELD_TO_BEAM * self.beam, pi)


class GivenByLens(Given):
    """What a head gives with one of its lenses: one setting, or spot and flood."""

    spot: Given | None = None
    """What it gives at full spot, where it can be focused."""
    flood: Given | None = None
    """What it gives at full flood."""
    aperture: Across | None = None
    """Diameter of a beam's front or of a ball."""


class HeadEntry(GivenByLens):
    """A head: one setting, or spot and flood, or a set of lenses, or a photometric file."""

    shape: Shape = "beam"
    watts: Annotated[Amount, Field(le=1e5)]
    """What it draws."""
    kelvin: Kelvin
    """Of its light at full level."""
    kelvins: tuple[Kelvin, Kelvin] | None = None
    """The least and the most that it can be set to."""
    lamp: str | None = None
    """What light is made with, a name of the catalogue's spectra. Default: a plain light of that kelvin."""
    lenses: dict[str, GivenByLens] = Field(default={}, max_length=20)
    """Its set of lenses, by name."""
    usual: str | None = None
    """The lens that is on it when a script names none. Default: the first."""
    photometry: str | None = None
    """A photometric file, LM-63 (.ies) or EULUMDAT (.ldt), beside this one, in place of candela and angles."""
    size: Rectangle | None = None
    """Width and height of what shines of a panel."""
    body: tuple[Across, Across, Across] | None = None
    """Width, height and depth of the housing."""
    weight: Annotated[Amount, Field(le=2000)] | None = None
    """Kilograms, without stand, ballast and cable."""
    dims: Dims | None = None
    """By what it dims."""
    ballast: Ballast | None = None
    flicker: Percent | None = None
    """Percent flicker: highest less lowest over their sum, at twice the mains frequency."""
    setting: Annotated[str, Field(max_length=200)] = ""
    """How it is set up, in words."""
    source: Annotated[str, Field(max_length=500)] = ""
    """Where its figures come from."""


class GelEntry(Model):
    """A gel: a conversion (mired, duv), a green, a neutral density, or the bands that a party colour passes."""

    mired: Annotated[Number, Field(ge=-500, le=500)] = 0.0
    """Added to the mireds of its design lamp; positive is warmer."""
    duv: Annotated[Number, Field(ge=-0.1, le=0.1)] = 0.0
    """Added to its distance from the locus; positive is greener."""
    stops: Annotated[Number, Field(ge=0, le=12)] | None = None
    """What it takes from its design lamp."""
    green: Annotated[Number, Field(ge=-1, le=1)] | None = None
    """Density in red and blue; negative, a magenta's in the green."""
    density: Annotated[Number, Field(ge=0, le=4)] | None = None
    bands: Annotated[list[Band], Field(max_length=12)] = Field(default=[])
    """What it passes: from and to, in nanometres at half, and the transmission between them."""
    floor: Annotated[Number, Field(ge=0, le=1)] = 0.0
    """What it passes everywhere."""
    edge: Annotated[Number, Field(gt=0, le=200)] = 12.0
    """Softness of a band's edges, nanometres."""
    design: Kelvin = 5600.0
    source: Annotated[str, Field(max_length=500)] = ""


class ClothEntry(Model):
    """A cloth: the shares of the light that it spreads evenly and that go straight on."""

    diffuse: Annotated[Number, Field(ge=0, le=1)]
    direct: Annotated[Number, Field(ge=0, le=1)]
    spread: Annotated[Number, Field(ge=0, le=20)] = 0.0
    """Degrees: the standard deviation of the Gaussian that softens the direct share. 0: none, as of a net."""
    source: Annotated[str, Field(max_length=500)] = ""


class LampEntry(Model):
    """The usual values of a kind of practical; what is not given stays as the program has it."""

    kelvin: Kelvin | None = None
    watts: Amount | None = None
    lumens: Amount | None = None
    luminance: Amount | None = None
    """cd/m2, for a lit window."""
    size_m: Across | None = None
    lamp: str | None = None
    """What its light is made with, a name of the catalogue's spectra."""
    source: Annotated[str, Field(max_length=500)] = ""


class CatalogueFile(Model):
    """A catalogue file. What it names is added to the program's rows, or takes the place of the row of that name."""

    heads: dict[str, HeadEntry] = Field(default={})
    gels: dict[str, GelEntry] = Field(default={})
    cloths: dict[str, ClothEntry] = Field(default={})
    lamps: dict[str, LampEntry] = Field(default={})
    """Practicals' usual values, by kind."""
