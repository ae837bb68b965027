"""Dropped files are known by their names, or asked about; what can't be a swing is refused."""

from __future__ import annotations

from pathlib import Path

import pytest

from capturestation.errors import BadInputError, CancelledError
from capturestation.library import Library
from capturestation.records import Quiet, StopAfter, View
from capturestation.station.dropped import Ground, guess_by_names, guess_views, swapped, usable
from tests.helpers.bay_files import Filmed, Pair, bay_file, bay_pair
from tests.helpers.station_library import Filled


@pytest.mark.parametrize(
    ("names", "face_on"),
    [
        (("face-on.mp4", "down-the-line.mp4"), 0),
        (("DTL_0042.MOV", "FRONT_0042.MOV"), 1),
        (("0042 behind.mp4", "0043.mp4"), 1),
        (("swing fo.mp4", "swing.mp4"), 0),
    ],
)
def test_words_in_the_names_say_which_view_is_which(names: tuple[str, str], face_on: int) -> None:
    paths = [Path(name) for name in names]

    guess = guess_by_names(paths)

    assert guess.by_view == {
        View.FACE_ON: paths[face_on],
        View.DOWN_THE_LINE: paths[1 - face_on],
    }
    assert guess.unsure == ()
    assert guess.ground is Ground.NAMES


@pytest.mark.parametrize(
    "names", [("1.mp4", "2.mp4"), ("front a.mp4", "front b.mp4"), ("surface.mp4", "guideline.mp4")]
)
def test_what_the_names_do_not_say_is_asked(names: tuple[str, str]) -> None:
    paths = [Path(name) for name in names]

    guess = guess_by_names(paths)

    assert set(guess.unsure) == set(paths)
    assert guess.by_view == {}


def test_one_file_is_a_swing_too(tmp_path: Path) -> None:
    alone = tmp_path / "front.mp4"
    alone.touch()

    assert guess_by_names(usable([alone])).by_view == {View.FACE_ON: alone}


def test_views_can_be_said_the_other_way_round() -> None:
    one, two = Path("1.mp4"), Path("2.mp4")

    turned = swapped({View.FACE_ON: one, View.DOWN_THE_LINE: two})

    assert turned == {View.FACE_ON: two, View.DOWN_THE_LINE: one}


def test_what_is_no_video_or_not_there_is_refused(tmp_path: Path) -> None:
    text = tmp_path / "notes.txt"
    text.touch()

    for wrong in ([text], [tmp_path / "gone.mp4"], [], [text] * 4):
        with pytest.raises(BadInputError):
            usable(wrong)


@pytest.fixture(scope="session")
def third_swing(tmp_path_factory: pytest.TempPathFactory) -> Pair:
    """Files of another swing before the same cameras; their names tell nothing."""
    return bay_pair(tmp_path_factory.mktemp("dropped"), "third", seed=7)


def test_the_swings_before_tell_which_camera_saw_which_view(
    filled: Filled, third_swing: Pair
) -> None:
    paths = (third_swing.down_the_line, third_swing.face_on)

    with Library.open(filled.folder) as library:
        guess = guess_views(library, paths, Quiet())
        alone = guess_views(library, paths[:1], Quiet())

    assert guess.by_view == third_swing.by_view
    assert (guess.unsure, guess.ground) == ((), Ground.PICTURES)
    assert alone.by_view == {View.DOWN_THE_LINE: third_swing.down_the_line}


def test_a_camera_that_was_moved_is_asked_about(filled: Filled, tmp_path: Path) -> None:
    elsewhere = bay_file(tmp_path / "elsewhere.mp4", Filmed(view=View.EXTRA))

    with Library.open(filled.folder) as library:
        guess = guess_views(library, [elsewhere], Quiet())

    assert guess.unsure == (elsewhere,)
    assert guess.ground is Ground.NOTHING


def test_without_swings_before_it_is_asked(library: Library, third_swing: Pair) -> None:
    paths = (third_swing.face_on, third_swing.down_the_line)

    assert guess_views(library, paths, Quiet()).unsure == paths


def test_a_recording_that_can_t_be_read_tells_nothing(filled: Filled, third_swing: Pair) -> None:
    with Library.open(filled.folder) as library:
        for swing in library.newest_swings(9):
            library.media_path(swing, View.FACE_ON).write_bytes(b"broken")
        guess = guess_views(library, [third_swing.face_on], Quiet())

    assert guess.unsure == (third_swing.face_on,)


def test_looking_at_the_swings_before_can_be_stopped(filled: Filled, third_swing: Pair) -> None:
    with Library.open(filled.folder) as library, pytest.raises(CancelledError):
        guess_views(library, [third_swing.face_on], StopAfter(0.0))
    assert third_swing.face_on.exists()
