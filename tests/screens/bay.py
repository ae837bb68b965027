"""What the Bay shows, without a process: what one would say is said here."""

from __future__ import annotations

import base64
from collections.abc import Callable
from dataclasses import replace
from functools import cache, partial

from capturestation.capture.messages import LookAt, LookReady, Preview, SourceDown
from capturestation.media.frames import FrameReader
from capturestation.media.still import jpeg_bytes
from capturestation.records import Swing, View, new_id
from capturestation.records.capture import SourceState
from capturestation.station.bay.bay import Mode
from capturestation.station.bay.choosing import Found
from capturestation.station.bay.ending import Ending
from capturestation.station.bay.person import Person
from capturestation.station.bay.recording import Recording
from capturestation.station.bay.setting import BaySetting
from capturestation.ui.bay.place import BayPlace
from capturestation.ui.window import Window
from sample_sessions.session import VIEWS, load_session
from tests.helpers.bay_facts import HEARS, READY, WELL, SpokenClient, doing, kept, struck, up
from tests.screens.screen import Screen


def bay_of(window: Window) -> BayPlace:
    """The Bay, whose process says only what is said here."""
    window.go_to("bay")
    place = window.places["bay"]
    assert isinstance(place, BayPlace)
    if not isinstance(place.bay.recording, _Spoken):
        place.bay.recording = _Spoken()
        place.bay_path = place.bay_path.with_name("screens.json")
    return place


class _Spoken(Recording):
    def __init__(self) -> None:
        super().__init__(SpokenClient)


@cache
def preview(view: View) -> Preview:
    """The first picture of an invented swing."""
    with FrameReader(load_session().swings[-1].clip(view), cache_mb=0) as reader:
        jpeg = jpeg_bytes(reader.frame_rgb(0))
    text = base64.b64encode(jpeg).decode("ascii")
    return Preview(view=view, at_host_ns=0, rotation_deg=0, jpeg=text)


def _newest(window: Window) -> Swing:
    [swing] = bay_of(window).library.newest_swings(1)
    return swing


def _begin(window: Window) -> BayPlace:
    """Two cameras that send, and who is hitting."""
    place = bay_of(window)
    swing = _newest(window)
    place.bay.setting = BaySetting(is_demo=True)
    place.bay.choose(
        Person(
            student=place.library.student(swing.book.student_id),
            lesson=place.library.lesson(swing.book.lesson_id),
            club=swing.book.club,
        )
    )
    return place


def _send(place: BayPlace) -> None:
    place.bay.recording.wait()
    place.bay.listen()
    for view in VIEWS:
        place.bay.take(up(view))
        place.bay.take(preview(view))
    place.bay.take(HEARS)
    place.bay.take(doing())


def _paused(window: Window) -> None:
    _send(_begin(window))


def _ready(window: Window) -> BayPlace:
    place = _begin(window)
    place.bay.turn()
    _send(place)
    place.bay.take(READY)
    return place


def _replay(window: Window) -> None:
    place = _ready(window)
    swing = load_session().swings[-1]
    looks = []
    for view in VIEWS:
        at_ns = swing.truth(view).contact_sound_media_ns
        assert at_ns is not None
        looks.append(LookAt(view=view, file=str(swing.clip(view)), impact_media_ns=at_ns))
    key = new_id()
    place.bay.take(struck(key))
    place.bay.take(LookReady(id=key, looks=tuple(looks)))


def _replays(window: Window) -> bool:
    return bay_of(window).pictures.is_replaying


def _trouble(window: Window) -> None:
    place = _ready(window)
    why = "The down-the-line camera stopped sending."
    do = "Check its cable and power; it is taken up again as soon as it sends."
    place.bay.take(SourceDown(view=View.DOWN_THE_LINE, why=why, try_next=do))
    gone = replace(WELL, view=View.DOWN_THE_LINE, state=SourceState.DOWN)
    slow = replace(WELL, rate_hz=92.0, missing=3)
    place.bay.take(doing(slow, gone, balls_left=110))
    place.bay.take(struck("a"))
    place.bay.balls.take(kept("a"))
    place.bay.balls.left("a", "")
    place.bay.balls.rate("a", 4)
    place.bay.balled()


def _nobody(window: Window) -> None:
    place = bay_of(window)
    place.bay.setting = BaySetting(is_demo=True)
    place.bay.choose(None)


def _no_camera(window: Window) -> None:
    place = bay_of(window)
    place.bay.setting = BaySetting()
    place.bay.choose(None)


def _who(window: Window) -> None:
    _nobody(window)
    bay_of(window).lessons.ask_who()


def _setup(window: Window) -> None:
    place = bay_of(window)
    place.bay.setting = BaySetting(cameras=BaySetting(is_demo=True).sources())
    place.setting_up.begin()
    place.setup_page.show_found(Found(cameras=(), microphones=("Measuring microphone",)))
    _send(place)


def _check(window: Window) -> None:
    place = bay_of(window)
    place.bay.setting = BaySetting(is_demo=True)
    place.setting_up.check()
    _send(place)
    place.check_page.look_now()


def _end(window: Window) -> None:
    place = _begin(window)
    person = place.bay.person
    assert person is not None
    place.end_page.show_lesson(person.student.name, Ending(place.library, person.lesson.id))
    place.show_over(place.end_page)
    place.end_page.give_keyboard()


def leave(window: Window) -> None:
    place = bay_of(window)
    if place.check_page.isVisible():
        place.check_page.end()
    place.close_over()
    place.bay.balls.forget()
    place.replay.stop()
    place.bay.is_setting_up = False
    place.bay.choose(None)
    place.bay.recording.wait()
    place.bay.listen()
    place.bay.refused = None


def _stands(mode: Mode, window: Window) -> bool:
    return bay_of(window).bay.mode is mode


def _screen(
    name: str, show: Callable[[Window], object], **more: Callable[[Window], bool]
) -> Screen:
    def shown(window: Window) -> None:
        show(window)

    return Screen(name=name, show=shown, leave=leave, **more)


SCREENS = (
    _screen("bay-first", _no_camera),
    _screen("bay-nobody", _nobody),
    _screen("bay-paused", _paused, ready=partial(_stands, Mode.ASKS)),
    _screen("bay-ready", _ready, ready=partial(_stands, Mode.READY)),
    _screen("bay-replay", _replay, ready=_replays),
    _screen("bay-trouble", _trouble),
    _screen("bay-who", _who),
    _screen("bay-setup", _setup),
    _screen("bay-check", _check),
    _screen("bay-end", _end),
)
