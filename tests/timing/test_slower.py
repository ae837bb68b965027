"""Files that play slower than the swing was."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from capturestation.records import Sync, SyncSource, View
from capturestation.timing.sync import by_hand, played_slower

MS = 1_000_000


@given(
    rate=st.fractions(1, 16, max_denominator=30),
    contact_ns=st.integers(0, 10**11),
    at_ns=st.integers(-(10**10), 10**10),
)
def test_a_slower_file_comes_back_to_its_own_stamps(
    rate: Fraction, contact_ns: int, at_ns: int
) -> None:
    sync = played_slower(by_hand(View.FACE_ON, round(contact_ns / rate), MS), rate)

    media_ns = sync.to_media(at_ns)

    assert abs(sync.to_swing(media_ns) - at_ns) <= 1
    assert abs(sync.contact_media_ns - contact_ns) <= rate
    assert sync.to_swing(np.array([media_ns])).tolist() == [sync.to_swing(media_ns)]


def test_a_slower_file_keeps_no_time_of_its_sound_and_says_so() -> None:
    real = replace(
        by_hand(View.FACE_ON, 1000 * MS, MS),
        sound_ns=999 * MS,
        last_with_ns=996 * MS,
        first_without_ns=1004 * MS,
        contact_seen_ns=1000 * MS,
        contact_seen_u_ns=300_000,
    )

    slow = played_slower(real, Fraction(8))

    assert slow.sound_ns is None
    assert slow.picture_minus_sound_ns is None
    assert slow.last_with_ns == 8 * 996 * MS
    assert slow.contact_seen_ns == 8 * 1000 * MS
    assert "8 times slower" in slow.said
    assert slow.contact_media_ns == 8 * real.contact_media_ns


@pytest.mark.parametrize("rate", [0, -8])
def test_a_file_that_does_not_play_forward_is_our_own_mistake(rate: int) -> None:
    with pytest.raises(ValueError, match="above 0"):
        Sync(
            view=View.FACE_ON,
            swing_minus_media_ns=0,
            u_ns=1,
            source=SyncSource.HAND,
            media_per_swing=Fraction(rate),
        )
