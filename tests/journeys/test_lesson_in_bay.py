"""A lesson in the Bay of a real window, with the real process on cameras that play files."""

from __future__ import annotations

import os
import signal
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from capturestation.library import Library
from capturestation.records import View
from capturestation.records.capture import Replay, ReplayPiece, SourceKind, SourceSetting
from capturestation.station.bay.setting import BaySetting, read_bay, write_bay
from tests.helpers.bay_files import CONTACT_S, Pair
from tests.helpers.hand_on_window import Hand, hand_on
from tests.helpers.live_servers import http_camera, jpeg_film
from tests.helpers.real_window import Screen, until
from tests.helpers.recorded_bay import SECOND_BEGUN_S, WINDOWS
from tests.helpers.seen_window import Seen, Spread
from tests.helpers.station_library import Filled

pytestmark = [pytest.mark.process, pytest.mark.slow, pytest.mark.usefixtures("qapp")]
FIRST_S, EVERY_S, BALLS = 4.0, 3.0, 40
ADDRESS = "Address of a network camera"
"""What both the line above it and the field itself are called."""
CHANGED, SHARE = 30, 0.002
# Of 255, and of the picture: each frame of the film has its number on it.


def bay_of(pair: Pair) -> BaySetting:
    """Two cameras that see a ball every few seconds."""
    late_s = {View.FACE_ON: 0.0, View.DOWN_THE_LINE: SECOND_BEGUN_S}
    cameras = tuple(
        SourceSetting(
            view=view,
            kind=SourceKind.REPLAY,
            camera=f"small {view}",
            replay=Replay(
                pieces=tuple(
                    ReplayPiece(
                        file=str(path),
                        at_s=FIRST_S + number * EVERY_S - CONTACT_S + late_s[view],
                    )
                    for number in range(BALLS)
                )
            ),
        )
        for view, path in pair.by_view.items()
    )
    return BaySetting(cameras=cameras, windows=WINDOWS)


def is_word(hand: Hand, word: str) -> None:
    """The one large word is this."""
    hand.until(lambda seen: any(thing.name == word for thing in seen.things), f"{word}")


def gone_to_the_bay(hand: Hand) -> None:
    """From the Book with a student, and a club."""
    hand.on.key("ctrl+f")
    hand.on.type("angs")
    hand.until(lambda seen: "angs" in seen.says, "the field has what was typed")
    hand.on.key("Return")
    hand.press("To the Bay")
    hand.until(lambda seen: seen.place == "bay", "the Bay is seen")
    hand.press("7 iron")


def two_kept(hand: Hand) -> None:
    """Ready, until two balls are kept; the last one is starred and played."""
    is_word(hand, "Paused")
    hand.press("Yes: get ready")
    is_word(hand, "Ready")
    hand.until(lambda seen: "The last ball, slowly" in names(seen), "a replay is seen")
    hand.until(lambda seen: "2 balls are kept" in seen.says, "two are kept")
    hand.on.key("space")
    is_word(hand, "Paused")
    hand.on.key("s")
    hand.until(lambda seen: "starred" in seen.says, "the last ball is starred")


def names(seen: Seen) -> set[str]:
    """What all that is seen is called."""
    return {thing.name for thing in seen.things}


def test_a_lesson_is_recorded_and_one_ball_of_it_is_kept(
    filled: Filled, first_swing: Pair, on: Screen
) -> None:
    state = Path(on.env["XDG_STATE_HOME"]) / "capturestation"
    write_bay(state / "bay.json", bay_of(first_swing))
    before = {filled.best.id, filled.today.id}

    with hand_on(on, filled.folder) as hand:
        gone_to_the_bay(hand)
        two_kept(hand)
        hand.press("End the lesson")
        asked = hand.until(lambda seen: "keep these" in seen.says, "it is asked what stays")
        hand.press("Keep 1, drop")
        hand.until(lambda seen: "The lesson is over" in seen.says, "the lesson is over")
        errors = hand.quit()

    with Library.open(filled.folder) as library:
        kept = [swing for swing in library.newest_swings(9) if swing.id not in before]
        trash = library.trash()
        left = list(library.inbox.iterdir())
    assert errors == ""
    assert "Drop" in asked.says
    [swing] = kept
    assert swing.book.starred
    assert swing.book.club == "7 iron"
    assert swing.book.student_id == filled.today.book.student_id
    assert {sync.view for sync in swing.book.syncs} == {View.FACE_ON, View.DOWN_THE_LINE}
    assert len(trash) >= 1
    assert left == []


