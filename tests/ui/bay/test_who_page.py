"""Who is hitting is found as one types."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from PyQt6.QtCore import Qt
from pytestqt.qtbot import QtBot

from capturestation.library import Library
from capturestation.records import Student
from capturestation.station import people
from capturestation.ui.bay.who_page import WhoPage
from capturestation.ui.look import Look
from tests.helpers.station_library import Filled


@pytest.fixture
def library(filled: Filled) -> Iterator[Library]:
    with Library.open(filled.folder) as library:
        people.add_student(library, name="Another", birth_year=1990)
        yield library


@pytest.fixture
def page(library: Library, look: Look, qtbot: QtBot) -> WhoPage:
    made = WhoPage(library, look)
    qtbot.addWidget(made)
    made.show()
    made.begin()
    return made


def test_the_one_who_hit_last_is_offered_first(page: WhoPage) -> None:
    chosen: list[Student] = []
    page.chosen.connect(chosen.append)

    page.take.click()

    assert [student.name for student in chosen] == ["Zoë Ångström"]


def test_typing_finds_and_return_takes(page: WhoPage, qtbot: QtBot) -> None:
    chosen: list[Student] = []
    page.chosen.connect(chosen.append)

    qtbot.keyClicks(page.index.field, "anoth")
    qtbot.keyClick(page.index.field, Qt.Key.Key_Return)

    assert [student.name for student in chosen] == ["Another"]


def test_where_nobody_is_found_nobody_can_be_taken(page: WhoPage, qtbot: QtBot) -> None:
    qtbot.keyClicks(page.index.field, "nobody of that name")

    assert not page.take.isEnabled()
    page.index.field.clear()
    assert page.take.isEnabled()


def test_nobody_can_be_chosen(page: WhoPage, qtbot: QtBot) -> None:
    with qtbot.waitSignal(page.left):
        page.cancel.click()
