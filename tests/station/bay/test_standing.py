"""What is well, what is to be looked at, what keeps balls from being kept; the room on the disk."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from capturestation.capture.messages import Doing, Hello, SoundState, SourceDown
from capturestation.records import NS_PER_S, View
from capturestation.records.capture import SoundHealth, SourceHealth, SourceState
from capturestation.station.bay.standing import Level, Standing
from tests.helpers.bay_facts import BOTH, GOT, HEARS, SOUND, WELL, doing, up

OTHER = replace(WELL, view=View.DOWN_THE_LINE)


def standing(
    *sources: SourceHealth,
    sound: SoundHealth = SOUND,
    balls_left: int | None = 1000,
    free_mb: int = 60_000,
) -> Standing:
    """Two cameras that send, whose health is this."""
    made = Standing(BOTH)
    for view in BOTH:
        made.take(up(view))
    made.take(HEARS)
    made.take(doing(*sources, sound=sound, balls_left=balls_left, free_mb=free_mb))
    return made


def levels(made: Standing) -> dict[str, Level]:
    return {sign.what: sign.level for sign in made.signs()}


def test_before_anything_is_said_everything_is_awaited() -> None:
    made = Standing(BOTH)

    assert levels(made) == {"awaited": Level.LOOK, "ear_awaited": Level.LOOK}
    assert (made.sends, made.room()) == (False, None)


def test_a_bay_that_is_well_says_nothing_else() -> None:
    made = standing()

    assert set(levels(made).values()) == {Level.WELL}
    assert [sign.what for sign in made.signs()] == ["sends", "sends", "apart", "hears", "disk"]
    assert made.all_send


@pytest.mark.parametrize(
    ("source", "what", "level"),
    [
        (replace(WELL, rate_hz=92.0), "slow", Level.LOOK),
        (replace(WELL, missing=3), "missing", Level.LOOK),
        (replace(WELL, ring_full=True, ring_s=4.0), "ring", Level.BAD),
        (replace(WELL, rate_hz=118.0), "sends", Level.WELL),
        (replace(WELL, asked_hz=None, rate_hz=25.0), "sends", Level.WELL),
    ],
)
def test_a_camera_s_trouble_has_its_name(source: SourceHealth, what: str, level: Level) -> None:
    first = standing(source, OTHER).signs()[0]

    assert (first.what, first.level) == (what, level)


def test_a_camera_that_gives_something_else_says_what() -> None:
    made = standing()
    made.take(up(View.FACE_ON, replace(GOT, said=("It gives 640x480.",))))

    first = made.signs()[0]

    assert (first.what, first.said[0]) == ("other", "It gives 640x480.")


def test_what_a_camera_can_t_hold_still_is_said() -> None:
    made = standing()
    made.take(up(View.FACE_ON, replace(GOT, loose=("focus",), loose_said="Its focus may move.")))

    first = made.signs()[0]

    assert (first.what, first.level, first.said[0]) == ("loose", Level.LOOK, "Its focus may move.")


def test_pictures_that_went_missing_long_ago_are_told_and_no_trouble() -> None:
    made = standing(replace(WELL, missing=3), OTHER)
    told = []
    for after_s, missing in ((5, 3), (30, 3), (31, 4)):
        health = doing(replace(WELL, missing=missing), OTHER).health
        made.take(Doing(health=replace(health, at_host_ns=after_s * NS_PER_S)))
        told.append((made.signs()[0].what, made.signs()[0].level))

    assert told == [
        ("missing", Level.LOOK),
        ("missed", Level.WELL),
        ("missing", Level.LOOK),
    ]


@pytest.mark.parametrize(
    ("sound", "what"),
    [
        (replace(SOUND, clipped=True), "clipped"),
        (replace(SOUND, silent=True), "silent"),
        (replace(SOUND, state=SourceState.DOWN), "deaf"),
    ],
)
def test_the_ear_s_trouble_has_its_name(sound: SoundHealth, what: str) -> None:
    assert what in levels(standing(sound=sound))


def test_an_ear_that_says_it_hears_nothing_is_deaf() -> None:
    made = standing()

    made.take(SoundState(hears=False, said="No microphone."))

    assert levels(made)["deaf"] is Level.BAD


def test_a_camera_that_is_gone_says_why_and_its_views_are_not_apart() -> None:
    made = standing()

    made.take(SourceDown(view=View.DOWN_THE_LINE, why="Gone.", try_next="Check."))

    [gone] = [sign for sign in made.signs() if sign.level is Level.BAD]
    assert (gone.what, gone.said) == ("gone", ("Gone.", "Check."))
    assert "apart" not in levels(made)
    assert (made.sends, made.all_send) == (True, False)


def test_what_a_process_said_is_forgotten_with_it() -> None:
    made = standing()

    made.silence()

    assert set(levels(made)) == {"awaited", "ear_awaited"}


def test_the_room_is_told_in_hours_at_this_pace() -> None:
    made = standing(balls_left=120)

    room, quick = made.room(), made.room(balls_an_hour=240)

    assert room is not None
    assert quick is not None
    assert (room.balls, room.hours, quick.hours) == (120, 2.0, 0.5)


@pytest.mark.parametrize(
    ("balls", "level"), [(1000, Level.WELL), (200, Level.LOOK), (20, Level.BAD)]
)
def test_little_room_is_said(balls: int, level: Level) -> None:
    assert levels(standing(balls_left=balls))["disk"] is level


def test_before_the_first_ball_its_size_follows_from_what_comes() -> None:
    # 6 MB a second of each camera, 7 s of a ball.
    room = standing(balls_left=None, free_mb=8_400).room()

    assert room is not None
    assert room.balls == 100


@given(st.integers(min_value=0, max_value=10**7), st.integers(min_value=0, max_value=10**7))
def test_more_free_disk_is_never_less_room(a: int, b: int) -> None:
    less, more = sorted((a, b))

    rooms = [standing(balls_left=None, free_mb=free).room() for free in (less, more)]

    assert rooms[0] is not None
    assert rooms[1] is not None
    assert rooms[0].balls <= rooms[1].balls


def test_what_is_not_about_it_is_left_to_others() -> None:
    assert not Standing().take(Hello(version="1", pid=2))
