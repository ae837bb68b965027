from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest

from capturestation.drawing.layout import LayoutName
from capturestation.errors import (
    CancelledError,
    ComparisonRefusedError,
    ConsentRefusedError,
    NotFoundError,
    OutputError,
    StationError,
)
from capturestation.library import Library
from capturestation.media.frames import FrameReader
from capturestation.records import (
    Consent,
    Giver,
    Moment,
    Purpose,
    Quiet,
    StopAfter,
    Swing,
    SyncSource,
    View,
)
from capturestation.station import clips, marking, people
from capturestation.station.clips import ClipWish, MadeClip, clip_of, plain, request_for
from capturestation.station.intake import IntakeRequest, add_swing
from capturestation.swing.marks import effective_marks
from tests.helpers.bay_files import Filmed, bay_file
from tests.helpers.library_records import DAY
from tests.helpers.station_library import MORNING, MS, Filled, everything_in

pytestmark = pytest.mark.usefixtures("qapp")
SHORT = ClipWish(layout=LayoutName.ALL_FOUR, slow=Fraction(1), hold_s=0.0)


@pytest.fixture
def library(filled: Filled) -> Iterator[Library]:
    """A library with a starred swing and today's."""
    with Library.open(filled.folder) as opened:
        yes = Consent(purpose=Purpose.SHARING, giver=Giver.STUDENT, given=True, on=DAY, by="coach")
        people.answer_consent(opened, filled.today.book.student_id, yes)
        yield opened


def made_of(library: Library, out: Path, wish: ClipWish, then: str | None = None) -> MadeClip:
    return clip_of(library, "latest", then, wish, out, Quiet())


def one_view(
    library: Library, filled: Filled, folder: Path, view: View = View.FACE_ON, hour: int = 0
) -> Swing:
    """A swing of the same student that only one camera recorded."""
    file = bay_file(folder / f"{view}.mp4", Filmed(view=view, seed=5))
    request = IntakeRequest(
        student=filled.best.book.student_id,
        files={view: file},
        club="7 iron",
        struck_at=MORNING.replace(hour=MORNING.hour + hour),
    )
    return add_swing(library, request, Quiet())


def test_a_clip_shows_both_angles_of_today_and_of_the_best(
    library: Library, filled: Filled, tmp_path: Path
) -> None:
    made = made_of(library, tmp_path / "clip.mp4", SHORT)

    assert made.comparison is not None
    assert (made.comparison.now, made.comparison.then) == (filled.today, filled.best)
    assert set(made.report.sources) == {
        "now face-on",
        "now down-the-line",
        "then face-on",
        "then down-the-line",
    }
    with FrameReader(tmp_path / "clip.mp4") as clip:
        assert len(clip) == made.report.frames


@pytest.mark.parametrize("layout", list(LayoutName))
def test_every_layout_is_made_and_described(
    library: Library, tmp_path: Path, layout: LayoutName
) -> None:
    made = made_of(library, tmp_path / "clip.mp4", replace(SHORT, layout=layout))

    told = plain(made)
    assert told["layout"] == layout.value
    assert told["size_bytes"] == (tmp_path / "clip.mp4").stat().st_size
    assert isinstance(told["fields"], dict)
    shows_then = any(name.startswith("then") for name in told["fields"])
    assert shows_then == (not layout.value.startswith("both-angles"))


def test_an_angle_that_was_not_recorded_then_is_said(
    library: Library, filled: Filled, tmp_path: Path
) -> None:
    only = one_view(library, filled, tmp_path)

    made = made_of(library, tmp_path / "clip.mp4", SHORT, only.id)

    assert set(made.report.sources) == {"now face-on", "now down-the-line", "then face-on"}
    assert any("not recorded down-the-line" in said for said in made.said)


@pytest.mark.parametrize("layout", list(LayoutName))
def test_a_swing_of_one_view_is_shown_by_that_view_and_says_so(
    library: Library, filled: Filled, tmp_path: Path, layout: LayoutName
) -> None:
    only = one_view(library, filled, tmp_path, View.DOWN_THE_LINE, hour=4)

    made = made_of(library, tmp_path / "clip.mp4", replace(SHORT, layout=layout))

    alone = layout.startswith("both-angles")
    fields = {f"{side} down-the-line" for side in (["now"] if alone else ["now", "then"])}
    assert set(made.report.sources) == fields
    assert {field.name for field in made.report.layout.fields} == fields
    shown = "alone" if alone else "then and now"
    said = f"This swing was recorded down-the-line only: the clip shows that view {shown}."
    assert made.said[0] == said
    assert made.comparison is None or made.comparison.now == only


