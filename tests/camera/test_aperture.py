"""The outline of what is out of focus against the geometry of circle, ellipse and polygon."""

from math import pi, sqrt

import numpy as np
import pytest

from preview.camera.aperture import kernel


def moments(disc):
    """Mean squares of x and y about the middle, pixels, less that of a pixel itself (1/12)."""
    y, x = np.indices(disc.shape, dtype=np.float64)
    x, y = x - disc.shape[1] // 2, y - disc.shape[0] // 2
    return (disc * x * x).sum() - 1 / 12, (disc * y * y).sum() - 1 / 12


@pytest.mark.parametrize("radius", [1.3, 2.0, 5.5, 21.7, 80.0])
def test_a_round_disc_has_the_second_moment_of_a_circle(radius):
    """r^2 / 4 about each axis (any handbook of geometry); sums over pixels tell it the less well the fewer they are."""
    disc = kernel(radius=radius)
    assert disc.sum() == pytest.approx(1.0, rel=1e-5)
    assert moments(disc) == pytest.approx((radius**2 / 4, radius**2 / 4), rel=0.005 + 0.1 / radius**1.5)


@pytest.mark.parametrize("squeeze", [1.3, 1.8, 2.0])
def test_an_anamorphic_disc_is_taller_than_wide_by_the_squeeze(squeeze):
    """The iris is round behind the cylinders; before them its width is divided by the squeeze (see aperture.py)."""
    across, upright = moments(kernel(radius=20.0, squeeze=squeeze))
    assert sqrt(upright / across) == pytest.approx(squeeze, rel=0.005)
    assert upright == pytest.approx(100.0, rel=0.005)


@pytest.mark.parametrize("blades", [5, 6, 7, 9, 18])
def test_a_polygon_has_the_area_of_the_circle(blades):
    """A plain middle is 1 / area; the second moment of a regular polygon of side s and area A about an axis is
    A s^2 / 24 (1 / 2 + 3 / 2 cot^2 (pi / n)) over A (handbooks of mechanics)."""
    radius = 30.0
    disc = kernel(radius=radius, blades=blades)
    middle = disc[disc.shape[0] // 2, disc.shape[1] // 2]
    assert 1.0 / middle == pytest.approx(pi * radius**2, rel=0.005)
    side_squared = 4.0 * pi * radius**2 * np.tan(pi / blades) / blades
    wanted = side_squared / 24.0 * (0.5 + 1.5 / np.tan(pi / blades) ** 2)
    assert moments(disc) == pytest.approx((wanted, wanted), rel=0.01)


def test_a_polygon_repeats_itself_with_every_blade():
    """Turned about its middle by a fifth of a turn, five corners fall on themselves; by a tenth, they do not."""
    from scipy.ndimage import rotate

    disc = kernel(radius=40.0, blades=5)

    def apart(degrees):
        turned = rotate(disc, degrees, reshape=False, order=1)
        return float(np.abs(turned - disc).sum())

    assert apart(72.0) < 0.03
    assert apart(36.0) > 0.1


def test_beyond_focus_the_iris_is_upside_down():
    before, beyond = kernel(radius=12.0, blades=5), kernel(radius=12.0, blades=5, turned=True)
    np.testing.assert_allclose(beyond, before[::-1, ::-1], atol=1e-7)
    assert np.abs(beyond - before).sum() > 0.05


@pytest.mark.parametrize("blades", [None, 7])
def test_half_a_pixel_is_the_pixel(blades):
    assert kernel(radius=0.5, blades=blades).tolist() == [[1.0]]
