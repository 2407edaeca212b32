"""Digest: a hash of content, by which what is stored is found again.

Two values of equal content and type have the same digest in every process; values of another type, order, shape or
bit have another. What has no content that can be told (an open file, an Embree scene) is refused, not guessed at.
"""

from __future__ import annotations

import hashlib
import os
import struct
import sys
from collections.abc import Callable, Iterable, Mapping
from dataclasses import fields, is_dataclass
from enum import Enum
from functools import cache, partial
from importlib.metadata import version
from pathlib import PurePath
from types import BuiltinFunctionType, CodeType, FunctionType, MethodType
from typing import Any

import numpy as np

LETTERS = 32
"""Hexadecimal digits of a digest: 128 bits of SHA-256, which processors of today reckon in hardware."""
SOURCES = (".py", ".yaml", ".csv", ".npz")
"""Files of the package that decide what is traced."""
LIBRARIES = ("numpy", "embreex")
"""Another version of these may give other bits."""

_Update = Callable[[Any], None]


def digest(*things: object) -> str:
    """The hash of nested values: 32 hexadecimal digits.

    Takes None, bool, int, float (by its bits, so -0.0 is not 0.0), str, bytes, enums, paths, tuples, lists, sets,
    mappings (in their order), numpy arrays and scalars, frozen dataclasses (their fields, so nothing that they have
    cached), partials and functions. A function of a module counts by its name, for `program_digest` covers its code; a
    lambda or a closure by its code, its defaults and what it closes over.

    Raises TypeError, which says what was met and where, for anything else.
    """
    hashed = hashlib.sha256()
    _sequence(hashed.update, "tuple", things, "")
    return hashed.hexdigest()[:LETTERS]


@cache
def program_digest() -> str:
    """The hash of every source and data file of the package, of numpy, Embree and the kind of machine."""
    root = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
    found = (os.path.join(folder, name) for folder, _, names in os.walk(root) for name in names)
    files = sorted(path for path in found if path.endswith(SOURCES))
    return files_digest(root, files, *((name, version(name)) for name in LIBRARIES), _machine())


def files_digest(root: str, files: Iterable[str], *more: object) -> str:
    """The hash of files' names below the folder `root` and contents, and of anything `more`."""
    # All as text: a Path for every folder and file takes three times as long.
    return digest([(path[len(root) :].replace(os.sep, "/"), _content(path)) for path in files], more)


def _content(path: str) -> bytes:
    with open(path, "rb", buffering=0) as file:
        return file.read()


def _machine() -> tuple[str, str]:
    # Not platform.machine(), which starts a program on some systems.
    return sys.platform, sys.byteorder


def _feed(update: _Update, thing: object, where: str) -> None:
    """Feeds a value as a tag of its type, a length, and its bytes, so that no two values look alike."""
    kind = type(thing)
    if thing is None:
        _tagged(update, "none", b"")
    elif isinstance(thing, Enum):
        _tagged(update, "enum", _name(kind))
        _tagged(update, "str", thing.name.encode())
    elif isinstance(thing, np.generic | np.ndarray):
        _array(update, thing, where)
    elif kind is bool:
        _tagged(update, "bool", b"1" if thing else b"0")
    elif kind is int:
        _tagged(update, "int", str(thing).encode())
    elif kind is float:
        _tagged(update, "float", struct.pack("<d", thing))
    elif kind is str:
        _tagged(update, "str", str(thing).encode("utf-8", "surrogatepass"))
    elif isinstance(thing, bytes | bytearray):
        _tagged(update, "bytes", thing)
    elif isinstance(thing, PurePath):
        _tagged(update, "path", thing.as_posix().encode("utf-8", "surrogatepass"))
    elif isinstance(thing, tuple | list):
        plain = kind is tuple or kind is list
        _sequence(update, kind.__name__ if plain else _name(kind).decode(), thing, where)
    elif isinstance(thing, set | frozenset):
        _sequence(update, "set", sorted(digest(one) for one in thing), where)
    elif isinstance(thing, Mapping):
        _sequence(update, "mapping", [part for item in thing.items() for part in item], where)
    elif is_dataclass(thing) and not isinstance(thing, type):
        _dataclass(update, thing, where)
    else:
        _callable(update, thing, where)


