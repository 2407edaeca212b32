"""Quantities as people write them, turned into the units used inside; each raises ValueError in words.

Inside: metres, radians, kelvin, fractions (1 = 100 %), lux. Focal lengths and formats stay in mm.
"""

from __future__ import annotations

import re
from decimal import Decimal
from math import atan, isfinite, radians

MILLIMETRES = {
    unit: Decimal(size)
    for size, units in {
        "1": "mm millimetre millimetres millimeter millimeters",
        "10": "cm centimetre centimetres centimeter centimeters",
        "1000": "m metre metres meter meters",
        "1000000": "km",
        "25.4": 'in inch inches " ″',
        "304.8": "ft foot feet ' ′",
        "914.4": "yd yard yards",
    }.items()
    for unit in units.split()
}
"""Millimetres in a unit. Source: international yard and pound agreement, 1959: 1 yd = 0.9144 m exactly."""

LUX_PER_FOOTCANDLE = 1 / 0.3048**2
"""A footcandle is one lumen on a square foot."""

FURTHEST = 100_000.0
"""Metres; a longer length is a slip of the pen."""
LARGEST = 1e12
"""No number of a script is larger."""
MOST_HEIGHTS = 100
"""Rows, and heights in a row, that a script may hold."""

_NUMBER = r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?"
_UNIT = r"[^\W\d_]+|[\"'″′°%]"
_LENGTH_PART = re.compile(rf"\s*({_NUMBER})\s*({_UNIT})?")
_AMOUNT = re.compile(rf"({_NUMBER})\s*(.*)", re.DOTALL)
_TIMES = re.compile(r"\s*[x×X*]\s*|\s+by\s+")
_FRACTION = re.compile(r"([+-]?)(?:([0-9]+)\s+)?([0-9]+)/([0-9]+)\s*(.*)", re.DOTALL)

_HOW_LENGTH = "write 3.5 (metres), 80 cm, 35 mm, 12 ft, 6 in or 5 ft 6 in"
_HOW_HEIGHTS = "write [[0, 1.5], [0, 2]] (rows from north to south, metres) or hill.png"
_HOW_RELIEF = "write [0, 12 m], or 12 m alone"
_HOW_RECTANGLE = "write 12x12 ft, 18x24 in, 1.2x0.6 m or [1.2, 0.6] (metres)"


def shown(value: object) -> str:
    """A value of the script as its reader wrote it, shortened."""
    if value is None:
        return "nothing"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return f'"{value}"' if len(value) <= 40 else f'"{value[:37]}…"'
    if isinstance(value, dict):
        return "a group of keys"
    if isinstance(value, list | tuple):
        return "a list"
    text = str(value)
    return text if len(text) <= 40 else f"{text[:37]}…"


def number(value: object) -> float:
    """A bare, finite number; text that reads as one is accepted."""
    return _bare(value, "a number", "write digits, such as 2.8")


def whole(value: object) -> int:
    """A whole number."""
    amount = _bare(value, "a whole number", "write digits, such as 3")
    if amount != int(amount):
        raise ValueError(f"{shown(value)} is not a whole number")
    return int(amount)


def yes(value: object) -> bool:
    """True or false from `true`, `false`, `yes`, `no`, `on`, `off`."""
    if isinstance(value, bool):
        return value
    if isinstance(value, str) and value.lower() in ("true", "yes", "on", "false", "no", "off"):
        return value.lower() in ("true", "yes", "on")
    raise ValueError(f"{shown(value)} is neither yes nor no; write yes or no")


def length(value: object) -> float:
    """Metres from a bare number (metres), `80 cm`, `35 mm`, `12 ft`, `5 ft 6 in`, `6 in`. Finite."""
    return _within(_in_millimetres(value, bare="m") / 1000, value)


def millimetres(value: object) -> float:
    """Millimetres from a bare number (mm) or a length with a unit."""
    amount = _in_millimetres(value, bare="mm")
    _within(amount / 1000, value)
    return float(amount)


def angle(value: object) -> float:
    """Radians from a bare number (degrees), `38 deg`, `38°`, `0.66 rad`."""
    amount, unit = _amount(value, "an angle", "write 38 (degrees), 38 deg or 0.66 rad")
    if unit not in ("", "deg", "degree", "degrees", "°", "rad", "radian", "radians"):
        raise ValueError(f'no unit "{unit}" for an angle; use deg or rad')
    turn = amount if unit.startswith("rad") else radians(amount)
    if abs(turn) > radians(3600):
        raise ValueError(f"{shown(value)} is more than ten turns")
    return turn


def steepness(value: object) -> float:
    """Radians from level, from an angle (`6 deg`, bare degrees) or per cent of the way (`8 %` climbs 8 cm a metre)."""
    amount, unit = _amount(value, "how steep something is", "write 6 deg or 8 %")
    if unit in ("%", "percent", "per cent"):
        return atan(amount / 100)
    return angle(value)


