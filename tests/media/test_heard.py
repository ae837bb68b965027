"""A live stream's sound comes in few blocks, with the samples and stamps that its packets have."""

from __future__ import annotations

import io
from collections.abc import Sequence
from fractions import Fraction

import av
import numpy as np
import pytest
from av.audio.stream import AudioStream

from capturestation.media._heard import StreamSound
from capturestation.media.packets import SoundBlock
from capturestation.media.sound import mono
from capturestation.records import NS_PER_S, SoundArray

RATE_HZ = 48_000
SIZE = 480


def stream_of(codec: str, starts: Sequence[int], *, layout: str = "mono") -> bytes:
    """Ten milliseconds of noise from each of these samples on."""
    channels = 2 if layout == "stereo" else 1
    held = io.BytesIO()
    dice = np.random.default_rng(3)
    with av.open(held, "w", format="matroska") as target:
        stream = target.add_stream(codec, rate=RATE_HZ, layout=layout)
        assert isinstance(stream, AudioStream)
        for start in starts:
            values = dice.integers(-30_000, 30_000, (1, SIZE * channels)).astype(np.int16)
            frame = av.AudioFrame.from_ndarray(values, format="s16", layout=layout)
            frame.sample_rate = RATE_HZ
            frame.time_base = Fraction(1, RATE_HZ)
            frame.pts = start
            target.mux(stream.encode(frame))
        target.mux(stream.encode(None))
    return held.getvalue()


def blocks_of(stream: bytes) -> list[SoundBlock]:
    with av.open(io.BytesIO(stream), "r") as source:
        sound = StreamSound(source.streams.audio[0])
        came = [(packet, 7 + n) for n, packet in enumerate(source.demux()) if packet.size]
        return list(sound.blocks(came))


def decoded(stream: bytes) -> SoundArray:
    with av.open(io.BytesIO(stream), "r") as source:
        return np.concatenate([mono(frame) for frame in source.decode(audio=0)])


@pytest.mark.parametrize("layout", ["mono", "stereo"])
@pytest.mark.parametrize("codec", ["pcm_s16le", "pcm_s16be", "flac"])
def test_what_follows_on_is_one_block_with_the_samples_as_decoded(codec: str, layout: str) -> None:
    stream = stream_of(codec, [9600 + SIZE * n for n in range(5)], layout=layout)

    (block,) = blocks_of(stream)

    assert np.array_equal(block.samples, decoded(stream))
    assert block.rate_hz == RATE_HZ
    assert block.device_ns == NS_PER_S // 5


def test_a_gap_begins_another_block_with_its_own_stamps() -> None:
    stream = stream_of("pcm_s16le", [0, SIZE, 4 * SIZE, 5 * SIZE])

    first, second = blocks_of(stream)

    assert len(first.samples) == len(second.samples) == 2 * SIZE
    assert (first.device_ns, second.device_ns) == (0, 40_000_000)
    assert (first.host_ns, second.host_ns) == (8, 10)


def test_half_a_sample_at_the_end_of_a_damaged_packet_is_left_out() -> None:
    with av.open(io.BytesIO(stream_of("pcm_s16le", [0])), "r") as source:
        sound = StreamSound(source.streams.audio[0])
        damaged = av.Packet(b"\1\0\2\0\3")
        damaged.pts = 0

        (block,) = sound.blocks([(damaged, 0)])

    assert block.samples.tolist() == [1 / 32768, 2 / 32768]
