"""Fixtures that several rooms' tests share."""

import warnings
from types import ModuleType

import pytest
from hypothesis import settings

# Nothing is timed in a test: a slow machine is no failure. The same examples every time.
settings.register_profile("house", deadline=None, derandomize=True)
settings.load_profile("house")


@pytest.fixture(scope="session")
def colour_science() -> ModuleType:
    """The reference library `colour`, which warns on import where matplotlib is missing."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour
    return colour
