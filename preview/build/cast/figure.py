"""Figure: a person of the cast as parts, from the stored heads and bodies, sized, posed, turned to look and placed."""

from __future__ import annotations

from preview.build.cast.figure_body import body_parts
from preview.build.cast.figure_head import head_parts
from preview.build.mesh import Part
from preview.build.site import Site
from preview.script.figure_plan import stance
from preview.script.models.cast import Figure
from preview.script.standing import footing_of


def build_figure(site: Site, figure: Figure) -> list[Part]:
    """The parts `NAME.head`, `.hair`, `.eyes`, `.irises`, `.hands`, `.top`, `.bottom`, `.shoes` and more, each closed.

    Feet on `figure.height_of_ground`, the head over `figure.at`, its top (without hair) `figure.height` above the ground
    when standing. Sitting, the seat is `figure.seat` above the ground.
    """
    looks_at, gaze = (
        None if place is None else site.scene.point(place) for place in (figure.looks_at, figure.gaze)
    )
    azimuth = site.azimuth(figure.facing, figure.at)
    made = stance(figure, azimuth, looks_at, gaze, footing=footing_of(figure, site.terrain))
    return [*head_parts(made), *body_parts(made)]
