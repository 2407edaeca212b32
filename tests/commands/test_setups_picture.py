"""Setups: light that is kept off, rig in the picture, two moons, figures that add up."""

# ruff: noqa: E501 - scripts and sentences are written whole
from __future__ import annotations

import re
from io import StringIO
from pathlib import Path

import pytest
from rich.console import Console

from preview.commands.check import check
from preview.commands.setups.command import Compared, SetupsOptions, compare
from preview.commands.setups.continuity import Row, Value
from preview.commands.setups.drawing import moonlights
from preview.commands.setups.in_picture import in_shot, picture_sentences
from preview.commands.setups.sentences import breaks, rest
from preview.commands.setups.tables import light_tables
from preview.script.read import read_script
from preview.sheets.answer.blocks import Table
from preview.trace.store_place import usual_store

ADA = "cast: [{name: Ada, at: [0, 0], facing: 180, height: 1.75}]\n"
CAMERA = (
    "camera: {lens: {focal: 35 mm, stop: 2.8}, at: [0, -6, 1.62], aim: Ada.face, iso: 800, balance: 5600 K}\n"
)
BALL = "head: {candela: 3000, shape: ball, aperture: 10 cm, kelvin: 5600}"
HUT = "set: [{box: {name: hut, at: [6, 3], size: [3, 3, 4]}}]\n"
KEY = f"fixtures: [{{name: key, motive: moon, at: {{of: Ada.face, offset: [-3, -4.06, 0]}}, aim: Ada.face, {BALL}}}]\n"
TIGHT = "camera: {lens: {focal: 85 mm}}"
BEHIND = "at: [12, 6, 1.6]"


def found(folder: Path, text: str, body: str) -> Compared:
    file = folder / "scene.yaml"
    file.write_text(text + f"setups: {{tight: {{{TIGHT}, {body}}}}}\n", encoding="utf-8")
    return compare(read_script(file), SetupsOptions(width=64), store=usual_store())


def row_of(compared: Compared, measure: str) -> Row:
    (row,) = (row for row in compared.rows["Ada"] if row.measure == measure)
    return row


def told(compared: Compared) -> tuple[str, str]:
    return "\n".join(breaks(compared)), "\n".join(rest(compared))


# Light that is kept off.


def test_a_light_behind_a_hut_is_lost(tmp_path: Path) -> None:
    """Along a straight line from (12, 6) to (0, 0) at the height of eyes stands a hut four metres high."""
    compared = found(tmp_path, HUT + ADA + CAMERA + KEY, f"fixtures: {{key: {{{BEHIND}}}}}")
    main, tight = (one.lit["Ada"].reach["key"] for one in compared.seen)
    # PH-01: 3000 cd at 5 m is 120 lx.
    assert main.lux == pytest.approx(3000.0 / 25.0, rel=0.05)
    assert main.share == pytest.approx(1.0, abs=0.02)
    assert (tight.share, tight.reaches) == (0.0, False)
    for measure in ("key, azimuth", "key, height"):
        row = row_of(compared, measure)
        assert (row.lost, row.verdict) == (("tight",), "lost")
    wrong, right = told(compared)
    assert 'In tight "key" does not reach Ada, as it does in main: the hut is in its way.' in wrong
    assert "side and height of key" not in right
    (effect,) = compared.effects
    assert effect.words.startswith("Ada: key no longer reaches (the hut is in its way)")
    assert [light.label for light in moonlights(compared, "Ada")] == [
        "key, 216° (main)",
        "key, 63° (tight, kept off)",
    ]


def test_a_light_that_is_kept_off_on_purpose(tmp_path: Path) -> None:
    compared = found(
        tmp_path, HUT + ADA + CAMERA + KEY, f"fixtures: {{key: {{{BEHIND}, cheat: a darker thought}}}}"
    )
    row = row_of(compared, "key, azimuth")
    assert (row.lost, row.meant, row.verdict) == ((), {"tight": ("key",)}, "as meant")
    wrong, right = told(compared)
    assert "does not reach" not in wrong
    assert 'In tight "key" does not reach Ada, as it does in main: the hut is in its way; meant, by' in right


