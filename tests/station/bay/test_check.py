"""The morning check: focus, light, loudness, disk, and what can't be measured."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from capturestation.media.frames import FrameReader
from capturestation.records import FrameArray, View
from capturestation.station.bay.check import (
    BLURRED,
    BRIGHT,
    DARK,
    MorningCheck,
    light,
    not_measured,
    sharpness,
)
from capturestation.station.bay.setting import SharpThen
from capturestation.station.bay.standing import Level, Sign, Standing
from sample_sessions.session import VIEWS, load_session
from tests.helpers.bay_facts import HEARS, doing, up


@pytest.fixture(scope="module")
def bay() -> FrameArray:
    """A bay as a camera shows it, grey."""
    with FrameReader(load_session().swings[0].clip(VIEWS[0]), cache_mb=0) as reader:
        return reader.frame_grey(0)


def blurred(picture: FrameArray, px: float) -> FrameArray:
    return np.asarray(cv2.GaussianBlur(picture, (0, 0), px), np.uint8)


def standing() -> Standing:
    made = Standing((View.FACE_ON,))
    made.take(up())
    made.take(HEARS)
    made.take(doing())
    return made


def whats(check: MorningCheck, made: Standing) -> dict[str, Level]:
    return {sign.what: sign.level for sign in check.signs(made)}


@pytest.mark.parametrize("noise", [0.0, 2.0])
def test_a_picture_out_of_focus_is_told_from_a_sharp_one(bay: FrameArray, noise: float) -> None:
    rng = np.random.default_rng(3)
    measured = {}
    for px in (0.2, 1.5, 2.0, 3.0, 5.0):
        grainy = blurred(bay, px) + rng.normal(0, noise, bay.shape)
        measured[px] = sharpness(np.clip(grainy, 0, 255).round().astype(np.uint8))

    assert measured.pop(0.2) > 1.5 * BLURRED
    assert all(value < BLURRED for value in measured.values())


def test_focus_does_not_depend_on_light(bay: FrameArray) -> None:
    darker = np.asarray(bay // 2, np.uint8)

    assert sharpness(darker) == pytest.approx(sharpness(bay), rel=0.2)
    assert light(darker) == pytest.approx(light(bay) / 2, abs=1)


def test_an_even_picture_has_no_detail_and_a_tiny_one_is_a_mistake() -> None:
    assert sharpness(np.full((96, 96), 90, np.uint8)) == 0.0
    with pytest.raises(ValueError, match="at least 96 px"):
        sharpness(np.zeros((96, 60), np.uint8))


def test_a_good_bay_is_well_but_for_what_is_not_measured(bay: FrameArray) -> None:
    check = MorningCheck()
    check.see(View.FACE_ON, bay)
    check.hear(0.4)

    found = whats(check, standing())

    assert found.pop("check.moved_unknown") is Level.LOOK
    assert set(found.values()) == {Level.WELL}


@pytest.mark.parametrize(
    ("grey", "what"), [(DARK - 10, "check.dark"), (BRIGHT + 10, "check.bright")]
)
def test_too_little_and_too_much_light_are_said(grey: float, what: str) -> None:
    check = MorningCheck()
    check.see(View.FACE_ON, np.full((96, 160), grey, np.uint8))

    assert what in whats(check, standing())


def test_a_lens_that_is_softer_than_last_time_is_said(bay: FrameArray) -> None:
    then = SharpThen(view="face-on", sharpness=2 * sharpness(bay), light=100.0)
    check = MorningCheck(before=(then,))
    check.see(View.FACE_ON, bay)

    assert whats(check, standing())["check.softer"] is Level.LOOK
    [kept] = check.figures()
    assert kept.sharpness == sharpness(bay)


def test_what_sent_nothing_keeps_its_earlier_figures() -> None:
    then = SharpThen(view="extra", sharpness=0.5, light=100.0)

    assert MorningCheck(before=(then,)).figures() == (then,)


@pytest.mark.parametrize(
    ("peaks", "what"),
    [((0.01,), "check.too_quiet"), ((0.01, 0.3), "check.loud_enough"), ((1.0,), "check.too_loud")],
)
def test_the_loudest_moment_counts(peaks: tuple[float, ...], what: str) -> None:
    check = MorningCheck()
    for peak in peaks:
        check.hear(peak)

    assert what in whats(check, standing())


def test_a_deaf_bay_is_deaf_and_not_quiet() -> None:
    made = Standing((View.FACE_ON,))
    made.take(up())

    assert "ear_awaited" in whats(MorningCheck(), made)


def test_whoever_measured_the_bay_says_whether_a_camera_was_moved(bay: FrameArray) -> None:
    def moved(view: View, grey: FrameArray) -> Sign:
        assert grey is bay
        return Sign(what="check.moved", level=Level.BAD, values={"view": str(view)})

    check = MorningCheck(moved=moved)
    check.see(View.FACE_ON, bay)

    assert whats(check, standing())["check.moved"] is Level.BAD
    assert not_measured(View.FACE_ON, bay).level is Level.LOOK
