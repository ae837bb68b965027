from __future__ import annotations

import dataclasses

from capturestation.compare.marks import ruling_marks
from capturestation.records import MarkSource, Moment, hand_mark


def test_the_hand_wins_over_a_found_mark_and_moments_come_in_order() -> None:
    by_hand = hand_mark(Moment.TOP, -250)
    found = dataclasses.replace(hand_mark(Moment.TOP, -240), source=MarkSource.FOUND)
    impact = dataclasses.replace(hand_mark(Moment.IMPACT, 0), source=MarkSource.FOUND)

    ruling = ruling_marks([impact, found, by_hand])

    assert list(ruling.items()) == [(Moment.TOP, by_hand), (Moment.IMPACT, impact)]
