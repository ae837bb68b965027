"""What is odd about how a golfer was seen is said, and nothing where nothing is."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from capturestation.records import Hand, View
from capturestation.swing.oddities import Odd, SeenBody, oddities
from capturestation.swing.tracks import Company, Joint, no_track
from sample_sessions.golfer import Golfer
from sample_sessions.people import somebody
from tests.helpers.invented_tracks import projected

SET_NS = -1_300_000_000
BOTH = (View.FACE_ON, View.DOWN_THE_LINE)


def seen(seed: int = 3, hand: Hand = Hand.RIGHT) -> dict[View, SeenBody]:
    golfer = Golfer(somebody(seed, hand=hand))
    return {view: SeenBody(track=projected(view, golfer=golfer), height_px=720) for view in BOTH}


@pytest.mark.parametrize("hand", list(Hand))
@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("set_ns", [SET_NS, None])
def test_an_ordinary_golfer_is_not_odd(seed: int, hand: Hand, set_ns: int | None) -> None:
    assert oddities(seen(seed, hand), hand=hand, set_ns=set_ns) == ()


@pytest.mark.parametrize("seed", range(8))
def test_a_hand_that_was_entered_wrongly_is_noticed(seed: int) -> None:
    (odd,) = oddities(seen(seed, Hand.LEFT), hand=Hand.RIGHT, set_ns=SET_NS)

    assert odd.said.startswith("The golfer stands as a left-handed one does")


@pytest.mark.parametrize("hand", list(Hand))
@pytest.mark.parametrize("seed", range(8))
def test_exchanged_views_are_noticed(seed: int, hand: Hand) -> None:
    views = seen(seed, hand)
    exchanged = dict(zip(BOTH, [views[view] for view in reversed(BOTH)], strict=True))

    (odd,) = oddities(exchanged, hand=hand, set_ns=SET_NS)

    assert odd.odd is Odd.EXCHANGED
    assert odd.whole.endswith("exchange them. (swings exchange)")
    assert odd.said.startswith("The two views look exchanged")


def test_nobody_is_said_of_that_view_alone() -> None:
    views = seen()
    track = views[View.FACE_ON].track
    empty = replace(
        track, joints_px=np.full_like(track.joints_px, np.nan), seen=np.zeros_like(track.seen)
    )

    said = oddities(
        views | {View.FACE_ON: SeenBody(track=empty, height_px=720)}, hand=Hand.RIGHT, set_ns=SET_NS
    )

    assert len(said) == 1
    assert said[0].said.startswith("Nobody is seen in the face-on picture")


@pytest.mark.parametrize(
    ("joints", "way", "word"),
    [((Joint.LEAD_ANKLE, Joint.TRAIL_ANKLE), 400.0, "feet"), ((Joint.NOSE,), -400.0, "head")],
)
def test_half_a_body_is_said(joints: tuple[Joint, ...], way: float, word: str) -> None:
    views = seen()
    track = views[View.DOWN_THE_LINE].track
    moved = track.joints_px.copy()
    for joint in joints:
        moved[:, joint.place, 1] += way

    said = oddities(
        views
        | {View.DOWN_THE_LINE: replace(views[View.FACE_ON], track=replace(track, joints_px=moved))},
        hand=Hand.RIGHT,
        set_ns=SET_NS,
    )

    assert said[0].said.startswith(f"The {word} ")


@pytest.mark.parametrize(
    ("company", "odd", "words"),
    [
        (Company(others=1), Odd.TWO_PEOPLE, "the one whose hands hold together counts"),
        (Company(others=1, hidden_share=0.12), Odd.TWO_PEOPLE, "in 12 % of the down-the-line"),
        (Company(hidden_share=0.001), Odd.TWO_PEOPLE, "in 1 % of the down-the-line"),
        (Company(lies_deg=270), Odd.LIES, "swings turn ... down-the-line --by 270"),
    ],
)
def test_who_else_was_about_and_a_camera_on_its_side_are_said(
    company: Company, odd: Odd, words: str
) -> None:
    views = seen()
    views[View.DOWN_THE_LINE] = replace(views[View.DOWN_THE_LINE], company=company)

    (told,) = oddities(views, hand=Hand.RIGHT, set_ns=SET_NS)

    assert (told.odd, told.view) == (odd, View.DOWN_THE_LINE)
    assert words in told.whole
    assert told.turn_deg == company.lies_deg


def test_of_two_who_may_swing_nothing_more_is_said() -> None:
    doubtful = Company(others=1, is_doubtful=True)
    one = SeenBody(track=no_track(), height_px=720, company=doubtful)

    (told,) = oddities({View.FACE_ON: one}, hand=Hand.RIGHT, set_ns=None)

    assert told.odd is Odd.TWO_PEOPLE
    assert "it can't be told who of them swings" in told.said


def test_a_track_without_pictures_shows_nobody() -> None:
    track = seen()[View.FACE_ON].track
    none = replace(
        track, times_ns=track.times_ns[:0], joints_px=track.joints_px[:0], seen=track.seen[:0]
    )

    said = oddities(
        {View.FACE_ON: SeenBody(track=none, height_px=720)}, hand=Hand.RIGHT, set_ns=None
    )

    assert len(said) == 1
