"""The making of the stored figures: `python -m preview.build.sculpt bodies`, `... heads`, or both."""

from __future__ import annotations

import sys
from importlib import import_module

MAKERS = {
    "bodies": "preview.build.sculpt.make_bodies",
    "heads": "preview.build.sculpt.make_heads",
}
"""What makes `preview/build/NAME.npz`: a module with a function `main`."""


def main(names: list[str]) -> int:
    unknown = [name for name in names if name not in MAKERS]
    if unknown:
        print(f"no maker of {', '.join(unknown)}; there are {', '.join(MAKERS)}", file=sys.stderr)
        return 2
    for name in names or MAKERS:
        import_module(MAKERS[name]).main()
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
