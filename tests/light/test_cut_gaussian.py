"""Places drawn from a Gaussian between two ends, against scipy's truncated normal distribution."""

import numpy as np
import pytest
from scipy.stats import norm, truncnorm

from preview.light.emitters.cut_gaussian import REACH, drawn


@pytest.mark.parametrize(("middle", "sigma"), [(0.0, 0.2), (0.0, 3.0), (0.9, 0.3), (-1.2, 0.25), (2.0, 0.6)])
def test_places_and_densities(middle, sigma):
    u = ((np.arange(4096) + 0.5) / 4096).astype(np.float32)
    many = np.full_like(u, middle), np.full_like(u, sigma)
    place, density = drawn(u, middle=many[0], sigma=many[1], half=1.0)
    low, high = max((-1.0 - middle) / sigma, -REACH), min((1.0 - middle) / sigma, REACH)
    cut = truncnorm(low, high, loc=middle, scale=sigma)
    assert np.abs(place).max() <= 1.0
    assert np.abs(np.sort(place) - cut.ppf(u)).max() < 2e-3 * sigma
    # What lies beyond the reach is given back, so that the mean of 1 / density is the length that is drawn from.
    whole = norm.cdf((1.0 - middle) / sigma) - norm.cdf((-1.0 - middle) / sigma)
    assert density == pytest.approx(norm.pdf(place, middle, sigma) / whole, rel=2e-3)


def test_nothing_is_drawn_where_next_to_nothing_lies():
    one = np.full(3, 0.5, np.float32)
    _, density = drawn(one, middle=np.full(3, 9.0, np.float32), sigma=one, half=1.0)
    assert np.isinf(density).all()