def kelvin(value: object) -> float:
    """Kelvin from a bare number or `3200 K`."""
    return _with_unit(
        value, "a colour temperature", "write 3200 or 3200 K", {"": 1.0, "k": 1.0, "kelvin": 1.0}
    )


def level(value: object) -> float:
    """A fraction of full from per cent (bare, or `60 %`), stops from full (`-1.5 stops`), `full` or `off`."""
    how = "write 60 %, -1.5 stops, full or off"
    if isinstance(value, str) and value.strip().lower() in ("full", "off"):
        return 1.0 if value.strip().lower() == "full" else 0.0
    if isinstance(value, str) and _FRACTION.fullmatch(_short(value)):
        return float(2.0 ** _stops_within(stops(value), value))
    amount, unit = _amount(value, "a level", how)
    if unit in ("stop", "stops"):
        return float(2.0 ** _stops_within(amount, value))
    if unit not in ("", "%", "percent", "per cent"):
        raise ValueError(f'no unit "{unit}" for a level; {how}')
    if unit == "" and 0 < abs(amount) < 1:
        raise ValueError(
            f"a bare level is in per cent, so {shown(value)} is next to nothing; "
            f"write {amount * 100:g} % or, if so little is meant, {amount:g} %"
        )
    return amount / 100


def stops(value: object) -> float:
    """Stops from a bare number, `1.5 stops`, `1/3 stop` or `1 1/3 stops`."""
    how = "write 1.5 stops or 1 1/3 stops"
    match = _FRACTION.fullmatch(_short(value)) if isinstance(value, str) else None
    if match is None:
        return _with_unit(value, "a number of stops", how, {"": 1.0, "stop": 1.0, "stops": 1.0})
    sign, ones, over, under, unit = match.groups()
    if unit.strip().lower() not in ("", "stop", "stops"):
        raise ValueError(f'no unit "{unit.strip()}" for stops; {how}')
    if len(over) > 6 or len(under) > 6 or len(ones or "") > 6 or int(under) == 0:
        raise ValueError(f"{shown(value)} is not a number of stops; {how}")
    amount = int(ones or 0) + int(over) / int(under)
    return -amount if sign == "-" else amount


def illuminance(value: object) -> float:
    """Lux from a bare number (lux), `130 lux`, `130 lx`, `12 fc`."""
    units = dict.fromkeys(("", "lux", "lx"), 1.0) | {"klx": 1000.0}
    units |= dict.fromkeys(("fc", "footcandle", "footcandles"), LUX_PER_FOOTCANDLE)
    return _with_unit(value, "an illuminance", "write 130 lux or 12 fc", units)


def mired(value: object) -> float:
    """A shift in mireds (reciprocal megakelvins) from a bare number or `+30 mired`; positive is warmer."""
    how = "write +30 mired or -30 mired"
    return _with_unit(value, "a shift in mireds", how, {"": 1.0, "mired": 1.0, "mireds": 1.0})


def is_angle(value: object) -> bool:
    """Whether a value is meant as an angle or another quantity: a number, or text that begins like one."""
    if isinstance(value, str):
        return re.match(r"[+\-−]?\.?[0-9]", value.lstrip()) is not None
    return isinstance(value, int | float)


def relief(value: object) -> tuple[float, float]:
    """Lowest and highest in metres from a list of two lengths, or one length: from 0 to that."""
    if isinstance(value, list | tuple):
        if len(value) != 2:
            raise ValueError(f"a list of {len(value)} is not a lowest and a highest; {_HOW_RELIEF}")
        low, high = length(value[0]), length(value[1])
    else:
        low, high = 0.0, length(value)
    if low >= high:
        raise ValueError(f"the lowest comes first, and the highest is above it; {_HOW_RELIEF}")
    return low, high


def heights(value: object) -> str | tuple[tuple[float, ...], ...]:
    """The name of a file, or rows of lengths, all of as many: metres."""
    if isinstance(value, str) and value.strip():
        return value.strip()
    rows = value if isinstance(value, list | tuple) else []
    if not all(isinstance(row, list | tuple) for row in rows) or not rows:
        raise ValueError(
            f"{shown(value)} is neither rows of heights nor the name of a picture; {_HOW_HEIGHTS}"
        )
    counts = {len(row) for row in rows}
    if len(counts) > 1:
        raise ValueError(f"the rows hold {min(counts)} to {max(counts)} heights; all must hold as many")
    if len(rows) < 2 or counts.pop() < 2:
        raise ValueError(f"two rows of two heights are the least; {_HOW_HEIGHTS}")
    if len(rows) > MOST_HEIGHTS or len(rows[0]) > MOST_HEIGHTS:
        raise ValueError(
            f"{len(rows)} rows of {len(rows[0])} heights are too many; give more than {MOST_HEIGHTS} as a picture"
        )
    return tuple(tuple(length(height) for height in row) for row in rows)


