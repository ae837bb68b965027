from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from capturestation.errors import NoSoundError, NotReadableError
from capturestation.media.sound import Sound, read_sound
from capturestation.records import NS_PER_S
from tests.helpers.altered_media import trim_by_edit_list
from tests.helpers.coded_media import Traits, click, onset_s, write_coded_clip

RATE_HZ = Fraction(30)
CLICK_S = 0.75
PCM_MKV = ("a.mkv", Traits(sound_codec="pcm_s16le"))


def clip(path: Path, traits: Traits | None = None, *, rate_hz: int = 48_000) -> Path:
    sound = click(at_s=CLICK_S, long_s=1.2, rate_hz=rate_hz)
    return write_coded_clip(
        path, frames=30, rate_hz=RATE_HZ, sound=sound, sound_rate_hz=rate_hz, traits=traits
    )


def heard_s(sound: Sound) -> float:
    return onset_s(sound.samples, start_s=sound.start_ns / NS_PER_S, rate_hz=sound.rate_hz)


@pytest.mark.parametrize("rate_hz", [44_100, 48_000])
@pytest.mark.parametrize(
    ("name", "codec"),
    [
        ("a.mp4", "aac"),
        ("a.mov", "aac"),
        ("a.mkv", "aac"),
        ("a.mov", "pcm_s16le"),
        ("a.mkv", "pcm_s16le"),
        ("a.mkv", "flac"),
    ],
)
def test_a_click_is_heard_when_it_was_made(
    tmp_path: Path, name: str, codec: str, rate_hz: int
) -> None:
    sound = read_sound(clip(tmp_path / name, Traits(sound_codec=codec), rate_hz=rate_hz))

    assert sound.rate_hz == rate_hz
    assert abs(heard_s(sound) - CLICK_S) <= 0.0005
    assert abs(sound.start_ns) <= 500_000


@pytest.mark.parametrize("name", ["a.mp4", "a.mkv", "a.mov"])
def test_sound_that_starts_late_is_late(tmp_path: Path, name: str) -> None:
    sound = read_sound(clip(tmp_path / name, Traits(sound_start=4800)))

    # An MP4 rounds the start of a late track to its movie's unit of 1 ms.
    assert abs(heard_s(sound) - CLICK_S - 0.1) <= 0.001


def test_a_trimmed_file_keeps_its_sound_in_step(tmp_path: Path) -> None:
    path = clip(tmp_path / "a.mp4")
    trim_by_edit_list(path, start_s=Fraction(12, 30), long_s=Fraction(18, 30))

    sound = read_sound(path)

    assert abs(heard_s(sound) - (CLICK_S - 0.4)) <= 0.0005


@pytest.mark.parametrize(("name", "traits"), [PCM_MKV, ("a.mkv", Traits())])
def test_a_gap_becomes_silence_and_moves_nothing(tmp_path: Path, name: str, traits: Traits) -> None:
    gap = (10_240, 10_240)
    broken = Traits(sound_codec=traits.sound_codec, sound_gap=gap)

    whole = read_sound(clip(tmp_path / f"whole_{name}", traits))
    sound = read_sound(clip(tmp_path / name, broken))

    assert abs(len(sound) - len(whole)) <= 5
    assert abs(heard_s(sound) - CLICK_S) <= 0.0005
    assert not sound.samples[12_288:20_000].any()


def test_whole_numbers_become_shares_of_full_scale(tmp_path: Path) -> None:
    name, traits = PCM_MKV

    sound = read_sound(clip(tmp_path / name, traits))

    assert sound.samples.dtype == np.float32
    assert np.abs(sound.samples - click(at_s=CLICK_S, long_s=1.2)).max() <= 2 / 32_768


def test_two_channels_are_mixed_evenly(tmp_path: Path) -> None:
    path = tmp_path / "a.mkv"
    sides = np.stack([np.full(4800, 0.5), np.full(4800, -0.25)]).astype(np.float32)
    with av.open(str(path), "w") as container:
        track = container.add_stream("pcm_f32le", rate=48_000, layout="stereo")
        packed = np.ascontiguousarray(sides.T).reshape(1, -1)
        frame = av.AudioFrame.from_ndarray(packed, format="flt", layout="stereo")
        frame.sample_rate, frame.pts = 48_000, 0
        container.mux(track.encode(frame))
        container.mux(track.encode(None))

    sound = read_sound(path)

    assert len(sound) == 4800
    assert np.allclose(sound.samples, 0.125)


def test_a_silent_file_has_no_sound(tmp_path: Path) -> None:
    path = write_coded_clip(tmp_path / "mute.mp4", frames=3, rate_hz=RATE_HZ)

    with pytest.raises(NoSoundError, match=r"mute\.mp4 has no sound"):
        read_sound(path)


def test_damaged_sound_is_named_with_its_time(tmp_path: Path) -> None:
    path = clip(tmp_path / "a.mp4")
    with av.open(str(path)) as container:
        packets = [packet for packet in container.demux(audio=0) if packet.size]
        spans = [(packet.pos, packet.size) for packet in packets[20:]]
    data = bytearray(path.read_bytes())
    for first, size in spans:
        assert first is not None
        data[first : first + size] = b"\xff" * size
    path.write_bytes(data)

    with pytest.raises(NotReadableError, match=r"a\.mp4 is damaged: its sound after 0\.\d\d\d s"):
        read_sound(path)


@given(
    length=st.integers(0, 50),
    start_ns=st.integers(-(10**9), 10**9),
    first=st.integers(-60, 60),
    span=st.integers(-5, 120),
    rate_hz=st.sampled_from([1000, 44_100, 48_000]),
)
def test_a_part_holds_just_the_samples_in_its_span(
    length: int, start_ns: int, first: int, span: int, rate_hz: int
) -> None:
    sound = Sound(samples=np.arange(length, dtype=np.float32), rate_hz=rate_hz, start_ns=start_ns)
    from_ns = start_ns + first * 7_919_113
    to_ns = from_ns + span * 999_983

    part = sound.between(from_ns, to_ns)

    times = [start_ns + Fraction(n * NS_PER_S, rate_hz) for n in range(length)]
    inside = [n for n, time in enumerate(times) if from_ns <= time < to_ns]
    assert part.samples.tolist() == inside
    if inside:
        assert part.start_ns == round(times[inside[0]])


def test_sound_of_several_columns_is_our_own_mistake() -> None:
    with pytest.raises(ValueError, match=r"\(3, 2\)"):
        Sound(samples=np.zeros((3, 2), np.float32), rate_hz=48_000, start_ns=0)