def test_then_and_now_show_the_view_that_both_have(
    library: Library, filled: Filled, tmp_path: Path
) -> None:
    only = one_view(library, filled, tmp_path, View.DOWN_THE_LINE)
    wish = replace(SHORT, layout=LayoutName.THEN_AND_NOW)

    made = made_of(library, tmp_path / "clip.mp4", wish, only.id)

    assert set(made.report.sources) == {"now down-the-line", "then down-the-line"}


def test_two_swings_without_a_view_in_common_make_no_clip(
    library: Library, filled: Filled, tmp_path: Path
) -> None:
    then = one_view(library, filled, tmp_path, View.FACE_ON)
    now = one_view(library, filled, tmp_path, View.DOWN_THE_LINE, hour=4)
    out = tmp_path / "clip.mp4"

    with pytest.raises(ComparisonRefusedError, match="no view in common") as caught:
        clip_of(library, now.id, then.id, SHORT, out, Quiet())

    assert 'layout "both-angles"' in caught.value.try_next
    assert not out.exists()


@pytest.mark.parametrize("layout", [LayoutName.BOTH_ANGLES, LayoutName.ALL_FOUR])
def test_a_swing_of_which_nothing_is_on_the_clock_makes_no_clip(
    library: Library, filled: Filled, tmp_path: Path, layout: LayoutName
) -> None:
    library.save_book(replace(filled.today.book, syncs=()))
    out = tmp_path / "clip.mp4"

    with pytest.raises(ComparisonRefusedError, match="a place on the clock"):
        made_of(library, out, replace(SHORT, layout=layout))

    assert not out.exists()


def test_where_set_is_not_marked_a_clip_stands_where_the_club_starts(
    library: Library, filled: Filled
) -> None:
    wish = replace(SHORT, layout=LayoutName.BOTH_ANGLES)

    marks = tuple(mark for mark in filled.today.book.marks if mark.moment is not Moment.SET)
    without_set = library.save_book(replace(filled.today.book, marks=marks))
    without = request_for(library, without_set, None, wish).pace.moments
    at_ns = effective_marks(marks)[Moment.CLUB_STARTS].at_ns
    assert at_ns is not None
    marked = marking.mark_by_hand(library, without_set, Moment.SET, at_ns=at_ns - 100 * MS)
    with_set = request_for(library, marked, None, wish).pace.moments

    assert (without[0], with_set[0]) == (Moment.CLUB_STARTS, Moment.SET)
    assert without[1:] == with_set[1:]


@pytest.mark.parametrize(
    ("day", "later_lesson", "word"),
    [(date(2026, 12, 1), False, "today"), (date(2026, 12, 1), True, ""), (DAY, True, "today")],
)
def test_a_swing_alone_is_called_today_only_where_that_is_true(
    library: Library,
    filled: Filled,
    monkeypatch: pytest.MonkeyPatch,
    day: date,
    later_lesson: bool,
    word: str,
) -> None:
    student = filled.today.book.student_id
    monkeypatch.setattr(clips, "today", lambda: day)
    if later_lesson:
        people.add_lesson(library, student, on=date(2026, 11, 30))

    made = request_for(library, filled.today, None, replace(SHORT, layout=LayoutName.BOTH_ANGLES))

    assert made.now.word == word


def test_a_swing_of_an_old_lesson_is_named_by_its_date(
    library: Library, filled: Filled, tmp_path: Path
) -> None:
    people.add_lesson(library, filled.today.book.student_id, on=date(2226, 11, 30))
    library.save_book(
        replace(
            filled.today.book,
            syncs=tuple(replace(s, source=SyncSource.PICTURE) for s in filled.today.book.syncs),
        )
    )

    made = made_of(library, tmp_path / "clip.mp4", replace(SHORT, layout=LayoutName.BOTH_ANGLES))

    assert any(said.startswith("30 Oct 2026, face-on: placed by") for said in made.said)


