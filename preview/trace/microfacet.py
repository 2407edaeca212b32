"""Microfacet: the reflection of a clear dielectric coat: facets too small to see, turned every way about the surface.

Isotropic GGX of slope `roughness` (alpha), Smith's masking with the heights of both ways correlated, exact Fresnel,
one reflection: what facets throw on each other is lost, a few per mille of what falls on any coat in the catalogue.

Source: B. Walter et al., Microfacet Models for Refraction through Rough Surfaces, EGSR 2007, sections 4 and 5.2;
E. Heitz, Understanding the Masking-Shadowing Function in Microfacet-Based BRDFs, JCGT 3(2), 2014, equation 99.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from preview.light.vectors import basis, dot

Array = NDArray[np.float32]

LEAST_ROUGHNESS = np.float32(0.01)
"""Alpha that the smoothest coat is given: a lobe about a degree wide, still water with a breath of air on it."""
LEAST_COSINE = np.float32(1e-3)
"""A rounded normal may look away from the eye that sees its surface; it is then taken to be seen as obliquely as this."""


def fresnel(cosine: Array, ior: Array) -> Array:
    """Share (n,) of unpolarised light reflected at a smooth boundary, 0 to 1.

    cosine (n,) from its normal on the side light comes from, 0 to 1; ior (n,): the far side's refractive index by the
    near one's. 0 where ior is 1; 1 where it is below 1 and all is reflected.

    Source: M. Born and E. Wolf, Principles of Optics, section 1.5.2, Fresnel's formulae.
    """
    cosine = np.clip(cosine, 0.0, 1.0)
    inside = np.sqrt(np.maximum(1.0 - (1.0 - cosine * cosine) / (ior * ior), 0.0))
    across = (cosine - ior * inside) / np.maximum(cosine + ior * inside, np.float32(1e-12))
    along = (ior * cosine - inside) / np.maximum(ior * cosine + inside, np.float32(1e-12))
    return np.asarray(np.where(ior == 1.0, 0.0, 0.5 * (across * across + along * along)), np.float32)


def kept(cosine: Array, ior: Array) -> Array:
    """Share (n,) of its diffuse light that a surface under the coat still shows an eye at `cosine` (n,) from the normal.

    One minus Fresnel at the eye. This is exact for a white surface under a smooth coat in even light: what the coat
    keeps from coming in it keeps from going out too, and after all the turns between, as much light leaves as entered.
    So with the lobe the two never give more than falls evenly on them, but for what a rough lobe has above Fresnel of
    its middle (below 1 % at alpha 0.5, and no reflectance is 1). That a grey surface under a coat is darker for the
    turns between is left to its reflectance, as materials under a coat are measured.
    """
    return np.asarray(1.0 - fresnel(cosine, ior), np.float32)


def half_width(roughness: Array) -> Array:
    """Radians (n,) from the middle of the lobe of reflected directions to where facets turned that way are half as dense.

    Along the plane of incidence; across it the lobe is narrower by the cosine of incidence, which makes streaks.
    GGX has halved where tan^2 = alpha^2 (sqrt 2 - 1); a reflection turns by twice the facet's angle.
    """
    alpha = np.maximum(roughness, LEAST_ROUGHNESS)
    return np.asarray(2.0 * np.arctan(alpha * np.float32((2.0**0.5 - 1.0) ** 0.5)), np.float32)


def lobe(to_light: Array, to_eye: Array, normal: Array, roughness: Array, ior: Array) -> Array:
    """The coat's reflection f_s (n,) 1/sr, without the cosine; 0 for light from below the surface.

    to_light, to_eye, normal (3, n) unit; roughness, ior (n,).
    """
    light = dot(to_light, normal)
    eye = np.maximum(dot(to_eye, normal), LEAST_COSINE)
    square = np.maximum(roughness, LEAST_ROUGHNESS) ** 2
    half = to_light + to_eye
    half /= np.maximum(np.sqrt(dot(half, half)), np.float32(1e-12))
    upright = dot(half, normal)
    # From the vector itself, not 1 - cos^2, which float32 cannot tell from 0 over a smooth coat.
    aside = half - upright * normal
    spread = upright * upright * square + dot(aside, aside)
    density = square / (np.float32(np.pi) * np.maximum(spread * spread, np.float32(1e-24)))
    lit = np.maximum(light, np.float32(1e-6))
    # Masking by the height-correlated G2, over 4 cos cos: its cosines cancel.
    masked = 0.5 / (
        lit * np.sqrt(square + (1.0 - square) * eye * eye)
        + eye * np.sqrt(square + (1.0 - square) * lit * lit)
    )
    reflected = fresnel(dot(half, to_eye), ior) * density * masked
    return np.asarray(np.where(light > 0.0, reflected, 0.0), np.float32)


def sampled(to_eye: Array, normal: Array, roughness: Array, ior: Array, u: Array) -> tuple[Array, Array]:
    """A reflected direction (3, n) for each of u (2, n), with its weight (n,): the lobe x cosine over the density.

    Facets are drawn as often as the eye sees them, so the weight is Fresnel x what of the way out is open, at most 1;
    0 for a direction below the surface.

    Source: E. Heitz, Sampling the GGX Distribution of Visible Normals, JCGT 7(4), 2018; the same distribution by the
    cap of J. Dupuy and A. Benyoub, Sampling Visible GGX Normals with Spherical Caps, HPG 2023.
    """
    alpha = np.maximum(roughness, LEAST_ROUGHNESS)
    first, second = basis(normal)
    eye = np.stack([dot(to_eye, first), dot(to_eye, second), np.maximum(dot(to_eye, normal), LEAST_COSINE)])
    eye /= np.sqrt(dot(eye, eye))
    stretched = np.stack([alpha * eye[0], alpha * eye[1], eye[2]])
    stretched /= np.sqrt(dot(stretched, stretched))
    turn = np.float32(2.0 * np.pi) * u[0]
    height = (1.0 - u[1]) * (1.0 + stretched[2]) - stretched[2]
    sine = np.sqrt(np.clip(1.0 - height * height, 0.0, 1.0))
    facet = np.stack([sine * np.cos(turn), sine * np.sin(turn), height]) + stretched
    facet[:2] *= alpha
    facet[2] = np.maximum(facet[2], 0.0)
    facet /= np.maximum(np.sqrt(dot(facet, facet)), np.float32(1e-12))
    cosine = dot(eye, facet)
    light = 2.0 * cosine * facet - eye
    square = alpha * alpha
    out, back = _lambda(light[2], square), _lambda(eye[2], square)
    weight = fresnel(cosine, ior) * (1.0 + back) / (1.0 + back + out)
    direction = light[0] * first + light[1] * second + light[2] * normal
    return direction, np.asarray(np.where(light[2] > 0.0, weight, 0.0), np.float32)


def _lambda(cosine: Array, square: Array) -> Array:
    """Smith's Lambda of GGX (n,) for a way out at `cosine` (n,) from the normal, alpha^2 `square` (n,)."""
    flat = np.maximum(cosine * cosine, np.float32(1e-12))
    return np.asarray(0.5 * (np.sqrt(1.0 + square * (1.0 - flat) / flat) - 1.0), np.float32)
