"""The bench stays runnable: its parts at their smallest, with the arithmetic of its one inference."""

from __future__ import annotations

import sys
from dataclasses import replace

import numpy as np
import pytest

from preview.commands.prepare import prepare
from preview.light.spaces import ACESCG
from preview.script.read import read_scene
from preview.trace.quality import QUALITIES
from tests.bench import demo_frame, growth, imports, relight, shadow_rays, shares, worlds
from tests.bench.__main__ import PARTS
from tests.bench.equal_error import at_error
from tests.bench.mitsuba_runs import MitsubaRun, integrators
from tests.bench.twin import twin
from tests.bench.twin_in_mitsuba import in_mitsuba


def test_every_part_is_there():
    from importlib import import_module

    assert all(callable(import_module(module).tables) for module in PARTS.values())


def test_growth_at_its_smallest():
    table = growth.by_fixtures((1, 2), width=32)
    assert list(table.columns[0].cells) == ["1", "2"]


def test_growth_with_triangles_keeps_the_picture():
    table = growth.by_triangles(1, width=32, trees=1)
    few, many = (int(cell.replace(",", "")) for cell in table.columns[0].cells)
    assert many == 4 * few
    world = growth.built(trees=1, fixtures=1).world
    cut = growth.split_in_four(world)
    areas = (
        np.linalg.norm(np.cross(sides[:, 1] - sides[:, 0], sides[:, 2] - sides[:, 0]), axis=1).sum(
            dtype=float
        )
        for sides in (one.vertices[one.faces].astype(float) for one in (world, cut))
    )
    assert next(areas) == pytest.approx(next(areas), rel=1e-6)


def test_the_meadow_has_as_many_trees_and_fixtures_as_asked():
    ready = growth.built(trees=20, fixtures=3)
    assert len(ready.lights) == 3
    assert sum(name.startswith("trees") for name in {n.partition(".")[0] for n in ready.world.names}) >= 2


def test_a_scan_at_its_smallest():
    (table,) = imports.tables(triangles=2000)
    whole, crop, few = (int(cell.replace(",", "")) for cell in table.columns[1].cells)
    assert whole == pytest.approx(2000, rel=0.05)
    assert crop == pytest.approx(whole / 3, rel=0.1)
    assert few == pytest.approx(whole / 10, rel=0.02)


def test_a_world_at_its_smallest():
    (table,) = worlds.tables(names=("wet-quay",))
    assert list(table.columns[0].cells) == ["wet-quay"]
    assert int(next(iter(table.columns[1].cells)).replace(",", "")) > 1000


def test_relight_at_its_smallest():
    relit, changed = relight.tables(width=64, scenes=("wet-quay",), counts=(2,))
    assert list(relit.columns[0].cells) == ["wet-quay"]
    assert float(next(iter(relit.columns[3].cells))) > 1.0
    assert list(changed.columns[0].cells) == ["2"]


def test_shadow_rays_at_their_smallest():
    ready = prepare(read_scene(shadow_rays.SCENE))
    rates = shadow_rays.measure(ready, width=48, repeats=1)
    assert rates.rays > 48 * 20
    assert min(rates.bare, rates.wrapped, rates.shaded_rays) > 0


def test_wrapper_and_bare_embreex_answer_alike():
    ready = prepare(read_scene(shadow_rays.SCENE))
    scene = shadow_rays.bare_scene(ready)
    for batch in shadow_rays.batches(ready, width=48):
        bare = scene.run(batch.origins, batch.directions, dists=batch.distances, query="OCCLUDED") >= 0
        one = batch.by_axis()
        wrapped = ready.stage.solid.rays.blocked(one.origins, one.directions, one.distances)
        assert np.array_equal(wrapped, bare)


@pytest.mark.skipif(sys.platform == "win32", reason="asks the system for a child's memory as Unix does")
def test_whole_commands_with_and_without_a_cache():
    (table,) = demo_frame.tables(width=32, repeats=1)
    assert len(table.rows) == 4
    assert next(iter(table.columns[2].cells)) == "1.00"
    assert all(20 < float(cell.split()[0]) < 4000 for cell in table.columns[3].cells)


def test_shares_at_their_smallest():
    (table,) = shares.tables(width=48, scenes=("bus-shelter",), repeats=1)
    assert [column.header for column in table.columns][2:] == ["bounce", "gloss", "haze", "defocus and glare"]


def test_time_at_an_error_follows_plain_noise():
    """Noise halves for four times the time: between runs, and carried on beyond them."""
    runs = [MitsubaRun("a", n, 0.01 * n, 0.1 / n**0.5) for n in (4, 16, 64)]
    between, beyond = at_error(runs, 0.1 / 32**0.5), at_error(runs, 0.1 / 256**0.5)
    assert (between.seconds, between.reached) == (pytest.approx(0.32), True)
    assert (beyond.seconds, beyond.reached) == (pytest.approx(2.56), False)


def test_the_quickest_kind_is_taken():
    runs = [MitsubaRun("slow", 4, 9.0, 0.01), MitsubaRun("quick", 4, 1.0, 0.01)]
    assert at_error(runs, 0.01).kind == "quick"


def test_a_twin_is_lit_alike_in_both_tracers():
    """The bench compares like with like: means over blocks of 8 x 8 pixels that are lit, under Mitsuba's path tracer."""
    import mitsuba

    mitsuba.set_variant("scalar_rgb")
    scene = twin("bus-shelter", width=96).without_sky()
    integrator = mitsuba.load_dict(integrators(bounces=0)["path"])
    rendered = mitsuba.render(
        in_mitsuba(mitsuba, scene, sampler="independent"), integrator=integrator, spp=48
    )
    theirs = np.array(rendered)[..., :3] @ ACESCG.luminance
    pictures = scene.traced(replace(QUALITIES["look"], bounce_rays=0)), theirs
    ours, theirs = (image.reshape(6, 8, 12, 8).mean(axis=(1, 3)) for image in pictures)
    lit = theirs > 0.02 * theirs.max()
    assert lit.sum() > 20
    assert float(np.median(ours[lit] / theirs[lit])) == pytest.approx(1.0, abs=0.04)