def recorders(hand: Hand) -> list[int]:
    """The recording processes that the window has begun and not seen the end of."""
    tasks = Path(f"/proc/{hand.process.pid}/task")
    return [int(pid) for task in tasks.iterdir() for pid in (task / "children").read_text().split()]


def test_a_recording_that_is_killed_is_said_begun_anew_and_ends_with_the_window(
    filled: Filled, first_swing: Pair, on: Screen
) -> None:
    state = Path(on.env["XDG_STATE_HOME"]) / "capturestation"
    write_bay(state / "bay.json", bay_of(first_swing))

    with hand_on(on, filled.folder) as hand:
        gone_to_the_bay(hand)
        hand.press("Yes: get ready")
        is_word(hand, "Ready")
        [killed] = recorders(hand)
        os.kill(killed, signal.SIGKILL)
        said = hand.until(lambda seen: "is begun anew" in seen.says, "it is said")
        is_word(hand, "Ready")
        [follower] = recorders(hand)
        hand.until(lambda seen: "1 ball is kept" in seen.says, "the next ball is kept")
        hand.on.key("space")
        is_word(hand, "Paused")
        hand.until(lambda seen: not seen.is_busy, "it is in the lesson")
        hand.quit()

    assert "What is struck meanwhile is not kept." in said.says
    assert "Paused" in names(said)
    assert follower != killed
    assert not Path(f"/proc/{follower}").exists()


def part_of(on: Screen, where: Spread) -> NDArray[np.int64]:
    """What is seen of a part of the screen, as whole numbers."""
    rows = slice(where.top, where.top + where.height)
    return on.picture()[rows, where.left : where.left + where.width].astype(np.int64)


def is_moving(hand: Hand) -> bool:
    """Whether the live pictures go on: many of their pixels are others than a moment before."""
    where = hand.thing("Live pictures").where
    before = part_of(hand.on, where)
    hand.until(lambda seen: seen.place == "bay", "a moment has gone by")
    return bool((np.abs(part_of(hand.on, where) - before).max(axis=2) > CHANGED).mean() > SHARE)


def test_at_a_first_start_the_first_camera_is_added_by_its_address_and_seen_live(
    filled: Filled, on: Screen, tmp_path: Path
) -> None:
    state = Path(on.env["XDG_STATE_HOME"]) / "capturestation"
    with http_camera(jpeg_film(tmp_path / "film.mkv")) as url, hand_on(on, filled.folder) as hand:
        gone_to_the_bay(hand)
        hand.press("Set the bay up")
        first = hand.until(lambda seen: "The bay's cameras" in names(seen), "the set-up is seen")
        field = [one for one in hand.seen().things if one.name == ADDRESS][-1]
        on.click(*field.where.middle)
        hand.on.type(url)
        hand.until(lambda seen: url in seen.says, "the address is written")
        hand.press("Add it")
        until(lambda: is_moving(hand), "live pictures are seen")
        kept = read_bay(state / "bay.json").setting
        hand.press("Done")
        hand.until(lambda seen: "The bay's cameras" not in names(seen), "the Bay is seen again")
        errors = hand.quit()

    assert "No camera is chosen yet." in first.says
    assert "let nobody be there who did not agree" in first.says
    assert [(camera.view, camera.kind, camera.address) for camera in kept.cameras] == [
        (View.FACE_ON, SourceKind.STREAM, url)
    ]
    assert errors == ""
