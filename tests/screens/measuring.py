"""The steps of measuring the bay, with pictures of boards that two invented cameras take."""

from __future__ import annotations

import base64
from collections.abc import Callable
from dataclasses import replace
from functools import cache, partial

import cv2
import numpy as np

from calibration.boards import BAY_BOARD, LENS_BOARD
from calibration.camera import Camera, project_points
from calibration.corners import Sight
from calibration.sticks import MarkedSticks
from capturestation.capture.messages import Preview
from capturestation.media.still import jpeg_bytes
from capturestation.records import FloatArray, FrameArray, Point, Quiet, View
from capturestation.station.bay.measuring_state import Means
from capturestation.station.bay.setting import BaySetting
from capturestation.station.line_checking import LineChecked
from capturestation.ui.bay.place import BayPlace
from capturestation.ui.window import Window
from tests.helpers.bay_facts import HEARS, doing, up
from tests.helpers.filmed_boards import film
from tests.helpers.made_bays import MadeBay, found_lens, made_bay
from tests.helpers.seen_boards import before_lens, held_poses
from tests.screens.bay import bay_of
from tests.screens.bay import leave as leave_bay
from tests.screens.screen import Screen

FACE_ON, BEHIND = View.FACE_ON, View.DOWN_THE_LINE


@cache
def _made() -> MadeBay:
    return made_bay(np.random.default_rng(5))


def _live(view: View, grey: FrameArray) -> Preview:
    text = base64.b64encode(jpeg_bytes(np.dstack([grey] * 3))).decode("ascii")
    return Preview(view=view, at_host_ns=0, rotation_deg=0, jpeg=text)


def _begin(window: Window) -> BayPlace:
    place = bay_of(window)
    place.bay.setting = BaySetting(cameras=BaySetting(is_demo=True).sources())
    place.measuring.state.begin_anew()
    place.measuring.begin()
    place.bay.recording.wait()
    place.bay.listen()
    for view in (FACE_ON, BEHIND):
        place.bay.take(up(view))
    place.bay.take(HEARS)
    place.bay.take(doing())
    return place


def _show(place: BayPlace, greys: dict[View, FrameArray]) -> None:
    """The same pictures twice, searched where we stand: a screen waits for no thread."""
    for view, grey in greys.items():
        place.bay.take(_live(view, grey))
    measuring = place.measuring.state
    for _ in range(2):
        measuring.take(measuring.search(greys)())


def _lens(window: Window) -> None:
    place, rng = _begin(window), np.random.default_rng(3)
    camera = before_lens()
    for pose in held_poses(LENS_BOARD, 6, rng):
        grey = film(camera, [(LENS_BOARD, pose)], rng)
        _show(place, {FACE_ON: grey, BEHIND: film(camera, [], rng)})


def _use_lenses(place: BayPlace) -> None:
    state, rng = place.measuring.state, np.random.default_rng(1)
    for aim, camera in zip(state.aims, _made().cameras, strict=True):
        lens = replace(found_lens(camera, rng), setting=aim.setting)
        state.use_lens(aim.view, lens)


def _stood(place: BayPlace, count: int) -> None:
    bay, rng = _made(), np.random.default_rng(1)
    for _name, _stance, _heading, pose in bay.stood[:count]:
        greys = {
            view: film(camera, [(BAY_BOARD, pose)], rng)
            for view, camera in zip((FACE_ON, BEHIND), bay.cameras, strict=True)
        }
        _show(place, greys)


def _line(window: Window) -> None:
    place = _begin(window)
    _use_lenses(place)
    rng = np.random.default_rng(1)
    for view, camera in zip((FACE_ON, BEHIND), _made().cameras, strict=True):
        place.bay.take(_live(view, film(camera, [], rng)))


def _places(window: Window) -> None:
    place = _begin(window)
    _use_lenses(place)
    _stood(place, 3)


def _result(window: Window) -> None:
    place, bay = _begin(window), _made()
    _use_lenses(place)
    state = place.measuring.state
    renamed = dict(zip((str(FACE_ON), str(BEHIND)), state.aims, strict=True))
    rng = np.random.default_rng(2)
    for made in bay.places(rng):
        seen = {renamed[name].view: Sight(corners=one) for name, one in made.sights.items()}
        for _ in range(2):
            state.take(seen)
    state.take_outcome(state.job()(Quiet()))
    for view, camera in zip((FACE_ON, BEHIND), bay.cameras, strict=True):
        place.bay.take(_live(view, film(camera, [], rng)))


def _sticks(window: Window) -> None:
    place, bay = _begin(window), _made()
    _use_lenses(place)
    state = place.measuring.state
    state.use_means(Means.STICKS)
    laid = MarkedSticks(ends_px={}).laid_m
    for view, camera in zip((FACE_ON, BEHIND), bay.cameras, strict=True):
        place.bay.take(_live(view, _with_sticks(camera, laid)))
        for end in project_points(camera, laid)[: 4 if view is FACE_ON else 2]:
            state.sticks.marks.press(view, _share(camera, end))


def _stays(window: Window) -> None:
    place, bay = _begin(window), _made()
    _use_lenses(place)
    place.measuring.begin_line()
    page = place.line_page
    page.offset.setText("0.5")
    page.offset.editingFinished.emit()
    laid = np.array([[-0.61, 0.5, 0.004], [0.61, 0.53, 0.004]])
    for view, camera in zip((FACE_ON, BEHIND), bay.cameras, strict=True):
        place.bay.take(_live(view, _with_sticks(camera, laid)))
    for end in project_points(bay.cameras[1], laid):
        page.marks.press(BEHIND, _share(bay.cameras[1], end))
    page.show_checked(_CHECKED)


_CHECKED = LineChecked(
    camera="behind",
    verdict="unsure",
    turn_deg=1.4,
    u_turn_deg=0.4,
    offset_m=0.515,
    u_offset_m=0.01,
    offset_off_m=0.015,
    length_m=1.22,
    said="",
)


def _share(camera: Camera, pixel: FloatArray) -> Point:
    x, y = ((pixel + 0.5) / np.array(camera.size_px)).tolist()
    return Point(x=x, y=y)


def _with_sticks(camera: Camera, laid_m: FloatArray) -> FrameArray:
    """The empty bay with sticks on its mat, each from one end to the next."""
    grey = film(camera, [], np.random.default_rng(1))
    ends = np.round(project_points(camera, laid_m)).astype(int).tolist()
    for begin, end in zip(ends[::2], ends[1::2], strict=True):
        cv2.line(grey, begin, end, 225, 3, cv2.LINE_AA)
    return grey


def _leave(window: Window) -> None:
    place = bay_of(window)
    place.measuring.state.use_means(Means.BOARD)
    place.measure_page.end()
    place.measuring.state.begin_anew()
    leave_bay(window)


def _screen(name: str, show: Callable[[Window], None]) -> Screen:
    return Screen(name=f"bay-measure-{name}", show=partial(show), leave=_leave)


SCREENS = (
    _screen("lens", _lens),
    _screen("line", _line),
    _screen("places", _places),
    _screen("result", _result),
    _screen("sticks", _sticks),
    _screen("line-holds", _stays),
)
