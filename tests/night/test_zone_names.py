"""What is answered to zones that are none: the letters on clocks, against the time zone database itself."""

from __future__ import annotations

import re
import zoneinfo
from datetime import datetime, timedelta

import pytest

from preview.script import place_and_time
from preview.script.zone_names import SEASONS, known_zones, meant, offset_words


def shown(name: str) -> set[str | None]:
    """The letters that clocks of a zone show in the year."""
    return {day.replace(tzinfo=zoneinfo.ZoneInfo(name)).tzname() for day in SEASONS}


@pytest.mark.parametrize("letters", ["AEDT", "aest", "EDT", "PST", "JST", "IST", "SAST"])
def test_letters_on_clocks_are_answered_with_areas_that_show_them(letters: str) -> None:
    with pytest.raises(ValueError, match=f"{letters.upper()} is what clocks show, not an area") as told:
        place_and_time.zone(letters)
    named = re.findall(r"[A-Za-z_]+/[A-Za-z_/]+", str(told.value))
    assert 1 <= len(named) <= 3
    assert all(letters.upper() in shown(name) for name in named)


def test_letters_with_several_offsets_are_told_apart() -> None:
    """Each area stands beside what its clocks are ahead while they show the letters."""
    told = meant("IST") or ""
    pairs = re.findall(r"([A-Za-z]+/[A-Za-z]+) \(([+-][0-9:]+)\)", told)
    assert len(pairs) == len({offset for _, offset in pairs}) > 1
    for name, offset in pairs:
        days = [day.replace(tzinfo=zoneinfo.ZoneInfo(name)) for day in SEASONS]
        assert offset in [
            offset_words(day.utcoffset() or timedelta()) for day in days if day.tzname() == "IST"
        ]


def test_summer_letters_of_a_zone_that_has_letters_itself() -> None:
    assert meant("CEST") == 'did you mean "CET"?'
    assert "CEST" in shown("CET")


def test_what_is_like_nothing() -> None:
    assert meant("qqqqqqq") is None
    assert len(known_zones()) == len(zoneinfo.available_timezones())


def test_offsets_in_words() -> None:
    hours = datetime(2026, 1, 1) - datetime(2025, 12, 31, 18, 30)
    assert (offset_words(hours), offset_words(-hours)) == ("+05:30", "-05:30")
