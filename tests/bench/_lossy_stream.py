"""One ball over real UDP that loses datagrams: what is lost is counted in the file and said."""

from __future__ import annotations

import tempfile
import time
from fractions import Fraction
from pathlib import Path

from capturestation.capture.messages import Doing, Kept, Ready
from capturestation.records import NS_PER_S, View
from capturestation.records.capture import (
    CaptureSetting,
    SourceKind,
    SourceSetting,
    Windows,
)
from capturestation.station.capture_client import CaptureClient
from tests.bench.report import Detail
from tests.helpers.coded_media import Traits, click, write_coded_clip
from tests.helpers.live_servers import udp_camera

RATE_HZ = Fraction(60)
LOSE_EVERY = 97
_STRIKE_S, _LONG_S = 5.0, 8.0
_PATIENCE_S = 20.0


def lossy_udp() -> dict[str, Detail]:
    """Record one ball of an H.264 camera of which every so many-th datagram never comes."""
    with tempfile.TemporaryDirectory(prefix="bench-udp-") as folder:
        film = write_coded_clip(
            Path(folder) / "film.mp4",
            frames=round(_LONG_S * RATE_HZ),
            rate_hz=RATE_HZ,
            size=(1280, 720),
            sound=click(at_s=_STRIKE_S, long_s=_LONG_S),
            traits=Traits(b_frames=0, key_every=30),
        )
        with udp_camera(film, lose_every=LOSE_EVERY) as address:
            kept, seen = _recorded(address, Path(folder) / "inbox")
    return {
        "one_datagram_lost_in": LOSE_EVERY,
        "ball_kept": kept is not None,
        "missing_or_damaged": None if kept is None else kept.missing,
        "said_with_the_ball": [] if kept is None else list(kept.said),
        "said_by_health": seen,
    }


def _recorded(address: str, inbox: Path) -> tuple[Kept | None, int]:
    camera = SourceSetting(view=View.FACE_ON, kind=SourceKind.STREAM, address=address)
    windows = Windows(before_ns=2 * NS_PER_S, after_ns=NS_PER_S)
    setting = CaptureSetting(inbox=str(inbox), sources=(camera,), windows=windows, preview_px=0)
    seen = 0
    with CaptureClient(setting) as client:
        client.say(Ready(ticket="bench"))
        ends_s = time.monotonic() + _PATIENCE_S
        while time.monotonic() < ends_s:
            fact = client.next_fact(timeout_s=0.5)
            if isinstance(fact, Doing):
                seen = max(seen, *(source.missing for source in fact.health.sources))
            if isinstance(fact, Kept):
                return fact, seen
    return None, seen
