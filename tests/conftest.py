"""Fixtures that several rooms' tests share."""

import warnings
from collections.abc import Iterator
from itertools import count
from pathlib import Path
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


@pytest.fixture(scope="session")
def cache_folders(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """Folders for layer caches that are not there yet, one after the other."""
    place = tmp_path_factory.mktemp("caches")
    return (place / str(number) for number in count())


@pytest.fixture(autouse=True)
def own_cache(cache_folders: Iterator[Path], monkeypatch: pytest.MonkeyPatch) -> Path:
    """Each test starts with an empty layer cache of its own, never with the user's."""
    folder = next(cache_folders)
    monkeypatch.setenv("PREVIEW_CACHE", str(folder))
    monkeypatch.delenv("PREVIEW_CACHE_SIZE", raising=False)
    return folder
