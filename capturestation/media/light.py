"""High dynamic range and wide colour, brought into the range of a clip: formulas only.

Owns what a code of the two high-range systems stands for in light, how bright parts are rolled
off, and the colours' way into BT.709. Ordinary pictures never come here. Refusing such files was
the other choice; phones write them unasked, so they are shown, and the same way everywhere.

Source: SMPTE ST 2084:2014 and ITU-R BT.2100-2 tables 4 and 5 (codes to light); ITU-R BT.2390-8,
5.4.1 (roll-off); ITU-R BT.2408-4 (white at 203 cd/m2); ITU-R BT.1886 (power 2.4 of a screen).
"""

from __future__ import annotations

from enum import StrEnum
from functools import cache

import numpy as np

from capturestation.records import FloatArray

PEAK_NITS = 1000.0
"""Nominal peak of BT.2100's HLG, and what phones master to; above it is white."""

WHITE_NITS = 203.0
"""Diffuse white in a high-range picture (BT.2408): what becomes full white here, highlights in."""

SCREEN_POWER = 2.4
"""Of an ordinary screen (BT.1886)."""

CUBE_SIZE = 33
"""Steps a side of the table that pictures are sent through; greys keep within 2 levels by it."""


class Transfer(StrEnum):
    """How codes stand for light."""

    ORDINARY = "ordinary"
    PQ = "PQ"
    HLG = "HLG"


class Gamut(StrEnum):
    """Which red, green and blue the codes mix; BT.601's differ too little to convert."""

    BT709 = "BT.709"
    BT2020 = "BT.2020"
    P3 = "P3"


_CORNERS_XY = {
    Gamut.BT709: ((0.640, 0.330), (0.300, 0.600), (0.150, 0.060)),
    Gamut.BT2020: ((0.708, 0.292), (0.170, 0.797), (0.131, 0.046)),
    Gamut.P3: ((0.680, 0.320), (0.265, 0.690), (0.150, 0.060)),
}
"""ITU-R BT.709-6, BT.2020-2 and SMPTE EG 432-1: chromaticities of red, green and blue."""

_WHITE_XY = (0.3127, 0.3290)
"""D65, the white of all three."""

_M1, _M2 = 2610 / 16384, 2523 / 4096 * 128
_C1, _C2, _C3 = 3424 / 4096, 2413 / 4096 * 32, 2392 / 4096 * 32
"""ST 2084's constants."""

_A, _B, _C = 0.17883277, 0.28466892, 0.55991073
"""BT.2100 HLG's constants; c = 0.5 - a ln(4a)."""

_SYSTEM_POWER = 1.2
"""Of HLG's scene to screen at a peak of 1,000 cd/m2 (BT.2100)."""

_LUMINANCE_2020 = np.array([0.2627, 0.6780, 0.0593])


def pq_to_nits(code: FloatArray) -> FloatArray:
    """Light of PQ codes.

    Args:
        code: 0..1, any shape.

    Returns:
        cd/m2, 0..10,000, same shape.

    Source:
        ST 2084, equation 4.1.
    """
    power = np.power(np.clip(code, 0, 1), 1 / _M2)
    light = np.power(np.maximum(power - _C1, 0) / (_C2 - _C3 * power), 1 / _M1)
    return np.asarray(10_000 * light, np.float64)


def nits_to_pq(nits: FloatArray) -> FloatArray:
    """PQ codes of light: the inverse of `pq_to_nits`."""
    power = np.power(np.clip(nits / 10_000, 0, 1), _M1)
    return np.asarray(np.power((_C1 + _C2 * power) / (1 + _C3 * power), _M2), np.float64)


