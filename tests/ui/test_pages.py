"""A page over another: what lay below comes back, with the keyboard where it was."""

from __future__ import annotations

import pytest
from PyQt6.QtWidgets import QLineEdit, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from capturestation.ui.pages import Pages
from tests.ui.conftest import shown


def page_of(*fields: QLineEdit) -> QWidget:
    """A page with these fields."""
    page = QWidget()
    layout = QVBoxLayout(page)
    for field in fields:
        layout.addWidget(field)
    return page


@pytest.fixture
def pages(qtbot: QtBot) -> Pages:
    made = Pages()
    qtbot.addWidget(made)
    for _ in range(3):
        made.addWidget(page_of(QLineEdit(), QLineEdit()))
    shown(made, qtbot)
    return made


def page(pages: Pages, number: int) -> QWidget:
    """One of them."""
    found = pages.widget(number)
    assert found is not None
    return found


def test_what_lay_below_comes_back_with_the_keyboard_where_it_was(pages: Pages) -> None:
    pages.show_page(page(pages, 0))
    second = page(pages, 0).findChildren(QLineEdit)[1]
    second.setFocus()
    pages.show_over(page(pages, 1))
    covered, over = pages.is_covered, pages.currentWidget()
    pages.leave()

    assert covered
    assert over is page(pages, 1)
    assert pages.currentWidget() is page(pages, 0)
    assert second.hasFocus()
    assert not pages.is_covered


def test_a_third_page_goes_back_to_the_first(pages: Pages) -> None:
    pages.show_page(page(pages, 0))
    pages.show_over(page(pages, 1))
    pages.show_over(page(pages, 2))

    pages.leave()

    assert pages.currentWidget() is page(pages, 0)


def test_covering_is_told_and_going_elsewhere_uncovers(pages: Pages) -> None:
    told: list[bool] = []
    pages.covered.connect(told.append)
    pages.show_over(page(pages, 1))
    pages.show_page(page(pages, 2))
    pages.leave()

    assert told == [True, False]
    assert pages.currentWidget() is page(pages, 2)