def test_slower_and_held_takes_longer(library: Library, tmp_path: Path) -> None:
    both = replace(SHORT, layout=LayoutName.BOTH_ANGLES)
    fast = made_of(library, tmp_path / "fast.mp4", both)

    slow = made_of(library, tmp_path / "slow.mp4", replace(both, slow=Fraction(1, 2)))
    held = made_of(library, tmp_path / "held.mp4", replace(both, hold_s=0.2))

    assert abs(slow.report.frames - 2 * fast.report.frames) <= 2
    stood = (held.report.duration_s - fast.report.duration_s) / Fraction(1, 5)
    assert abs(stood - round(stood)) < Fraction(2, 5)
    assert round(stood) >= 2


def test_at_one_moment_both_play_at_their_own_speed_from_there(
    library: Library, tmp_path: Path
) -> None:
    made = made_of(library, tmp_path / "clip.mp4", replace(SHORT, at_one=Moment.IMPACT))

    assert made.comparison is not None
    assert made.comparison.time_map.moments == (Moment.IMPACT,)


def test_without_the_consent_to_share_no_clip_is_made_but_for_the_coach_s_own_eyes(
    library: Library, filled: Filled, tmp_path: Path
) -> None:
    no = Consent(purpose=Purpose.SHARING, giver=Giver.STUDENT, given=False, on=DAY, by="coach")
    people.answer_consent(library, filled.today.book.student_id, no)
    alone = replace(SHORT, layout=LayoutName.BOTH_ANGLES)

    with pytest.raises(ConsentRefusedError, match="refused by: student") as refused:
        made_of(library, tmp_path / "clip.mp4", alone)

    assert "--own-use" in refused.value.try_next
    assert not (tmp_path / "clip.mp4").exists()
    own = made_of(library, tmp_path / "clip.mp4", replace(alone, own_use=True))
    bare = request_for(library, filled.today, None, alone)
    assert bare.mark == ""
    field = own.report.placements["now face-on"].target
    corner = (slice(field.top, field.top + 30), slice(field.left, field.left + 200))
    with FrameReader(own.report.path) as clip:
        levels = [clip.frame_rgb(n)[corner].mean() for n in (0, len(clip) // 2, len(clip) - 1)]
    # A slip of light paper lies there from the first frame to the last.
    assert min(levels) > 190


def test_without_marks_a_stretch_round_impact_is_shown(
    library: Library, filled: Filled, tmp_path: Path
) -> None:
    library.save_book(replace(filled.today.book, marks=()))

    made = made_of(library, tmp_path / "clip.mp4", replace(SHORT, layout=LayoutName.BOTH_ANGLES))

    # The second camera was started 1.1 s before contact; 0.8 s after it is the usual end.
    assert made.report.duration_s == pytest.approx(1.9, abs=0.06)


REFUSED: dict[str, tuple[str, str | None, str, type[StationError]]] = {
    "no such swing": ("nothing", None, "clip.mp4", NotFoundError),
    "no such earlier swing": ("latest", "nothing", "clip.mp4", NotFoundError),
    "itself": ("latest", "latest", "clip.mp4", ComparisonRefusedError),
    "no folder": ("latest", None, "no such folder/clip.mp4", OutputError),
}


@pytest.mark.parametrize("case", REFUSED)
def test_a_refused_clip_leaves_nothing(library: Library, tmp_path: Path, case: str) -> None:
    now, then, name, kind = REFUSED[case]
    out = tmp_path / "out"
    out.mkdir()
    before = everything_in(library.folder)

    with pytest.raises(kind):
        clip_of(library, now, then, SHORT, out / name, Quiet())

    assert list(out.iterdir()) == []
    assert everything_in(library.folder) == before


@pytest.mark.parametrize("share", [0.0, 0.5, 1.0])
def test_a_stopped_clip_leaves_nothing(
    library: Library, filled: Filled, tmp_path: Path, share: float
) -> None:
    out = tmp_path / "out"
    out.mkdir()

    with pytest.raises(CancelledError):
        clip_of(library, filled.today.id, None, SHORT, out / "clip.mp4", StopAfter(share))

    assert list(out.iterdir()) == []


def test_a_mark_by_hand_moves_where_the_clip_stands_still(
    library: Library, filled: Filled, tmp_path: Path
) -> None:
    for swing in (filled.best, filled.today):
        marking.mark_by_hand(library, swing, Moment.SHAFT_LEVEL_DOWN, at_ns=-50 * MS)

    made = made_of(library, tmp_path / "clip.mp4", SHORT)

    not_held = [said for said in made.said if said.startswith("Not held")]
    assert len(not_held) == 1
    assert '"takeaway"' in not_held[0]
    assert '"shaft level, down"' not in not_held[0]
