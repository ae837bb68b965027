"""Clips whose pictures say which frame they are, so that a test can ask the pixels.

A strip of 16 blocks across the top sixth of the picture carries the number: white, black, twelve
bits (highest first), their parity, and the parity's opposite. It survives H.264, and scaling to
about a third. `write_coded_clip` makes whole files with the traits that real ones have: frames out
of order, a turned camera, uneven stamps, a late start. Any room's tests may use it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
from av.audio.stream import AudioStream
from av.container import OutputContainer
from av.video.stream import VideoStream

from capturestation.records import FrameArray, SoundArray

BLOCKS = 16
BITS = 12
LARGEST_CODE = (1 << BITS) - 1
STRIP_SHARE = Fraction(1, 6)
LEAST_CONTRAST = 60.0


def paint_code(frame_rgb: FrameArray, number: int) -> FrameArray:
    """A copy of the picture with the number painted across its top sixth.

    Args:
        frame_rgb: Any picture, (H, W, 3).
        number: 0 to 4095.
    """
    if not 0 <= number <= LARGEST_CODE:
        msg = f"a code is 0 to {LARGEST_CODE}, got {number}"
        raise ValueError(msg)
    painted = frame_rgb.copy()
    height, width = painted.shape[:2]
    strip = round(height * STRIP_SHARE)
    edges = np.linspace(0, width, BLOCKS + 1).round().astype(int)
    for bit, left, right in zip(_pattern(number), edges[:-1], edges[1:], strict=True):
        painted[:strip, left:right] = 235 if bit else 20
    return painted


def read_code(frame: FrameArray) -> int:
    """The number that a picture says it is.

    Args:
        frame: The whole coded picture and nothing beside it, RGB or grey, at any size down to
            about 50 pixels wide.

    Raises:
        ValueError: If there is no readable code: not coded, cropped, mixed of two, or turned.
    """
    grey = frame.astype(np.float64).mean(axis=2) if frame.ndim == 3 else frame.astype(np.float64)
    height, width = grey.shape
    strip = height * float(STRIP_SHARE)
    rows = slice(int(strip * 0.3), max(int(strip * 0.3) + 1, int(strip * 0.7)))
    centres = (np.arange(BLOCKS) + 0.5) * width / BLOCKS
    half = max(0.5, width / BLOCKS / 6)
    levels = [
        float(grey[rows, int(c - half) : max(int(c - half) + 1, int(c + half))].mean())
        for c in centres
    ]
    white, black = levels[0], levels[1]
    shares = (np.array(levels) - black) / max(white - black, 1e-9)
    bits = [bool(share > 0.5) for share in shares]
    number = int("".join("01"[bit] for bit in bits[2 : 2 + BITS]), 2)
    unsure = bool(np.any(np.abs(shares - 0.5) < 0.2))
    if white - black < LEAST_CONTRAST or unsure or bits != _pattern(number):
        msg = f"no code in this picture: levels {[round(level) for level in levels]}"
        raise ValueError(msg)
    return number


def _pattern(number: int) -> list[bool]:
    bits = [bool(number >> place & 1) for place in reversed(range(BITS))]
    parity = sum(bits) % 2 == 1
    return [True, False, *bits, parity, not parity]


def plain_scene(number: int, *, size: tuple[int, int] = (160, 96)) -> FrameArray:
    """A soft colour ramp with a square that moves with the number; no code on it.

    Args:
        number: Which frame.
        size: Width and height in pixels.
    """
    width, height = size
    x = np.linspace(40, 200, width)[np.newaxis].repeat(height, axis=0)
    y = np.linspace(60, 180, height)[:, np.newaxis].repeat(width, axis=1)
    frame = np.stack([x, y, np.full_like(x, 90)], axis=2).astype(np.uint8)
    side = max(4, height // 8)
    left = number * 3 % (width - side)
    frame[height // 2 : height // 2 + side, left : left + side] = (220, 220, 60)
    return frame


@dataclass(frozen=True, slots=True, kw_only=True)
class Traits:
    """What a file is like besides its pictures.

    Args:
        codec: Name of the encoder: libx264, mjpeg ...
        pixel_format: What the encoder is fed.
        key_every: Frames from key frame to key frame.
        b_frames: Frames out of order between two others; 0 for none.
        open_gop: Whether frames before a key frame may lean on it.
        rotation_deg: Clockwise turn that shows the picture upright; the pixels are stored turned
            the other way.
        mirrored: Whether it is to be mirrored left to right before that turn.
        off_deg: A turn by so much more is asked for than the pixels need.
        pixel_aspect: Width of a stored pixel over its height.
        pts: A stamp for each frame in `time_base`; n / rate unless given.
        time_base: Unit of `pts`.
        sound_codec: Name of the sound's encoder.
        sound_start: Stamp of the first sample, in samples.
        sound_gap: (first sample, samples) left out of the sound, if any.
        tags: Tags of the file.
        movflags: For the MP4 muxer.
    """

    codec: str = "libx264"
    pixel_format: str = "yuv420p"
    key_every: int = 12
    b_frames: int = 2
    open_gop: bool = False
    rotation_deg: int = 0
    mirrored: bool = False
    off_deg: float = 0.0
    pixel_aspect: Fraction | None = None
    pts: Sequence[int] | None = None
    time_base: Fraction | None = None
    sound_codec: str = "aac"
    sound_start: int = 0
    sound_gap: tuple[int, int] | None = None
    tags: dict[str, str] | None = None
    movflags: str = ""


def write_coded_clip(
    path: Path,
    *,
    frames: int,
    rate_hz: Fraction,
    size: tuple[int, int] = (160, 96),
    sound: SoundArray | None = None,
    sound_rate_hz: int = 48_000,
    traits: Traits | None = None,
    picture: Callable[[int], FrameArray] | None = None,
) -> Path:
    """Write a clip whose frame n says n.

    Args:
        path: Its suffix chooses the container: .mp4, .mov, .mkv, .avi.
        frames: How many.
        rate_hz: Frames a second.
        size: Width and height as shown, pixels.
        sound: Mono sound; none unless given.
        sound_rate_hz: Its sampling rate.
        traits: What else the file is like.
        picture: Makes the picture under the code; `plain_scene` unless given.

    Returns:
        `path`.
    """
    traits = traits or Traits()
    unit = traits.time_base or 1 / rate_hz
    options = {"movflags": traits.movflags} if traits.movflags else {}
    with av.open(str(path), "w", container_options=options) as container:
        container.metadata.update(traits.tags or {})
        video = _add_video(container, traits, rate_hz, size)
        audio = None
        if sound is not None:
            added = container.add_stream(traits.sound_codec, rate=sound_rate_hz, layout="mono")
            assert isinstance(added, AudioStream)
            audio = added
        for number in range(frames):
            scene = picture(number) if picture else plain_scene(number, size=size)
            coded = np.rot90(paint_code(scene, number), traits.rotation_deg // 90)
            stored = np.ascontiguousarray(coded[:, ::-1] if traits.mirrored else coded)
            frame = av.VideoFrame.from_ndarray(stored, format="rgb24")
            frame = frame.reformat(format=traits.pixel_format)
            frame.pts = traits.pts[number] if traits.pts else number
            frame.time_base = unit
            container.mux(video.encode(frame))
        container.mux(video.encode(None))
        if audio is not None and sound is not None:
            _write_sound(container, audio, sound, traits)
    return path


def _add_video(
    container: OutputContainer, traits: Traits, rate_hz: Fraction, size: tuple[int, int]
) -> VideoStream:
    turned = traits.rotation_deg % 180 == 90
    video = container.add_stream(traits.codec, rate=rate_hz)
    assert isinstance(video, VideoStream)
    video.width, video.height = reversed(size) if turned else size
    video.pix_fmt = traits.pixel_format
    video.codec_context.time_base = traits.time_base or 1 / rate_hz
    video.options = _options(traits)
    if traits.pixel_aspect is not None:
        video.sample_aspect_ratio = traits.pixel_aspect
    if traits.rotation_deg or traits.mirrored or traits.off_deg:
        video.set_display_matrix(_matrix(traits))
    return video


def _options(traits: Traits) -> dict[str, object]:
    groups = {"g": str(traits.key_every), "bf": str(traits.b_frames), "crf": "18"}
    if traits.codec == "libx264":
        x264 = f"open-gop={int(traits.open_gop)}:scenecut=0:b-adapt=0"
        return {**groups, "preset": "veryfast", "x264-params": x264}
    if traits.codec == "libx265":
        return {**groups, "preset": "ultrafast", "x265-params": "log-level=none"}
    if traits.codec == "libvpx-vp9":
        return {"g": str(traits.key_every), "deadline": "realtime", "cpu-used": "8", "crf": "18"}
    return {}


def _matrix(traits: Traits) -> list[int]:
    """The display matrix by ISO/IEC 14496-12: mirror first, then turn clockwise, y down."""
    angle_rad = math.radians(traits.rotation_deg + traits.off_deg)
    across = -1 if traits.mirrored else 1
    a, b = across * math.cos(angle_rad), across * math.sin(angle_rad)
    c, d = -math.sin(angle_rad), math.cos(angle_rad)
    rows = [a, b, 0, c, d, 0, 0, 0]
    return [*(round(part * 65536) for part in rows), 1 << 30]


def _write_sound(
    container: OutputContainer, audio: AudioStream, sound: SoundArray, traits: Traits
) -> None:
    rate_hz = audio.codec_context.sample_rate
    size = audio.codec_context.frame_size or 1024
    wanted = audio.codec_context.format.name
    for first, part in _parts(sound, size, traits.sound_gap):
        samples = part[np.newaxis]
        if wanted.startswith("s16"):
            samples = (samples * 32767).astype(np.int16)
        frame = av.AudioFrame.from_ndarray(samples, format=wanted, layout="mono")
        frame.sample_rate = rate_hz
        frame.time_base = Fraction(1, rate_hz)
        frame.pts = traits.sound_start + first
        container.mux(audio.encode(frame))
    container.mux(audio.encode(None))


def _parts(
    sound: SoundArray, size: int, gap: tuple[int, int] | None
) -> Iterator[tuple[int, SoundArray]]:
    for first in range(0, len(sound), size):
        if gap is not None and gap[0] <= first < gap[0] + gap[1]:
            continue
        yield first, sound[first : first + size]


def click(
    *, at_s: float, long_s: float, rate_hz: int = 48_000, strength: float = 0.9
) -> SoundArray:
    """Silence with one sharp click: a decaying 3 kHz burst that begins at `at_s`."""
    sound = np.zeros(round(long_s * rate_hz), np.float32)
    first = round(at_s * rate_hz)
    t = np.arange(round(0.01 * rate_hz)) / rate_hz
    burst = strength * np.exp(-t / 0.001) * np.cos(2 * np.pi * 3000 * t)
    sound[first : first + len(burst)] = burst[: len(sound) - first]
    return sound


def onset_s(sound: SoundArray, *, start_s: float, rate_hz: int) -> float:
    """When the click begins: the first sample at a third of the loudest, on the sound's clock."""
    loud = np.abs(sound)
    return start_s + int(np.argmax(loud > loud.max() / 3)) / rate_hz
