"""A user's own gel: tables as instruments and people write them, and a located sentence for the rest."""

from pathlib import Path

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from preview.faults import UserError
from preview.light.gel_files import gel_of_text, read_gel
from preview.light.spectrum import WAVELENGTHS

HERE = Path("amber.csv")
ROWS = [(nm, 0.1 + 0.8 * (nm - 380) / 400) for nm in range(380, 785, 10)]


def text(rows, *, between=",", head=""):
    return head + "".join(f"{nm}{between}{value:.5f}\n" for nm, value in rows)


def fault(words):
    with pytest.raises(UserError) as caught:
        gel_of_text(words, HERE)
    (only,) = caught.value.faults
    return str(only)


@pytest.mark.parametrize("between", [",", ", ", ";", "\t", " ", "   ", " , "])
@pytest.mark.parametrize("head", ["", "# my amber\n", "Wavelength (nm),Transmission\n", "\ufeffnm;T\n\n"])
def test_tables_as_they_are_written(between, head):
    found = gel_of_text(text(ROWS, between=between, head=head).lstrip("\ufeff"), HERE)
    assert found == pytest.approx(0.1 + 0.8 * (WAVELENGTHS - 380) / 400, abs=1e-5)


def test_decimal_commas_with_another_mark_between():
    for between in (";", "\t", " "):
        words = text(ROWS, between=between).replace(".", ",")
        assert gel_of_text(words, HERE) == pytest.approx(0.1 + 0.8 * (WAVELENGTHS - 380) / 400, abs=1e-5)


def test_comments_quotes_and_empty_lines_are_passed_over():
    words = "\n".join(f'"{nm}","{value:.5f}" # row' for nm, value in ROWS).replace("\n", "\n\n", 3)
    assert gel_of_text(words, HERE)[0] == pytest.approx(0.1)


def test_a_table_on_the_grid_comes_back_as_it_is():
    values = np.random.default_rng(1).random(81)
    rows = zip(WAVELENGTHS, values.tolist(), strict=True)
    assert gel_of_text("".join(f"{nm},{value!r}\n" for nm, value in rows), HERE) == pytest.approx(values)


def test_a_fine_table_is_averaged_and_keeps_its_area():
    """A narrow notch must not fall between the wavelengths of the grid, wherever it lies."""
    nm = np.arange(380, 780.5, 0.5)
    for centre in (550.0, 551.3, 552.5):
        notch = 1.0 - np.exp(-(((nm - centre) / 1.5) ** 2))
        found = gel_of_text("".join(f"{a},{b:.6f}\n" for a, b in zip(nm, notch, strict=True)), HERE)
        assert (1.0 - found).sum() * 5.0 == pytest.approx(1.5 * np.pi**0.5, rel=0.01)


def test_outside_the_table_the_last_value_is_kept():
    rows = [(nm, 0.3) for nm in range(400, 705, 10)]
    assert gel_of_text(text(rows), HERE) == pytest.approx(0.3)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("", "amber.csv: no table of wavelength (nm) and transmission (0 to 1) is in it"),
        ("wavelength,transmission\n", "amber.csv: no table of wavelength (nm) and transmission (0 to 1) is in it"),
        ("# x\n400,0.5\n", "amber.csv:2: too few rows: one is no table"),
        ("400,0.5\n410,half\n", 'amber.csv:2: "half" is not a number'),
        ("4oo,0.5\n", 'amber.csv:1: "4oo" is not a number'),
        ("400,nan\n", 'amber.csv:1: "nan" is not a number'),
        ("400,0.5\n410\n", "amber.csv:2: a wavelength and a transmission are needed, not one value"),
        ("400,0.5,0.6\n", "amber.csv:1: a wavelength and a transmission are needed, not 3 values"),
        ("400,0\n700,0\n", "amber.csv:1: every transmission is 0: no light passes"),
        ("400,0.5\n410,-0.1\n", "amber.csv:2: a transmission is from 0 to 1, not -0.1"),
        (
            "400,0.5\n410,52\n",
            "amber.csv:2: a transmission is from 0 to 1, not 52: the table looks like per cent; divide it by 100",
        ),
        ("400,0.5\n390,0.5\n", "amber.csv:2: wavelengths must rise from row to row: 390 follows 400"),
        ("400,0.5\n400,0.5\n", "amber.csv:2: wavelengths must rise from row to row: 400 follows 400"),
        ("450,0.5\n700,0.5\n", "amber.csv:1: the wavelengths go from 450 to 700 and must reach from 400 to 700 nm"),
        ("380,0.5\n390,0.5\n", "amber.csv:2: the wavelengths go from 380 to 390 and must reach from 400 to 700 nm"),
        (
            "0.38,0.5\n0.78,0.5\n",
            "amber.csv:2: the wavelengths go from 0.38 to 0.78 and must reach from 400 to 700 nm; are they in nm?",
        ),
        (
            "380,0.5\n400,0.5\n700,0.5\n",
            "amber.csv:3: too few rows: nothing between 400 and 700 nm; they must be no more than 25 nm apart",
        ),
    ],
)  # fmt: skip
def test_faults_have_their_line(words, said):
    assert fault(words) == said


def test_files_that_are_none(tmp_path):
    for name, said in (("none.csv", "no such file"), (".", "not a file with a table")):
        with pytest.raises(UserError, match=said):
            read_gel(tmp_path / name)
    (tmp_path / "huge.csv").write_bytes(b"0" * 1_000_001)
    with pytest.raises(UserError, match="more than 1 MB"):
        read_gel(tmp_path / "huge.csv")
    (tmp_path / "picture.csv").write_bytes(bytes(range(256)) * 4)
    with pytest.raises(UserError):
        read_gel(tmp_path / "picture.csv")


def test_a_file_that_changes_is_read_again(tmp_path):
    file = tmp_path / "amber.csv"
    file.write_text(text([(nm, 0.5) for nm in range(380, 785, 10)]))
    assert read_gel(file) == pytest.approx(0.5)
    file.write_text(text([(nm, 0.25) for nm in range(380, 790, 10)]))
    assert read_gel(file) == pytest.approx(0.25)


LINES = st.one_of(
    st.tuples(st.floats(0, 1000), st.floats(-0.5, 1.5)).map(lambda row: f"{row[0]},{row[1]}"),
    st.text(max_size=30),
    st.sampled_from(
        ["", "#", ";;", ",", "1e999;0", "380\t0.5", "380 0,5", "٣٨٠,0.5", "0x10,1", "1_0,1", "\x00"]
    ),
)


@given(st.lists(LINES, max_size=12).map("\n".join))
@example("380,0.5\n" + "".join(f"{nm},1\n" for nm in range(400, 800, 20)))
def test_any_text_is_a_gel_or_a_sentence(words):
    told: tuple[object, ...] = ()
    try:
        found = gel_of_text(words, HERE)
    except UserError as error:
        told = error.faults
    if told:
        assert all(len(str(fault)) > len("amber.csv: ") + 10 for fault in told)
    else:
        assert ((found >= 0) & (found <= 1)).all()


@given(st.binary(max_size=400))
def test_any_bytes_are_a_gel_or_a_sentence(data):
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "gel.csv"
        file.write_bytes(data)
        with pytest.raises(UserError):  # so few bytes are no gel
            read_gel(file)
