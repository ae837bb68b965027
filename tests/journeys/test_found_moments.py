"""The moments found in the rendered session stand where its truth says, in one view and in both."""

from __future__ import annotations

from functools import cache

import pytest

from capturestation.media.frames import FrameReader
from capturestation.records import Mark, Moment, View
from capturestation.swing.moments import find_moments
from capturestation.swing.tracks import MotionTrack
from capturestation.tracking.motion import WIDTH_PX, motion_energy
from sample_sessions.session import SampleSwing, load_session

FOUND = (Moment.SET, Moment.CLUB_STARTS, Moment.TOP, Moment.IMPACT, Moment.FINISH)
SWINGS = {swing.name: swing for swing in load_session().swings}
BOTH = (View.FACE_ON, View.DOWN_THE_LINE)


@cache
def motion(name: str, view: View) -> MotionTrack:
    """The motion of one clip on the true clock."""
    swing = SWINGS[name]
    with FrameReader(swing.clip(view)) as reader:
        times_ns = reader.index.times_ns + swing.truth(view).swing_minus_media_ns
        return motion_energy(reader.iter_grey(0, len(reader), width_px=WIDTH_PX), times_ns)


def true_ns(swing: SampleSwing, moment: Moment) -> int:
    """When it truly is."""
    at_ns = next(m.at_ns for m in swing.truth(View.FACE_ON).swing.moments if m.moment is moment)
    assert at_ns is not None
    return at_ns


@pytest.mark.parametrize("views", [BOTH, BOTH[:1], BOTH[1:]], ids=["both", "face-on", "line"])
@pytest.mark.parametrize("name", SWINGS)
def test_the_truth_lies_in_every_found_interval(name: str, views: tuple[View, ...]) -> None:
    found = {m.moment: m for m in find_moments([motion(name, v) for v in views], zero_u_ns=10**6)}

    for moment in FOUND:
        assert holds(found[moment], true_ns(SWINGS[name], moment)), moment


def holds(mark: Mark, at_ns: int) -> bool:
    """Whether the mark's interval holds that time."""
    assert mark.early_ns is not None
    assert mark.late_ns is not None
    return mark.early_ns <= at_ns <= mark.late_ns


def published_tolerance_ns(swing: SampleSwing) -> float:
    """How far off a moment may be: max(round(frames from address to impact / 30), 1) frames.

    Source: McNally et al., GolfDB, CVPR Workshops 2019, arXiv 1903.06528.
    """
    rate_hz = float(swing.truth(View.FACE_ON).rate_hz)
    frames = -true_ns(swing, Moment.SET) / 1e9 * rate_hz
    return max(round(frames / 30), 1) / rate_hz * 1e9


@pytest.mark.parametrize("name", SWINGS)
def test_with_both_views_starts_top_and_finish_are_within_the_published_tolerance(
    name: str,
) -> None:
    found = {m.moment: m for m in find_moments([motion(name, v) for v in BOTH], zero_u_ns=10**6)}

    for moment in (Moment.CLUB_STARTS, Moment.TOP, Moment.FINISH):
        at_ns = found[moment].at_ns
        assert at_ns is not None
        off_ns = abs(at_ns - true_ns(SWINGS[name], moment))
        assert off_ns <= published_tolerance_ns(SWINGS[name]), moment
