"""Renders the clips of the invented swings, with sound, and writes the truth beside each.

Owns where a clip begins and ends. One clip is one job, so that clips can be made side by side.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from capturestation.errors import NotFoundError, OutputError
from capturestation.media.encode import ClipWriter
from capturestation.records import NS_PER_S, View, Watch
from sample_sessions.cameras import Camera, cameras_for
from sample_sessions.clothes import Clothes
from sample_sessions.golfer import Golfer
from sample_sessions.render import Renderer
from sample_sessions.session import SampleSession, SampleSwing
from sample_sessions.sound import SOUND_RATE_HZ, swing_sound
from sample_sessions.truth import ClipTruth, clip_truth, truth_text

CRF = 20
BEFORE_START_S = {View.FACE_ON: 0.50, View.DOWN_THE_LINE: 0.62}
# The two cameras were not started together.
AFTER_IMPACT_S = {View.FACE_ON: 1.08, View.DOWN_THE_LINE: 1.00}
_GROUP = 8
# Frames between two reports.


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """First frame's time on the swing's clock, and how many frames."""

    first_ns: int
    frames: int


def span_of(golfer: Golfer, camera: Camera) -> Span:
    """From well before the club starts until the finish has been held."""
    swing = golfer.swing
    step_s = float(Fraction(1) / camera.rate_hz)
    begin_s = -swing.downswing_s - swing.backswing_s - BEFORE_START_S[camera.view]
    first = math.floor(begin_s / step_s) + camera.phase
    frames = math.ceil((AFTER_IMPACT_S[camera.view] - first * step_s) / step_s)
    return Span(first_ns=round(first * step_s * 1e6) * 1000, frames=frames)


def find_swing(session: SampleSession, name: str) -> SampleSwing:
    """The swing of that name, or an error that lists them.

    Raises:
        NotFoundError: If there is none.
    """
    try:
        return session.swing(name)
    except KeyError as error:
        known = ", ".join(swing.name for swing in session.swings)
        raise NotFoundError(
            f"There is no sample swing called {name}.", try_next=f"Try one of: {known}.",
            subject=name,
        ) from error  # fmt: skip


def truth_of(swing: SampleSwing, view: View) -> ClipTruth:
    """What is true of a clip, worked out afresh."""
    golfer = Golfer(swing.parameters)
    camera = _camera(swing, view)
    span = span_of(golfer, camera)
    name = swing.clip(view).name
    return clip_truth(golfer, camera, name, first_ns=span.first_ns, frames=span.frames)


def render_clip(
    swing: SampleSwing, view: View, folder: Path, watch: Watch, *, frames: int | None = None
) -> Path:
    """Render one clip and its truth into a folder.

    Args:
        swing: Which swing.
        view: Which camera.
        folder: Where; existing clips are replaced.
        watch: Hears of progress and may stop it; nothing partial is left then.
        frames: Only so many frames from the start, for a trial; all of them unless given.

    Returns:
        The clip's path.

    Raises:
        OutputError: If the folder can't be written.
        CancelledError: If the watch stops it.
    """
    golfer = Golfer(swing.parameters)
    camera = _camera(swing, view)
    span = span_of(golfer, camera)
    count = span.frames if frames is None else min(frames, span.frames)
    clip = folder / swing.clip(view).name
    truth = clip_truth(golfer, camera, clip.name, first_ns=span.first_ns, frames=count)
    times_s = camera.frame_times_ns(span.first_ns, count) / NS_PER_S
    red, green, blue = swing.shirt
    renderer = Renderer(golfer, camera, Clothes(shirt=(red, green, blue)))
    with ClipWriter(
        clip, width=camera.lens.width_px, height=camera.lens.height_px, rate_hz=camera.rate_hz,
        crf=CRF, preset="slow", sound_rate_hz=SOUND_RATE_HZ, overwrite=True,
    ) as writer:  # fmt: skip
        for number, time_s in enumerate(times_s):
            if number % _GROUP == 0:
                watch.report(number / count, clip.name)
            writer.write_rgb(renderer.frame(float(time_s), number=number))
        span_s = count / float(camera.rate_hz)
        first_s = span.first_ns / NS_PER_S
        writer.write_sound(swing_sound(golfer, camera, first_s=first_s, span_s=span_s))
    _write_truth(folder / swing.truth_file(view).name, truth)
    watch.report(1.0, clip.name)
    return clip


def _camera(swing: SampleSwing, view: View) -> Camera:
    return next(c for c in cameras_for(swing.parameters.hand) if c.view is view)


def _write_truth(path: Path, truth: ClipTruth) -> None:
    try:
        path.write_text(truth_text(truth), encoding="utf-8")
    except OSError as error:
        raise OutputError(
            f"{path.name} can't be written: {error.strerror}.",
            try_next="Choose a folder that can be written and has room.",
            subject=path.name,
        ) from error
