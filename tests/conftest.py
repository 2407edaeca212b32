"""Fixtures that several rooms' tests share."""

import warnings
from types import ModuleType

import pytest


@pytest.fixture(scope="session")
def colour_science() -> ModuleType:
    """The reference library `colour`, which warns on import where matplotlib is missing."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour
    return colour
