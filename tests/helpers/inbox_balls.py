"""A finished ball in an inbox, as the recording process leaves it, made without one."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from pathlib import Path

from capturestation.capture.recorder import CAPTURE_FILE
from capturestation.folders import SwingFolder, write_document
from capturestation.records import NS_PER_S, Quiet, SwingFacts, SwingId, View
from capturestation.records.capture import (
    Candidate,
    CaptureNote,
    ClockFit,
    SourceNote,
    Trigger,
)
from capturestation.station.sources import read_sources
from tests.helpers.station_library import MORNING

CLOCK = ClockFit(
    at_device_ns=0,
    host_minus_device_ns=0,
    drift_ppm=0.0,
    late_p95_ns=0,
    span_ns=NS_PER_S,
    points=60,
)
HEARD = Candidate(at_host_ns=9 * NS_PER_S, u_ns=50_000, snr_db=30.0, sharpness=0.8, peak=0.4)


def left_ball(
    inbox: Path,
    files: Mapping[View, Path],
    *,
    ticket: str,
    key: str = "ball",
    impact_media_ns: int = 1_300_000_000,
    trigger: Trigger = Trigger.SOUND,
) -> Path:
    """Leave one there; gives its folder."""
    sources = read_sources(files, {}, Quiet())
    with SwingFolder(inbox / key) as building:
        for source in sources:
            building.add_copy(source.path, source.recording().file, Quiet())
        note = CaptureNote(
            ticket=ticket,
            trigger=trigger,
            impact_host_ns=HEARD.at_host_ns,
            u_ns=HEARD.u_ns,
            candidate=HEARD if trigger is Trigger.SOUND else None,
            confirmed=None,
            sources=tuple(_note(source.view, impact_media_ns) for source in sources),
        )
        write_document(building.path / CAPTURE_FILE, "capture", note)
        facts = SwingFacts(
            id=SwingId(key),
            struck_at=MORNING,
            recordings=tuple(source.recording() for source in sources),
            made_by="a test",
        )
        building.seal(facts)
        return building.publish()


def _note(view: View, impact_media_ns: int) -> SourceNote:
    return SourceNote(
        view=view,
        clock=CLOCK,
        own_clock=True,
        time_base=Fraction(1, 90_000),
        first_pts=0,
        impact_media_ns=impact_media_ns,
        nearest_frame_ns=0,
        missing=0,
        stamps=f"{view}.stamps.npy",
    )
