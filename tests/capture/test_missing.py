"""Missing frames are counted by stamps, whatever the rate."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from capturestation.capture.missing import Missing, missing_in
from capturestation.media.packets import Packet


def packets(stamps: list[int]) -> list[Packet]:
    return [
        Packet(
            host_ns=at,
            pts=at,
            dts=at,
            duration=0,
            time_base=Fraction(1, 90_000),
            is_key=True,
            data=b"",
        )
        for at in stamps
    ]


@pytest.mark.parametrize("gap", [375, 750, 3000])
def test_frames_left_out_are_counted(gap: int) -> None:
    kept = [n * gap for n in range(200) if n not in (90, 120, 121, 122)]
    counter = Missing()

    for packet in packets(kept):
        counter.add(packet)

    assert counter.count == 4
    assert missing_in(kept) == 4


@given(st.sets(st.integers(40, 150), max_size=20))
def test_every_frame_that_is_left_out_counts(left_out: set[int]) -> None:
    kept = [n * 750 for n in range(200) if n not in left_out]

    assert missing_in(kept) == len(left_out)


def test_a_trembling_rate_misses_nothing() -> None:
    kept = [n * 750 + (n * 37 % 200) for n in range(200)]

    assert missing_in(kept) == 0


def test_a_frame_that_came_in_parts_counts_too() -> None:
    came = packets([n * 750 for n in range(100)])
    came[70] = replace(came[70], is_damaged=True)
    counter = Missing()

    for packet in came:
        counter.add(packet)

    assert counter.count == 1


def test_nothing_is_missing_from_nothing() -> None:
    assert missing_in([]) == 0
    assert missing_in([5]) == 0
