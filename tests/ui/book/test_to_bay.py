"""From a student's page to the Bay."""

from __future__ import annotations

from tests.ui.book.conftest import Opened


def test_the_student_whose_page_it_is_goes_to_the_bay(book: Opened) -> None:
    sent: list[str] = []
    book.place.hits.connect(sent.append)

    book.do("to_bay")

    assert sent == [book.filled.today.book.student_id]
