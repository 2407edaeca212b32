"""Random scripts: each is a scene or is refused in words, and no word of the validator's own gets out."""

from __future__ import annotations

import random
import re
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from preview.faults import UserError
from preview.script.explain import defaults
from preview.script.models import camera, cast, fixtures, pieces
from preview.script.read import read_scene
from tests.script.test_read import GATE

JARGON = re.compile(
    r"Input should|valid (string|number|dictionary|list|tuple)|model_type|literal\[|function-|Extra inputs|"
    r"Field required|pydantic|NoneType|validator|Traceback|<class|instance of|Value error"
)

MODULES = (camera, cast, fixtures, *pieces.FAMILIES)
KEYS = sorted(
    {
        field.alias or name
        for module in MODULES
        for model in vars(module).values()
        if isinstance(model, type) and hasattr(model, "model_fields")
        for name, field in model.model_fields.items()
    }
    | {
        "set",
        "cast",
        "camera",
        "fixtures",
        "marks",
        "setups",
        "looks",
        "version",
        "title",
        "seed",
        "of",
        "offset",
    }
    | set(pieces.PIECES)
)

SCALARS = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-3, 9),
    st.integers(),
    st.floats(-10, 10, width=16),
    st.sampled_from(
        [".inf", ".nan", "1e400", "0x10", "1:30", "12x12 ft", "5 ft 6 in", "60 %", "-1 stop", "beam", "bulb"]
    ),
    st.sampled_from(
        ["Mara", "Mara.eyes", "house", "house.window[0]", "a.b", "", " ", "grass", "up", "camera", "window"]
    ),
    st.text(max_size=6),
)
TREES = st.recursive(
    SCALARS,
    lambda inner: st.one_of(
        st.lists(inner, max_size=4),
        st.dictionaries(st.one_of(st.sampled_from(KEYS), st.text(max_size=3)), inner, max_size=5),
    ),
    max_leaves=25,
)


def check(file: Path, text: str) -> None:
    file.write_text(text, encoding="utf-8")
    try:
        made = read_scene(file)
    except UserError as refusal:
        told = [str(fault) for fault in refusal.faults]
    else:
        defaults(made)
        return
    assert told
    assert not [words for words in told if JARGON.search(words) or not words.startswith(str(file))]


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("anything") / "scene.yaml"


@settings(
    max_examples=100, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large]
)
@given(st.dictionaries(st.sampled_from(KEYS), TREES, max_size=6))
def test_random_groups_of_keys(file: Path, tree: dict[str, Any]) -> None:
    check(file, yaml.safe_dump(tree, allow_unicode=True))


@settings(max_examples=100, deadline=None)
@given(st.text(alphabet="abc:-[]{}&*!'\"\n\t #|>%@,?1. \x85\ufeff", max_size=60))
def test_random_text(file: Path, text: str) -> None:
    check(file, text)


@settings(max_examples=100, deadline=None)
@given(st.integers(0, 2**32), SCALARS)
def test_a_scene_with_one_value_replaced(file: Path, seed: int, value: Any) -> None:
    tree = yaml.safe_load(GATE)
    holder, key = random.Random(seed).choice(list(_holders(tree)))
    holder[key] = value
    check(file, yaml.safe_dump(tree, allow_unicode=True, sort_keys=False))


@settings(max_examples=100, deadline=None)
@given(st.integers(0, 2**32), st.sampled_from(KEYS), TREES)
def test_a_scene_with_one_key_more(file: Path, seed: int, key: str, value: Any) -> None:
    tree = yaml.safe_load(GATE)
    groups = [holder[k] for holder, k in _holders(tree) if isinstance(holder[k], dict)]
    random.Random(seed).choice([tree, *groups])[key] = value
    check(file, yaml.safe_dump(tree, allow_unicode=True, sort_keys=False))


def _holders(tree: Any) -> Any:
    keys = tree.keys() if isinstance(tree, dict) else range(len(tree)) if isinstance(tree, list) else ()
    for key in keys:
        yield tree, key
        yield from _holders(tree[key])
