"""Answers about consent: shown with their history, given anew, never unasked."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import QPushButton
from pytestqt.qtbot import QtBot

from capturestation.records import Consent, Giver, Purpose
from capturestation.station.people import today
from capturestation.ui.book.consents import Consents
from capturestation.ui.look import Look
from tests.helpers.library_records import DAY

YES = Consent(purpose=Purpose.COACHING, giver=Giver.STUDENT, given=True, on=DAY, by="me")
NO = replace(YES, given=False, on=DAY - timedelta(days=40))


@pytest.fixture
def consents(qtbot: QtBot) -> Consents:
    made = Consents(Look())
    qtbot.addWidget(made)
    return made


def words(consents: Consents, name: str) -> QPushButton:
    found = [w for w in consents.findChildren(QPushButton) if w.accessibleName() == name]
    assert len(found) == 1
    return found[0]


def test_what_counts_and_what_was_answered_before_is_shown(consents: Consents) -> None:
    consents.begin([YES], [NO, YES])

    said = consents._said[Purpose.COACHING, Giver.STUDENT].text()
    assert said == (
        "yes, 30 Oct 2026, written down by me. before: no, 20 Sep 2026, written down by me"
    )
    assert words(consents, "The student says filming for coaching: yes").isChecked()
    assert words(consents, "The student says filming for coaching: not asked").isHidden()
    assert words(consents, "The student says showing in public: not asked").isChecked()
    assert consents.answers() == ()


def test_a_pressed_word_is_a_new_answer_of_that_day_by_that_person(
    consents: Consents, qtbot: QtBot
) -> None:
    consents.begin([YES], [YES])
    consents.by.setText(" the coach ")
    word = words(consents, "The student says filming for coaching: no")

    qtbot.mouseClick(word, Qt.MouseButton.LeftButton)

    assert consents.answers() == (replace(YES, given=False, on=today(), by="the coach"),)


def test_a_parent_is_asked_where_it_is_needed_or_was_answered(consents: Consents) -> None:
    parent = replace(YES, giver=Giver.PARENT)
    consents.begin([YES], [YES])
    consents.need_parent(needed=False)
    assert consents._parent.isHidden()

    consents.need_parent(needed=True)
    assert not consents._parent.isHidden()
    consents.begin([YES, parent], [YES, parent])
    consents.need_parent(needed=False)
    assert not consents._parent.isHidden()


def test_a_day_that_has_not_come_can_t_be_written(consents: Consents) -> None:
    consents.begin([], [])

    assert consents.on.maximumDate().toPyDate() == today()
