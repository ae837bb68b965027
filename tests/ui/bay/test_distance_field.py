"""A distance as it is written in either country."""

from __future__ import annotations

import pytest
from pytestqt.qtbot import QtBot

from capturestation.ui.bay.distance_field import DistanceField


@pytest.mark.parametrize(
    ("written", "metres"),
    [("1.5", 1.5), ("1,5 m", 1.5), ("0", 0.0), ("", None)],
)
def test_a_distance_is_read_and_told_once(qtbot: QtBot, written: str, metres: float | None) -> None:
    field = DistanceField(2.0, "table")
    qtbot.addWidget(field)
    told: list[float | None] = []
    field.measured.connect(told.append)

    field.setText(written)
    field.editingFinished.emit()
    field.editingFinished.emit()

    assert told == [metres]


@pytest.mark.parametrize("written", ["far", "-1", "300", "nan"])
def test_what_is_no_distance_is_not_taken(qtbot: QtBot, written: str) -> None:
    field = DistanceField(2.0, "table")
    qtbot.addWidget(field)

    field.setText(written)
    with qtbot.assertNotEmitted(field.measured):
        field.editingFinished.emit()

    assert field.text() == "2 m"
