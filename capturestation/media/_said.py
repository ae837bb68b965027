"""What a coach should know of how a file is read, in plain sentences.

Owns the words only; what is true is found elsewhere. Called by the probe.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from av.container import InputContainer
from av.video.stream import VideoStream

from capturestation.media._colour import Coding
from capturestation.media._opening import moving_pictures, sound_stream, sound_tracks
from capturestation.media._pace import filmed_rate_hz, played_slower, seconds, slow_stretch
from capturestation.media._upright import Turn
from capturestation.media.index import FrameIndex
from capturestation.media.light import Gamut, Transfer

_SAME_RATE = Fraction(1, 100)
"""A head that is off by less is only rounded."""

_SEEN_DEG = 1.0
"""A turn that nobody would see."""


def of_tracks(container: InputContainer, stream: VideoStream) -> Iterator[str]:
    """Which of several tracks are taken."""
    pictures = moving_pictures(container)
    if len(pictures) > 1:
        taken = pictures.index(stream) + 1
        size = f"{stream.width}x{stream.height}"
        yield f"It holds {len(pictures)} moving pictures; number {taken} ({size}) is taken."
    sounds, sound = sound_tracks(container), sound_stream(container)
    if sound is not None and len(sounds) > 1:
        which = f"number {sounds.index(sound) + 1} ({sound.codec_context.name})"
        yield f"It holds {len(sounds)} sounds; {which} is taken."
    lost = len(container.streams.audio) - len(sounds)
    if lost:
        yield f"A sound of it ({lost} of {lost + len(sounds)}) can't be decoded here."


def of_colours(coding: Coding) -> Iterator[str]:
    """What had to be guessed or converted."""
    if coding.guessed:
        yield f"It doesn't say how its colours are coded; by its size, {coding.name}."
    if coding.transfer is not Transfer.ORDINARY:
        yield (
            f"It is filmed in high dynamic range ({coding.transfer}); it is shown in the ordinary "
            "range, with its brightest parts drawn in."
        )
    elif coding.gamut is not Gamut.BT709:
        yield f"Its colours ({coding.gamut}) are wider than BT.709; what does not fit is cut."


def of_shape(turn: Turn, aspect: Fraction) -> Iterator[str]:
    """How it is mirrored, turned and stretched beyond a plain quarter turn."""
    if turn.mirrored:
        yield "It asks to be shown mirrored and is: check that left and right are as they were."
    if abs(turn.off_deg) > _SEEN_DEG:
        asked = (turn.clockwise_deg + turn.off_deg) % 360
        yield f"It asks to be turned by {asked:.0f} degrees; it is turned by {turn.clockwise_deg}."
    if aspect != 1:
        shape = f"{aspect.numerator}:{aspect.denominator}"
        yield f"Its pixels are not square ({shape}); it is stretched to its true shape."


def of_time(declared: Fraction | None, index: FrameIndex, tags: dict[str, str]) -> Iterator[str]:
    """Where its times are not what they seem."""
    counted, filmed = index.mean_rate_hz, filmed_rate_hz(tags)
    if declared and counted and abs(declared / counted - 1) > _SAME_RATE:
        yield (
            f"Its head says {float(declared):.2f} frames a second; "
            f"{float(counted):.2f} are counted."
        )
    if not index.is_steady:
        yield "Its frames come at a varying rate; each is shown at its own time."
    if index.hidden:
        whole = len(index) + index.hidden
        yield f"{index.hidden} of the {whole} pictures in it are trimmed away."
    times = float(played_slower(tags, index))
    if filmed and times > 1:
        rate = f"{float(filmed):g} frames a second"
        yield f"It was filmed at {rate} and plays {times:.3g} times slower."
    stretch = slow_stretch(index)
    if stretch is not None:
        yield (
            f"From {seconds(stretch.start_ns)} to {seconds(stretch.stop_ns)} s its frames come "
            f"{stretch.times:.3g} times slower: slow motion seems to be edited in."
        )
