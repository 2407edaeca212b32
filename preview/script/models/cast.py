"""The cast as the script gives it."""

from __future__ import annotations

from math import radians
from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from preview.script.fields import Angle, At, Facing, Length, MarkFacing, Model, Name, Point2, Positive
from preview.script.people import PEOPLE, Build, PersonName
from preview.script.poses import PoseName

Cut = Literal["short", "long", "tied", "cropped", "bald", "cap"]
CUTS: dict[PersonName, tuple[Cut, ...]] = {
    "man": ("short", "cropped", "long", "bald", "cap"),
    "woman": ("short", "long", "tied", "cap"),
    "teen": ("short", "long", "tied", "cropped", "cap"),
    "child": ("short", "long", "tied", "cap"),
}
"""Those that each person can have."""
Garment = Literal["jacket", "coat", "jumper", "raincoat", "dress"]
TURN, NOD = radians(80.0), radians(50.0)
"""How far a neck turns to a side, and bends forward or back. From memory of tables of joints' ranges: 80 and 50 degrees."""


def _height_of_person(values: dict[str, Any]) -> float:
    """A person's average stature; a man's stands for a person that does not exist, which is told elsewhere."""
    return PEOPLE[values.get("person", "man")].stature / 1000


class HeadTurn(Model):
    """How a head is turned apart from its body."""

    turn: Annotated[Angle, Field(ge=-TURN, le=TURN)] = 0.0
    """To the figure's right; below nought, to its left."""
    nod: Annotated[Angle, Field(ge=-NOD, le=NOD)] = 0.0
    """Down; below nought, up."""


class Figure(Model):
    """One person. `NAME`, `.face`, `.eyes`, `.chest`, `.feet`, `.hand.left`, `.hand.right` are places that others may
    name, and `.lantern`, where the lamp hangs, of one who holds a lantern."""

    name: Name
    at: Point2
    """Where the head is, in plan."""
    height_of_ground: Length = Field(default=0.0, alias="ground")
    """Height of what the feet stand on."""
    facing: Facing
    person: PersonName = "man"
    height: Annotated[Positive, Field(ge=0.5, le=2.5)] = Field(default_factory=_height_of_person)
    """From the soles to the top of the head, standing. Default: as that person is on average."""
    build: Build = "medium"
    pose: PoseName = "stand"
    """Leaning needs a wall behind, 15 cm behind `at` for a grown man; a lantern is held in the right hand."""
    seat: Positive = 0.46
    """Height of the seat above the feet, when sitting."""
    head: HeadTurn | None = None
    looks_at: At | None = None
    """What the head is turned to, as far as a neck turns, and the eyes for the rest. Default: straight ahead."""
    gaze: At | None = None
    """What the eyes alone look at. Default: what the head is turned to."""
    skin: Literal["very light", "light", "medium", "tan", "brown", "dark"] = "medium"
    hair: Literal["black", "brown", "fair", "grey", "red"] = "brown"
    cut: Cut = "short"
    """How the hair is cut, or what of it a cap leaves to be seen."""
    wears: Garment = "jacket"
    hood: Literal["down", "up"] = "down"
    """Of a raincoat."""
    top: str = "dark cloth"
    bottom: str = "dark cloth"
    shirt: str = "cloth"
    """What is seen of it between the lapels of a jacket or a coat."""
    shoes: str = "black"
    cheat: str | None = None
    """Of a setup alone: why what it changes of this figure is meant, in a few words. It is printed with what it does."""

    @model_validator(mode="after")
    def _fits(self) -> Figure:
        if self.cut not in CUTS[self.person]:
            raise ValueError(f"a {self.person}'s cut can be {', '.join(CUTS[self.person])}, not {self.cut}")
        if self.hood == "up" and self.wears != "raincoat":
            raise ValueError(f"a {self.wears} has no hood; a raincoat has")
        return self


class Mark(Model):
    """Where the meter is held: a named place of the set or cast, or a place of its own with a facing."""

    name: str
    at: At | None = None
    facing: MarkFacing | None = None
    """Default: the way the named place faces, else the camera."""
