"""Swings, clubs and marks refuse what makes no sense."""

from __future__ import annotations

from fractions import Fraction

import pytest

from capturestation.records import (
    BallResult,
    ClubGroup,
    Mark,
    MarkSource,
    MediaTime,
    Moment,
    Result,
    club_group,
    hand_mark,
)


@pytest.mark.parametrize(
    ("club", "group"),
    [
        ("7 iron", ClubGroup.IRON),
        ("7i", ClubGroup.IRON),
        ("Driver", ClubGroup.DRIVER),
        ("1-wood", ClubGroup.DRIVER),
        ("3w", ClubGroup.WOOD),
        ("5 wood", ClubGroup.WOOD),
        ("4 hybrid", ClubGroup.HYBRID),
        ("PW", ClubGroup.WEDGE),
        ("sand wedge", ClubGroup.WEDGE),
        ("56", ClubGroup.WEDGE),
        ("putter", ClubGroup.PUTTER),
        ("seven iron", ClubGroup.IRON),
        ("iron 7", ClubGroup.IRON),
        ("7", ClubGroup.IRON),
        ("56°", ClubGroup.WEDGE),
        ("56 degree", ClubGroup.WEDGE),
        ("lob", ClubGroup.WEDGE),
        ("hybrid 4", ClubGroup.HYBRID),
        ("driver 9.5", ClubGroup.DRIVER),
        ("11 wood", ClubGroup.WOOD),
        ("broom handle", ClubGroup.OTHER),
    ],
)
def test_a_club_belongs_to_its_group_by_its_everyday_name(club: str, group: ClubGroup) -> None:
    assert club_group(club) is group


def test_moments_stand_in_the_order_they_happen() -> None:
    places = [moment.place for moment in Moment]

    assert places == sorted(places)
    assert Moment.TOP.place < Moment.LEAD_ARM_LEVEL_DOWN.place < Moment.IMPACT.place


def test_a_mark_keeps_its_three_times_in_order() -> None:
    with pytest.raises(ValueError, match="early <= at <= late"):
        Mark(
            moment=Moment.TOP,
            at_ns=0,
            early_ns=1,
            late_ns=2,
            confidence=1.0,
            source=MarkSource.FOUND,
        )
    assert hand_mark(Moment.TOP, 5, u_ns=2).early_ns == 3


def test_a_rating_stays_on_its_scale() -> None:
    with pytest.raises(ValueError, match="1 to 5"):
        BallResult(rating=6)


def test_a_result_has_a_value_or_a_reason() -> None:
    with pytest.raises(ValueError, match="a reason"):
        Result(name="tempo")


def test_media_times_are_rounded_once_to_whole_nanoseconds() -> None:
    assert MediaTime(pts=1, time_base=Fraction(1, 3)).ns == 333_333_333
