"""Unexplained: what setups change of fixtures and figures without a word why, so that nobody takes it for a mistake."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from preview.commands.setups.cheats import cheats_of
from preview.script.scene import Scene


def unexplained_notes(scenes: Sequence[Scene]) -> Iterator[str]:
    """A sentence for each change, in the setups of a script; the first is its own scene."""
    for scene in scenes[1:]:
        for cheat in cheats_of(scenes[0], scene):
            if cheat.reason is None:
                changes = ", ".join(cheat.changes)
                yield (
                    f'The setup {scene.setup} changes "{cheat.name}" without a reason: {changes}. '
                    "Say why with cheat: if it is meant."
                )
