"""The club in pictures: which way the shaft points, on rendered swings that it never learnt from.

Golfers, cameras off their places, light, rate and shutter are drawn by seed; both hands; driver,
iron and wedge; full swings and pitches; somebody walks by in some. Every moving frame counts, from
the club's start to the finish, in which the shaft is at least a quarter as long as square to the
view and a camera sees three tenths of it. The golfer's size and the hands' place are given as a
body track gives them: off by 2 % of his height (one sigma), a fifth of them not known. Beside it
the same without them, looking where most moves: somebody who walks by can take the place then.
Pictures of real golfers are not in it: none may be had here.
"""

from __future__ import annotations

import os
import time
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace

import cv2
import numpy as np

from capturestation.records import BoolArray, FloatArray, FrameArray, Hand, Moment, View
from capturestation.swing.tracks import ClubTrack
from capturestation.tracking.club import ClubTracker
from capturestation.tracking.club_network import ClubNetwork
from capturestation.tracking.reach import Reach
from sample_sessions.cameras import Camera, Placement, cameras_for
from sample_sessions.clothes import Clothes
from sample_sessions.clubs import CLUBS
from sample_sessions.golfer import Golfer
from sample_sessions.moments import find_moments
from sample_sessions.parameters import SwingParameters
from sample_sessions.people import pitching, somebody
from sample_sessions.render import Renderer
from sample_sessions.surroundings import Surroundings
from tests.bench.report import Bar, BenchReport, Detail
from tests.helpers.club_truth import TrueClub, true_club

SWINGS = 12
FIRST_SEED = 8_000_000
# Training draws from seeds below this.
RATES_HZ, SHUTTERS_S = (120.0, 60.0), (1 / 500, 1 / 1000, 1 / 2000)
LONG_SHARE, SEEN_SHARE, RIGHT_DEG, NEAR_SHARE = 0.25, 0.30, 10.0, 0.05
REACH_WIDTH_PX = 320
HANDS_OFF_SHARE, HANDS_UNKNOWN_SHARE, HEIGHT_OFF_SHARE = 0.02, 0.20, 0.05
# Of the golfer's height, of frames, and of the height again.
NOSE_TO_ANKLES = 0.885
_STILL_S = 0.10
# Before the club starts the golfer is seen at set, as `Reach` wants.


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """One view of one swing: what is true and what was found."""

    view: View
    truth: TrueClub
    times_s: FloatArray
    track: ClubTrack
    alone_deg: FloatArray
    by_motion: ClubTrack
    frame_ms: float
    tall_px: float

    @property
    def counts(self) -> BoolArray:
        """Which frames count."""
        moving = self.times_s >= self.times_s[0] + _STILL_S
        clear = (self.truth.long_share >= LONG_SHARE) & (self.truth.seen_share >= SEEN_SHARE)
        return np.asarray(moving & clear, dtype=np.bool_)


def run() -> BenchReport:
    """See the club in both views of each swing."""
    work = [(number, view) for number in range(SWINGS) for view in (0, 1)]
    with ProcessPoolExecutor(os.cpu_count()) as pool:
        seen = list(pool.map(see_swing, *zip(*work, strict=True)))
    views = {
        view: [s for s in seen if s.view is view] for view in (View.FACE_ON, View.DOWN_THE_LINE)
    }
    bars = [
        Bar(
            name=f"shaft_within_10deg_pct_{view}",
            value=_within_pct(some),
            unit="%",
            op=">=",
            bar=90,
        )
        for view, some in views.items()
    ]
    return BenchReport(
        bench="club",
        bars=tuple(bars),
        details={
            "by_view": {str(view): _details(some) for view, some in views.items()},
            "frame_ms": round(float(np.median([s.frame_ms for s in seen])), 2),
            "swings": SWINGS,
            "pictures": "rendered only",
            "hidden_frames": _hidden(seen),
        },
    )


def swing_of(number: int) -> SwingParameters:
    """A swing that nothing was learnt from."""
    swing = somebody(FIRST_SEED + number, hand=Hand.LEFT if number % 4 == 3 else Hand.RIGHT)
    swing = replace(
        swing,
        club_name=list(CLUBS)[number % len(CLUBS)],
        around=Surroundings(passes_s=-0.3 if number % 4 == 1 else None),
    )
    return pitching(swing) if number % 5 == 4 else swing


def camera_of(swing: SwingParameters, number: int, view: int) -> tuple[Camera, Clothes]:
    """A camera off its place, and what is worn before it."""
    random = np.random.default_rng((FIRST_SEED, number, view))
    camera = cameras_for(swing.hand)[view].placed(
        Placement(
            shift_m=tuple(float(v) for v in random.uniform(-0.10, 0.10, 3)),
            aim_shift_m=tuple(float(v) for v in random.uniform(-0.05, 0.05, 3)),
            roll_deg=float(random.uniform(-1.0, 1.0)),
        )
    )
    red, green, blue = (int(v) for v in random.integers(20, 235, 3))
    shutter_s = SHUTTERS_S[number % len(SHUTTERS_S)]
    return replace(camera, exposure_s=shutter_s), Clothes(shirt=(red, green, blue))


