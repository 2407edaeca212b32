"""Moon found: all that is known of a sweep: frames, faces, ranks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from preview.commands.metering.face_light import about
from preview.commands.moon.faces import FaceUnder, faces_under, seen_figures
from preview.commands.moon.figures import Frame, Groups, Lifted, frames, groups_of, lifted, without
from preview.commands.moon.rank import Ranked, marks_of, ranked
from preview.commands.moon.sight import Disc, sight
from preview.commands.moon.sweep import Direction, Sweep
from preview.commands.moon.words import why
from preview.commands.shot import stops_of
from preview.script.models.cast import Figure
from preview.trace.store import AnyStore


@dataclass(frozen=True)
class Found:
    """All that is known of a sweep: of each direction its frame, its figures' faces and its rank."""

    sweep: Sweep
    groups: Groups
    bare: tuple[Lifted | None, Lifted | None, Lifted | None]
    frames: tuple[Frame, ...]
    discs: tuple[Disc, ...]
    faces: tuple[tuple[FaceUnder, ...], ...]
    unseen: tuple[Figure, ...]
    ranks: tuple[Ranked, ...]

    @property
    def directions(self) -> tuple[Direction, ...]:
        return self.sweep.directions

    @property
    def is_judged(self) -> bool:
        """Whether any of what is weighed can be told in this frame."""
        return any(one.total > 0.0 for one in self.ranks)

    def place(self, number: int) -> int:
        """Of a direction by its number in the sweep."""
        return next(one.place for one in self.ranks if one.number == number)


def found_in(swept: Sweep, weights: Mapping[str, float], *, store: AnyStore) -> Found:
    """The figures of a sweep, and its directions in order."""
    groups, base = groups_of(swept), without(swept)
    seen, unseen = seen_figures(swept)
    held = [about(swept.ready, figure, store=store) for figure in seen]
    in_the_way = sight(swept, held, store=store)
    faces = faces_under(swept, held, in_the_way, store=store)
    camera = swept.ready.scene.camera
    stops = stops_of(base, camera)
    bare = tuple(lifted(stops, group, camera) for group in (groups.trees, groups.buildings, groups.behind))
    each = frames(swept, groups, base)
    all_of_each = list(zip(faces, each, in_the_way.discs, strict=True))
    marks = [marks_of(*one, bare, camera) for one in all_of_each]
    reasons = [why(*one, groups, camera) for one in all_of_each]
    return Found(
        swept,
        groups,
        (bare[0], bare[1], bare[2]),
        each,
        in_the_way.discs,
        faces,
        unseen,
        ranked(marks, reasons, weights),
    )
