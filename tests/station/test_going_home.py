"""All that goes home is made together or not at all, and never without consent."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from fractions import Fraction
from pathlib import Path

import pytest

from capturestation.drawing.layout import LayoutName
from capturestation.errors import (
    BadInputError,
    CancelledError,
    ComparisonRefusedError,
    ConsentRefusedError,
    OutputError,
)
from capturestation.library import Library
from capturestation.media.frames import FrameReader
from capturestation.records import Consent, Giver, Purpose, Quiet, StopAfter
from capturestation.station import people
from capturestation.station.boards import Paper
from capturestation.station.clips import ClipWish
from capturestation.station.going_home import HomeWish, TakenHome, take_home
from tests.helpers.library_records import DAY
from tests.helpers.pdf_pages import sides_of
from tests.helpers.small_disk import files_up_to
from tests.helpers.station_library import NAME, Filled, everything_in

pytestmark = pytest.mark.usefixtures("qapp")
SHORT = HomeWish(clip=ClipWish(slow=Fraction(1), hold_s=0.0))
ALONE = HomeWish(clip=ClipWish(layout=LayoutName.BOTH_ANGLES, slow=Fraction(1), hold_s=0.0))


@pytest.fixture
def library(filled: Filled) -> Iterator[Library]:
    """A library with a starred swing and today's, of somebody who agreed to sharing."""
    with Library.open(filled.folder) as opened:
        share(opened)
        yield opened


def share(library: Library, *, given: bool = True, giver: Giver = Giver.STUDENT) -> None:
    answer = Consent(purpose=Purpose.SHARING, giver=giver, given=given, on=DAY, by="coach")
    people.answer_consent(library, NAME, answer)


def made(library: Library, out: Path, wish: HomeWish = SHORT) -> TakenHome:
    return take_home(library, "latest", None, wish, out, Quiet())


def written(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir()) if folder.exists() else []


def test_a_clip_and_a_page_of_two_sides_lie_in_the_folder(library: Library, tmp_path: Path) -> None:
    done = made(library, tmp_path / "home")

    stem = "2026-10-30 7 iron beside 2026-10-30"
    assert written(tmp_path / "home") == [f"{stem}.html", f"{stem}.mp4", f"{stem}.pdf"]
    assert sorted(path.name for path in done.files) == written(tmp_path / "home")
    with FrameReader(done.clip.path) as reader:
        assert len(reader) == done.clip.frames
    assert len(sides_of(done.page.read_bytes())) == 2


def test_the_page_says_what_to_work_on_to_practise_and_what_the_coach_wrote(
    library: Library, filled: Filled, tmp_path: Path
) -> None:
    people.set_focus(library, filled.today.book.lesson_id, ["turn before you swing"])
    wish = replace(
        SHORT,
        clip=replace(SHORT.clip, note="turn before you swing\nSlowly at first."),
        practise=("ten with a stop at the top",),
        paper=Paper.LETTER,
    )

    first, second = sides_of(made(library, tmp_path, wish).page.read_bytes())

    assert first.size_mm == pytest.approx((215.9, 279.4), abs=0.4)
    assert "Turn before you swing" in first.words
    assert "Ten with a stop at the top" in first.words
    assert NAME in first.words
    assert "From your coach Slowly at first." in second.words
    assert "What changed since 30 Oct 2026 (own best)" in second.words
    assert "Pain is a reason to stop" in second.words


def test_checks_stand_there_only_if_ticked_and_private_words_never(
    library: Library, filled: Filled, tmp_path: Path
) -> None:
    people.change_student(library, NAME, {"limits_today": "sore hip", "notes": "secretword"})
    lesson = filled.today.book.lesson_id
    library.change_lesson(lesson, lambda now: replace(now, notes="quietword"))

    without = made(library, tmp_path / "a").page.read_bytes()
    ticked = made(library, tmp_path / "b", replace(SHORT, with_checks=True)).page.read_bytes()

    plain, more = (" ".join(side.words for side in sides_of(pdf)) for pdf in (without, ticked))
    plain += "".join(path.read_text(encoding="utf-8") for path in (tmp_path / "a").glob("*.html"))
    assert "What has to work" not in plain
    assert "What has to work" in more
    assert "cannot tell" in more
    for private in ("sore hip", "secretword", "quietword"):
        assert private not in plain + more


