"""The formulas for high range and wide colour against numbers of the standards."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from capturestation.media.light import (
    PEAK_NITS,
    WHITE_NITS,
    Gamut,
    Transfer,
    bt709_from,
    cube_text,
    hlg_to_nits,
    nits_to_pq,
    pq_to_nits,
    rolled_off,
    to_ordinary,
)


@pytest.mark.parametrize(
    ("nits", "code"), [(0.0, 0.0), (0.1, 0.0625), (100.0, 0.508), (203.0, 0.581), (1e4, 1.0)]
)
def test_pq_codes_are_those_of_the_standard(nits: float, code: float) -> None:
    # ST 2084 and BT.2408-4 table 1: 203 cd/m2 is 58 %, 100 cd/m2 is 50.8 %.
    assert float(nits_to_pq(np.array(nits))) == pytest.approx(code, abs=6e-4)


@given(st.floats(0, 1))
def test_pq_runs_back_to_its_code(code: float) -> None:
    assert float(nits_to_pq(pq_to_nits(np.array(code)))) == pytest.approx(code, abs=1e-6)


@pytest.mark.parametrize(
    ("code", "nits", "within"),
    [(0.0, 0.0, 1e-9), (0.38, 26.0, 0.5), (0.75, 203.0, 0.5), (1.0, 1000.0, 0.1)],
)
def test_hlg_codes_are_those_of_the_report(code: float, nits: float, within: float) -> None:
    # BT.2408-4 table 1, peak 1,000 cd/m2: 38 % is grey at 26 cd/m2, 75 % is white at 203 cd/m2.
    assert hlg_to_nits(np.full(3, code)) == pytest.approx(nits, abs=within)


def test_the_gamut_matrix_is_the_published_one() -> None:
    # ITU-R BT.2087-0 gives its inverse, light of BT.709 to light of BT.2020.
    published = [[0.6274, 0.3293, 0.0433], [0.0691, 0.9195, 0.0114], [0.0164, 0.0880, 0.8956]]

    assert np.linalg.inv(bt709_from(Gamut.BT2020)) == pytest.approx(np.array(published), abs=1e-4)
    assert bt709_from(Gamut.BT709) == pytest.approx(np.eye(3), abs=1e-12)


@pytest.mark.parametrize("gamut", list(Gamut))
def test_white_stays_white_in_any_gamut(gamut: Gamut) -> None:
    assert bt709_from(gamut).sum(axis=1) == pytest.approx(1.0, abs=1e-12)


@given(st.floats(0, PEAK_NITS), st.floats(0, PEAK_NITS))
def test_the_roll_off_never_turns_back_and_never_brightens(one: float, other: float) -> None:
    low, high = sorted((one, other))

    bent = rolled_off(np.array([low, high]))

    assert bent[0] <= bent[1] + 1e-6
    assert np.all(bent <= np.array([low, high]) + 1e-6)


def test_the_roll_off_leaves_the_dark_and_ends_at_white() -> None:
    dark = np.array([0.0, 1.0, 26.0, 80.0])

    assert rolled_off(dark) == pytest.approx(dark, rel=1e-6, abs=1e-6)
    assert float(rolled_off(np.array(PEAK_NITS))) == pytest.approx(WHITE_NITS, rel=1e-6)


def test_what_is_darker_than_the_knee_keeps_its_exact_light() -> None:
    # 26 cd/m2 is grey of 18 %: 26/203 of white on a screen of power 2.4.
    grey = to_ordinary(np.full(3, float(nits_to_pq(np.array(26.0)))), Transfer.PQ, Gamut.BT2020)

    assert grey == pytest.approx((26 / 203) ** (1 / 2.4), abs=1e-5)


def test_both_systems_show_the_same_light_alike() -> None:
    hlg = np.array([[0.3, 0.3, 0.3], [0.5, 0.4, 0.35], [0.75, 0.75, 0.75]])

    by_pq = to_ordinary(nits_to_pq(hlg_to_nits(hlg)), Transfer.PQ, Gamut.BT2020)

    assert by_pq == pytest.approx(to_ordinary(hlg, Transfer.HLG, Gamut.BT2020), abs=1e-6)


def test_the_table_runs_red_fastest() -> None:
    rows = cube_text(Transfer.HLG, Gamut.BT2020).splitlines()

    size = int(rows[0].split()[1])
    assert len(rows) == 1 + size**3
    second = [float(part) for part in rows[2].split()]
    assert second == pytest.approx(
        to_ordinary(np.array([1 / (size - 1), 0, 0]), Transfer.HLG, Gamut.BT2020), abs=1e-6
    )
