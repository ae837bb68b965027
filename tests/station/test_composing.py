"""A clip is composed in the form that is encoded; it shows what the painter paints whole."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from contextlib import ExitStack
from pathlib import Path
from typing import ClassVar

import numpy as np
import pytest

from capturestation.compare.playout import Pace
from capturestation.drawing.clip_painter import ClipPainter, ClipState, Patch
from capturestation.drawing.rect import Rect
from capturestation.media.frames import FrameReader
from capturestation.records import Quiet
from capturestation.station import handout
from capturestation.station.handout import ClipRequest, make_clip
from tests.helpers.coded_bay import coded_bay, request_all_four_of
from tests.helpers.made_swings import MS

pytestmark = pytest.mark.usefixtures("qapp")


class Watched(ClipPainter):
    """A painter that tells what it was asked to paint."""

    made: ClassVar[list[ClipPainter]] = []
    told: ClassVar[list[ClipState]] = []

    def patches(self, shown: Mapping[str, Rect], state: ClipState) -> list[Patch]:
        Watched.made.append(self)
        Watched.told.append(state)
        return super().patches(shown, state)


@pytest.fixture
def request_with_remarks(tmp_path: Path) -> ClipRequest:
    """It begins before the recordings do; a first picture stands on when its remark has gone."""
    return dataclasses.replace(
        request_all_four_of(coded_bay(tmp_path)),
        start_ns=-900 * MS,
        stop_ns=-300 * MS,
        pace=Pace(),
        short_side_px=360,
    )


def test_a_composed_clip_is_the_painted_one_also_after_a_remark_is_gone(
    request_with_remarks: ClipRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(handout, "ClipPainter", Watched)
    monkeypatch.setattr(Watched, "made", [])
    monkeypatch.setattr(Watched, "told", [])

    report = make_clip(request_with_remarks, tmp_path / "clip.mp4", watch=Quiet())

    told = list(Watched.told)
    remarks = [sum(map(bool, state.notes.values())) for state in told]
    assert remarks[0] > 0
    assert remarks[-1] == 0
    with ExitStack() as stack:
        clip = stack.enter_context(FrameReader(report.path))
        readers = {
            name: stack.enter_context(FrameReader(_file(request_with_remarks, name)))
            for name in report.sources
        }
        for frame in range(0, report.frames, 5):
            shown = {
                name: reader.frame_rgb(int(report.sources[name][frame]))
                for name, reader in readers.items()
            }
            painted = Watched.made[0].paint(shown, told[frame]).astype(int)
            off = np.abs(clip.frame_rgb(frame).astype(int) - painted).mean(axis=2)
            assert off.mean() <= 3, frame
            assert off.reshape(36, 10, -1, 10).mean(axis=(1, 3)).max() <= 40, frame


def _file(request: ClipRequest, name: str) -> Path:
    which, _, view = name.partition(" ")
    side = request.now if which == "now" else request.then
    assert side is not None
    return next(path for one, path in side.media.items() if str(one) == view)
