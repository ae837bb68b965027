"""Golfers drawn by seed."""

from __future__ import annotations

import pytest

from capturestation.records import Hand, SwingKind
from sample_sessions.ages import HEIGHTS_M, Age
from sample_sessions.cameras import FACE_ON
from sample_sessions.golfer import Golfer
from sample_sessions.parameters import SwingParameters
from sample_sessions.people import part_swing, pitching, somebody
from sample_sessions.truth import clip_truth, truth_text


def test_a_seed_is_one_golfer_with_one_truth() -> None:
    texts = [
        truth_text(clip_truth(Golfer(somebody(seed)), FACE_ON, "a.mp4", first_ns=0, frames=1))
        for seed in (12, 12, 13)
    ]

    assert texts[0] == texts[1] != texts[2]


def test_seeds_bring_both_hands_all_clubs_and_all_ages() -> None:
    drawn = [somebody(seed) for seed in range(60)]

    assert {swing.hand for swing in drawn} == set(Hand)
    assert {swing.age for swing in drawn} == set(Age)
    assert len({swing.club_name for swing in drawn}) == 3


def test_a_senior_swings_slower_and_turns_less_than_an_adult() -> None:
    seniors, adults = (
        [somebody(seed, age=age) for seed in range(20)] for age in (Age.SENIOR, Age.ADULT)
    )

    for name in ("downswing_s", "backswing_s"):
        assert min(getattr(s, name) for s in seniors) > min(getattr(a, name) for a in adults)
    assert max(s.chest_top_deg for s in seniors) < max(a.chest_top_deg for a in adults)


def test_the_same_golfer_pitches_and_takes_part_swings() -> None:
    swing = somebody(4)

    assert pitching(swing).kind is SwingKind.PITCH
    assert part_swing(swing).kind is SwingKind.PART
    assert pitching(swing).chest_top_deg < part_swing(swing).chest_top_deg < swing.chest_top_deg


def test_a_height_that_no_child_has_is_refused() -> None:
    low, high = HEIGHTS_M[Age.CHILD]

    with pytest.raises(ValueError, match="child"):
        SwingParameters(age=Age.CHILD, height_m=high + 0.1)
    assert low < high