def rectangle(value: object) -> tuple[float, float]:
    """Width and height in metres from `12x12 ft`, `18x24 in`, `1.2 x 0.6 m`, or a list of two lengths."""
    if isinstance(value, list | tuple) and len(value) == 2:
        return length(value[0]), length(value[1])
    if not isinstance(value, str):
        raise ValueError(f"{shown(value)} is not a width and a height; {_HOW_RECTANGLE}")
    sides = _TIMES.split(_short(value))
    if len(sides) != 2:
        raise ValueError(f"{shown(value)} is not a width and a height; {_HOW_RECTANGLE}")
    width, height = sides
    if re.fullmatch(_NUMBER, height):
        raise ValueError(f"{shown(value)} lacks a unit, feet or metres; {_HOW_RECTANGLE}")
    if re.fullmatch(_NUMBER, width):
        unit = re.search(rf"({_UNIT})\s*$", height)
        width = f"{width} {unit.group(1)}" if unit else width
    return length(width), length(height)


def _short(text: str) -> str:
    """Text of a quantity, trimmed; long text is none, so no pattern is ever tried on it."""
    if len(text) > 60:
        raise ValueError(f"{shown(text)} is too long to be a quantity")
    return text.strip().replace("−", "-")


def _in_millimetres(value: object, *, bare: str) -> Decimal:
    if not isinstance(value, str):
        return Decimal(_bare(value, "a length", _HOW_LENGTH)) * MILLIMETRES[bare]
    text = _short(value)
    parts, rest = [], text
    while rest and (match := _LENGTH_PART.match(rest)):
        parts.append(match.groups())
        rest = rest[match.end() :]
    if not parts or rest.strip():
        hint = "; write a decimal point, not a comma" if re.search(r"[0-9],[0-9]", text) else ""
        raise ValueError(f"{shown(value)} is not a length{hint or '; ' + _HOW_LENGTH}")
    total, smaller_than = Decimal(0), None
    for place, (amount, unit) in enumerate(parts):
        # 5'6 leaves the inches unsaid, as people do.
        unit = unit or ("in" if place and parts[place - 1][1] in ("'", "′") else None if place else bare)
        if unit is None or (place and amount[0] in "+-"):
            raise ValueError(f"{shown(value)} is not a length; {_HOW_LENGTH}")
        if unit.lower() not in MILLIMETRES:
            raise ValueError(f'no unit "{unit}" for a length; use m, cm, mm, ft or in')
        size = MILLIMETRES[unit.lower()]
        if smaller_than is not None and size >= smaller_than:
            raise ValueError(f"{shown(value)} is not a length; {_HOW_LENGTH}")
        smaller_than = size
        total += _decimal(amount.lstrip("+-"), value) * size
    return -total if text.startswith("-") else total


def _decimal(text: str, value: object) -> Decimal:
    exact = Decimal(text)
    # The exponent is held short before any arithmetic, which Decimal would otherwise do digit by digit.
    if exact and abs(exact.adjusted()) > 15:
        raise ValueError(f"{shown(value)} is out of all proportion")
    return exact


def _within(metres: Decimal, value: object) -> float:
    distance = float(metres)
    if abs(distance) > FURTHEST:
        raise ValueError(f"{shown(value)} is more than 100 km")
    if 0 < abs(distance) < 1e-5:
        raise ValueError(f"{shown(value)} is less than a hundredth of a millimetre")
    return distance


def _stops_within(amount: float, value: object) -> float:
    if abs(amount) > 20:
        raise ValueError(f"{shown(value)} is more than 20 stops from full")
    return amount


def _bare(value: object, kind: str, how: str) -> float:
    amount, unit = _amount(value, kind, how)
    if unit:
        raise ValueError(f"{shown(value)} is not {kind}; {how}")
    return amount


def _with_unit(value: object, kind: str, how: str, units: dict[str, float]) -> float:
    amount, unit = _amount(value, kind, how)
    if unit not in units:
        raise ValueError(f'no unit "{unit}" for {kind}; {how}')
    return amount * units[unit]


def _amount(value: object, kind: str, how: str) -> tuple[float, str]:
    """A finite number with the unit that follows it, in lower case."""
    unit = ""
    if isinstance(value, str):
        match = _AMOUNT.fullmatch(_short(value))
        if match is None:
            raise ValueError(f"{shown(value)} is not {kind}; {how}")
        if re.match(r",[0-9]", match.group(2)):
            raise ValueError(f"{shown(value)} is not {kind}; write a decimal point, not a comma")
        amount, unit = float(match.group(1)), match.group(2).strip().lower()
    elif isinstance(value, int) and not isinstance(value, bool):
        amount = float(max(min(value, 10**15), -(10**15)))
    elif isinstance(value, float):
        amount = value
    else:
        raise ValueError(f"{shown(value)} is not {kind}; {how}")
    if not isfinite(amount):
        raise ValueError(f"{shown(value)} is not finite; {how}")
    if abs(amount) > LARGEST:
        raise ValueError(f"{shown(value)} is out of all proportion")
    return amount, unit
