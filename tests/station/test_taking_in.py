"""Balls from the inbox come into the lesson that their ticket names, once, or stay and say why."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from capturestation.errors import (
    BadInputError,
    CancelledError,
    ConsentRefusedError,
    LibraryError,
    NotFoundError,
)
from capturestation.library import Library
from capturestation.records import (
    Consent,
    Giver,
    LessonId,
    Purpose,
    Quiet,
    StopAfter,
    Swing,
    SwingKind,
    SyncSource,
    View,
    Zero,
)
from capturestation.records.capture import Trigger
from capturestation.station import people
from capturestation.station.taking_in import (
    TakenIn,
    Ticket,
    take_in,
    take_in_all,
    ticket_of,
    ticket_text,
    waiting,
)
from tests.helpers.bay_files import MOTION, Filmed, Pair, bay_file
from tests.helpers.inbox_balls import left_ball
from tests.helpers.library_records import DAY
from tests.helpers.station_library import everything_in, grown_up

MS = 1_000_000


@pytest.fixture
def library(tmp_path: Path) -> Iterator[Library]:
    with Library.open(tmp_path / "library") as opened:
        yield opened


@pytest.fixture
def ticket(library: Library) -> Ticket:
    lesson = people.add_lesson(library, grown_up(library).id, on=DAY)
    return Ticket(lesson=lesson.id, club="7 iron")


def test_a_ticket_comes_back_as_it_was_written() -> None:
    ticket = Ticket(lesson=LessonId("one"), club="Eisen 7 – weich", kind=SwingKind.PITCH)

    assert ticket_of(ticket_text(ticket)) == ticket


@pytest.mark.parametrize("text", ["", "whose", "{}", '{"lesson": 3}', "[" * 10])
def test_a_text_that_is_no_ticket_is_refused(text: str) -> None:
    with pytest.raises(BadInputError, match="not known whose"):
        ticket_of(text)


def test_a_ball_comes_with_both_views_on_the_clock(
    library: Library, ticket: Ticket, first_swing: Pair
) -> None:
    folder = left_ball(library.inbox, first_swing.by_view, ticket=ticket_text(ticket))

    swing = take_in(library, folder, Quiet())

    assert library.swings(ticket.lesson) == (swing,)
    assert (swing.book.club, swing.book.zero) == ("7 iron", Zero.CONTACT)
    [face_on, behind] = swing.book.syncs
    assert face_on.swing_minus_media_ns == pytest.approx(-1300 * MS, abs=20 * MS)
    assert behind.swing_minus_media_ns == pytest.approx(-1100 * MS, abs=20 * MS)
    assert not folder.exists()
    assert library.media_path(swing, View.FACE_ON).is_file()
    assert (library.media_path(swing, View.FACE_ON).parent / "capture.json").is_file()


def test_where_sound_and_picture_say_nothing_it_stands_where_it_was_heard(
    library: Library, ticket: Ticket, tmp_path: Path
) -> None:
    silent = bay_file(tmp_path / "silent.mp4", Filmed(has_sound=False, has_ball=False))
    folder = left_ball(library.inbox, {View.FACE_ON: silent}, ticket=ticket_text(ticket))

    swing = take_in(library, folder, Quiet())

    [sync] = swing.book.syncs
    assert (sync.swing_minus_media_ns, sync.source) == (-1300 * MS, SyncSource.SOUND)
    assert sync.said.endswith("It stands where it was heard while it was recorded.")
    assert 30 * MS < sync.u_ns < 40 * MS
    assert swing.book.marks


def test_where_nothing_moves_a_ball_kept_by_key_says_that_its_zero_is_a_guess(
    library: Library, ticket: Ticket, tmp_path: Path
) -> None:
    still = replace(MOTION, top_rad=0.0)
    filmed = Filmed(has_sound=False, has_ball=False, motion=still)
    files = {View.FACE_ON: bay_file(tmp_path / "still.mp4", filmed)}
    folder = left_ball(library.inbox, files, ticket=ticket_text(ticket), trigger=Trigger.KEY)

    [sync] = take_in(library, folder, Quiet()).book.syncs

    assert sync.source is SyncSource.HAND
    assert sync.said.endswith("where the key was pressed: set its zero by hand.")


@pytest.mark.parametrize(
    ("trigger", "told_ns"), [(Trigger.KEY, 2100 * MS), (Trigger.MOTION, 1250 * MS)]
)
def test_a_miss_that_nobody_heard_has_its_zero_at_the_bottom_of_the_arc(
    library: Library, ticket: Ticket, tmp_path: Path, trigger: Trigger, told_ns: int
) -> None:
    miss = bay_file(tmp_path / "miss.mp4", Filmed(has_sound=False, has_ball=False))
    folder = left_ball(
        library.inbox,
        {View.FACE_ON: miss},
        ticket=ticket_text(ticket),
        trigger=trigger,
        impact_media_ns=told_ns,
    )

    book = take_in(library, folder, Quiet()).book

    [sync] = book.syncs
    assert (book.kind, book.zero) == (SwingKind.FULL, Zero.ARC_BOTTOM)
    assert sync.swing_minus_media_ns == pytest.approx(-1300 * MS, abs=2 * sync.u_ns)
    assert sync.u_ns < 100 * MS


def test_who_walks_by_later_does_not_move_the_zero_of_a_swing_that_was_seen(
    library: Library, ticket: Ticket, tmp_path: Path
) -> None:
    filmed = Filmed(has_sound=False, has_ball=False, walks_s=(1.9, 2.15))
    folder = left_ball(
        library.inbox,
        {View.FACE_ON: bay_file(tmp_path / "walks.mp4", filmed)},
        ticket=ticket_text(ticket),
        trigger=Trigger.MOTION,
        impact_media_ns=1250 * MS,
    )

    [sync] = take_in(library, folder, Quiet()).book.syncs

    assert sync.swing_minus_media_ns == pytest.approx(-1300 * MS, abs=2 * sync.u_ns)


def test_a_ball_kept_by_key_that_is_seen_leaving_has_its_zero_at_contact(
    library: Library, ticket: Ticket, first_swing: Pair
) -> None:
    folder = left_ball(
        library.inbox, first_swing.by_view, ticket=ticket_text(ticket), trigger=Trigger.KEY
    )

    assert take_in(library, folder, Quiet()).book.zero is Zero.CONTACT


def test_a_rehearsal_has_its_zero_at_the_bottom_of_the_arc(
    library: Library, ticket: Ticket, tmp_path: Path
) -> None:
    silent = bay_file(tmp_path / "silent.mp4", Filmed(has_sound=False, has_ball=False))
    rehearsal = Ticket(lesson=ticket.lesson, club="7 iron", kind=SwingKind.REHEARSAL)
    files = {View.FACE_ON: silent}
    folder = left_ball(library.inbox, files, ticket=ticket_text(rehearsal), trigger=Trigger.KEY)

    swing = take_in(library, folder, Quiet())

    assert (swing.book.kind, swing.book.zero) == (SwingKind.REHEARSAL, Zero.ARC_BOTTOM)


@pytest.mark.parametrize("way", ["trash_swing", "delete_swing"])
def test_a_ball_that_was_taken_in_before_stays_out(
    library: Library, ticket: Ticket, first_swing: Pair, way: str
) -> None:
    swing = take_in(
        library,
        left_ball(library.inbox, first_swing.by_view, ticket=ticket_text(ticket)),
        Quiet(),
    )
    again = left_ball(library.inbox, first_swing.by_view, ticket=ticket_text(ticket))

    first = take_in_all(library, Quiet())
    getattr(library, way)(swing.id)
    second = take_in_all(library, Quiet())

    for taken in (first, second):
        assert taken.swings == ()
        assert [left.folder for left in taken.left] == [again]
        assert isinstance(taken.left[0].why, BadInputError)
    assert again.is_dir()


def test_one_that_cannot_come_holds_nobody_up(
    library: Library, ticket: Ticket, first_swing: Pair, second_swing: Pair
) -> None:
    gone = Ticket(lesson=LessonId("nowhere"), club="7 iron")
    left_ball(library.inbox, first_swing.by_view, ticket=ticket_text(gone), key="lost")
    left_ball(library.inbox, second_swing.by_view, ticket=ticket_text(ticket), key="found")
    damaged = left_ball(library.inbox, first_swing.by_view, ticket="", key="damaged")
    (damaged / "capture.json").write_text("{", encoding="utf-8")

    taken = take_in_all(library, Quiet())

    assert [swing.id for swing in taken.swings] == ["found"]
    assert {left.folder.name: type(left.why) for left in taken.left} == {
        "lost": NotFoundError,
        "damaged": LibraryError,
    }


def test_somebody_who_said_no_is_not_taken_in(
    library: Library, ticket: Ticket, first_swing: Pair
) -> None:
    folder = left_ball(library.inbox, first_swing.by_view, ticket=ticket_text(ticket))
    student = library.lesson(ticket.lesson).student_id
    no = Consent(purpose=Purpose.COACHING, giver=Giver.STUDENT, given=False, on=DAY, by="coach")
    people.answer_consent(library, student, no)

    with pytest.raises(ConsentRefusedError):
        take_in(library, folder, Quiet())

    assert folder.is_dir()
    assert library.swings(ticket.lesson) == ()


def test_a_stop_leaves_the_ball_in_the_inbox(
    library: Library, ticket: Ticket, first_swing: Pair
) -> None:
    folder = left_ball(library.inbox, first_swing.by_view, ticket=ticket_text(ticket))
    before = everything_in(library.folder)

    with pytest.raises(CancelledError):
        take_in_all(library, StopAfter(0.9))

    assert everything_in(library.folder) == before
    assert waiting(library) == (folder,)


class Meanwhile:
    """A watch that does something once a job has come so far."""

    def __init__(self, share: float, then: Callable[[], object]) -> None:
        self._share = share
        self._then = [then]
        self.words = ""

    def report(self, share: float, words: str) -> None:
        """Look how far it is."""
        self.words = words
        if share >= self._share and self._then:
            self._then.pop()()


def test_a_ball_that_another_window_takes_in_at_once_is_in_the_lesson_once_and_stays(
    library: Library, ticket: Ticket, first_swing: Pair
) -> None:
    folder = left_ball(library.inbox, first_swing.by_view, ticket=ticket_text(ticket))
    with Library.open(library.folder) as other:
        theirs: list[Swing] = []
        watch = Meanwhile(0.85, lambda: theirs.append(take_in(other, folder, Quiet())))

        taken = take_in_all(library, watch)

    assert taken == TakenIn(swings=(), left=())
    [swing] = library.swings(ticket.lesson)
    assert [one.id for one in theirs] == [swing.id]
    assert library.media_path(swing, View.FACE_ON).is_file()
    assert swing.book.marks
    assert waiting(library) == ()
