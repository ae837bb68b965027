"""A library of swings of 720 lines at 240 a second whose pictures say which frame they are.

Each picture carries its number in a patch in the middle of what moves, so it is seen whole
when the Bench cuts pictures to the golfer. The earlier swing, laid over and moved down by a sixth,
says its own number in the grey below. Written by processes of their own, so that an encoder's
memory isn't counted.
"""

from __future__ import annotations

from concurrent.futures import ProcessPoolExecutor
from datetime import UTC, date, datetime, timedelta
from fractions import Fraction
from functools import cache
from multiprocessing import get_context
from pathlib import Path

import numpy as np

from capturestation.library import Library
from capturestation.media.working_copy import make_copy
from capturestation.records import (
    FrameArray,
    Lesson,
    LessonId,
    Moment,
    Quiet,
    Student,
    StudentId,
    SwingBook,
    SwingFacts,
    SwingId,
    Sync,
    SyncSource,
    View,
    hand_mark,
    new_id,
)
from capturestation.station.cache import Cache
from capturestation.station.sources import read_sources
from tests.helpers.coded_media import Traits, paint_code, read_code, write_coded_clip

SIZE = (1280, 720)
FRAMES = 480
RATE_HZ = Fraction(240)
FRAME_NS = 1_000_000_000 // 240
PATCH = (320, 300, 640, 360)
"""Left, top, width and height of the coded patch; its own top sixth carries the number."""
GOLFER = (260, 30, 1020, 700)
"""Left, top, right and bottom of what moves: so far pictures are cut, and the patch lies within."""
GRAIN = 10.0
"""Grey steps: a picture of a working copy takes some 45 kB by it, as a filmed one does."""
DOWN = 1 / 6
"""How far the earlier swing is moved down, share of the height: its patch lands on grey."""
IMPACT_FRAME = {"now": 300, "then": 290}
VIEWS = (View.FACE_ON, View.DOWN_THE_LINE)
FIRST = datetime(2026, 10, 30, 9, 0, tzinfo=UTC)
_MOMENTS_MS = {Moment.CLUB_STARTS: -900, Moment.TOP: -260, Moment.SHAFT_LEVEL_THROUGH: 40}


def picture(number: int, seed: int) -> FrameArray:
    """Grain that stands still, detail that moves where a golfer would, a patch with its number."""
    frame = _grain(seed).copy()
    left, top, right, bottom = GOLFER
    wave = 90 + 60 * np.sin(
        (np.arange(left, right)[None, :] + 3 * number) / (9 + seed)
        + np.arange(top, bottom)[:, None] / 37
    )
    frame[top:bottom, left:right] = wave[:, :, None].astype(np.uint8)
    left, top, across, down = PATCH
    # What lies over is moved down: where it covers today's number it says nothing.
    above = slice(top - round(DOWN * SIZE[1]), top)
    frame[above, left : left + across] = 128
    left, top, across, down = PATCH
    inner = np.full((down, across, 3), 128, np.uint8)
    frame[top : top + down, left : left + across] = paint_code(inner, number)
    return frame


@cache
def _grain(seed: int) -> FrameArray:
    """As fine as grass, so that pictures take as long to decode as filmed ones."""
    width, height = SIZE
    steps = np.random.default_rng(seed).normal(0, GRAIN, (height, width, 1))
    return np.repeat((128 + steps).clip(0, 255).astype(np.uint8), 3, axis=2)


def read_patch(shown: FrameArray) -> int:
    """The number on a picture's patch, cut out of what was painted.

    Raises:
        ValueError: If none can be read.
    """
    return read_code(shown)


def _write(path: Path, seed: int) -> None:
    write_coded_clip(
        path,
        frames=FRAMES,
        rate_hz=RATE_HZ,
        size=SIZE,
        traits=Traits(key_every=240),
        picture=lambda number: picture(number, seed),
    )


def build(folder: Path, swings: int) -> tuple[Path, Cache, list[SwingId]]:
    """A library with so many swings of one lesson, and their working copies; the first is starred.

    Returns:
        The library's folder, the cache, and the swings' ids in the order struck.
    """
    with ProcessPoolExecutor(max_workers=2, mp_context=get_context("spawn")) as crew:
        files = {
            (which, view): folder / f"{which}-{view}.mp4"
            for which in IMPACT_FRAME
            for view in VIEWS
        }
        made = [crew.submit(_write, path, seed) for seed, path in enumerate(files.values())]
        for one in made:
            one.result()
        ids = _fill(folder / "library", files, swings)
        cache = Cache(folder / "cache")
        for one in [crew.submit(_copy, folder, swing_id) for swing_id in ids]:
            one.result()
    return folder / "library", cache, ids


def _fill(root: Path, files: dict[tuple[str, View], Path], swings: int) -> list[SwingId]:
    ids = []
    with Library.open(root) as library:
        student = library.add_student(
            Student(id=StudentId(new_id()), name="Coded", birth_year=1980)
        )
        lesson = library.add_lesson(
            Lesson(id=LessonId(new_id()), student_id=student.id, on=date(2026, 10, 30))
        )
        for number in range(swings):
            which = "then" if number == 0 else "now"
            media = {view: files[which, view] for view in VIEWS}
            ids.append(_keep(library, lesson, which, media, number))
    return ids


def _keep(
    library: Library, lesson: Lesson, which: str, media: dict[View, Path], number: int
) -> SwingId:
    swing_id = SwingId(new_id())
    sources = [read_sources({view: path}, {}, Quiet())[0] for view, path in media.items()]
    syncs = tuple(
        Sync(
            view=view,
            swing_minus_media_ns=-IMPACT_FRAME[which] * FRAME_NS - place * FRAME_NS // 3,
            u_ns=300_000,
            source=SyncSource.SOUND,
        )
        for place, view in enumerate(VIEWS)
    )
    facts = SwingFacts(
        id=swing_id,
        struck_at=FIRST + timedelta(minutes=number),
        recordings=tuple(source.recording() for source in sources),
        made_by="tests",
    )
    book = SwingBook(
        id=swing_id,
        student_id=lesson.student_id,
        lesson_id=lesson.id,
        club="7 iron",
        starred=number == 0,
        syncs=syncs,
        marks=tuple(hand_mark(m, ms * 1_000_000) for m, ms in _MOMENTS_MS.items()),
    )
    library.keep_swing(facts, book, media, Quiet())
    return swing_id


def _copy(folder: Path, swing_id: SwingId) -> None:
    with Library.open(folder / "library") as library:
        swing = library.swing(swing_id)
        for view in VIEWS:
            make_copy(library.media_path(swing, view), folder / "cache" / swing_id, watch=Quiet())
