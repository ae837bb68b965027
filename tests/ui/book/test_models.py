"""The Book's lists keep Qt's rules for models and say each line whole."""

from __future__ import annotations

from PyQt6.QtCore import QModelIndex, Qt
from pytestqt.modeltest import ModelTester

from capturestation.library import Library
from capturestation.records import Swing
from capturestation.station import notebook
from capturestation.ui.book.models import LINE_ROLE, Lessons, Students, Swings
from tests.helpers.made_swings import made_swing
from tests.helpers.station_library import NAME, Filled


def test_the_lists_keep_the_rules_of_models(filled: Filled, qtmodeltester: ModelTester) -> None:
    with Library.open(filled.folder) as library:
        student = filled.today.book.student_id
        students, lessons, swings = Students(), Lessons(), Swings()
        students.put(notebook.student_lines(library).lines)
        lessons.put(notebook.lesson_lines(library, student))
        swings.put(library.swings_of(student))

    for model in (students, lessons, swings):
        qtmodeltester.check(model)


def test_a_line_gives_its_record_and_all_its_words(filled: Filled) -> None:
    swings = Swings()
    swings.put((filled.best,))
    index = swings.index(0)

    assert index.data(LINE_ROLE) == filled.best
    spoken = index.data(Qt.ItemDataRole.AccessibleTextRole)
    assert "7 iron" in spoken
    assert "own best" in spoken


def test_a_student_s_line_says_hand_and_last_lesson(filled: Filled) -> None:
    students = Students()
    with Library.open(filled.folder) as library:
        students.put(notebook.student_lines(library).lines)

    spoken = students.index(0).data(Qt.ItemDataRole.AccessibleTextRole)

    assert spoken == f"{NAME}. right-handed, last lesson 30 Oct 2026"


def test_changed_lines_of_the_same_swings_keep_what_is_chosen() -> None:
    first, second = made_swing("a"), made_swing("b")
    swings = Swings()
    swings.put((first, second))
    resets: list[None] = []
    changes: list[tuple[int, int]] = []
    swings.modelReset.connect(lambda: resets.append(None))
    swings.dataChanged.connect(lambda a, b: changes.append((a.row(), b.row())))

    swings.put((first, second))
    assert (resets, changes) == ([], [(0, 1)])

    swings.put((second,))
    assert resets == [None]


def test_an_index_of_nowhere_has_no_record() -> None:
    swings: Swings = Swings()

    nothing: Swing | None = swings.at(QModelIndex())

    assert nothing is None
    assert swings.row_of("x") == -1
