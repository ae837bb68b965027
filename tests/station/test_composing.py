"""A clip is composed in the form that is encoded; it shows what the painter paints whole."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from pathlib import Path

import numpy as np
import pytest

from capturestation.compare.playout import Pace
from capturestation.drawing.clip_painter import ClipPainter, ClipState, Patch
from capturestation.drawing.rect import Rect
from capturestation.media.frames import FrameReader
from capturestation.records import Quiet
from capturestation.station import handout
from capturestation.station.handout import make_clip
from tests.helpers.coded_bay import coded_bay, request_all_four_of
from tests.helpers.made_swings import MS

pytestmark = pytest.mark.usefixtures("qapp")


def test_a_composed_clip_is_the_painted_one_also_after_a_remark_is_gone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    painters: list[ClipPainter] = []
    states: list[ClipState] = []

    class Watched(ClipPainter):
        def patches(self, shown: Mapping[str, Rect], state: ClipState) -> list[Patch]:
            painters.append(self)
            states.append(state)
            return super().patches(shown, state)

    monkeypatch.setattr(handout, "ClipPainter", Watched)
    # It begins before the recordings do, and a recording's first picture stands on when its
    # remark has gone.
    request = dataclasses.replace(
        request_all_four_of(coded_bay(tmp_path)),
        start_ns=-900 * MS,
        stop_ns=-300 * MS,
        pace=Pace(),
        short_side_px=360,
    )

    report = make_clip(request, tmp_path / "clip.mp4", watch=Quiet())

    made, told = painters[0], list(states)
    remarks = [sum(map(bool, state.notes.values())) for state in told]
    assert remarks[0] > 0
    assert remarks[-1] == 0
    pictures = {name: FrameReader(_file(request, name)) for name in report.sources}
    with FrameReader(report.path) as clip:
        for frame in range(0, report.frames, 5):
            shown = {
                name: reader.frame_rgb(int(report.sources[name][frame]))
                for name, reader in pictures.items()
            }
            painted = made.paint(shown, told[frame]).astype(int)
            off = np.abs(clip.frame_rgb(frame).astype(int) - painted).mean(axis=2)
            blocks = off.reshape(36, 10, -1, 10).mean(axis=(1, 3))
            assert off.mean() <= 3, frame
            assert blocks.max() <= 40, frame
    for reader in pictures.values():
        reader.close()


def _file(request: handout.ClipRequest, name: str) -> Path:
    which, _, view = name.partition(" ")
    side = request.now if which == "now" else request.then
    assert side is not None
    return next(path for one, path in side.media.items() if str(one) == view)
