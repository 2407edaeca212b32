"""Setups answer: what was found of the setups of a script, as pictures, sentences, tables and data."""

from __future__ import annotations

from collections.abc import Iterator

from preview.commands.lenses.names import called
from preview.commands.setups.cheats import Cheat
from preview.commands.setups.command import Compared
from preview.commands.setups.data import data_of
from preview.commands.setups.drawing import plan_of
from preview.commands.setups.drift_words import stops_words
from preview.commands.setups.in_picture import in_shot, picture_sentences
from preview.commands.setups.seen import SetupSeen
from preview.commands.setups.sentences import breaks, rest
from preview.commands.setups.tables import cheat_table, light_tables, looks_table
from preview.script.models.camera import Camera, Sensor
from preview.sheets.answer.blocks import Answer, Block, Cell, Pictures, Words

FEW = 4
"""Setups that lie in two columns."""


def answer_of(found: Compared) -> Answer:
    """The sheet: pictures, what holds and what does not, each figure's light, cheats, who looks where."""
    seen = found.seen
    names = ", ".join(one.name for one in seen)
    about = f"{len(seen)} setups, wide to tight: {names}" if len(seen) > 1 else f"one setup: {names}"
    if found.look is not None:
        about += f"; look {found.look}"
    blocks: list[Block] = [
        Pictures(tuple(_cell(found, one) for one in seen), columns=2 if len(seen) <= FEW else 3),
    ]
    for title, sentences in (
        ("Does not cut together", breaks(found)),
        ("In the picture, and should not be", picture_sentences(found.seen)),
        ("In the cut", rest(found)),
    ):
        if said := tuple(sentences):
            blocks.append(Words(said, title))
    if len(seen) > 1:
        blocks += light_tables(found)
    blocks += cheat_table(found)
    blocks += looks_table(found)
    if len(seen) > 1 and found.rows:
        blocks.append(plan_of(found))
    return Answer("setups", f"{found.title}: setups", about, tuple(blocks), data_of(found))


def _cell(found: Compared, one: SetupSeen) -> Cell:
    camera = one.ready.scene.camera
    rig = called([thing.name for thing in in_shot(one)])
    figures = (
        ("lens", lens_words(camera)),
        ("sees", f"{one.angles.horizontal_deg:.0f}° × {one.angles.vertical_deg:.0f}°"),
        ("takes in", f"{one.wide_m:.1f} m across at {one.focus_m:.1f} m"),
        ("exposed", _exposed(found, one)),
        ("shot", "; ".join(_shots(one)) or "nobody of the cast"),
        *((("in shot", rig),) if rig else ()),
    )
    said = []
    for effect in found.effects:
        cheat = effect.cheat
        if cheat.setup == one.name:
            said.append(_cheated(cheat))
    return Cell(one.name, one.shot.picture, figures, tuple(said))


def lens_words(camera: Camera) -> str:
    """`75 mm, super35-3perf`, with the squeeze of an anamorphic."""
    form = (
        f"{camera.format.width:g} × {camera.format.height:g} mm"
        if isinstance(camera.format, Sensor)
        else camera.format
    )
    squeeze = "" if camera.lens.squeeze == 1.0 else f", {camera.lens.squeeze:g}× squeeze"
    return f"{camera.lens.focal:g} mm{squeeze} on {form}"


def _exposed(found: Compared, one: SetupSeen) -> str:
    camera = one.ready.scene.camera
    words = f"T/{camera.lens.stop:g}, ISO {camera.iso:g}"
    over = found.exposed_over(one)
    return (
        words
        if abs(over) < 0.05
        else f"{words}: {stops_words(over)} {'over' if over > 0.0 else 'under'} {found.seen[0].name}"
    )


def _shots(one: SetupSeen) -> Iterator[str]:
    for name, lit in one.lit.items():
        if lit.subject.in_frame and lit.subject.shot_size is not None:
            why = f", {lit.unseen}" if lit.unseen else ""
            yield f"{name} {lit.subject.shot_size}{why}"


def _cheated(cheat: Cheat) -> str:
    """`Cheat, Mara: to clear the post (15 cm camera left).`"""
    changes = ", ".join(cheat.changes) or "nothing is changed"
    if cheat.reason is None:
        return f"{cheat.name}: {changes}: unexplained."
    return f"Cheat, {cheat.name}: {cheat.reason} ({changes})."
