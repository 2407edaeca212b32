"""Species: what makes a spruce not a birch. Figures from memory, but where a test names its table."""

from __future__ import annotations

from dataclasses import dataclass

from preview.build.growth.bark import Kind
from preview.build.growth.branches import Order, Trunk
from preview.build.growth.leaves import Foliage


@dataclass(frozen=True)
class Species:
    """`orders` end with the twigs that bear leaves; `sprays` are finer ones, drawn where there are no leaves."""

    trunk: Trunk
    orders: tuple[Order, ...]
    bark: Kind = "furrowed"
    foliage: Foliage | None = None
    sprays: Order | None = None
    evergreen: bool = False
    thin: int = 0
    """How many orders thinner the branches are than their number says."""
    leaf_material: str = "leaves"
    bark_material: str = "bark"


SPRAYS = Order(4, (0.15, 1.0), (0.85, 0.4), (0.5, 0.5, 0.45), 1, (0.08, 0.08), 0.1, 0.3)

BROADLEAF = Species(
    Trunk(0.62, 0.018, 0.35, 10, 0.045),
    (
        Order(19, (0.22, 1.0), (1.15, 0.12), (0.54, 0.66, 0.64), 6, (0.25, 0.4), 0.12, stout=0.72),
        Order(8, (0.22, 1.0), (0.95, 0.5), (0.5, 0.46, 0.36), 4, (0.15, 0.1), 0.16),
        Order(8, (0.15, 1.0), (1.0, 0.5), (0.44, 0.44, 0.4), 2, (0.1, 0.0), 0.2, stout=0.75),
    ),
    foliage=Foliage(1.5, 0.068, 0.62, 0.007, 1.0, 0.25, 0.7),
    sprays=SPRAYS,
)

