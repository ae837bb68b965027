"""A made-up bay whose pictures say which frame they are, and what a clip of it must show.

The expected frames are worked out here in exact fractions, by another way than the station's own.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from fractions import Fraction
from pathlib import Path

import numpy as np

from capturestation.compare.playout import Pace
from capturestation.compare.timemap import at_shared_marks
from capturestation.drawing.layout import LayoutName
from capturestation.records import NS_PER_S, Moment, View
from capturestation.station.handout import ClipRequest, ClipSide
from tests.helpers import exact_script
from tests.helpers.coded_media import Traits, write_coded_clip
from tests.helpers.made_swings import MS, made_marks, made_swing, made_sync

NOW_MS = {Moment.TOP: -231, Moment.IMPACT: 0, Moment.SHAFT_LEVEL_THROUGH: 37}
THEN_MS = {Moment.TOP: -283, Moment.IMPACT: 0, Moment.SHAFT_LEVEL_THROUGH: 31}
UNEVEN = Fraction(1, 90_000)
ODD_NS = 501_000_123
# No frame of these clips stands exactly between two stamps, so nearest is never a tie.


def even_times(rate_hz: Fraction, frames: int) -> list[Fraction]:
    return [n / rate_hz * NS_PER_S for n in range(frames)]


def uneven_pts(frames: int) -> list[int]:
    """About 59.94 a second from 0.3 s on, each frame up to 3 ms early or late."""
    jitter = np.random.default_rng(7).integers(-270, 271, frames)
    return [27_000 + round(n * 90_000 * 1001 / 60_000) + int(jitter[n]) for n in range(frames)]


def uneven_times(pts: list[int]) -> list[Fraction]:
    return [stamp * UNEVEN * NS_PER_S for stamp in pts]


@dataclasses.dataclass(frozen=True)
class Coded:
    """A coded file, when its frames are shown, and its place on the swing's clock."""

    path: Path
    times_ns: list[Fraction]
    swing_minus_media_ns: int

    def nearest(self, swing_ns: Fraction) -> int:
        at_ns = swing_ns - self.swing_minus_media_ns
        away = [abs(shown - at_ns) for shown in self.times_ns]
        return away.index(min(away))


def coded_bay(folder: Path) -> dict[str, Coded]:
    """Today at 120 and 240 a second, the earlier swing at an uneven 59.94 and at 240."""
    pts = uneven_pts(90)
    traits = Traits(pts=pts, time_base=UNEVEN)
    specs = {
        "now face-on": (Fraction(120), 130, None, -ODD_NS),
        "now down-the-line": (Fraction(240), 260, None, -ODD_NS - 77 * MS),
        "then face-on": (Fraction(60_000, 1001), 90, traits, -900_000_071),
        "then down-the-line": (Fraction(240), 260, None, -ODD_NS + 31 * MS),
    }
    made = {}
    for name, (rate_hz, frames, trait, offset_ns) in specs.items():
        path = folder / f"{name.replace(' ', '-')}.mp4"
        write_coded_clip(path, frames=frames, rate_hz=rate_hz, traits=trait)
        times = uneven_times(pts) if trait else even_times(rate_hz, frames)
        made[name] = Coded(path, times, offset_ns)
    return made


def side(bay: Mapping[str, Coded], which: str, word: str, times_ms: dict[Moment, int]) -> ClipSide:
    files = {view: bay[f"{which} {view}"] for view in (View.FACE_ON, View.DOWN_THE_LINE)}
    swing = made_swing(
        which,
        day=42 if which == "now" else 0,
        syncs=tuple(made_sync(view, coded.swing_minus_media_ns) for view, coded in files.items()),
        marks=made_marks(times_ms).values(),
    )
    return ClipSide(
        swing=swing, media={view: coded.path for view, coded in files.items()}, word=word
    )


def request_all_four_of(bay: Mapping[str, Coded]) -> ClipRequest:
    """All four pictures around impact, small and whole, held at the top and at impact."""
    return ClipRequest(
        now=side(bay, "now", "today", NOW_MS),
        then=side(bay, "then", "own best", THEN_MS),
        layout=LayoutName.ALL_FOUR,
        start_ns=-300 * MS,
        stop_ns=100 * MS,
        pace=Pace(hold_s=Fraction(1, 5), moments=(Moment.TOP, Moment.IMPACT)),
        time_map=at_shared_marks(made_marks(NOW_MS), made_marks(THEN_MS)),
        short_side_px=360,
        keep_width=1.0,
    )


def expected_now_ns(request: ClipRequest) -> list[Fraction]:
    """Today's swing time in every frame of a clip of this bay."""
    return exact_script.expected_now_ns(request, {m: ms * MS for m, ms in NOW_MS.items()})


def expected_then_ns(now_ns: Fraction) -> Fraction:
    """The earlier swing's time by the marks' own proportions."""
    knots = [(NOW_MS[moment] * MS, THEN_MS[moment] * MS) for moment in NOW_MS]
    return exact_script.through_knots(now_ns, knots)
