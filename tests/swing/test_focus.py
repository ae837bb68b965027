"""A lesson's focus speaks of measures by the coach's own words."""

from __future__ import annotations

import pytest

from capturestation.swing.focus import _table, spoken_of
from capturestation.swing.measures import MEASURES


@pytest.mark.parametrize(
    ("focus", "measures"),
    [
        ("Pelvis square by lead arm level on the way down", {"pelvis turn"}),
        ("hips: turn, don't slide", {"pelvis turn", "pelvis to the target"}),
        ("hands ahead at impact", {"shaft lean"}),
        ("stay in posture", {"forward bend", "forward bend since set"}),
        ("lead leg straightening at impact", {"lead knee bend"}),
        ("enjoy it", set()),
    ],
)
def test_words_of_the_trade_name_measures(focus: str, measures: set[str]) -> None:
    assert spoken_of([focus]) == measures


def test_every_measure_can_be_spoken_of_and_no_other() -> None:
    assert set(_table()) == {measure.name for measure in MEASURES}
