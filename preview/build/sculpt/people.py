"""People: the bodies that are sculpted; their measures are the script's, which knows where their places are."""

from __future__ import annotations

from preview.script.people import PEOPLE, Person, PersonName

__all__ = ["PEOPLE", "Person", "PersonName"]
