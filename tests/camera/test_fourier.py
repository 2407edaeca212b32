"""Transforms small and large, against SciPy's."""

from __future__ import annotations

import numpy as np
import pytest
import scipy.fft

from preview.camera import fourier


@pytest.mark.parametrize("length", [1, 2, 7, 11, 97, 480, 487, 1000, 1021, 4099, 7681])
def test_length_is_scipys(length: int) -> None:
    assert fourier.fast_length(length) == scipy.fft.next_fast_len(length, real=True)


@pytest.mark.parametrize("kind", [np.float32, np.float64])
@pytest.mark.parametrize("large", [0, fourier.LARGE])
def test_spectrum_is_scipys_and_comes_back(kind: type, large: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(fourier, "LARGE", large)
    plane = np.random.default_rng(7).random((37, 53)).astype(kind)
    shape = (fourier.fast_length(61), fourier.fast_length(67))
    found = fourier.spectrum_of(plane, shape)
    assert found.dtype == (np.complex64 if kind is np.float32 else np.complex128)
    exact = scipy.fft.rfft2(plane.astype(np.float64), s=shape)
    assert np.allclose(found, exact, atol=1e-3 if kind is np.float32 else 1e-10)
    back = fourier.plane_of(found, shape)
    assert back.dtype == kind
    assert np.allclose(back[:37, :53], plane, atol=1e-5 if kind is np.float32 else 1e-12)
    assert np.allclose(back[37:], 0.0, atol=1e-5)
