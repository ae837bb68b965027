"""The list of earlier swings keeps Qt's rules."""

from __future__ import annotations

from PyQt6.QtCore import QAbstractItemModel, QModelIndex
from pytestqt.modeltest import ModelTester

from capturestation.records import SwingId
from capturestation.station.bench.earlier import Earlier
from capturestation.ui.bench.earlier_list import EarlierModel

ROWS = tuple(
    Earlier(
        id=SwingId(name),
        day="30 Oct 2026",
        at="15:21",
        club="7 iron",
        is_best=False,
        is_of_today=is_of_today,
    )
    for name, is_of_today in (("third", True), ("second", True), ("first", False))
)


def test_the_list_is_a_model_as_qt_wants_it(qtmodeltester: ModelTester) -> None:
    model: QAbstractItemModel = EarlierModel()
    assert isinstance(model, EarlierModel)

    model.set_rows(ROWS)
    model.set_row_px(40)

    qtmodeltester.check(model)
    assert model.rowCount() == 3
    assert model.data(QModelIndex()) is None


def test_a_swing_is_found_by_its_id_and_the_first_of_today_by_its_place() -> None:
    model = EarlierModel()
    nothing = model.first_of_today()
    model.set_rows(ROWS)

    first = model.first_of_today()
    assert nothing is None
    assert first is not None
    assert first.id == "second"
    assert model.index_of(SwingId("first")).row() == 2
    assert not model.index_of(SwingId("gone")).isValid()
    assert not model.index_of(None).isValid()
