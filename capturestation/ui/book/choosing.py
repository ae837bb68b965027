"""What is chosen from words about a swing: what the ball did, its club, its kind.

Owns which words are offered. The key that opened a page goes on to its next word.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from capturestation.records import SwingId, SwingKind
from capturestation.station import notebook
from capturestation.ui.book.ball_page import BallPage
from capturestation.ui.texts import say

if TYPE_CHECKING:
    from capturestation.ui.book.place import BookPlace

_CLUB, _KIND = "club", "kind"


class Choosing:
    """The Book's pages of words.

    Args:
        place: The Book.
    """

    def __init__(self, place: BookPlace) -> None:
        self._place = place
        self._swing: SwingId | None = None

    def ask_ball(self) -> None:
        """Write down what the ball did."""
        place = self._place
        if place.chosen is not None:
            self._swing = place.chosen.id
            place.ball_page.show_ball(place.chosen.book.ball)
            place.show_over(place.ball_page)
            place.ball_page.give_keyboard()

    def ask_club(self) -> None:
        """Choose the club; the same key again goes on to the next word."""
        place = self._place
        if place.chosen is not None:
            book = place.chosen.book
            clubs = notebook.clubs_of(place.library, book.student_id, book.lesson_id)
            self._ask(_CLUB, [(club, club) for club in clubs], book.club, is_open=True)

    def ask_kind(self) -> None:
        """Choose the kind of swing; the same key again goes on to the next word."""
        if self._place.chosen is not None:
            words = [(str(kind), say(f"book.kind.{kind}")) for kind in SwingKind]
            self._ask(_KIND, words, str(self._place.chosen.book.kind), is_open=False)

    def _ask(self, asks: str, words: list[tuple[str, str]], now: str, *, is_open: bool) -> None:
        place, page = self._place, self._place.word_page
        if place.pages.currentWidget() is page:
            if page.asks == asks:
                page.next_word()
            return
        self._swing = place.swing
        page.ask(asks, say(f"book.{asks}.title"), words, now, is_open=is_open)
        place.show_over(page)
        page.give_keyboard()

    @property
    def asked_ball(self) -> SwingId | None:
        """The swing whose ball is written down on a page now; None where there is no such page."""
        is_open = isinstance(self._place.pages.currentWidget(), BallPage)
        return self._swing if is_open else None

    def put(self, word: str) -> None:
        """Write down what was chosen, for the swing that the page was opened for."""
        place, swing = self._place, self._swing
        place.close_over()
        if swing is None:
            return
        if place.word_page.asks == _CLUB:
            place.changing.club(swing, word)
        else:
            place.changing.kind(swing, SwingKind(word))