def hlg_to_nits(rgb: FloatArray) -> FloatArray:
    """Light that a screen of 1,000 cd/m2 gives for HLG codes.

    Args:
        rgb: (..., 3), 0..1, red, green, blue of BT.2020.

    Returns:
        cd/m2, same shape.

    Source:
        BT.2100-2 table 5: inverse OETF, then OOTF with a system power of 1.2.
    """
    code = np.clip(rgb, 0, 1)
    scene = np.where(code <= 0.5, code**2 / 3, (np.exp((code - _C) / _A) + _B) / 12)
    luminance = (scene @ _LUMINANCE_2020)[..., np.newaxis]
    return np.asarray(PEAK_NITS * luminance ** (_SYSTEM_POWER - 1) * scene, np.float64)


def rolled_off(nits: FloatArray) -> FloatArray:
    """Light up to `PEAK_NITS` bent to end at `WHITE_NITS`; what is dark stays as it is.

    Source:
        BT.2390-8, 5.4.1: a Hermite curve above a knee, in PQ codes, black at 0.
    """
    top = float(nits_to_pq(np.array(PEAK_NITS)))
    most = float(nits_to_pq(np.array(WHITE_NITS))) / top
    knee = 1.5 * most - 0.5
    code = np.clip(nits_to_pq(nits) / top, 0, 1)
    t = np.maximum(code - knee, 0) / (1 - knee)
    bent = (
        (2 * t**3 - 3 * t**2 + 1) * knee
        + (t**3 - 2 * t**2 + t) * (1 - knee)
        + (-2 * t**3 + 3 * t**2) * most
    )
    return pq_to_nits(np.where(code < knee, code, bent) * top)


def bt709_from(gamut: Gamut) -> FloatArray:
    """The matrix from light in another gamut to light in BT.709, (3, 3).

    Example:
        >>> bt709_from(Gamut.BT2020).round(3)[0].tolist()
        [1.66, -0.588, -0.073]
    """
    return np.asarray(np.linalg.solve(_xyz_from(Gamut.BT709), _xyz_from(gamut)), np.float64)


def _xyz_from(gamut: Gamut) -> FloatArray:
    corners = np.array([[x / y, 1.0, (1 - x - y) / y] for x, y in _CORNERS_XY[gamut]]).T
    x, y = _WHITE_XY
    weights = np.linalg.solve(corners, np.array([x / y, 1.0, (1 - x - y) / y]))
    return np.asarray(corners * weights, np.float64)


def to_ordinary(rgb: FloatArray, transfer: Transfer, gamut: Gamut) -> FloatArray:
    """Codes of any system to codes of BT.709 as an ordinary screen shows them.

    The brightest of the three channels is rolled off and the other two go with it, so that a
    bright colour keeps its hue; what BT.709 can't hold is cut at its edge.

    Args:
        rgb: (..., 3), 0..1, after the picture's own matrix and range.
        transfer: How the codes stand for light.
        gamut: Which colours they mix.

    Returns:
        0..1, same shape.
    """
    if transfer is Transfer.ORDINARY:
        light = np.clip(np.clip(rgb, 0, 1) ** SCREEN_POWER @ bt709_from(gamut).T, 0, 1)
        return np.asarray(light ** (1 / SCREEN_POWER), np.float64)
    nits = pq_to_nits(rgb) if transfer is Transfer.PQ else hlg_to_nits(rgb)
    here = np.maximum(nits @ bt709_from(gamut).T, 0)
    brightest = here.max(axis=-1, keepdims=True)
    scale = rolled_off(brightest) / np.maximum(brightest, 1e-9)
    return np.asarray(np.clip(here * scale / WHITE_NITS, 0, 1) ** (1 / SCREEN_POWER), np.float64)


@cache
def cube_text(transfer: Transfer, gamut: Gamut) -> str:
    """`to_ordinary` as a table in the text form that picture tools read, red running fastest."""
    steps = np.linspace(0, 1, CUBE_SIZE)
    blue, green, red = np.meshgrid(steps, steps, steps, indexing="ij")
    shown = to_ordinary(np.stack([red, green, blue], axis=-1), transfer, gamut).reshape(-1, 3)
    rows = "\n".join("{:.6f} {:.6f} {:.6f}".format(*row) for row in shown.tolist())
    return f"LUT_3D_SIZE {CUBE_SIZE}\n{rows}\n"