def test_of_a_child_no_name_goes_along_and_a_note_with_it_is_refused(
    library: Library, tmp_path: Path
) -> None:
    people.change_student(library, NAME, {"birth_year": people.today().year - 11})
    share(library, giver=Giver.PARENT)

    done = made(library, tmp_path / "home")
    told = " ".join(side.words for side in sides_of(done.page.read_bytes()))
    told += done.web.read_text(encoding="utf-8")

    assert "Ångström" not in told
    assert "Zoë" not in told
    assert "keep them in the family" in told
    named = replace(SHORT, practise=(f"{NAME} turns",))
    with pytest.raises(BadInputError, match="under 18"):
        made(library, tmp_path / "other", named)
    assert written(tmp_path / "other") == []


@pytest.mark.parametrize("is_child", [False, True])
def test_without_the_consent_that_the_age_needs_nothing_is_made(
    library: Library, tmp_path: Path, is_child: bool
) -> None:
    if is_child:
        people.change_student(library, NAME, {"birth_year": people.today().year - 11})
    else:
        share(library, given=False)

    with pytest.raises(ConsentRefusedError):
        made(library, tmp_path / "home")

    assert written(tmp_path / "home") == []


def test_files_carry_no_path_no_camera_and_no_id(
    library: Library, filled: Filled, tmp_path: Path
) -> None:
    done = made(library, tmp_path / "home")

    for path in done.files:
        held = path.read_bytes()
        for word in (str(tmp_path), filled.today.id, filled.today.book.student_id, "Lavf"):
            assert word.encode() not in held, (path.name, word)


@pytest.mark.parametrize("share_done", [0.0, 0.3, 0.95])
def test_stopped_it_leaves_nothing_and_the_library_as_it_was(
    library: Library, tmp_path: Path, share_done: float
) -> None:
    before = everything_in(library.folder)

    with pytest.raises(CancelledError):
        take_home(library, "latest", None, SHORT, tmp_path / "home", StopAfter(share_done))

    assert not (tmp_path / "home").exists()
    assert everything_in(library.folder) == before


def test_a_full_disk_leaves_nothing_and_is_told_of_the_file_that_was_asked_for(
    library: Library, tmp_path: Path
) -> None:
    with pytest.raises(OutputError, match="no room left") as refused, files_up_to(20_000):
        made(library, tmp_path / "home", ALONE)

    assert not (tmp_path / "home").exists()
    assert refused.value.what.endswith(f"write {tmp_path / 'home' / '2026-10-30 7 iron.pdf'}.")


def test_a_file_that_is_there_stays_unless_it_may_be_replaced(
    library: Library, tmp_path: Path
) -> None:
    done = made(library, tmp_path, ALONE)
    done.page.write_bytes(b"mine")

    with pytest.raises(OutputError, match="already there"):
        made(library, tmp_path, ALONE)
    assert done.page.read_bytes() == b"mine"
    again = made(library, tmp_path, replace(ALONE, replace=True))

    assert again.files == done.files
    assert again.page.read_bytes().startswith(b"%PDF")


def test_one_swing_alone_goes_home_too(library: Library, filled: Filled, tmp_path: Path) -> None:
    with pytest.raises(ComparisonRefusedError):
        take_home(library, filled.today.id, filled.today.id, SHORT, tmp_path, Quiet())

    done = made(library, tmp_path / "home", replace(ALONE, with_weeks=True))

    first, second = sides_of(done.page.read_bytes())
    assert done.page.name == f"{datetime(2026, 10, 30, tzinfo=UTC).date()} 7 iron.pdf"
    assert "own best" not in first.words
    assert "What changed" not in second.words
    assert "Over the weeks" not in second.words
    assert any(said.startswith("No chart over the weeks") for said in done.said)


@pytest.mark.parametrize(
    "wish",
    [
        replace(SHORT, practise=("a", "b", "c")),
        replace(SHORT, practise=("x" * 400,)),
        replace(SHORT, clip=replace(SHORT.clip, note="x" * 400)),
    ],
)
def test_too_many_words_are_refused_before_anything_is_made(
    library: Library, tmp_path: Path, wish: HomeWish
) -> None:
    with pytest.raises(BadInputError):
        made(library, tmp_path / "home", wish)

    assert written(tmp_path / "home") == []


def test_nothing_is_written_into_the_library(library: Library) -> None:
    with pytest.raises(OutputError, match="inside the library"):
        made(library, library.folder / "home")