def _tagged(update: _Update, tag: str, content: Any) -> None:
    size = memoryview(content).nbytes
    update(f"{tag}:{size}:".encode())
    update(content)


def _name(kind: type) -> bytes:
    return f"{kind.__module__}.{kind.__qualname__}".encode()


def _sequence(update: _Update, tag: str, things: Iterable[object], where: str) -> None:
    things = list(things)
    _tagged(update, tag, str(len(things)).encode())
    for number, thing in enumerate(things):
        _feed(update, thing, f"{where}[{number}]")


def _array(update: _Update, thing: Any, where: str) -> None:
    kind = thing.dtype
    if isinstance(thing, np.ndarray) and type(thing) not in (np.ndarray, np.memmap):
        raise TypeError(_refusal(_name(type(thing)).decode(), where))  # a mask, say, is content too
    if kind.hasobject:
        raise TypeError(_refusal("an array of objects", where))
    _tagged(update, "array" if isinstance(thing, np.ndarray) else "scalar", str(kind.descr).encode())
    _tagged(update, "shape", repr(thing.shape).encode())
    # As plain bytes, since a memoryview knows no dates nor half the structures.
    _tagged(update, "data", np.ascontiguousarray(thing).reshape(-1).view(np.uint8).data)


def _dataclass(update: _Update, thing: Any, where: str) -> None:
    kind = type(thing)
    if not kind.__dataclass_params__.frozen:
        raise TypeError(_refusal(f"{_name(kind).decode()}, which may change", where))
    _tagged(update, "dataclass", _name(kind))
    for part in fields(thing):
        _tagged(update, "field", part.name.encode())
        _feed(update, getattr(thing, part.name), f"{where}.{part.name}")


def _callable(update: _Update, thing: object, where: str) -> None:
    if isinstance(thing, partial):
        _tagged(update, "partial", b"")
        for part in (thing.func, thing.args, thing.keywords):
            _feed(update, part, f"{where}.partial")
    elif isinstance(thing, MethodType):
        _tagged(update, "method", b"")
        _feed(update, thing.__func__, where)
        _feed(update, thing.__self__, f"{where}.self")
    elif isinstance(thing, FunctionType):
        _tagged(update, "function", f"{thing.__module__}.{thing.__qualname__}".encode())
        if "<" in thing.__qualname__:
            _code(update, thing.__code__, where)
            cells = [cell.cell_contents for cell in thing.__closure__ or ()]
            _sequence(update, "cells", cells, f"{where}.{thing.__name__}")
            _feed(update, (thing.__defaults__, thing.__kwdefaults__), where)
    elif isinstance(thing, np.ufunc):
        _tagged(update, "ufunc", thing.__name__.encode())
    elif isinstance(thing, BuiltinFunctionType) and not hasattr(thing.__self__, "__dict__"):
        raise TypeError(_refusal(f"the built-in method {thing.__qualname__}", where))
    elif isinstance(thing, BuiltinFunctionType):
        _tagged(update, "builtin", f"{thing.__module__}.{thing.__qualname__}".encode())
    elif isinstance(thing, type):
        _tagged(update, "type", _name(thing))
    else:
        raise TypeError(_refusal(_name(type(thing)).decode(), where))


def _code(update: _Update, code: CodeType, where: str) -> None:
    _tagged(update, "code", code.co_code)
    _feed(update, (code.co_names, code.co_freevars), where)
    for constant in code.co_consts:
        if isinstance(constant, CodeType):
            _code(update, constant, where)
        else:
            _feed(update, constant, where)


def _refusal(met: str, where: str) -> str:
    return f"No digest of {met}{f', met at {where}' if where else ''}"
