"""Calibrations hold from their time until a later one of the same camera."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone

import pytest

from capturestation.library import Library
from capturestation.records import CalibrationRow

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
