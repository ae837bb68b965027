"""Renders one clip with sound, and writes the truth beside it.

Owns what a clip is made from (`Shot`) and where it begins and ends. One clip is one job, so that
clips can be made side by side. Refuses to know what is there already; `kept` does.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from capturestation.errors import NotFoundError, OutputError
from capturestation.media.encode import ClipWriter
from capturestation.records import NS_PER_S, View, Watch
from sample_sessions.cameras import AS_USUAL, Camera, Placement, cameras_for
from sample_sessions.clothes import Clothes
from sample_sessions.golfer import Golfer
from sample_sessions.parameters import SwingParameters
from sample_sessions.render import Renderer
from sample_sessions.session import SampleSession, SampleSwing
from sample_sessions.sound import SOUND_RATE_HZ, swing_sound
from sample_sessions.truth import ClipTruth, clip_truth, truth_text

CRF = 23
# Ten clips that open quickly at any frame stay under 6 MB so.
KEY_EVERY = 12
# A tenth of a second, so that any frame is opened quickly.
BEFORE_START_S = {View.FACE_ON: 0.50, View.DOWN_THE_LINE: 0.62}
# The two cameras were not started together.
AFTER_IMPACT_S = {View.FACE_ON: 1.08, View.DOWN_THE_LINE: 1.00}
_GROUP = 8
# Frames between two reports.


@dataclass(frozen=True, slots=True, kw_only=True)
class Shot:
    """Everything that decides one clip.

    Args:
        name: Stem of its files.
        view: Which camera.
        parameters: The swing and what is around it.
        placement: How the camera is set up.
        shirt: Colour, RGB.
        frames: Only so many from the start, for a trial; all unless given.
    """

    name: str
    view: View
    parameters: SwingParameters
    placement: Placement = AS_USUAL
    shirt: tuple[int, ...] = (52, 110, 140)
    frames: int | None = None

    @property
    def clip_name(self) -> str:
        """File name of the clip."""
        return f"{self.name}.{self.view}.mp4"

    @property
    def truth_name(self) -> str:
        """File name of the truth."""
        return f"{self.name}.{self.view}.truth.json"

    @property
    def camera(self) -> Camera:
        """The camera as it is set up."""
        usual = next(c for c in cameras_for(self.parameters.hand) if c.view is self.view)
        return usual.placed(self.placement)


def shot_of(swing: SampleSwing, view: View, *, frames: int | None = None) -> Shot:
    """What decides a clip of the session."""
    return Shot(
        name=swing.name, view=view, parameters=swing.parameters, shirt=swing.shirt,
        placement=swing.face_on if view is View.FACE_ON else swing.down_the_line, frames=frames,
    )  # fmt: skip


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
    shot = shot_of(swing, view)
    return _truth(shot, Golfer(shot.parameters))


def _truth(shot: Shot, golfer: Golfer) -> ClipTruth:
    span = span_of(golfer, shot.camera)
    count = span.frames if shot.frames is None else min(shot.frames, span.frames)
    return clip_truth(golfer, shot.camera, shot.clip_name, first_ns=span.first_ns, frames=count)


def render_shot(shot: Shot, folder: Path, watch: Watch) -> Path:
    """Render one clip and its truth into a folder.

    Args:
        shot: What decides it.
        folder: Where; existing clips are replaced.
        watch: Hears of progress and may stop it; nothing partial is left then.

    Returns:
        The clip's path.

    Raises:
        OutputError: If the folder can't be written.
        CancelledError: If the watch stops it.
    """
    golfer, camera = Golfer(shot.parameters), shot.camera
    truth = _truth(shot, golfer)
    first_ns, count = truth.swing_minus_media_ns, truth.frames
    clip = folder / shot.clip_name
    times_s = camera.frame_times_ns(first_ns, count) / NS_PER_S
    red, green, blue = shot.shirt
    renderer = Renderer(golfer, camera, Clothes(shirt=(red, green, blue)))
    with ClipWriter(
        clip, width=camera.lens.width_px, height=camera.lens.height_px, rate_hz=camera.rate_hz,
        crf=CRF, preset="slow", sound_rate_hz=SOUND_RATE_HZ, overwrite=True, key_every=KEY_EVERY,
    ) as writer:  # fmt: skip
        for number, time_s in enumerate(times_s):
            if number % _GROUP == 0:
                watch.report(number / count, clip.name)
            writer.write_rgb(renderer.frame(float(time_s), number=number))
        span_s = count / float(camera.rate_hz)
        sound = swing_sound(golfer, camera, first_s=first_ns / NS_PER_S, span_s=span_s)
        writer.write_sound(sound)
    _write_truth(folder / shot.truth_name, truth)
    watch.report(1.0, clip.name)
    return clip


def _write_truth(path: Path, truth: ClipTruth) -> None:
    try:
        path.write_text(truth_text(truth), encoding="utf-8")
    except OSError as error:
        raise OutputError(
            f"{path.name} can't be written: {error.strerror}.",
            try_next="Choose a folder that can be written and has room.",
            subject=path.name,
        ) from error
