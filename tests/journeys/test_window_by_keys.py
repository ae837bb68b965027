"""The program in a real window, worked by real keys and a real mouse."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from capturestation.station.desk import Desk, read_desk
from tests.helpers.real_window import Screen, need_real_windows, program, screen, until
from tests.helpers.station_library import Filled

PAPER = (0xF6, 0xF3, 0xEC)
INK = (0x1D, 0x28, 0x2E)
NIGHT = (0x27, 0x22, 0x1D)
LIKE_LETTERS = 200
# Of 765: what stands out from the page as letters do, quiet ones too.


def share_of(picture: NDArray[np.uint8], colour: tuple[int, int, int]) -> float:
    """How much of a picture has that colour."""
    return float(np.mean(np.all(picture == np.array(colour, np.uint8), axis=2)))


def letters_px(on: Screen) -> int:
    """How high the first word at the top stands; 0 where there is none."""
    corner = on.picture()[:, 20:120].astype(int)
    differs = np.abs(corner - corner[0, 0]).sum(axis=2).max(axis=1) > LIKE_LETTERS
    first = int(np.argmax(differs))
    return int(np.argmin(differs[first:])) if differs.any() else 0


def wait_for_change(on: Screen, before: NDArray[np.uint8], what: str) -> None:
    """Wait until another picture is seen."""
    until(lambda: not np.array_equal(on.picture(), before), what)


def state_in(folder: Path) -> Desk:
    """What the window kept."""
    read = read_desk(folder / "state" / "capturestation" / "window.json")
    assert read.trouble is None
    return read.desk


def at_the_start(on: Screen) -> int:
    """Wait until the Book is seen, and say how high letters stand."""
    on.find("capturestation")
    until(lambda: share_of(on.picture(), PAPER) > 0.5, "the page is seen")
    until(lambda: letters_px(on) > 10, "the places' words are seen")
    return letters_px(on)


def about_by_keys(on: Screen) -> None:
    """Go to the Bench, look at the sheet of keys, and put it away."""
    book = on.picture()
    on.key("ctrl+2")
    wait_for_change(on, book, "the Bench is seen")
    bench = on.picture()
    on.key("question")
    wait_for_change(on, bench, "the sheet is seen")
    sheet = on.picture()
    on.key("Escape")
    wait_for_change(on, sheet, "the sheet is put away")


@pytest.mark.process
@pytest.mark.slow
def test_places_sheet_letters_and_paper_by_keys_and_all_as_it_was_the_next_time(
    filled: Filled, tmp_path: Path
) -> None:
    need_real_windows()
    words = ["tests.helpers.two_places", str(filled.folder)]
    with screen(tmp_path) as on:
        with program(on, words) as first:
            small_px = at_the_start(on)
            about_by_keys(on)
            on.key(*["ctrl+plus"] * 5)
            until(lambda: letters_px(on) > 1.6 * small_px, "letters are twice as high")
            on.key("ctrl+d")
            until(lambda: share_of(on.picture(), NIGHT) > 0.5, "the page is dark")
            on.key("Right", "Right", "ctrl+q")
            said, errors = first.communicate(timeout=40)
        kept = state_in(tmp_path)
        with program(on, words) as second:
            on.find("capturestation")
            until(lambda: letters_px(on) > 1.6 * small_px, "it stands as it stood")
            on.click(60, 50)
            on.key("ctrl+q")
            second.communicate(timeout=40)

    assert (first.returncode, second.returncode) == (0, 0), errors
    assert said == ""
    assert "Traceback" not in errors
    assert (kept.place, kept.theme, kept.scale) == ("bench", "dark", 2.0)
    assert kept.of_place("bench") == {"done": "2"}
    assert kept.swing is None
    assert state_in(tmp_path).place == "book"


@pytest.mark.process
def test_a_first_start_welcomes_and_begins_a_library_when_asked(tmp_path: Path) -> None:
    need_real_windows()
    folder = tmp_path / "lessons"
    with (
        screen(tmp_path) as on,
        program(on, ["capturestation", "window", "--library", str(folder)]) as process,
    ):
        on.find("capturestation")
        until(lambda: share_of(on.picture(), INK) > 0.01, "the main answer is seen")
        before = folder.exists()
        on.key("space")
        until((folder / "library.json").is_file, "the library is begun")
        until(lambda: share_of(on.picture(), INK) < 0.01, "the welcome has gone")
        on.key("ctrl+q")
        process.communicate(timeout=40)

    assert not before
    assert process.returncode == 0


@pytest.mark.process
def test_without_a_screen_it_says_so_and_ends(tmp_path: Path) -> None:
    need_real_windows()
    with screen(tmp_path) as on:
        env = {**on.env, "DISPLAY": "", "QT_QPA_PLATFORM": ""}
    nowhere = Screen(display="", memory=on.memory, env=env)

    with program(nowhere, ["capturestation", "window"]) as process:
        said, errors = process.communicate(timeout=40)

    assert process.returncode == 5
    assert said == ""
    assert errors.splitlines()[0] == "There is no screen to open a window on."
    assert len(errors.splitlines()) == 2
