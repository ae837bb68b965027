"""What a coach reads: pages of a student, a swing, two swings side by side."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from capturestation.records import Swing, View, from_plain
from tests.cli.conftest import Typed
from tests.helpers.bay_files import Filmed, bay_file
from tests.helpers.station_library import NAME, Filled


def test_swings_are_listed_newest_first_as_text_and_as_json(typed: Typed, filled: Filled) -> None:
    newest_first = [filled.today.id, filled.best.id]

    text = typed("swings", "list", "zoe").out
    value = typed("swings", "list", "zoe", "--json").value

    assert re.findall(r"^[0-9a-z]{12}", text, re.M) == newest_first
    assert isinstance(value, list)
    assert [from_plain(Swing, row) for row in value] == [filled.today, filled.best]


def test_a_swing_says_whose_it_is_and_how_far_its_cameras_stand_apart(typed: Typed) -> None:
    page = typed("swings", "show", "latest").out

    assert page.startswith(f"{NAME}: 7 iron, full, 2026-10-30 ")
    assert "their pictures stand up to 8.3 ms, half a frame, apart." in page
    assert re.search(
        r"^face-on +contact at 1\.29\d\d s of its file, ± \d+ ms, by sound\.", page, re.M
    )
    assert re.search(r"^time back +\d\.\d+ s ± \d\.\d+$", page, re.M)


def test_a_comparison_shows_tempo_now_and_then_with_its_errors(typed: Typed) -> None:
    page = typed("compare").out

    value = r"\d\.\d+ s ± \d\.\d+"
    assert re.search(rf"^time back +{value} +{value} +\S", page, re.M)
    assert re.search(r"^back to down +[\d.]+ ± [\d.]+ +[\d.]+ ± [\d.]+ +\S", page, re.M)


def test_a_comparison_says_once_that_the_own_spread_is_not_known(typed: Typed) -> None:
    page = typed("compare").out

    assert page.count("own spread") == 1


def test_moments_that_neither_swing_has_take_one_line(typed: Typed) -> None:
    page = typed("compare").out

    assert 'Marked in neither: "takeaway", "lead arm level, back"' in page
    assert not re.search("^takeaway", page, re.M)
    assert re.search(r"^shaft level, down +-0\.060 ± 0\.\d+ +now: not marked$", page, re.M)


def test_where_sound_and_picture_agree_nothing_is_said_of_it(typed: Typed) -> None:
    page = typed("compare").out

    assert "The strike is heard between" not in page
    assert "Contact is known to: now face-on ± " in page


def test_after_a_new_student_the_next_step_is_told(typed: Typed) -> None:
    asked = typed("students", "add", "Bo", "--birth-year", "1990").out.splitlines()

    assert asked[1] == "Consent to coaching is missing from: student."
    assert re.fullmatch(
        r'Next: capturestation students consent \w{12} coaching yes --by "Your name"', asked[-1]
    )


def test_a_swing_is_found_by_the_first_signs_of_its_id(typed: Typed, filled: Filled) -> None:
    page = typed("swings", "show", filled.best.id[:7].upper())

    assert filled.best.id in page.out
    assert "best" in page.out


def test_a_star_is_set_and_taken_away(typed: Typed, filled: Filled) -> None:
    assert "is a best now" in typed("star", "latest").out
    assert "is no best any more" in typed("star", "latest", "--off").out
    assert typed("compare").code == 0
    assert "best" in typed("swings", "show", filled.best.id).out


@pytest.mark.parametrize(("club", "step"), [("7 iron", "compare"), ("driver", "star")])
def test_after_a_new_swing_the_next_step_is_told_in_one_line(
    typed: Typed, tmp_path: Path, club: str, step: str
) -> None:
    path = bay_file(tmp_path / "c.mp4", Filmed(seed=7))

    page = typed("swings", "add", "zoe", "--club", club, "--face-on", path).out

    assert page.splitlines()[-1].startswith(f"Next: capturestation {step} ")


def test_moments_of_a_comparison_say_how_well_they_are_known(typed: Typed) -> None:
    page = typed("compare").out

    assert re.search(r"^impact +\+0\.000 ± 0\.\d{3} +\+0\.000 ± 0\.\d{3}$", page, re.M)


def test_a_moment_is_marked_by_a_frame_of_a_file(typed: Typed, filled: Filled) -> None:
    asked = typed("marks", "set", "latest", "takeaway", "--frame", "60", "--view", "face-on")

    assert asked.code == 0
    sync = filled.today.sync(View.FACE_ON)
    assert sync is not None
    at_s = sync.to_swing(round(59 / 60 * 1e9)) / 1e9
    row = re.search(r"^takeaway +(-\d\.\d+)", asked.out, re.M)
    assert row is not None
    assert float(row[1]) == pytest.approx(at_s, abs=0.001)


@pytest.mark.parametrize("given", [(), ("--at", "-1", "--frame", "3")])
def test_a_moment_has_one_time(typed: Typed, given: tuple[str, ...]) -> None:
    assert typed("marks", "set", "latest", "takeaway", *given).code == 2


def test_a_frame_that_is_not_there_is_refused_with_those_that_are(typed: Typed) -> None:
    asked = typed("marks", "set", "latest", "takeaway", "--frame", "9999")

    assert asked.code == 4
    assert "Its frames are 1 to " in asked.err
