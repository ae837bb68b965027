"""How a swing was filmed is put right from the Book, as a step that can be taken back."""

from __future__ import annotations

from dataclasses import replace

from pytestqt.qtbot import QtBot

from capturestation.records import View
from capturestation.station.seen_tracks import keep_tracks
from capturestation.swing.tracks import Company
from capturestation.ui.book.views_page import ViewsPage
from tests.helpers.seen_tracks import tracks_of
from tests.ui.book.conftest import Opened


def ready(book: Opened, qtbot: QtBot) -> ViewsPage:
    """The page, with all pictures there."""
    book.do("views")
    page = book.place.views_page
    qtbot.waitUntil(lambda: all(one.print.has_picture for one in page.views.values()))
    qtbot.waitUntil(lambda: not book.place.workers.jobs)
    assert book.over is page
    return page


def test_views_are_exchanged_for_the_chosen_swing_and_taken_back(
    book: Opened, qtbot: QtBot
) -> None:
    before = book.chosen

    ready(book, qtbot).exchange.click()
    qtbot.waitUntil(lambda: not book.place.workers.jobs and not book.place.is_over)
    after, told, words = book.chosen, book.said[-1], book.place.steps.undo_words
    book.undo()

    assert after.book.exchanged
    assert after.recording(View.FACE_ON) != before.recording(View.FACE_ON)
    assert told == "The two views are exchanged; its moments and measures follow."
    assert words == "exchange of the two views"
    assert book.chosen.book == before.book
    assert book.troubles == []


def test_a_picture_is_turned_and_the_swing_stays_chosen_also_when_that_is_taken_back(
    book: Opened, qtbot: QtBot
) -> None:
    old, going = book.chosen, list[str]()
    book.place.going.connect(going.append)

    ready(book, qtbot).views[View.FACE_ON].words["right"].click()
    qtbot.waitUntil(lambda: not book.place.workers.jobs and not book.place.is_over)
    fresh = book.chosen
    book.undo()

    was, now = old.recording(View.FACE_ON), fresh.recording(View.FACE_ON)
    assert was is not None
    assert now is not None
    assert (now.width_px, now.height_px) == (was.height_px, was.width_px)
    assert fresh.id not in book.prints
    assert book.chosen.id == old.id
    assert going == [old.id]
    assert book.troubles == []


def test_what_looks_odd_is_said_there_and_nothing_else(book: Opened, qtbot: QtBot) -> None:
    swing = book.chosen
    lies = {
        view: replace(one, company=Company(lies_deg=90 if view is View.FACE_ON else 0))
        for view, one in tracks_of(swing).items()
    }
    keep_tracks(book.place.cache.made_folder(swing.id), lies)

    page = ready(book, qtbot)

    assert page.odd.text().startswith("The golfer lies across the face-on picture")
    assert not page.odd.isHidden()


def test_what_goes_wrong_is_told_and_all_stays(book: Opened, qtbot: QtBot) -> None:
    page = ready(book, qtbot)
    swing = book.chosen
    path = book.library.media_path(swing, View.FACE_ON)
    path.rename(path.with_suffix(".away"))

    page.views[View.FACE_ON].words["over"].click()
    qtbot.waitUntil(lambda: not book.place.workers.jobs)

    assert len(book.troubles) == 1
    assert book.chosen == swing
    assert page.exchange.isEnabled()
    assert book.library.trash() == ()
