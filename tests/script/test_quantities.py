"""Quantities against the definitions of their units.

Source: international yard and pound agreement, 1959: 1 ft = 0.3048 m exactly, so 1 in = 25.4 mm and
1 fc (a lumen on a square foot) = 1/0.3048^2 lx.
"""

from __future__ import annotations

import re
from math import log2, pi, radians

import pytest
from hypothesis import given
from hypothesis import strategies as st

from preview.script import quantities

FINITE = st.floats(-9e4, 9e4, allow_nan=False).map(lambda x: round(x, 4))


@pytest.mark.parametrize(
    ("written", "metres"),
    [
        (3.5, 3.5),
        (2, 2.0),
        ("3.5", 3.5),
        ("80 cm", 0.8),
        ("80cm", 0.8),
        ("35 mm", 0.035),
        ("12 ft", 3.6576),
        ("1 ft", 0.3048),
        ("6 in", 0.1524),
        ("5 ft 6 in", 1.6764),
        ("5'6\"", 1.6764),
        ("5'6", 1.6764),
        ("5′ 6″", 1.6764),
        ("1 yd", 0.9144),
        ("-2 m", -2.0),
        ("−2 m", -2.0),
        ("-5 ft 6 in", -1.6764),
        ("1 m 20 cm", 1.2),
        ("1e3 mm", 1.0),
        (".5 m", 0.5),
    ],
)
def test_lengths(written: object, metres: float) -> None:
    assert quantities.length(written) == metres


@pytest.mark.parametrize(
    ("written", "complaint"),
    [
        ("80 cmm", 'no unit "cmm" for a length; use m, cm, mm, ft or in'),
        ("3,5 m", '"3,5 m" is not a length; write a decimal point, not a comma'),
        ("ft", '"ft" is not a length; write 3.5 (metres), 80 cm, 35 mm, 12 ft, 6 in or 5 ft 6 in'),
        (
            "6 in 5 ft",
            '"6 in 5 ft" is not a length; write 3.5 (metres), 80 cm, 35 mm, 12 ft, 6 in or 5 ft 6 in',
        ),
        (
            "5 ft -6 in",
            '"5 ft -6 in" is not a length; write 3.5 (metres), 80 cm, 35 mm, 12 ft, 6 in or 5 ft 6 in',
        ),
        ("1:30", '"1:30" is not a length; write 3.5 (metres), 80 cm, 35 mm, 12 ft, 6 in or 5 ft 6 in'),
        ("0x10", 'no unit "x" for a length; use m, cm, mm, ft or in'),
        (True, "true is not a length; write 3.5 (metres), 80 cm, 35 mm, 12 ft, 6 in or 5 ft 6 in"),
        (None, "nothing is not a length; write 3.5 (metres), 80 cm, 35 mm, 12 ft, 6 in or 5 ft 6 in"),
        (float("nan"), "nan is not finite; write 3.5 (metres), 80 cm, 35 mm, 12 ft, 6 in or 5 ft 6 in"),
        (float("inf"), "inf is not finite; write 3.5 (metres), 80 cm, 35 mm, 12 ft, 6 in or 5 ft 6 in"),
        (10**400, "1000000000000000000000000000000000000… is out of all proportion"),
        ("1e99 m", '"1e99 m" is out of all proportion'),
        ("101 km", '"101 km" is more than 100 km'),
        (1e-9, "1e-09 is less than a hundredth of a millimetre"),
        ("1 " * 60, '"1 1 1 1 1 1 1 1 1 1 1 1 1 1 1 1 1 1 1…" is too long to be a quantity'),
    ],
)
def test_what_is_no_length(written: object, complaint: str) -> None:
    with pytest.raises(ValueError, match=f"^{re.escape(complaint)}$"):
        quantities.length(written)


@given(
    FINITE.filter(lambda x: x == 0 or abs(x) > 1e-3),
    st.sampled_from([("m", 1.0), ("cm", 0.01), ("ft", 0.3048), ("in", 0.0254)]),
)
def test_lengths_round_trip(amount: float, unit: tuple[str, float]) -> None:
    name, size = unit
    assert quantities.length(f"{amount:.4f} {name}") == pytest.approx(amount * size, rel=1e-12, abs=1e-12)


@given(st.integers(0, 5000), st.integers(0, 11))
def test_feet_and_inches_round_trip(feet: int, inches: int) -> None:
    metres = quantities.length(f"{feet} ft {inches} in")
    assert round(metres / 0.0254) == 12 * feet + inches
    assert quantities.length(f"{feet}'{inches}\"") == metres


def test_millimetres() -> None:
    assert quantities.millimetres(35) == 35
    assert quantities.millimetres("35 mm") == 35
    assert quantities.millimetres("2 in") == 50.8
    assert quantities.millimetres("2.4 cm") == 24


@given(FINITE.filter(lambda x: abs(x) <= 3600))
def test_angles_round_trip(degrees: float) -> None:
    assert quantities.angle(degrees) == radians(degrees)
    for unit in (" deg", "°", " degrees"):
        assert quantities.angle(f"{degrees}{unit}") == pytest.approx(radians(degrees), rel=1e-12)


