"""Four keys of a remote (previous, next, play, view) lead from the Book to the last moment."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from capturestation.records import Moment, View
from tests.helpers.hand_on_window import Hand, hand_on
from tests.helpers.real_window import Screen
from tests.helpers.seen_window import SeenBench
from tests.helpers.station_library import Filled

pytestmark = [pytest.mark.process, pytest.mark.slow]
PREVIOUS, NEXT, PLAY, VIEW = "Prior", "Next", "F5", "period"


def at(bench: SeenBench, moment: Moment) -> int:
    """When a moment is."""
    return next(told.at_ns for told in bench.moments if told.moment is moment)


def chosen(hand: Hand, swing_id: str) -> None:
    """Wait until a swing is chosen in the Book."""
    hand.until(lambda seen: seen.chosen == swing_id, "the swing is chosen")


def shows(view: View | None) -> Callable[[SeenBench], bool]:
    """Whether that angle is seen alone; None for all."""
    return lambda seen: seen.alone is view


def angles(hand: Hand) -> list[View | None]:
    """Press view until all angles are seen again; which were seen."""
    gone_through: list[View | None] = []
    for wanted in (View.FACE_ON, View.DOWN_THE_LINE, None):
        hand.on.key(VIEW)
        seen = hand.until_bench(shows(wanted), f"only {wanted}")
        gone_through.append(seen.alone)
        assert len({picture.view for picture in seen.pictures}) == (2 if wanted is None else 1)
    return gone_through


def played(hand: Hand) -> tuple[int, int]:
    """Play and stop; from where to where."""
    hand.on.key(PLAY)
    hand.until(lambda seen: bool(seen.bench and seen.bench.is_playing), "it plays")
    begun = hand.bench().at_ns
    hand.until(lambda seen: bool(seen.bench and seen.bench.at_ns > begun + 50_000_000), "it runs")
    hand.on.key(PLAY)
    stopped = hand.until_bench(lambda seen: not seen.is_playing, "it stands")
    return begun, stopped.at_ns


def test_from_the_book_to_a_swing_its_moments_angles_and_the_swing_after(
    filled: Filled, on: Screen
) -> None:
    with hand_on(on, filled.folder) as hand:
        chosen(hand, filled.today.id)
        on.key(NEXT)
        chosen(hand, filled.best.id)
        on.key(PLAY)
        opened = hand.until_bench(lambda seen: seen.now == filled.best.id, "the swing lies there")
        on.key(PREVIOUS)
        hand.until_bench(lambda seen: seen.at_ns == at(opened, Moment.SHAFT_LEVEL_DOWN), "down")
        on.key(PREVIOUS)
        hand.until_bench(lambda seen: seen.at_ns == at(opened, Moment.TOP), "the top")
        seen_angles = angles(hand)
        begun_ns, stopped_ns = played(hand)
        on.key(*[NEXT] * len(opened.moments))
        hand.until_bench(lambda seen: seen.now == filled.today.id, "the swing struck after")
        errors = hand.quit()

    assert errors == ""
    assert seen_angles == [View.FACE_ON, View.DOWN_THE_LINE, None]
    assert at(opened, Moment.TOP) <= begun_ns < stopped_ns
