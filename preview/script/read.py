"""Reading: one script file becomes a `Scene`, or every fault in it is told at once."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from preview.faults import Fault, UserError
from preview.script import document, patches
from preview.script.cheats import misplaced
from preview.script.document import Keys, Node, child, locate, path_text, plain
from preview.script.draft import Draft, Part, draft_of
from preview.script.models.fixtures import Fixture
from preview.script.models.pieces.piece import Piece
from preview.script.own_catalogue import Own, catalogue_of
from preview.script.patches import MAIN, Patch
from preview.script.places import Anchors, position_of
from preview.script.real_moon import under_the_sky
from preview.script.scene import Scene, Written
from preview.script.sense import anchors_of_draft, faults_in, misfits_in
from preview.script.standing import figure_on
from preview.script.words import unknown

LOOKED_AT = ("camera", "fixtures")
"""Sections that a look may change."""


@dataclass(frozen=True)
class _Variant:
    """The script as it stands in one setup and look: its document, what was read of it, what is wrong."""

    root: Node
    draft: Draft
    anchors: Anchors
    faults: tuple[tuple[Keys, str], ...]
    misfits: tuple[tuple[Keys, str], ...]
    """Those of the faults that are about values which do not go together."""


@dataclass(frozen=True)
class Script:
    """A scene file that was read whole: its own scene, its setups and its looks, all of them sound.

    `setups`: `main`, the script's own camera, then those of the file; `looks` those of the file; in its order.
    """

    path: Path
    setups: tuple[str, ...]
    looks: tuple[str, ...]
    _base: _Variant
    _patches: Mapping[tuple[str, str], Patch]
    _eyes: tuple[tuple[float, float, float], ...]
    _own: Own

    def scene(
        self, *, setup: str | None = None, look: str | None = None, without: tuple[str, str] | None = None
    ) -> Scene:
        """The scene in a setup (default `main`) and a look (default none). UserError for a name that is not there, and
        for what is wrong of the two together.

        `without`: section and name, as `fixtures` and `key`, of what the setup changes that is left as the script has it.
        """
        return self._sound(self._laid(setup, look, without), setup, look)

    def varied(
        self, changes: Sequence[Mapping[str, Any]], *, setup: str | None = None, look: str | None = None
    ) -> tuple[Scene, ...]:
        """The scene as `scene` gives it, under one look more at a time, which no script has: groups of keys as it would
        have them. UserError for what is wrong of the first that is not sound, without a line."""
        laid = self._laid(setup, look, None)
        scene = self._sound(laid, setup, look)
        answer = []
        for change in changes:
            root, unknown_names = patches.patched(laid.root, patches.unwritten_look(change))
            if unknown_names:
                told = [Fault(self.path, None, path_text(keys[2:]), said) for keys, said in unknown_names]
                raise UserError(*told)
            variant = _in_look(laid, root, self.path.parent, self._own)
            self._raise_faults(variant)
            assert variant.draft.camera is not None
            answer.append(replace(scene, camera=variant.draft.camera, fixtures=_fixtures(variant.draft)))
        return tuple(answer)

    def _laid(self, setup: str | None, look: str | None, without: tuple[str, str] | None) -> _Variant:
        """The script with a setup and a look laid over it."""
        chosen, setup = self._base, setup or MAIN
        for kind, name, known in (("setup", setup, self.setups), ("look", look, self.looks)):
            if name is None or (kind == "setup" and name == MAIN):
                continue
            patch = self._patches.get((kind, name))
            if patch is None:
                raise UserError(Fault(self.path, None, "", unknown(kind, name, known)))
            if kind == "setup" and without is not None:
                patch = patches.without_change(patch, *without)
            chosen = _variant(patches.patched(chosen.root, patch)[0], self.path.parent, self._own)
        return chosen

    def _sound(self, chosen: _Variant, setup: str | None, look: str | None) -> Scene:
        self._raise_faults(chosen)
        return _scene(self.path, chosen, self._eyes, setup=setup or MAIN, look=look)

    def _raise_faults(self, chosen: _Variant) -> None:
        if chosen.faults:
            both = [_fault(self.path, chosen.root, keys, message) for keys, message in chosen.faults]
            raise UserError(*sorted(both, key=lambda fault: fault.line or 0))


def read_scene(path: Path, *, setup: str | None = None, look: str | None = None) -> Scene:
    """The scene of a file in a setup (default `main`, the script's own camera) and look (default none).

    The script, every setup and every look are validated each time: UserError with all faults, sorted by line.
    """
    return read_script(path).scene(setup=setup, look=look)


def read_script(path: Path) -> Script:
    """A file with every setup and look of it validated: UserError with all faults, sorted by line."""
    loaded = document.load(path)
    found, own_faults = patches.patches_of(loaded.root)
    own_faults += misplaced(loaded.root)
    own = catalogue_of(path, loaded.root)
    base = _variant(patches.without_patches(loaded.root), path.parent, own)
    faults = dict.fromkeys((*own.faults, *loaded.faults))
    faults |= {_fault(path, loaded.root, keys, message): None for keys, message in own_faults}
    faults |= {_fault(path, base.root, keys, message): None for keys, message in base.faults}
    told = {keys for keys, _ in own_faults}
    eyes = [base]
    for patch in found:
        root, names = patches.patched(base.root, patch)
        variant = _variant(root, path.parent, own)
        eyes += [variant] if patch.kind == "setup" else []
        faults |= {_fault(path, loaded.root, keys, message): None for keys, message in names}
        faults |= dict.fromkeys(_faults_of_patch(path, loaded.root, base, patch, variant, told))
    if faults:
        raise UserError(*sorted(faults, key=lambda fault: (fault.file == path, fault.line or 0)))
    return Script(
        path,
        (MAIN, *(patch.name for patch in found if patch.kind == "setup")),
        tuple(patch.name for patch in found if patch.kind == "look"),
        base,
        {(patch.kind, patch.name): patch for patch in found},
        tuple(_eye(each) for each in eyes),
        own,
    )


def _variant(root: Node, folder: Path, own: Own) -> _Variant:
    draft = draft_of(plain(root), folder, own)
    return _checked(root, draft, anchors_of_draft(draft))


def _in_look(base: _Variant, root: Node, folder: Path, own: Own) -> _Variant:
    """A sound variant under a look, which moves nothing: all places stay."""
    data = plain(root)
    changed = draft_of({section: data[section] for section in LOOKED_AT if section in data}, folder, own)
    draft = replace(base.draft, camera=changed.camera, fixtures=changed.fixtures, faults=changed.faults)
    return _checked(root, draft, base.anchors)


def _checked(root: Node, draft: Draft, anchors: Anchors) -> _Variant:
    told = {keys for keys, _ in draft.faults}
    sure = faults_in(draft, anchors, lambda keys: locate(root, keys)[0])
    faults = [*draft.faults, *(fault for fault in sure if fault[0] not in told)]
    misfits = tuple(fault for fault in misfits_in(draft, anchors) if not _beside(fault[0], told))
    return _Variant(root, draft, anchors, (*faults, *misfits), misfits)


def _beside(keys: Keys, told: Iterable[Keys]) -> bool:
    """Whether a misfit is of a group in which a value could not be read: it may come of that alone."""
    return any(
        keys == unread[: len(keys)] or (isinstance(unread[-1], str) and keys[:-1] == unread[:-1] != ())
        for unread in told
    )


def _faults_of_patch(
    path: Path, whole: Node, base: _Variant, patch: Patch, variant: _Variant, told: set[Keys]
) -> Iterator[Fault]:
    """What is wrong in a setup or look that is not wrong in the script itself."""
    unread = {keys for keys, _ in base.draft.faults}
    for keys, message in variant.faults:
        line, shown = locate(variant.root, keys)
        if shown in told:
            continue
        within = shown[: len(patch.keys)] == patch.keys
        revealed = (keys, message) in variant.misfits and _beside(keys, unread)
        if not within and ((keys, message) in base.faults or revealed):
            continue
        suffix = "" if within else f" (in the {patch.kind} {patch.name})"
        yield Fault(path, line, path_text(shown), message + suffix)


def _fault(path: Path, root: Node, keys: Keys, message: str) -> Fault:
    line, shown = locate(root, keys)
    # What no file holds has no line.
    return Fault(path, line or None, path_text(shown), message)


def _scene(
    path: Path,
    variant: _Variant,
    eyes: tuple[tuple[float, float, float], ...],
    *,
    setup: str,
    look: str | None,
) -> Scene:
    draft = variant.draft
    assert draft.camera is not None
    return Scene(
        path=path,
        title=draft.title or path.stem.replace("_", " ").replace("-", " "),
        setup=setup,
        set=tuple((part.name, part.model) for part in draft.pieces),  # type: ignore[misc]
        cast=tuple(
            figure_on(part.model, variant.anchors.terrain) for part in draft.cast if part.model is not None
        ),
        camera=draft.camera,
        fixtures=_fixtures(draft),
        marks=tuple(part.model for part in draft.marks if part.model is not None),
        anchors=variant.anchors,
        eyes=eyes,
        haze=draft.haze,
        place=draft.place,
        night=draft.night,
        catalogue=draft.own.catalogue,
        look=look,
        seed=draft.seed,
        written={part.name: _written(variant.root, part) for part in draft.pieces if part.name is not None},
    )


def _fixtures(draft: Draft) -> tuple[Fixture, ...]:
    return tuple(
        under_the_sky(part.model, draft.place, draft.night)
        for part in draft.fixtures
        if part.model is not None
    )


def _eye(variant: _Variant) -> tuple[float, float, float]:
    """Where the camera of a sound variant stands."""
    assert variant.draft.camera is not None
    at = position_of(variant.draft.camera.at, variant.anchors)
    assert at is not None
    x, y, z = at.tolist()
    return x, y, z


def _written(root: Node, part: Part[Piece]) -> Written:
    line, shown = locate(root, part.keys)
    node = root
    for key in part.keys:
        entry = child(node, key)
        assert entry is not None  # a piece was read from it
        node = entry.node
    keys = node.value if isinstance(node.value, dict) else {}
    return Written(line, path_text(shown), {key: entry.line for key, entry in keys.items()})