def test_a_flag_that_cuts_it(tmp_path: Path) -> None:
    compared = found(
        tmp_path, ADA + CAMERA + KEY, "fixtures: {key: {through: [{flag: 1x1 m, away: 1}], level: 50 %}}"
    )
    reach = compared.seen[1].lit["Ada"].reach["key"]
    assert (reach.comes, reach.why_not) == (False, "its flag cuts it")
    assert 'In tight "key" does not reach Ada, as it does in main: its flag cuts it.' in told(compared)[0]


def test_a_net_and_a_lower_level_keep_nothing_off(tmp_path: Path) -> None:
    """Six stops down by its level alone, or a stop by a net, a light still comes from where it came."""
    for body in ("level: -6 stops", "through: [{flag: 1x1 m, away: 1, cloth: single-net}]"):
        compared = found(tmp_path, ADA + CAMERA + KEY, f"fixtures: {{key: {{{body}}}}}")
        row = row_of(compared, "key, azimuth")
        assert (row.lost, row.verdict) == ((), "holds")


def test_what_nobody_sees_is_not_lost(tmp_path: Path) -> None:
    """A moon of a fiftieth of a lux beside 120 lx is under 1 % of it, whatever stands in its way."""
    text = (
        ADA
        + CAMERA
        + KEY.replace(", motive: moon", "").replace(
            "fixtures: [", "fixtures: [{name: moon, moon: {azimuth: 200, elevation: 20, lux: 0.02}}, "
        )
    )
    compared = found(tmp_path, text, "fixtures: {key: {level: 90 %}}")
    assert not [row for row in compared.rows["Ada"] if row.kind == "azimuth"]
    assert "does not reach" not in "\n".join(told(compared))


# In the picture.


def test_a_head_before_the_lens(tmp_path: Path) -> None:
    body = "fixtures: {glint: {added: yes, at: [0, -5.7, 1.62], aim: Ada.eyes, head: {candela: 300, shape: panel, size: 60x60 cm, kelvin: 5600}, cheat: a glint}}"
    compared = found(tmp_path, ADA + CAMERA + KEY, body)
    tight = next(one for one in compared.seen if one.name == "tight")
    assert "glint.head" in [thing.name for thing in in_shot(tight)]
    (first, *_) = picture_sentences(compared.seen)
    assert first.startswith('In tight the head of "glint" is in shot, all over the frame; to clear: ')
    assert tight.lit["Ada"].unseen == 'behind the head of "glint"'
    assert "goes behind" in compared.effects[0].words
    assert "Nothing of the rig" not in told(compared)[1]


def test_a_flag_in_frame_and_what_stays_out(tmp_path: Path) -> None:
    text = ADA + CAMERA + KEY
    body = f"fixtures: {{kicker: {{added: yes, at: [6, 4, 2.5], aim: Ada.face, {BALL}, through: [{{flag: 30x30 cm, away: 6.3}}]}}}}"
    compared = found(tmp_path, text, body)
    assert any('the flag of "kicker"' in one for one in picture_sentences(compared.seen))
    clear = found(tmp_path, text, "fixtures: {key: {level: 50 %}}")
    assert list(picture_sentences(clear.seen)) == []
    assert "Nothing of the rig is in shot in any of them." in told(clear)[1]


@pytest.mark.parametrize(("azimuth", "off"), [(25, None), (50, 40), (320, 50)])
def test_two_moons(tmp_path: Path, azimuth: int, off: int | None) -> None:
    """A moon in frame at 10°, and a head round Ada at another azimuth, in plane trigonometry."""
    from math import cos, radians, sin

    x, y = 6.0 * sin(radians(azimuth)), 6.0 * cos(radians(azimuth))
    text = ADA + CAMERA
    text += "fixtures:\n  - {name: moon, moon: {azimuth: 10, elevation: 8, lux: 0.2}}\n"
    text += f"  - {{name: edge, motive: moon, at: {{of: Ada.eyes, offset: [{x}, {y}, 1.4]}}, aim: Ada.face, {BALL}}}\n"
    said = "\n".join(picture_sentences(found(tmp_path, text, "haze: {visibility: 800 m}").seen))
    if off is None:
        assert "moons" not in said
    else:
        assert (
            f'In main "moon" stands in the picture at 10°, but "edge" comes to Ada from {azimuth}° ({off}° off)'
            in said
        )