SPECIES: dict[str, Species] = {
    "broadleaf": BROADLEAF,
    "bare": Species(BROADLEAF.trunk, BROADLEAF.orders, sprays=SPRAYS),
    "pear": Species(
        Trunk(0.32, 0.022, 0.75, 6, 0.03),
        (
            Order(8, (0.5, 1.0), (0.95, 0.35), (1.3, 1.7, 1.8), 6, (0.35, 0.3), 0.12, stout=0.62),
            Order(9, (0.2, 1.0), (0.9, 0.5), (0.42, 0.38, 0.26), 4, (0.25, 0.1), 0.16),
            Order(6, (0.12, 1.0), (1.0, 0.45), (0.5, 0.5, 0.5), 2, (0.1, 0.05), 0.2),
        ),
        foliage=Foliage(1.05, 0.068, 0.6, 0.006, 1.0, 0.2, 0.7, autumn=0.62),
        sprays=SPRAYS,
    ),
    "apple": Species(
        Trunk(0.3, 0.024, 0.8, 6, 0.05),
        (
            Order(9, (0.5, 1.0), (1.15, 0.4), (1.55, 1.75, 1.7), 7, (0.4, -0.1), 0.16, stout=0.6),
            Order(8, (0.2, 1.0), (1.0, 0.6), (0.42, 0.4, 0.3), 4, (0.2, -0.2), 0.22),
            Order(6, (0.1, 1.0), (1.0, 0.5), (0.48, 0.45, 0.4), 2, (0.1, -0.1), 0.25),
        ),
        foliage=Foliage(2.7, 0.07, 0.6, 0.007, 1.0, 0.2, 0.7, autumn=0.45),
        sprays=SPRAYS,
    ),
    "birch": Species(
        Trunk(0.96, 0.0095, 0.1, 14, 0.03, 0.5),
        (
            Order(28, (0.22, 0.98), (0.95, 0.45), (0.27, 0.25, 0.07), 6, (0.35, -0.1), 0.1, stout=0.7),
            Order(8, (0.2, 1.0), (0.8, 0.5), (0.5, 0.48, 0.36), 4, (-0.2, -0.7), 0.14),
            Order(5, (0.2, 1.0), (0.7, 0.4), (0.7, 0.75, 0.8), 4, (-1.1, -1.6), 0.1),
        ),
        "white",
        bark_material="birch bark",
        foliage=Foliage(0.62, 0.046, 0.75, 0.004, 0.9, 0.6, 0.9, autumn=0.36),
        sprays=Order(3, (0.1, 0.9), (0.6, 0.3), (0.5, 0.5, 0.45), 1, (-0.5, -0.5), 0.1, 0.3),
    ),
    "willow": Species(
        Trunk(0.5, 0.025, 0.55, 8, 0.05),
        (
            Order(12, (0.35, 1.0), (1.05, 0.3), (0.9, 0.95, 0.9), 7, (0.3, -0.2), 0.12, stout=0.65),
            Order(8, (0.25, 1.0), (0.9, 0.5), (0.42, 0.4, 0.36), 5, (-0.2, -0.9), 0.15),
            Order(7, (0.1, 1.0), (0.8, 0.4), (1.6, 1.6, 1.5), 7, (-2.2, -3.0), 0.07, 0.5),
        ),
        foliage=Foliage(1.6, 0.095, 0.17, 0.004, 0.55, 0.7, 1.2, first=0.05, autumn=0.3),
        sprays=Order(2, (0.2, 0.9), (0.4, 0.3), (0.4, 0.4, 0.3), 2, (-1.0, -1.0), 0.1, 0.3),
    ),
    "conifer": Species(
        Trunk(0.985, 0.0105, 0.05, 12, 0.005, 0.5),
        (
            Order(
                135,
                (0.06, 0.965),
                (1.85, 0.75),
                (0.235, 0.14, 0.02),
                5,
                (-0.12, 0.3),
                0.05,
                0.3,
                whorl=5,
                stout=0.5,
            ),
            Order(14, (0.06, 1.0), (0.9, 0.55), (0.46, 0.4, 0.16), 3, (-0.25, -0.35), 0.1, flat=True),
        ),
        foliage=Foliage(0.95, 0.075, 0.2, 0.002, 0.5, 0.3, 0.9, first=0.0),
        evergreen=True,
        thin=1,
        leaf_material="needles",
        bark_material="dark bark",
    ),
    "pine": Species(
        Trunk(0.9, 0.0125, 0.4, 12, 0.03, 0.5),
        (
            Order(22, (0.55, 1.0), (1.5, 0.5), (0.24, 0.27, 0.14), 6, (-0.1, 0.5), 0.16, stout=0.6),
            Order(8, (0.25, 1.0), (0.9, 0.5), (0.46, 0.42, 0.34), 4, (0.2, 0.5), 0.18),
            Order(6, (0.3, 1.0), (0.9, 0.5), (0.42, 0.4, 0.36), 2, (0.3, 0.5), 0.15),
        ),
        "flaking",
        foliage=Foliage(0.55, 0.095, 0.13, 0.002, 1.0, -0.15, 1.2, first=0.35),
        evergreen=True,
        leaf_material="needles",
    ),
    "dead": Species(
        Trunk(0.85, 0.02, 0.3, 10, 0.05),
        (
            Order(10, (0.3, 0.98), (1.2, 0.5), (0.4, 0.42, 0.3), 6, (0.2, 0.2), 0.24, 0.4, stout=0.8),
            Order(4, (0.3, 0.95), (1.0, 0.6), (0.45, 0.4, 0.35), 4, (0.1, 0.1), 0.28, 0.4),
            Order(2, (0.3, 0.9), (0.9, 0.6), (0.4, 0.4, 0.4), 2, (0.1, 0.0), 0.25, 0.4),
        ),
        "bleached",
    ),
    "rounded": Species(
        Trunk(0.03, 0.009, 1.0, 2, 0.0, 0.0),
        (
            Order(24, (0.0, 1.0), (1.5, 0.12), (17.0, 21.0, 26.0), 5, (0.35, 0.2), 0.14),
            Order(7, (0.3, 1.0), (0.9, 0.5), (0.42, 0.4, 0.3), 3, (0.1, 0.1), 0.2),
            Order(6, (0.15, 1.0), (1.0, 0.5), (0.5, 0.5, 0.5), 2, (0.1, 0.1), 0.2),
        ),
        "smooth",
        foliage=Foliage(3.4, 0.045, 0.55, 0.012, 1.0, -0.1, 0.8),
        sprays=SPRAYS,
    ),
    "loose": Species(
        Trunk(0.03, 0.007, 1.0, 2, 0.0, 0.0),
        (
            Order(26, (0.0, 1.0), (0.75, 0.05), (27.0, 31.0, 33.0), 8, (0.1, -0.8), 0.12),
            Order(10, (0.2, 1.0), (0.8, 0.5), (0.22, 0.24, 0.16), 3, (0.1, -0.2), 0.2),
            Order(4, (0.15, 1.0), (0.9, 0.5), (0.6, 0.6, 0.5), 2, (0.0, -0.2), 0.2),
        ),
        "smooth",
        foliage=Foliage(2.0, 0.05, 0.45, 0.012, 1.0, 0.15, 0.8),
        sprays=SPRAYS,
    ),
}
