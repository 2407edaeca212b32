"""Whatever bytes a photometric file holds: a web, or one sentence with its file; never a traceback, never much memory."""

from __future__ import annotations

import tracemalloc
from itertools import count, repeat
from pathlib import Path

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from preview.faults import Fault, UserError
from preview.light.photometry.numbers import MOST_WORDS, split
from preview.light.photometry.read import web_of_file

FILES = [
    path
    for path in sorted((Path(__file__).parent / "files").iterdir())
    # Small ones: what a mutation does shows in them, and many can be tried.
    if path.stat().st_size < 7000
]
WORDS = st.sampled_from(
    ["1", "0", "-1", "2", "3", "90", "180", "360", "1e9", "1e309", "nan", "inf", "-5", "0.5", "1_0", "٣", "0x10", "",
     "TILT=NONE", "TILT=INCLUDE", "TILT=.", "TILT=head.ies", "[MORE]", "IESNA91", "1,5", "999999999999999999999", "\0"]
)  # fmt: skip


def ends_well(folder: Path, content: bytes, suffix: str) -> None:
    """Reads it: a web that can be asked, or a fault of one line."""
    file = folder / f"head{suffix}"
    file.write_bytes(content)
    try:
        web = web_of_file(file)
    except UserError as error:
        (fault,) = error.faults
        assert isinstance(fault, Fault)
        assert fault.file.parent == folder
        assert fault.line is None or 1 <= fault.line <= content.count(b"\n") + content.count(b"\r") + 1
        assert str(fault).isprintable()
        assert len(fault.message) < 200
        return
    assert np.isfinite(web.candela).all()
    assert (web.candela >= 0.0).all()
    assert (np.diff(web.vertical) > 0.0).all()
    assert (np.diff(web.horizontal) > 0.0).all()
    assert 0.0 < web.lumens() < np.inf
    way = np.random.default_rng(1).normal(size=(3, 50))
    way /= np.linalg.norm(way, axis=0)
    found = web.intensity(way.astype(np.float32))
    assert ((found >= 0.0) & (found <= web.peak * 1.001)).all()
    assert all(0.0 <= side <= 40.0 for side in web.opening.size)


@given(
    which=st.sampled_from(FILES),
    changes=st.lists(st.tuples(st.floats(0, 1), st.sampled_from("rid"), WORDS), min_size=1, max_size=4),
    suffix=st.sampled_from([".ies", ".ldt", ""]),
)
@settings(max_examples=400, deadline=None)
def test_real_files_with_words_changed(tmp_path_factory, which, changes, suffix):
    words = which.read_bytes().decode().replace("\n", " \n ").split(" ")
    for place, how, word in changes:
        at = int(place * (len(words) - 1))
        words[at : at + (how != "i")] = [] if how == "d" else [word]
    ends_well(tmp_path_factory.getbasetemp(), " ".join(words).encode(), suffix or which.suffix)


@given(
    lines=st.lists(st.lists(WORDS, max_size=12).map(" ".join), max_size=60),
    suffix=st.sampled_from([".ies", ".ldt", ""]),
)
@settings(max_examples=300, deadline=None)
def test_soups_of_words(tmp_path_factory, lines, suffix):
    ends_well(tmp_path_factory.getbasetemp(), "\n".join(lines).encode(), suffix)


@given(
    start=st.sampled_from(
        [b"", b"x\nTILT=NONE\n", b"IESNA:LM-63-2002\nTILT=INCLUDE\n", b"\xff\xfe", b"\xef\xbb\xbf"]
    ),
    content=st.binary(max_size=600),
    suffix=st.sampled_from([".ies", ".ldt", ""]),
)
@settings(max_examples=300, deadline=None)
def test_any_bytes(tmp_path_factory, start, content, suffix):
    ends_well(tmp_path_factory.getbasetemp(), start + content, suffix)


def test_no_more_words_are_taken_than_a_table_needs():
    """Of lines without end."""
    assert len(split(zip(count(1), repeat("1 " * 100), strict=False))) == MOST_WORDS


@given(
    verticals=st.sampled_from(["2", "2000", "2001", "1e9", "1e300", "99999999999999999999"]),
    horizontals=st.sampled_from(["1", "500", "2000", "1e9", "1e12"]),
)
@settings(max_examples=30, deadline=None)
def test_huge_counts_take_no_memory(tmp_path_factory, verticals, horizontals):
    text = f"x\nTILT=NONE\n1 1 1 {verticals} {horizontals} 1 1 0 0 0\n1 1 1\n0 90\n0\n1 1\n"
    tracemalloc.start()
    ends_well(tmp_path_factory.getbasetemp(), text.encode(), ".ies")
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert most < 20_000_000