# Figures that add up.


@pytest.mark.parametrize(
    ("kind", "unit", "before", "now", "difference"),
    [
        ("height", "°", 16.6, 21.4, 4.0),
        ("azimuth", "°", 56.4, 9.6, -46.0),
        ("azimuth", "°", 359.4, 0.6, 2.0),
        ("key", "stop", -1.96, -3.14, -1.1),
        ("colour", "mired", -68.6, -53.4, 16.0),
    ],
)  # fmt: skip
def test_differences_of_what_is_shown(
    kind: str, unit: str, before: float, now: float, difference: float
) -> None:
    """17° and 21° are 4° apart, whatever was rounded."""
    values = Value("main", before, ""), Value("tight", now, "")
    row = Row("Ada", kind, kind, unit, values, "main", {"tight": now - before}, (), {})  # type: ignore[arg-type]
    assert row.told("tight") == pytest.approx(difference, abs=1e-9)


def test_every_cell_adds_up(tmp_path: Path) -> None:
    text = (
        ADA
        + CAMERA
        + KEY.replace(
            "fixtures: [",
            f"fixtures: [{{name: side, at: [3, 0.5, 2], aim: Ada, {BALL}}}, {{name: fill, at: [3, -3, 1.6], aim: Ada, {BALL}, level: 30 %}}, ",
        )
    )
    compared = found(
        tmp_path, text, "fixtures: {key: {at: [-1.7, -4.3, 3.1], level: 63 %}, side: {level: 37 %}}"
    )
    (table,) = (block for block in light_tables(compared) if isinstance(block, Table))
    seen = 0
    for label, wide, tight, *_ in table.rows:
        apart = re.search(r"\((?:▲ )?([+−]?[\d.]+)°?\)", tight)
        if apart is None or "in frame" in label or not re.match(r"[+−]?\d", wide):
            continue
        before, now = (float(re.match(r"[+−]?[\d.]+", cell)[0].replace("−", "-")) for cell in (wide, tight))  # type: ignore[index]
        difference = float(apart[1].replace("−", "-"))
        if "azimuth" in label:
            difference = difference % 360.0
            now += 360.0 if now < before else 0.0
        assert now - before == pytest.approx(difference, abs=1e-6), label
        seen += 1
    assert seen >= 7
    assert [label for label, *_ in table.rows][:3] == ["key, key", "fill", "key to fill"]


def test_a_cheat_of_the_fill_accounts_for_the_ratio(tmp_path: Path) -> None:
    """The ratio is of all the light to the fill: it changes by less than key and fill do apart."""
    text = (
        ADA
        + CAMERA
        + KEY.replace(
            "fixtures: [", f"fixtures: [{{name: fill, at: [3, -3, 1.6], aim: Ada, {BALL}, level: 30 %}}, "
        )
    )
    compared = found(tmp_path, text, "fixtures: {fill: {level: 5 %, cheat: a lonelier face}}")
    row = row_of(compared, "key to fill")
    (effect,) = compared.effects
    assert effect.figures["Ada"].ratio_stops == pytest.approx(row.differences["tight"], abs=0.02)
    assert row.verdict == "as meant"
    fills = [word for word in ("fill", "rim", "key") if word in effect.words]
    assert fills[0] == "fill"
    assert effect.words.startswith("Ada: fill ")


def test_check_notes_what_is_unexplained(tmp_path: Path) -> None:
    file = tmp_path / "scene.yaml"
    file.write_text(
        ADA
        + CAMERA
        + KEY
        + f"setups: {{tight: {{{TIGHT}, fixtures: {{key: {{level: 50 %}}}}}}, far: {{fixtures: {{key: {{level: 25 %, cheat: why}}}}}}}}\n",
        encoding="utf-8",
    )
    out = Console(file=StringIO(), width=300)
    for one in check(file, explain=False):
        out.print(one)
    said = out.file.getvalue()  # type: ignore[attr-defined]
    assert 'The setup tight changes "key" without a reason: 1.0 stop down, 100 % to 50 %.' in said
    assert "The setup far" not in said
    assert "No faults." in said