def see_swing(number: int, view: int) -> Seen:
    """Draw one view of a swing and find the club in it."""
    cv2.setNumThreads(1)
    swing = swing_of(number)
    golfer, (camera, clothes) = Golfer(swing), camera_of(swing, number, view)
    moments = find_moments(golfer)
    start_s, finish_s = moments[Moment.CLUB_STARTS], moments[Moment.FINISH]
    assert start_s is not None
    assert finish_s is not None
    times_s = np.arange(start_s - _STILL_S, finish_s, 1.0 / RATES_HZ[number % len(RATES_HZ)])
    renderer = Renderer(golfer, camera, clothes)
    frames = [renderer.frame(float(at), number=n) for n, at in enumerate(times_s)]
    stand = golfer.pose(times_s[:1])
    head, heel = camera.project(np.concatenate([stand.head, stand.lead_heel]))
    tall_px = 1.07 * float(heel[1] - head[1])
    pose = golfer.pose(times_s)
    wrists = camera.project(0.5 * (pose.lead_wrist + pose.trail_wrist))
    tracker, frame_ms = by_hands(frames, times_s, wrists, tall_px)
    return Seen(
        view=camera.view,
        truth=true_club(golfer, camera, times_s),
        times_s=times_s,
        track=tracker.track(),
        alone_deg=tracker.alone_deg(),
        by_motion=by_motion(frames, times_s, camera.view),
        frame_ms=frame_ms,
        tall_px=tall_px,
    )


def by_hands(
    frames: list[FrameArray], times_s: FloatArray, wrists_px: FloatArray, tall_px: float
) -> tuple[ClubTracker, float]:
    """Follow with the hands as a body track has them; also the processor time of a frame, ms."""
    random = np.random.default_rng(len(frames))
    hands = wrists_px + random.normal(0.0, HANDS_OFF_SHARE * tall_px, wrists_px.shape)
    hands[1:][random.uniform(size=len(hands) - 1) < HANDS_UNKNOWN_SHARE] = np.nan
    size_px = NOSE_TO_ANKLES * tall_px * float(random.normal(1.0, HEIGHT_OFF_SHARE))
    tracker = ClubTracker(network=ClubNetwork())
    begun = time.process_time()
    for frame, at, place in zip(frames, times_s, hands, strict=True):
        tracker.see(frame, round(at * 1e9), place, size_px)
    tracker.track()
    return tracker, 1000.0 * (time.process_time() - begun) / len(frames)


def by_motion(frames: list[FrameArray], times_s: FloatArray, view: View) -> ClubTrack:
    """Follow where most moves, without hands."""
    reach = Reach()
    for frame in frames:
        grey = cv2.cvtColor(frame, cv2.COLOR_RGB2GRAY)
        height = round(REACH_WIDTH_PX * frame.shape[0] / frame.shape[1])
        small = cv2.resize(grey, (REACH_WIDTH_PX, height), interpolation=cv2.INTER_AREA)
        reach.see(np.asarray(small, dtype=np.uint8))
    tracker = ClubTracker(box=reach.box(evenly=view is View.FACE_ON), network=ClubNetwork())
    for frame, at in zip(frames, times_s, strict=True):
        tracker.see(frame, round(at * 1e9))
    return tracker.track()


def _off_deg(found: FloatArray, true: FloatArray) -> FloatArray:
    return np.asarray(np.abs((found - true + 180.0) % 360.0 - 180.0), dtype=np.float64)


def _joined(some: list[Seen]) -> tuple[FloatArray, FloatArray, BoolArray]:
    """Errors on the path and of pictures alone, and which frames count."""
    path = [_off_deg(s.track.shaft_deg, s.truth.shaft_deg) for s in some]
    alone = [_off_deg(s.alone_deg, s.truth.shaft_deg) for s in some]
    counts = np.concatenate([s.counts for s in some])
    return np.concatenate(path), np.concatenate(alone), counts


def _within_pct(some: list[Seen]) -> float:
    path, _, counts = _joined(some)
    return 100.0 * float((path[counts] <= RIGHT_DEG).mean())


def _details(some: list[Seen]) -> Detail:
    path, alone, counts = _joined(some)
    known = counts & np.isfinite(path)
    moved = np.concatenate([_off_deg(s.by_motion.shaft_deg, s.truth.shaft_deg) for s in some])
    head = np.concatenate(
        [np.linalg.norm(s.track.head_px - s.truth.end_px, axis=1) / s.tall_px for s in some]
    )
    by_swing: list[Detail] = [round(_within_pct([s]), 1) for s in some]
    return {
        "frames": int(counts.sum()),
        "without_path_pct": round(100.0 * float((alone[counts] <= RIGHT_DEG).mean()), 1),
        "not_known_pct": round(100.0 * float(np.isnan(path[counts]).mean()), 1),
        "of_known_within_10deg_pct": round(100.0 * float((path[known] <= RIGHT_DEG).mean()), 1),
        "median_off_deg": round(float(np.median(path[known])), 2),
        "head_known_pct": round(100.0 * float(np.isfinite(head[counts]).mean()), 1),
        "head_within_5pct_of_height_pct": round(
            100.0 * float((head[counts & np.isfinite(head)] <= NEAR_SHARE).mean()), 1
        ),
        "by_motion_alone_pct": round(100.0 * float((moved[counts] <= RIGHT_DEG).mean()), 1),
        "by_swing_pct": by_swing,
    }


def _hidden(seen: list[Seen]) -> Detail:
    """Frames that don't count: how many are said to be unknown, and how many are right anyway."""
    path, _, counts = _joined(seen)
    rest = path[~counts]
    return {
        "share_pct": round(100.0 * float((~counts).mean()), 1),
        "not_known_pct": round(100.0 * float(np.isnan(rest).mean()), 1),
        "of_known_within_10deg_pct": round(
            100.0 * float((rest[np.isfinite(rest)] <= RIGHT_DEG).mean()), 1
        ),
    }
