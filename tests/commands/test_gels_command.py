"""`preview gels`: the list, and the stacks that take one light to another."""

import json
from itertools import combinations_with_replacement

import numpy as np
import pytest

from preview.cli import run
from preview.commands.gels import APART, CLOSE, SAME, gels, search, sensible
from preview.faults import UserError
from preview.light.filters import stops_lost, transmission
from preview.light.lamps import lamp_spectrum
from preview.light.spectrum import white, xy_of_spectrum
from preview.trade.catalogue import names, usual


def told(capsys, *arguments):
    assert run(["gels", *arguments]) == 0
    return capsys.readouterr().out


def test_every_gel_is_listed_with_its_loss(capsys):
    out = told(capsys)
    for name in names("gels"):
        assert f"{name} " in out
    assert "full-cto" in out
    line = next(line for line in out.splitlines() if line.startswith("full-cto"))
    assert line.split() == ["full-cto", "warmer", "+159", "-2", "0.80", "5600", "K"]


def test_words_choose(capsys):
    assert [gel.name for gel in gels(["ctb"], file=None)] == [name for name in names("gels") if "ctb" in name]
    assert {gel.name for gel in gels(["magenta"], file=None)} >= {
        "magenta",
        "minus-green",
        "quarter-minus-green",
    }
    assert {gel.name for gel in gels(["half", "warmer"], file=None)} == {"half-cto", "half-straw"}
    with pytest.raises(UserError, match='no gel answers to "full-ctx"; did you mean "full-cto"'):
        gels(["full-ctx"], file=None)


def uv(spectrum):
    x, y = xy_of_spectrum(spectrum)
    return np.array([4 * x, 9 * y]) / (-2 * x + 12 * y + 3)


@pytest.mark.parametrize(
    ("start", "wanted"),
    [("5600", "sodium"), ("3200", "5600"), ("tube-cool-white", "3200"), ("sodium", "5600")],
)
def test_what_is_told_of_a_stack_is_what_it_does(start, wanted):
    """Each stack made anew, gel upon gel: CIE 1976 u', v' and luminous transmittance by their definitions."""
    found = search(start, wanted, file=None)
    first, last = (
        white(float(light)) if light.isdigit() else lamp_spectrum(light, 5600.0) for light in (start, wanted)
    )
    assert found.stacks
    for stack in found.stacks:
        passes = np.prod([transmission(usual().gels[name]) for name in stack.gels], axis=0)
        assert stack.error == pytest.approx(np.linalg.norm(uv(first * passes) - uv(last)), abs=1e-6)
        assert stack.stops == pytest.approx(stops_lost(first, passes), abs=1e-6)
        limit = {"matches": (0, SAME), "close": (SAME, CLOSE), "off": (CLOSE, APART), "no match": (APART, 9)}[
            stack.word
        ]
        assert limit[0] <= stack.error <= limit[1]
    assert [stack.error for stack in found.stacks] == sorted(stack.error for stack in found.stacks)


def test_the_nearest_pair_is_found():
    """Against every pair, one after the other."""
    found = search("5600", "3200", ["cto"], file=None)
    rows = [row for name, row in usual().gels.items() if "cto" in name]
    lamp, wanted = white(5600), uv(white(3200))
    nearest = min(
        float(np.linalg.norm(uv(lamp * np.prod([transmission(row) for row in stack], axis=0)) - wanted))
        for count in (1, 2, 3)
        for stack in combinations_with_replacement(rows, count)
    )
    assert found.stacks[0].error <= nearest + 0.0015
    assert all("cto" in name for stack in found.stacks for name in stack.gels)


def test_daylight_to_sodium_takes_two_full_oranges():
    """Common practice, no source: a daylight head becomes a street lamp behind about two full oranges."""
    found = search("5600", "sodium", file=None)
    assert any(stack.gels == ("full-cto", "full-cto") for stack in found.stacks)
    assert found.stacks[0].word == "matches"
    assert 1.0 < found.stacks[0].stops < 2.5


@pytest.mark.parametrize(
    ("stack", "makes_sense"),
    [
        (("full-cto", "half-cto"), True),
        (("full-cto", "eighth-ctb"), False),
        (("plus-green", "quarter-minus-green"), False),
        (("eighth-minus-green", "pale-green"), False),
        (("full-ctb", "plus-green"), True),
        (("magenta", "cyan"), True),  # two party colours make a blue
    ],
)
def test_no_stack_undoes_itself(stack, makes_sense):
    rows = [usual().gels[name] for name in stack]
    assert len(sensible(np.array([[0, 1]]), rows)) == makes_sense


def test_what_cannot_be_is_said(capsys):
    assert "No stack of up to three gels brings it nearer" in told(
        capsys, "--from", "low-pressure-sodium", "--to", "5600"
    )
    assert "No gel is needed" in told(capsys, "--from", "5600", "--to", "discharge-5600")
    assert "Nothing comes near" in told(capsys, "eighth", "--from", "5600", "--to", "sodium")


def test_a_light_by_its_chromaticity(capsys):
    out = told(capsys, "--from", "0.38,0.40", "--to", "0.5330,0.4150")
    assert "From 0.38,0.40 (4" in out
    assert "matches" in out


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--from", "5600"), "--from and --to go together, as --from 5600 --to sodium."),
        (("--from", "5600", "--to", "sodum"), 'did you mean "sodium"?'),
        (("--from", "900", "--to", "sodium"), "--from: 900 is outside 1000 to 25 000 K"),
        (("--from", "5600", "--to", "0.9,0.4"), "is no chromaticity"),
        (("--from", "5600", "--to", "0.9;0.4"), "is no kelvin, no x,y and no spectrum"),
        (("--from", "5600", "--to", "a,b"), "is not x,y, such as 0.533,0.415"),
        (("--from", "0.15,0.02", "--to", "5600"), "is no colour that a lamp has"),
        (("neutral", "--from", "5600", "--to", "3200"), "neutral densities change no colour"),
        (("no-such-gel",), "no gel answers to"),
        (("--catalogue", "none.yaml"), "none.yaml"),
    ],
)
def test_mistakes_are_told(capsys, arguments, said):
    assert run(["gels", *arguments]) == 2
    error = " ".join(capsys.readouterr().err.split())
    assert said in error
    assert "Traceback" not in error


def test_json(capsys):
    listed = json.loads(told(capsys, "plus", "--json"))
    assert [gel["name"] for gel in listed["gels"]] == [name for name in names("gels") if "plus" in name]
    found = json.loads(told(capsys, "--from", "5600", "--to", "sodium", "--json"))
    assert found["wanted"]["reading"]["kelvin"] == pytest.approx(1959, abs=3)
    assert set(found["stacks"][0]) == {"gels", "error", "mired", "duv", "stops", "reading", "word"}


def test_gels_of_ones_own(tmp_path, capsys):
    file = tmp_path / "mine.yaml"
    file.write_text("gels:\n  bastard: {bands: [[560, 800, 0.7]], floor: 0.2}\n")
    assert "bastard" in told(capsys, "bastard", "--catalogue", str(file))
