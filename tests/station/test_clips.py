from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from capturestation.drawing.layout import LayoutName
from capturestation.errors import (
    CancelledError,
    ComparisonRefusedError,
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
    View,
)
from capturestation.station import marking, people
from capturestation.station.clips import ClipWish, MadeClip, clip_of, plain
from capturestation.station.intake import IntakeRequest, add_swing
from tests.helpers.bay_files import Filmed, bay_file
from tests.helpers.library_records import DAY
from tests.helpers.station_library import MORNING, MS, Filled, everything_in

pytestmark = pytest.mark.usefixtures("qapp")
SHORT = ClipWish(layout=LayoutName.ALL_FOUR, slow=Fraction(1), hold_s=0.0)


@pytest.fixture
def library(filled: Filled) -> Iterator[Library]:
    """A library with a starred swing and today's."""
    with Library.open(filled.folder) as opened:
        yield opened


def made_of(library: Library, out: Path, wish: ClipWish, then: str | None = None) -> MadeClip:
    return clip_of(library, "latest", then, wish, out, Quiet())


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
    alone = IntakeRequest(
        student=filled.best.book.student_id,
        files={View.FACE_ON: bay_file(tmp_path / "alone.mp4", Filmed(seed=5))},
        club="7 iron",
        struck_at=MORNING,
    )
    only = add_swing(library, alone, Quiet())

    made = made_of(library, tmp_path / "clip.mp4", SHORT, only.id)

    assert set(made.report.sources) == {"now face-on", "now down-the-line", "then face-on"}
    assert any("not recorded down-the-line" in said for said in made.said)


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


@pytest.mark.parametrize("answered", [False, True])
def test_a_missing_consent_to_share_is_said(
    library: Library,
    filled: Filled,
    tmp_path: Path,
    answered: bool,
) -> None:
    if answered:
        yes = Consent(purpose=Purpose.SHARING, giver=Giver.STUDENT, given=True, on=DAY)
        people.answer_consent(library, filled.today.book.student_id, yes)

    made = made_of(library, tmp_path / "clip.mp4", replace(SHORT, layout=LayoutName.BOTH_ANGLES))

    assert any("Consent to sharing is missing" in said for said in made.said) is not answered


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

    assert not any('Not held at "shaft level, down"' in said for said in made.said)
