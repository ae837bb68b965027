"""What all adjustments share: holding large misfits down, and turning equations into errors."""

from __future__ import annotations

import numpy as np

from calibration.projection import FloatArray

HELD_DOWN = 3.0
"""Misfits beyond three sigma count by their size only, no longer by its square."""
_WEAKEST = 1e-14
# Of scaled equations: a direction this weak isn't known, and its error comes out without bound.


def held_down(misfits: FloatArray, sigma: float) -> tuple[float, FloatArray]:
    """Cost and weights of misfits of two coordinates each.

    Args:
        misfits: Their lengths.
        sigma: Of one coordinate; 0 holds nothing down.
    """
    if sigma <= 0.0:
        return float((misfits**2).sum()), np.ones_like(misfits)
    limit = HELD_DOWN * np.sqrt(2.0) * sigma
    far = misfits > limit
    cost = np.where(far, 2.0 * limit * misfits - limit**2, misfits**2)
    weights: FloatArray = np.where(far, limit / np.where(far, misfits, 1.0), 1.0)
    return float(cost.sum()), weights


def usual_size(misfits: FloatArray, spare: float) -> float:
    """Sigma of one coordinate by the middle misfit, so that a few large ones don't count.

    Args:
        misfits: Of single coordinates.
        spare: Share of misfits over after the unknowns took theirs, 0..1.
    """
    return float(np.median(np.abs(misfits)) / 0.6745 / np.sqrt(max(spare, 0.02)))


def errors_of(normal: FloatArray) -> FloatArray:
    """The covariance that normal equations leave; without bound in directions they don't hold."""
    diagonal = np.diagonal(normal)
    scale = np.sqrt(np.where(diagonal > 0.0, diagonal, 1.0))
    values, vectors = np.linalg.eigh(normal / scale[:, None] / scale[None, :])
    kept = np.maximum(values, _WEAKEST * max(float(values.max(initial=0.0)), 1e-300))
    covariance: FloatArray = (vectors / kept) @ vectors.T / scale[:, None] / scale[None, :]
    return covariance
