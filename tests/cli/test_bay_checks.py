"""What is asked about a bay by command: errors beforehand, and whether the target line holds."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from calibration.camera import project_points
from capturestation.library import Library
from capturestation.records import Plain, View
from tests.cli.conftest import Outcome, Typed
from tests.helpers.calibrated import BY_VIEW, calibrated, calibration_row
from tests.helpers.station_library import Filled

BEHIND = calibrated(BY_VIEW[View.DOWN_THE_LINE])
STANDS = ("--camera", "front", "0,-2.8,1.1", "--camera", "behind", "-3.2,0.4,1")
WIDE = ("--field-of-view", "front", "66", "1280x720", "--field-of-view", "behind", "66", "1280x720")


def stick(turn_deg: float, offset_m: float = 0.6) -> str:
    """Its ends as the camera down the line sees them."""
    turn = np.radians(turn_deg)
    along = 0.61 * np.array([np.cos(turn), np.sin(turn), 0.0])
    middle = np.array([0.0, offset_m, 0.004])
    seen = project_points(BEHIND, np.stack([middle - along, middle + along]))
    return " ".join(f"{x:.2f},{y:.2f}" for x, y in seen)


def ask_line(typed: Typed, *words: str) -> Outcome:
    return typed("calibrations", "line", BEHIND.name, *words)


def counts(done: Outcome) -> list[dict[str, Plain]]:
    """What so many places will give."""
    assert isinstance(done.value, dict)
    found = done.value["counts"]
    assert isinstance(found, list)
    return [one for one in found if isinstance(one, dict)]


def errors_mm(done: Outcome) -> list[float]:
    """Of every camera's place, at each number of places."""
    found = []
    for one in counts(done):
        cameras = one["cameras"]
        assert isinstance(cameras, list)
        for camera in cameras:
            assert isinstance(camera, dict)
            assert isinstance(camera["u_place_mm"], float)
            found.append(camera["u_place_mm"])
    return found


@pytest.fixture
def measured(filled: Filled) -> None:
    with Library.open(filled.folder) as library:
        row = replace(calibration_row(BEHIND, "behind"), u_place_mm=2.0, u_turn_deg=0.05)
        library.add_calibration(row)


@pytest.mark.usefixtures("measured")
def test_the_stick_that_stays_says_whether_the_line_holds(typed: Typed) -> None:
    holds = ask_line(typed, stick(0.0), "--offset-m", "0.6")
    turned = ask_line(typed, stick(4.0, offset_m=-0.3), "--offset-m", "-0.2", "--json")

    assert holds.code == 0, holds.err
    assert "The target line holds: the stick lies parallel to it" in holds.out
    assert turned.code == 7
    assert isinstance(turned.value, dict)
    assert turned.value["format"] == "line check"
    assert turned.value["verdict"] == "turned"
    assert turned.value["turn_deg"] == pytest.approx(4.0, abs=0.02)
    assert turned.value["offset_off_m"] == pytest.approx(-0.1, abs=1e-3)
    assert "Lay the stick again" in str(turned.value["said"])


@pytest.mark.usefixtures("measured")
@pytest.mark.parametrize(
    ("camera", "marked", "code", "why"),
    [
        (BEHIND.name, "1,2", 3, "two places in pixels"),
        (BEHIND.name, "600,2 700,2", 3, "don't lie on the mat"),
        ("another", "1,2 3,4", 4, "was not measured yet"),
    ],
)
def test_a_stick_that_tells_nothing_says_why(
    typed: Typed, camera: str, marked: str, code: int, why: str
) -> None:
    done = typed("calibrations", "line", camera, marked, "--offset-m", "0.6")

    assert done.code == code
    assert why in done.err


def test_errors_are_said_before_anything_is_filmed(typed: Typed) -> None:
    large = typed("calibrations", "expect", *STANDS, *WIDE, "--json")
    small = typed("calibrations", "expect", *STANDS, *WIDE, "--square-mm", "30")

    assert large.code == small.code == 0, large.err
    few, _, many = counts(large)
    assert (few["places"], many["places"]) == (3, 6)
    errors = errors_mm(large)
    assert errors[0] > errors[-2] > 0
    assert few["metres_good"] is many["metres_good"] is False
    assert small.out.count("for laying pictures over only") == 3


def test_a_left_handers_bay_is_the_same_from_the_other_side(typed: Typed) -> None:
    mirrored = ("--camera", "front", "0,2.8,1.1", "--camera", "behind", "-3.2,-0.4,1")
    right = errors_mm(typed("calibrations", "expect", *STANDS, *WIDE, "--json"))
    left = errors_mm(typed("calibrations", "expect", *mirrored, *WIDE, "--left-handed", "--json"))
    wrong = typed("calibrations", "expect", *mirrored, *WIDE)

    assert left == pytest.approx(right, rel=0.25)
    assert wrong.code == 3
    assert "would see none of these places" in wrong.err


@pytest.mark.parametrize("words", ["here", "0,0,1", "1,2", "99,0,1"])
def test_a_place_that_is_none_is_refused(typed: Typed, words: str) -> None:
    done = typed("calibrations", "expect", "--camera", "front", words, *WIDE[:4])

    assert done.code == 3
    assert "three numbers of metres" in done.err


def test_a_lens_that_is_not_known_is_asked_for(typed: Typed) -> None:
    done = typed("calibrations", "expect", *STANDS, *WIDE[:4])

    assert done.code == 4
    assert "lens of behind was not measured" in done.err
