"""The Book's lists keep Qt's rules for models and say each line whole."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

import pytest
from PyQt6.QtCore import QModelIndex, Qt
from pytestqt.modeltest import ModelTester
from pytestqt.qtbot import QtBot

from capturestation.errors import LibraryError, StationError
from capturestation.library import Library
from capturestation.station import notebook
from capturestation.station.leaf import READ_AT_ONCE, Leaf, key_of
from capturestation.ui.book.models import LINE_ROLE, Goals, LeafModel, Lines, Students
from tests.helpers.library_records import DAY, a_lesson, a_student
from tests.helpers.station_library import NAME, Filled


@pytest.fixture
def library(qtbot: QtBot, filled: Filled) -> Iterator[Library]:
    with Library.open(filled.folder) as opened:
        yield opened


def spoken(model: Lines[object] | LeafModel | Students | Goals, row: int) -> str:
    return str(model.index(row).data(Qt.ItemDataRole.AccessibleTextRole))


def test_the_lists_keep_the_rules_of_models(
    library: Library, filled: Filled, qtmodeltester: ModelTester
) -> None:
    students, goals, leaf = Students(), Goals(), LeafModel()
    students.put(notebook.student_lines(library).lines)
    library.add_student(a_student("Bo"))
    goals.put(notebook.goals(library, filled.today))
    leaf.show_leaf(Leaf(library, filled.today.book.student_id))

    for model in (students, goals, leaf):
        assert model.rowCount() > 0
        qtmodeltester.check(model)


def test_a_long_page_keeps_the_rules_while_it_is_read(
    library: Library, qtmodeltester: ModelTester
) -> None:
    student = library.add_student(a_student())
    days = [library.add_lesson(a_lesson(student, DAY - timedelta(days=n))) for n in range(60)]
    model = LeafModel()
    model.show_leaf(Leaf(library, student.id))

    assert model.rowCount() == READ_AT_ONCE
    assert model.canFetchMore(QModelIndex())
    qtmodeltester.check(model)
    model.fetchMore(QModelIndex())

    assert [key_of(line) for line in model.lines] == [day.id for day in days]
    assert not model.canFetchMore(QModelIndex())


def test_what_can_t_be_read_is_told_and_the_page_stays(
    library: Library, monkeypatch: pytest.MonkeyPatch
) -> None:
    student = library.add_student(a_student())
    for number in range(60):
        library.add_lesson(a_lesson(student, DAY - timedelta(days=number)))
    leaf, model = Leaf(library, student.id), LeafModel()
    model.show_leaf(leaf)
    told: list[StationError] = []
    model.failed.connect(told.append)

    def broken(least: int = 0) -> None:
        raise LibraryError("The rows are damaged.", try_next="Check the library.")

    monkeypatch.setattr(leaf, "read_more", broken)
    model.fetchMore(QModelIndex())

    assert [str(error) for error in told] == ["The rows are damaged. Check the library."]
    assert model.rowCount() == READ_AT_ONCE
    assert not model.canFetchMore(QModelIndex())


def test_a_print_s_line_gives_its_record_and_all_its_words(
    library: Library, filled: Filled
) -> None:
    model = LeafModel()
    leaf = Leaf(library, filled.best.book.student_id)
    model.show_leaf(leaf)
    row = model.row_of(filled.best.id)

    assert model.index(row).data(LINE_ROLE) == leaf.lines[row]
    assert "7 iron" in spoken(model, row)
    assert "own best" in spoken(model, row)
    assert spoken(model, 0).startswith("Friday 30 October 2026. no focus yet. 2 swings")


def test_a_student_s_line_says_hand_and_last_lesson(library: Library) -> None:
    students = Students()
    students.put(notebook.student_lines(library).lines)

    assert spoken(students, 0) == f"{NAME}. 30 Oct 2026, right-handed"


def test_a_goal_says_whose_lesson_it_is(library: Library, filled: Filled) -> None:
    goals = Goals()
    lesson = library.add_lesson(a_lesson(library.student(filled.today.book.student_id), DAY))
    goals.put(notebook.goals(library, filled.today))

    assert goals.key(goals.lines[0]) == lesson.id
    assert spoken(goals, 0) == f"{NAME}. lesson 30 Oct 2026. turn"


def test_changed_lines_of_the_same_things_keep_what_is_chosen(
    library: Library, filled: Filled
) -> None:
    model = LeafModel()
    leaf = Leaf(library, filled.today.book.student_id)
    model.show_leaf(leaf)
    resets: list[None] = []
    changes: list[tuple[int, int]] = []
    model.modelReset.connect(lambda: resets.append(None))
    model.dataChanged.connect(lambda a, b: changes.append((a.row(), b.row())))

    model.show_leaf(leaf)
    assert (resets, changes) == ([], [(0, 2)])

    model.show_leaf(None)
    assert resets == [None]


def test_an_index_of_nowhere_has_no_record(qtbot: QtBot) -> None:
    model = LeafModel()

    assert model.at(QModelIndex()) is None
    assert model.row_of("x") == -1
    assert not model.canFetchMore(QModelIndex())
