"""The pages that lie over the Book, each made when it is needed first: opening the Book is quick.

Owns what each of them leads to.
"""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

from capturestation.ui.asking import AskPage
from capturestation.ui.book.away_page import AwayPage
from capturestation.ui.book.ball_page import BallPage
from capturestation.ui.book.contact_page import ContactPage
from capturestation.ui.book.files_page import FilesPage
from capturestation.ui.book.forget_page import ForgetPage
from capturestation.ui.book.lesson_form import LessonForm
from capturestation.ui.book.move_page import MovePage
from capturestation.ui.book.sheets import Sheets
from capturestation.ui.book.student_form import StudentForm
from capturestation.ui.book.views_page import ViewsPage
from capturestation.ui.book.weeks_page import WeeksPage
from capturestation.ui.book.word_page import WordPage
from capturestation.ui.texts import say

if TYPE_CHECKING:
    from capturestation.ui.book.changing import Changing
    from capturestation.ui.book.choosing import Choosing
    from capturestation.ui.book.keeping import Keeping
    from capturestation.ui.book.long_away import LongAway
    from capturestation.ui.book.mending import Mending
    from capturestation.ui.book.taking import Taking
    from capturestation.ui.book.weekly import Weekly


class Overs(Sheets):
    """The Book with the pages over it."""

    away: LongAway
    changing: Changing
    choosing: Choosing
    keeping: Keeping
    mending: Mending
    taking: Taking
    weekly: Weekly

    @cached_property
    def student_form(self) -> StudentForm:
        """A student is written down."""
        page = StudentForm(self.look)
        page.saved.connect(self.keeping.save)
        page.forgets.connect(self.keeping.ask_forget_written)
        page.gives.connect(self.keeping.give_out)
        page.left.connect(self.close_over)
        return self.laid_over(page)

    @cached_property
    def lesson_form(self) -> LessonForm:
        """A lesson's focus is written down."""
        page = LessonForm(self.look)
        page.saved.connect(self.changing.save_lesson)
        page.left.connect(self.close_over)
        return self.laid_over(page)

    @cached_property
    def ball_page(self) -> BallPage:
        """What the ball did."""
        page = BallPage(self.look)
        page.noted.connect(self.changing.ball)
        page.left.connect(self.close_over)
        return self.laid_over(page)

    @cached_property
    def word_page(self) -> WordPage:
        """One of several words is chosen."""
        page = WordPage(self.look)
        page.chosen.connect(self.choosing.put)
        page.left.connect(self.close_over)
        return self.laid_over(page)

    @cached_property
    def files(self) -> FilesPage:
        """Files become a swing."""
        page = FilesPage(self.look)
        page.says.connect(self.says)
        page.told.connect(self.taking.take)
        page.left.connect(self.close_over)
        return self.laid_over(page)

    @cached_property
    def contact(self) -> ContactPage:
        """Contact is shown by hand."""
        page = ContactPage(self.look)
        page.told.connect(self.taking.take)
        page.asked.connect(self.taking.show_frame)
        page.left.connect(self.close_over)
        return self.laid_over(page)

    @cached_property
    def move_page(self) -> MovePage:
        """Whose a swing is."""
        page = MovePage(self.look)
        page.typed.connect(lambda _text: self.changing.show_goals())
        page.chosen.connect(self.changing.move)
        page.left.connect(self.close_over)
        return self.laid_over(page)

    @cached_property
    def views_page(self) -> ViewsPage:
        """How a swing was filmed is put right."""
        page = ViewsPage(self.look)
        page.exchanges.connect(self.mending.exchange)
        page.turns.connect(self.mending.turn)
        page.left.connect(self.close_over)
        return self.laid_over(page)

    @cached_property
    def forget_page(self) -> ForgetPage:
        """A name is written before a student is forgotten."""
        page = ForgetPage(self.look)
        page.sure.connect(self.keeping.forget)
        page.left.connect(self.keeping.stay)
        return self.laid_over(page)

    @cached_property
    def weeks_page(self) -> WeeksPage:
        """A measure over the lessons."""
        page = WeeksPage(self.look)
        page.wanted.connect(self.weekly.look_at)
        page.saves.connect(self.weekly.save)
        page.left.connect(self.close_over)
        return self.laid_over(page)

    @cached_property
    def away_page(self) -> AwayPage:
        """Whom to keep, of those who were away for long."""
        page = AwayPage(self.look)
        page.months.connect(self.away.count_from)
        page.keeps.connect(self.away.keep)
        page.gives.connect(self.away.give_out_proposed)
        page.forgets.connect(self.away.forget)
        page.left.connect(self.close_over)
        return self.laid_over(page)

    @cached_property
    def question(self) -> AskPage:
        """Something is asked."""
        return self.laid_over(AskPage(self.look))

    @property
    def holds_steps(self) -> bool:
        """Whether a page lies over it that a step taken back could pull the ground from."""
        return self.is_over and not isinstance(self.pages.currentWidget(), BallPage)

    @property
    def unkept(self) -> str:
        """What was written here and isn't kept, in words."""
        form, bar = self.pages.currentWidget(), self.page.bar
        if isinstance(form, (StudentForm, LessonForm)) and form.is_changed:
            return form.title.text()
        return say("book.swing.notes.line") if bar.unwritten or bar.is_unkept else ""

    def keep_typed(self) -> None:
        """Keep the notes that stand in their line."""
        self.page.bar.end_notes()

    def leave(self) -> bool:
        """Close the line for notes, or the page that lies over the Book.

        What was written and isn't kept is left only when asked twice.
        """
        if self.page.bar.is_noting:
            self.page.bar.end_notes()
            return True
        form = self.pages.currentWidget()
        if isinstance(form, (StudentForm, LessonForm)) and form.is_changed:
            form.begin_again()
            self.says.emit(say("book.not_kept"))
            return True
        was_over = self.is_over
        self.close_over()
        return was_over
