"""What is asked of a clip that may be handed on, and what is refused."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from capturestation.drawing.layout import LayoutName
from capturestation.drawing.note_page import MOST_SIGNS
from capturestation.errors import BadInputError, CancelledError, ConsentRefusedError, OutputError
from capturestation.library import Library
from capturestation.media.frames import FrameReader
from capturestation.records import Consent, Giver, Moment, Purpose, Quiet, Shape, StopAfter, View
from capturestation.station import people
from capturestation.station.laying import Nudge, Over
from capturestation.station.sending import Beside, Sending, clip_name, make, save_in
from tests.helpers.library_records import DAY
from tests.helpers.sketches import drawing
from tests.helpers.station_library import NAME, Filled

pytestmark = pytest.mark.usefixtures("qapp")
MS = 1_000_000


@pytest.fixture
def library(filled: Filled) -> Iterator[Library]:
    with Library.open(filled.folder) as opened:
        yield opened


def share(library: Library, *, given: bool = True, giver: Giver = Giver.STUDENT) -> None:
    answer = Consent(purpose=Purpose.SHARING, giver=giver, given=given, on=DAY, by="coach")
    people.answer_consent(library, NAME, answer)


def looking(library: Library, filled: Filled, alone: View | None = None) -> Sending:
    sending = Sending(library)
    sending.look_at(filled.today, Beside(swing=filled.best), alone)
    return sending


def test_the_first_answers_suit_what_is_looked_at(library: Library, filled: Filled) -> None:
    lesson = library.lesson(filled.today.book.lesson_id)
    library.save_lesson(replace(lesson, focus=("turn through", "hold the finish")))

    sending = looking(library, filled)

    assert sending.shapes == (
        LayoutName.ALL_FOUR,
        LayoutName.THEN_AND_NOW,
        LayoutName.BOTH_ANGLES,
    )
    assert sending.wish.layout is LayoutName.ALL_FOUR
    assert sending.wish.slow == Fraction(1, 4)
    assert Moment.IMPACT in sending.held
    assert sending.note == "turn through\nhold the finish"


def test_one_angle_alone_is_sent_then_and_now_from_there(library: Library, filled: Filled) -> None:
    wish = looking(library, filled, View.DOWN_THE_LINE).wish

    assert wish.layout is LayoutName.THEN_AND_NOW
    assert wish.first is View.DOWN_THE_LINE


def test_without_an_earlier_swing_both_angles_are_all_there_is(
    library: Library, filled: Filled
) -> None:
    sending = Sending(library)
    sending.look_at(filled.today)

    assert sending.shapes == (LayoutName.BOTH_ANGLES,)


def test_answers_stay_while_the_same_swing_is_looked_at(library: Library, filled: Filled) -> None:
    sending = looking(library, filled)
    sending.note = "mine"
    sending.ask(held=frozenset({Moment.TOP}), slow=Fraction(1, 8))

    sending.look_at(filled.today)

    assert sending.note == "mine"
    assert sending.wish.moments == (Moment.TOP,)
    assert sending.wish.slow == Fraction(1, 8)


def test_an_upright_clip_is_asked_for_by_one_answer(library: Library, filled: Filled) -> None:
    sending = looking(library, filled)

    sending.ask(is_upright=True, shape=LayoutName.THEN_AND_NOW)

    assert sending.wish.layout is LayoutName.THEN_AND_NOW_UPRIGHT


def test_a_swing_laid_over_on_the_bench_is_sent_so_and_goes_along_in_the_name(
    library: Library, filled: Filled
) -> None:
    share(library)
    over = Over(opacity=0.3, nudges={View.FACE_ON: Nudge(dx=0.1)})
    sending = Sending(library)
    sending.look_at(filled.today, Beside(swing=filled.best, over=over, is_over=True))

    order = sending.ready()

    assert order.wish.layout is LayoutName.BOTH_ANGLES
    assert order.wish.over == over
    assert order.then == filled.best.id
    assert "beside" in order.name


def test_laid_over_may_be_asked_for_in_four_fields_and_stays_while_a_hand_moves_it(
    library: Library, filled: Filled
) -> None:
    sending = looking(library, filled)
    sending.ask(is_over=True, shape=LayoutName.ALL_FOUR)

    sending.look_at(filled.today, Beside(swing=filled.best, later_ns=4 * MS))

    assert sending.wish.layout is LayoutName.ALL_FOUR
    assert sending.wish.over == Over()


def test_who_looks_is_told(library: Library, filled: Filled) -> None:
    told: list[LayoutName] = []
    sending = looking(library, filled)
    sending.changed.tell(lambda: told.append(sending.shape))

    sending.ask(shape=LayoutName.THEN_AND_NOW)

    assert told == [LayoutName.THEN_AND_NOW]


def test_without_the_consent_to_sharing_nothing_is_made(library: Library, filled: Filled) -> None:
    with pytest.raises(ConsentRefusedError, match="sharing is missing from: student") as caught:
        looking(library, filled).ready()

    assert "then send again" in caught.value.try_next


def test_for_the_coach_s_own_eyes_it_is_made_and_marked_but_no_page_goes_with_it(
    library: Library, filled: Filled
) -> None:
    sending = looking(library, filled)
    sending.keep_for_coach(True)

    order = sending.ready()

    assert order.wish.own_use
    assert order.name.endswith(", for the coach only.mp4")
    sending.ask_page(with_page=True)
    with pytest.raises(ConsentRefusedError):
        sending.ready()
    share(library)
    assert not sending.ready().wish.own_use


def test_a_no_to_sharing_counts_whoever_said_it(library: Library, filled: Filled) -> None:
    share(library)
    share(library, given=False, giver=Giver.PARENT)

    with pytest.raises(ConsentRefusedError, match="refused by: parent"):
        looking(library, filled).ready()


def test_a_consent_taken_back_meanwhile_stops_the_making(
    library: Library, filled: Filled, tmp_path: Path
) -> None:
    share(library)
    order = looking(library, filled).ready()
    share(library, given=False)

    with pytest.raises(ConsentRefusedError):
        make(library, order, tmp_path / "out", Quiet())

    assert not (tmp_path / "out").exists()


def test_a_note_that_is_too_long_is_refused_with_its_length(
    library: Library, filled: Filled
) -> None:
    share(library)
    sending = looking(library, filled)
    sending.note = "m" * (MOST_SIGNS + 1)

    with pytest.raises(BadInputError, match=f"{MOST_SIGNS + 1} signs"):
        sending.ready()


def test_an_empty_bench_has_nothing_to_send(library: Library) -> None:
    with pytest.raises(BadInputError, match="no swing to send"):
        Sending(library).ready()


def test_the_file_s_name_tells_day_and_club_and_never_the_student(
    library: Library, filled: Filled
) -> None:
    name = looking(library, filled).name

    assert name == "2026-10-30 7 iron beside 2026-10-30.mp4"
    odd = replace(filled.today, book=replace(filled.today.book, club="../PW: 46°/"))
    assert clip_name(odd, None) == "2026-10-30 PW 46.mp4"


def test_what_was_asked_for_is_what_the_clip_holds(
    library: Library, filled: Filled, tmp_path: Path
) -> None:
    share(library)
    line = drawing(Shape.LINE, (0.2, 0.2), (0.8, 0.8))
    today = library.change_book(filled.today.id, lambda book: replace(book, drawings=(line,)))
    sending = Sending(library)
    sending.look_at(today, Beside(swing=filled.best, later_ns=40 * MS))
    sending.ask(slow=Fraction(1), held=frozenset(), shape=LayoutName.THEN_AND_NOW)
    sending.note = "Hold."

    made = make(library, sending.ready(), tmp_path / "out", Quiet())

    report = made.report
    assert report.path == tmp_path / "out" / sending.name
    page = report.frames - len(report.sources["now face-on"])
    assert page == round(2.4 * 30)
    assert made.comparison is not None
    assert made.comparison.then.id == filled.best.id
    with FrameReader(report.path) as clip:
        assert len(clip) == report.frames


def test_a_clip_is_saved_under_a_name_that_is_free(tmp_path: Path) -> None:
    clip = tmp_path / "clip.mp4"
    clip.write_bytes(b"made")
    folder = tmp_path / "home"
    folder.mkdir()

    saved = [save_in([clip], folder, Quiet())[0].name for _ in range(3)]

    assert saved == ["clip.mp4", "clip 2.mp4", "clip 3.mp4"]
    assert [(folder / name).read_bytes() for name in saved] == [b"made"] * 3


def test_files_that_belong_together_keep_one_name_and_are_saved_all_or_none(
    tmp_path: Path,
) -> None:
    files = [tmp_path / f"clip.{ending}" for ending in ("mp4", "pdf")]
    for file in files:
        file.write_bytes(b"made")
    folder = tmp_path / "home"
    folder.mkdir()
    (folder / "clip.pdf").write_bytes(b"another")

    saved = save_in(files, folder, Quiet())
    with pytest.raises(CancelledError):
        save_in(files, folder, StopAfter(0.6))

    assert [path.name for path in saved] == ["clip 2.mp4", "clip 2.pdf"]
    assert sorted(p.name for p in folder.iterdir()) == ["clip 2.mp4", "clip 2.pdf", "clip.pdf"]


def test_a_childs_family_name_in_the_note_is_refused(library: Library, filled: Filled) -> None:
    people.change_student(library, NAME, {"birth_year": people.today().year - 11})
    share(library)
    share(library, giver=Giver.PARENT)
    sending = looking(library, filled)
    sending.note = f"{NAME}, turn more"

    with pytest.raises(BadInputError, match="under 18"):
        sending.ready()


def test_what_to_practise_is_not_carried_to_another_swing(library: Library, filled: Filled) -> None:
    sending = looking(library, filled)
    sending.practise = "ten slow ones"

    sending.look_at(filled.today, None)
    same = sending.practise
    sending.look_at(filled.best)

    assert (same, sending.practise) == ("ten slow ones", "")


def test_a_folder_that_is_gone_is_said_and_nothing_is_made_there(tmp_path: Path) -> None:
    clip = tmp_path / "clip.mp4"
    clip.write_bytes(b"made")

    with pytest.raises(OutputError, match="is not there"):
        save_in([clip], tmp_path / "gone", Quiet())

    assert not (tmp_path / "gone").exists()
