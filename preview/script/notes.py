"""Notes: the sentence that stands below each field of the script's models, for people and editors to read.

Read from the source only when asked for: the models themselves load fast without it.
"""

from __future__ import annotations

import ast
import inspect
import textwrap
from functools import cache

from pydantic import BaseModel


@cache
def notes_of(model: type[BaseModel]) -> dict[str, str]:
    """The sentence of each field that has one, by the field's name in the model; those of its bases too."""
    notes: dict[str, str] = {}
    for base in reversed(model.__mro__):
        if not issubclass(base, BaseModel) or base is BaseModel:
            continue
        try:
            source = textwrap.dedent(inspect.getsource(base))
        except (OSError, TypeError):
            # A model made by the program has no source of its own.
            continue
        (definition,) = ast.parse(source).body
        assert isinstance(definition, ast.ClassDef)
        for field, note in zip(definition.body, definition.body[1:], strict=False):
            if (
                isinstance(field, ast.AnnAssign)
                and isinstance(field.target, ast.Name)
                and isinstance(note, ast.Expr)
                and isinstance(note.value, ast.Constant)
                and isinstance(note.value.value, str)
            ):
                notes[field.target.id] = inspect.cleandoc(note.value.value)
    return notes
