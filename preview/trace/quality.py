"""Quality: how much chance may be left in a plate, in stops, and where the search for less of it ends."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Quality:
    """`target`: stops, one standard deviation, that chance may move a pixel of a layer. Samples are added until then.

    `scale`: the share of the frame's size, each way, that is traced. `samples`: the first of a pixel. `rounds`: the
    most times that as many are added. The bounce: `bounce_rays` from every `bounce_step`-th pixel over `bounces`
    surfaces. The haze: `haze_samples` along the ray of every `haze_step`-th pixel. `mark_rays` to
    each source from each mark.
    """

    target: float = 0.35
    samples: int = 4
    rounds: int = 3
    bounce_rays: int = 8
    bounce_step: int = 5
    bounces: int = 2
    haze_step: int = 6
    haze_samples: int = 32
    mark_rays: int = 1024
    scale: float = 1.0

    @property
    def noise(self) -> float:
        """The target as a share of the light."""
        return float(2.0**self.target - 1.0)


QUALITIES = {
    "draft": Quality(
        0.5,
        samples=2,
        rounds=1,
        bounce_rays=4,
        bounce_step=8,
        bounces=1,
        haze_step=12,
        haze_samples=16,
        mark_rays=64,
        scale=0.6,
    ),
    "look": Quality(),
    "final": Quality(0.07, samples=8, rounds=8, bounce_rays=32, bounce_step=4, haze_step=4, haze_samples=48),
}
"""What `--quality` names."""

SHEET = Quality(0.5, rounds=1, bounce_rays=4, bounce_step=8, bounces=1, mark_rays=256)
"""For a picture that is one of many on a sheet."""
