"""Calibrations hold from their time until a later one of the same camera."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone

import pytest

from capturestation.errors import NotFoundError
from capturestation.library import Library, rebuild
from capturestation.records import CalibrationKind, CalibrationRow, Quiet

FIRST = datetime(2026, 9, 1, 8, tzinfo=UTC)


def calibration(key: str, valid_from: datetime, camera: str = "left webcam") -> CalibrationRow:
    """A calibration whose document nobody reads."""
    return CalibrationRow(id=key, camera=camera, valid_from=valid_from, document='{"f": 1}')


def test_the_calibration_of_a_time_is_the_last_before_it(library: Library) -> None:
    first = library.add_calibration(calibration("a", FIRST))
    second = library.add_calibration(calibration("b", FIRST + timedelta(days=7)))
    library.add_calibration(calibration("c", FIRST, camera="other"))

    assert library.calibration_at("left webcam", FIRST - timedelta(seconds=1)) is None
    assert library.calibration_at("left webcam", FIRST) == first
    assert library.calibration_at("left webcam", FIRST + timedelta(days=6)) == first
    assert library.calibration_at("left webcam", FIRST + timedelta(days=8)) == second
    assert library.calibrations("left webcam") == (second, first)


def test_times_of_other_zones_are_compared_as_times(library: Library) -> None:
    east = timezone(timedelta(hours=5))
    kept = library.add_calibration(calibration("a", FIRST.astimezone(east)))

    assert library.calibration_at("left webcam", FIRST) == kept
    assert library.calibration_at("left webcam", FIRST - timedelta(minutes=1)) is None


def test_a_time_without_zone_or_an_id_in_use_is_our_bug(library: Library) -> None:
    library.add_calibration(calibration("a", FIRST))

    with pytest.raises(ValueError, match="time zone"):
        library.add_calibration(calibration("b", FIRST.replace(tzinfo=None)))
    with pytest.raises(ValueError, match="already"):
        library.add_calibration(calibration("a", FIRST))

    assert len(library.calibrations("left webcam")) == 1


def test_a_withdrawn_one_never_held_and_may_be_used_again(library: Library) -> None:
    first = library.add_calibration(calibration("a", FIRST))
    second = library.add_calibration(calibration("b", FIRST + timedelta(days=7)))
    later = FIRST + timedelta(days=8)

    withdrawn = library.withdraw_calibration("b", later)

    assert withdrawn == replace(second, withdrawn_at=later)
    assert library.calibration_at("left webcam", later) == first
    assert library.calibrations() == (withdrawn, first)
    assert library.withdraw_calibration("b", None) == second
    assert library.calibration_at("left webcam", later) == second
    with pytest.raises(NotFoundError):
        library.withdraw_calibration("c", later)


def test_how_a_lens_draws_is_kept_apart_from_where_it_stands(library: Library) -> None:
    lens = replace(calibration("l", FIRST + timedelta(days=1)), kind=CalibrationKind.LENS)
    place = library.add_calibration(calibration("p", FIRST))
    library.add_calibration(lens)
    later = FIRST + timedelta(days=2)

    assert library.calibration_at("left webcam", later) == place
    assert library.lens_at("left webcam", later) == lens
    assert library.lens_at("left webcam", FIRST) is None


def test_all_that_is_known_of_one_is_in_its_file(library: Library) -> None:
    row = replace(
        calibration("b", FIRST),
        bay="bay",
        kind=CalibrationKind.ANGLES,
        u_place_mm=8.5,
        u_turn_deg=0.25,
        reference="/9j/",
        withdrawn_at=FIRST + timedelta(days=3),
    )
    library.add_calibration(row)
    folder = library.places.root
    library.close()

    rebuild(folder, Quiet())

    with Library.open(folder) as again:
        assert again.calibration("b") == row
