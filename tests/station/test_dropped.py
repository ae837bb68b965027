"""Dropped files are known by their names, or asked about; what can't be a swing is refused."""

from __future__ import annotations

from pathlib import Path

import pytest

from capturestation.errors import BadInputError
from capturestation.records import View
from capturestation.station.dropped import guess_views, swapped, usable


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

    guess = guess_views(paths)

    assert guess.by_view == {
        View.FACE_ON: paths[face_on],
        View.DOWN_THE_LINE: paths[1 - face_on],
    }
    assert guess.unsure == ()
    assert guess.why


@pytest.mark.parametrize(
    "names", [("1.mp4", "2.mp4"), ("front a.mp4", "front b.mp4"), ("surface.mp4", "guideline.mp4")]
)
def test_what_the_names_do_not_say_is_asked(names: tuple[str, str]) -> None:
    paths = [Path(name) for name in names]

    guess = guess_views(paths)

    assert set(guess.unsure) == set(paths)
    assert guess.by_view == {}


def test_one_file_is_a_swing_too(tmp_path: Path) -> None:
    alone = tmp_path / "front.mp4"
    alone.touch()

    assert guess_views(usable([alone])).by_view == {View.FACE_ON: alone}


def test_views_can_be_said_the_other_way_round() -> None:
    one, two = Path("1.mp4"), Path("2.mp4")

    turned = swapped({View.FACE_ON: one, View.DOWN_THE_LINE: two})

    assert turned == {View.FACE_ON: two, View.DOWN_THE_LINE: one}


def test_what_is_no_video_or_not_there_is_refused(tmp_path: Path) -> None:
    text = tmp_path / "notes.txt"
    text.touch()

    for wrong in ([text], [tmp_path / "gone.mp4"], [], [text] * 3):
        with pytest.raises(BadInputError):
            usable(wrong)