def test_angles() -> None:
    assert quantities.angle("180 deg") == pi
    assert quantities.angle("0.66 rad") == 0.66
    with pytest.raises(ValueError, match=r'^no unit "turns" for an angle; use deg or rad$'):
        quantities.angle("2 turns")
    with pytest.raises(ValueError, match=r"^3601 is more than ten turns$"):
        quantities.angle(3601)


def test_what_is_meant_as_an_angle() -> None:
    assert all(quantities.is_angle(value) for value in (3, "38 deg", "-38", ".5 rad", "−3", "38 degs"))
    assert not any(quantities.is_angle(value) for value in ("Mara", "up", [1, 2], None, {}))


def test_kelvin() -> None:
    assert quantities.kelvin("3200 K") == quantities.kelvin(3200) == quantities.kelvin("3200k") == 3200
    with pytest.raises(ValueError, match=r'^no unit "c" for a colour temperature; write 3200 or 3200 K$'):
        quantities.kelvin("20 C")


def test_levels() -> None:
    assert quantities.level(60) == quantities.level("60 %") == quantities.level("60%") == 0.6
    assert quantities.level("full") == 1
    assert quantities.level("off") == quantities.level(0) == 0
    assert quantities.level("-1 stop") == 0.5
    assert quantities.level("+1 stops") == 2
    assert quantities.level("-1/2 stop") == pytest.approx(2**-0.5)
    assert quantities.level("0.5 %") == 0.005


@given(st.floats(-19, 19, allow_nan=False))
def test_levels_in_stops_are_powers_of_two(stops: float) -> None:
    assert log2(quantities.level(f"{stops:.6f} stops")) == pytest.approx(stops, abs=1e-6)


def test_a_fraction_is_no_per_cent() -> None:
    words = (
        "a bare level is in per cent, so 0.6 is next to nothing; write 60 % or, if so little is meant, 0.6 %"
    )
    with pytest.raises(ValueError, match=f"^{words}$"):
        quantities.level(0.6)


def test_stops() -> None:
    assert quantities.stops(1.5) == quantities.stops("1.5 stops") == 1.5
    assert quantities.stops("1 1/3 stops") == pytest.approx(4 / 3)
    assert quantities.stops("-2/3 stop") == pytest.approx(-2 / 3)
    with pytest.raises(
        ValueError, match=r'^"1/0 stop" is not a number of stops; write 1.5 stops or 1 1/3 stops$'
    ):
        quantities.stops("1/0 stop")


def test_illuminance() -> None:
    assert quantities.illuminance("1 fc") == pytest.approx(10.763910, rel=1e-6)
    assert quantities.illuminance("100 fc") == pytest.approx(1076.391, rel=1e-6)
    assert (
        quantities.illuminance("130 lux")
        == quantities.illuminance("130 lx")
        == quantities.illuminance(130)
        == 130
    )
    with pytest.raises(ValueError, match=r'^no unit "cd" for an illuminance; write 130 lux or 12 fc$'):
        quantities.illuminance("3 cd")


def test_mireds() -> None:
    assert quantities.mired("+30 mired") == quantities.mired(30) == 30
    assert quantities.mired("-30 mireds") == -30


@pytest.mark.parametrize(
    ("written", "metres"),
    [
        ("12x12 ft", (3.6576, 3.6576)),
        ("8x8 ft", (2.4384, 2.4384)),
        ("18x24 in", (0.4572, 0.6096)),
        ("1.2 x 0.6 m", (1.2, 0.6)),
        ("12 ft x 8 ft", (3.6576, 2.4384)),
        ("12' x 8'", (3.6576, 2.4384)),
        ("120×60 cm", (1.2, 0.6)),
        ("4 by 8 ft", (1.2192, 2.4384)),
        ([1.1, 1.3], (1.1, 1.3)),
        (["4 ft", 2], (1.2192, 2.0)),
    ],
)
def test_rectangles(written: object, metres: tuple[float, float]) -> None:
    assert quantities.rectangle(written) == metres


@pytest.mark.parametrize("written", ["12x12", "12 ft", 3, [1], "1x2x3 m", "x", True, [1, 2, 3], ["a", 1]])
def test_what_is_no_rectangle(written: object) -> None:
    with pytest.raises(ValueError, match=r"write (12x12 ft, 18x24 in|3\.5 \(metres\))"):
        quantities.rectangle(written)


@given(
    st.one_of(
        st.text(max_size=70),
        st.floats(),
        st.integers(),
        st.booleans(),
        st.none(),
        st.lists(st.text(max_size=3)),
    )
)
def test_nothing_but_words_comes_of_nonsense(value: object) -> None:
    refusals = []
    for parse in (
        quantities.length,
        quantities.millimetres,
        quantities.angle,
        quantities.kelvin,
        quantities.level,
        quantities.stops,
        quantities.illuminance,
        quantities.mired,
        quantities.rectangle,
        quantities.number,
        quantities.whole,
        quantities.yes,
    ):
        try:
            parse(value)
        except ValueError as error:
            refusals.append(error)
    assert all(type(error) is ValueError and str(error) for error in refusals)
