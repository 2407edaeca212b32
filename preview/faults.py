"""What the user got wrong, said so that it can be mended: the one exception of the program.

Anything else that is raised is a bug and shows its traceback.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, order=True)
class Fault:
    """One mistake: in which file and line, under which path of keys, and what is wrong in words."""

    file: Path
    line: int | None
    path: str
    message: str

    def __str__(self) -> str:
        where = f"{self.file}:{self.line}" if self.line is not None else str(self.file)
        return f"{where}: {self.path}: {self.message}" if self.path else f"{where}: {self.message}"


class UserError(Exception):
    """One or more faults of the user's; the command line prints each on a line and exits with 2."""

    def __init__(self, *faults: Fault | str) -> None:
        self.faults = faults
        super().__init__("\n".join(str(fault) for fault in faults))
