"""Which packets of a camera belong to a ball, where they come out of order."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from fractions import Fraction
from itertools import islice
from pathlib import Path

import numpy as np
import pytest

from capturestation.capture.clock import SourceClock
from capturestation.capture.part import Part
from capturestation.capture.ring import Ring
from capturestation.capture.source import Life
from capturestation.capture.strike import Strike
from capturestation.media._films import Line
from capturestation.media.frames import FrameReader
from capturestation.media.packets import Packet, SoundBlock
from capturestation.records import SwingId, View
from capturestation.records.capture import (
    ReplayPiece,
    SourceKind,
    SourceSetting,
    Trigger,
    Windows,
)
from tests.helpers.coded_media import Traits, read_code, write_coded_clip

S = 1_000_000_000
FRAMES = 72
FRAME_NS = S // 60
SETTING = SourceSetting(view=View.FACE_ON, kind=SourceKind.STREAM, address="tcp://bay.example:1")


def life_of(film: Path) -> Life:
    """A camera that sent a film, each packet when it was due."""
    line = Line([ReplayPiece(file=str(film))])
    life = Life(
        got=line.got,
        head=line.first.head,
        begun_ns=0,
        pictures=Ring[Packet](limit_bytes=1 << 30, limit_ns=60 * S),
        sound=Ring[SoundBlock](limit_bytes=1 << 20, limit_ns=60 * S),
        clock=SourceClock(own=True),
    )
    for due in islice(line.begin(from_ns=0, has_sound=False), FRAMES):
        assert due.packet is not None
        packet = replace(due.packet, host_ns=due.packet.due_ns + S)
        life.clock.add(packet.due_ns, packet.host_ns)
        life.pictures.append(packet)
    return life


def ball(at_ns: int, windows: Windows) -> Strike:
    return Strike(
        id=SwingId("ball"),
        at_host_ns=at_ns,
        u_ns=0,
        struck_at=datetime(2026, 10, 30, 9, tzinfo=UTC),
        trigger=Trigger.KEY,
        ticket="whose",
        windows=windows,
    )


@pytest.mark.parametrize("after_frames", range(12, 20))
def test_a_stream_out_of_order_is_cut_without_a_hole_before_its_last_frame(
    after_frames: int, tmp_path: Path
) -> None:
    film = write_coded_clip(
        tmp_path / "film.mp4",
        frames=FRAMES,
        rate_hz=Fraction(60),
        traits=Traits(b_frames=3, key_every=30),
    )
    life = life_of(film)
    at_ns = S + 36 * FRAME_NS
    windows = Windows(before_ns=18 * FRAME_NS, after_ns=after_frames * FRAME_NS)
    part = Part(SETTING, life, ball(at_ns, windows), None)

    part.open(tmp_path)
    index = part.close()

    with FrameReader(tmp_path / part.file) as reader:
        shown = [read_code(reader.frame_rgb(n)) for n in range(len(reader))]
    assert part.is_done
    assert shown == list(range(shown[0], shown[0] + len(shown)))
    assert shown[0] <= 18
    assert 36 + after_frames <= shown[-1] <= 36 + after_frames + 4
    assert len(index) == len(shown)
    assert np.all(np.diff(index.pts) == 1500)
    assert index.durations[-1] == 1500


def test_a_ball_is_kept_by_the_clock_that_was_before_it_was_set(tmp_path: Path) -> None:
    film = write_coded_clip(
        tmp_path / "film.mp4",
        frames=FRAMES,
        rate_hz=Fraction(60),
        traits=Traits(b_frames=0, key_every=1),
    )
    life = life_of(film)
    at_ns = S + 36 * FRAME_NS
    windows = Windows(before_ns=18 * FRAME_NS, after_ns=18 * FRAME_NS)
    part = Part(SETTING, life, ball(at_ns, windows), None)
    part.open(tmp_path)

    # All comes ten seconds late, for longer than any stall.
    for number in range(FRAMES, FRAMES + 240):
        life.clock.add(number * FRAME_NS, number * FRAME_NS + 11 * S)
    part.close()

    assert life.clock.steps == 1
    assert part.holds_impact
    assert part.note().clock.host_minus_device_ns == S
    assert part.note().impact_media_ns == pytest.approx(18 * FRAME_NS, abs=9 * FRAME_NS)
