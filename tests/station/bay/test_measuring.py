"""The way from boards to where the cameras stand: taken by itself, taken back, never begun anew."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from calibration.boards import BAY_BOARD, LENS_BOARD
from calibration.corners import Corners, Refused, Sight
from calibration.lens import Lens
from calibration.places import Stance
from capturestation.errors import BadInputError, CancelledError
from capturestation.records import Point, Quiet, StopAfter, View
from capturestation.station.bay.aims import Aim, is_still
from capturestation.station.bay.measuring import Measuring
from capturestation.station.bay.measuring_state import Means, Step, Verdict
from tests.helpers.laid_sticks import marked_sticks
from tests.helpers.made_bays import MadeBay, made_bay
from tests.helpers.seen_boards import SIZE_PX, before_lens, lens_views

FACE_ON, BEHIND = View.FACE_ON, View.DOWN_THE_LINE
AIMS = tuple(Aim(view=view, camera=str(view), size_px=SIZE_PX) for view in (FACE_ON, BEHIND))
NOTHING = Sight(refused=Refused.NOT_THERE)


@pytest.fixture(scope="module")
def bay() -> MadeBay:
    return made_bay(np.random.default_rng(5))


@pytest.fixture
def lenses(bay: MadeBay) -> dict[View, Lens]:
    return {View(name): lens for name, lens in bay.lenses.items()}


@pytest.fixture
def held() -> list[Corners]:
    views = lens_views(before_lens(), LENS_BOARD, 30, np.random.default_rng(3))
    return [view.corners for view in views]


def show(measuring: Measuring, sights: dict[View, Corners | None], looks: int = 2) -> bool:
    """The same pictures so many times."""
    made = {v: NOTHING if c is None else Sight(corners=c) for v, c in sights.items()}
    return [measuring.take(made) for _ in range(looks)][-1]


def show_places(measuring: Measuring, bay: MadeBay) -> None:
    for place in bay.places(np.random.default_rng(1)):
        seen = {aim.view: place.sights.get(aim.camera) for aim in AIMS}
        show(measuring, seen)


def test_lenses_come_first_then_the_line_then_places(
    bay: MadeBay, lenses: dict[View, Lens]
) -> None:
    measuring = Measuring()
    measuring.begin(AIMS, {})
    first = measuring.step, measuring.at, measuring.wanted
    measuring.use_lens(FACE_ON, lenses[FACE_ON])
    second = measuring.step, measuring.at
    measuring.use_lens(BEHIND, lenses[BEHIND])
    third = measuring.step, measuring.wanted

    assert first == (Step.LENS, FACE_ON, {FACE_ON: LENS_BOARD})
    assert second == (Step.LENS, BEHIND)
    assert third == (Step.LINE, {FACE_ON: BAY_BOARD, BEHIND: BAY_BOARD})


def test_a_picture_of_the_lens_is_taken_once_it_is_still_and_shows_something_new(
    held: list[Corners],
) -> None:
    measuring = Measuring()
    measuring.begin(AIMS, {})
    said = [measuring.verdict]
    for corners in (held[0], held[0], held[0], None):
        show(measuring, {FACE_ON: corners}, looks=1)
        said.append(measuring.verdict)

    assert said == [
        Verdict.LOOKING,
        Verdict.MOVING,
        Verdict.TAKEN,
        Verdict.KNOWN,
        Verdict.LOOKING,
    ]
    assert measuring.taken == 1


def test_what_is_missing_is_said_until_it_is_enough_and_then_the_lens_is_known(
    held: list[Corners],
) -> None:
    measuring = Measuring()
    measuring.begin(AIMS, {})
    asked = {measuring.next_words}
    empty = [len(measuring.empty_fields(FACE_ON))]
    for corners in held:
        show(measuring, {FACE_ON: corners})
        asked.add(measuring.next_words)
    empty.append(len(measuring.empty_fields(FACE_ON)))
    measuring.take_outcome(measuring.job()(Quiet()))

    assert measuring.at is BEHIND
    assert len(asked) > 2
    assert empty[0] == 24
    assert empty[1] < 12
    lens = measuring.newest_lens()
    assert lens is not None
    true = before_lens().focal_px[0]
    assert lens.numbers[0] == pytest.approx(true, rel=0.01)
    assert measuring.newest_lens() is None


def test_places_are_taken_when_both_cameras_see_them_stand(
    bay: MadeBay, lenses: dict[View, Lens]
) -> None:
    measuring = Measuring()
    measuring.begin(AIMS, lenses)
    places = bay.places(np.random.default_rng(1))
    one_eyed = {FACE_ON: places[1].sights["face-on"], BEHIND: None}

    line_taken = show(measuring, {FACE_ON: places[0].sights["face-on"], BEHIND: None})
    after_line = measuring.step
    alone_taken = show(measuring, one_eyed)
    alone = measuring.verdict
    both: dict[View, Corners | None] = {v: places[1].sights[str(v)] for v in (FACE_ON, BEHIND)}
    both_taken, again_taken = show(measuring, both), show(measuring, both, looks=1)

    assert (line_taken, after_line) == (True, Step.PLACES)
    assert (alone_taken, alone) == (False, Verdict.OTHER_CAMERA)
    assert (both_taken, again_taken, measuring.verdict) == (True, False, Verdict.KNOWN)
    assert [place.heading_deg for place in measuring.places] == [0.0, None]


def test_enough_places_say_where_the_cameras_stand(bay: MadeBay, lenses: dict[View, Lens]) -> None:
    measuring = Measuring()
    measuring.begin(AIMS, lenses)
    show_places(measuring, bay)
    before = measuring.is_enough, measuring.can_work
    measuring.take_outcome(measuring.job()(Quiet()))

    assert before == (True, True)
    assert measuring.step is Step.RESULT
    for found, camera in zip(measuring.found, bay.cameras, strict=True):
        truth = camera.lens_m
        assert found.high_m == pytest.approx(truth[2], abs=4e-3 * found.u_mm)
        assert found.away_m == pytest.approx(np.hypot(truth[0], truth[1]), abs=4e-3 * found.u_mm)
    assert measuring.is_good_for_metres


def test_the_last_is_taken_away_and_the_way_goes_back_as_far_as_the_line(
    bay: MadeBay, lenses: dict[View, Lens]
) -> None:
    measuring = Measuring()
    measuring.begin(AIMS, lenses)
    show_places(measuring, bay)
    taken = measuring.taken
    backs = [measuring.take_back() for _ in range(taken + 1)]

    assert backs == [True] * taken + [False]
    assert measuring.step is Step.LINE


def test_what_was_taken_stays_for_the_same_cameras_and_not_for_others(
    bay: MadeBay, lenses: dict[View, Lens]
) -> None:
    measuring = Measuring()
    measuring.begin(AIMS, lenses)
    show_places(measuring, bay)
    taken = measuring.taken
    measuring.begin(AIMS, {})
    again = measuring.taken
    larger = tuple(replace(aim, size_px=(1920, 1080)) for aim in AIMS)
    measuring.begin(larger, {})

    assert again == taken > 3
    assert (measuring.taken, measuring.step) == (0, Step.LENS)


def test_the_target_on_the_other_side_turns_the_line_that_was_taken(
    bay: MadeBay, lenses: dict[View, Lens]
) -> None:
    measuring = Measuring()
    measuring.begin(AIMS, lenses)
    show_places(measuring, bay)
    measuring.take_outcome(measuring.job()(Quiet()))
    measuring.turn_target(is_left=True)

    assert measuring.places[0].heading_deg == 180.0
    assert measuring.step is Step.PLACES


def test_what_was_kept_is_put_away_and_the_lenses_stay(
    bay: MadeBay, lenses: dict[View, Lens]
) -> None:
    measuring = Measuring()
    measuring.begin(AIMS, lenses)
    show_places(measuring, bay)
    measuring.take_outcome(measuring.job()(Quiet()))
    measuring.put_away()

    assert (measuring.step, measuring.taken, measuring.result) == (Step.LINE, 0, None)
    assert measuring.lenses == lenses


def test_what_can_t_be_worked_out_says_why_and_nothing_is_lost(
    held: list[Corners],
) -> None:
    measuring = Measuring()
    measuring.begin(AIMS, {})
    flat = lens_views(before_lens(), LENS_BOARD, 30, np.random.default_rng(3), tilt_deg=0.0)
    for view in flat:
        show(measuring, {FACE_ON: view.corners})
    taken = measuring.taken

    with pytest.raises(BadInputError):
        measuring.job()(Quiet())
    for share in (0.0, 0.05):
        with pytest.raises(CancelledError):
            measuring.job()(StopAfter(share))

    assert measuring.taken == taken >= 5
    assert measuring.can_work


def mark_sticks(measuring: Measuring, bay: MadeBay) -> None:
    """All four ends in both pictures, to a pixel."""
    marked = marked_sticks(bay.cameras, np.random.default_rng(2))
    for aim in AIMS:
        for x, y in (marked.ends_px[aim.camera] + 0.5) / SIZE_PX:
            measuring.sticks.marks.press(aim.view, Point(x=float(x), y=float(y)))


def test_two_sticks_place_the_cameras_and_other_marks_are_worked_out_anew(
    bay: MadeBay, lenses: dict[View, Lens]
) -> None:
    measuring = Measuring()
    measuring.begin(AIMS, lenses)
    measuring.use_means(Means.STICKS)
    first = measuring.step, measuring.next_words, measuring.can_work, measuring.wanted
    mark_sticks(measuring, bay)
    ready = measuring.next_words, measuring.can_work, measuring.taken
    measuring.take_outcome(measuring.job()(Quiet()))
    worked = measuring.step, measuring.odd
    found = measuring.found
    measuring.sticks.marks.nudge(0.001, 0.0)

    assert first == (Step.STICKS, "sticks.rear", False, {})
    assert ready == ("sticks.enough", True, 8)
    assert worked == (Step.RESULT, None)
    for one, camera in zip(found, bay.cameras, strict=True):
        assert one.high_m == pytest.approx(camera.lens_m[2], abs=4e-3 * one.u_mm)
    assert (measuring.step, measuring.result) == (Step.STICKS, None)
    assert measuring.take_back()
    assert measuring.taken == 7
    with pytest.raises(BadInputError, match="can't be measured with"):
        measuring.use_length(12.0)
    assert measuring.sticks.length_m == 1.22


def test_with_a_field_of_view_alone_sticks_are_good_for_laying_over_only(bay: MadeBay) -> None:
    measuring = Measuring()
    measuring.begin(AIMS, {})
    for view in (FACE_ON, BEHIND):
        measuring.know_view(bay.lenses[str(view)].hfov_deg)
    measuring.use_means(Means.STICKS)
    mark_sticks(measuring, bay)
    measuring.take_outcome(measuring.job()(Quiet()))

    assert measuring.step is Step.RESULT
    assert not measuring.is_good_for_metres


def test_a_board_that_lies_and_squares_of_another_size_are_taken_as_said(
    bay: MadeBay, lenses: dict[View, Lens]
) -> None:
    measuring = Measuring()
    measuring.begin(AIMS, lenses)
    places = bay.places(np.random.default_rng(1))
    show(measuring, {FACE_ON: places[0].sights["face-on"], BEHIND: None})
    measuring.lay_board(is_lying=True)
    show(measuring, {v: places[1].sights[str(v)] for v in (FACE_ON, BEHIND)})
    measuring.use_square(58.5)
    with pytest.raises(BadInputError):
        measuring.use_square(-1.0)

    assert [place.stance for place in measuring.places] == [Stance.STANDING, Stance.LYING]
    boards = {one.board for place in measuring.places for one in place.sights.values()}
    assert boards == {replace(BAY_BOARD, square_mm=58.5)} == {measuring.wanted[FACE_ON]}


def test_a_board_on_the_line_whose_face_only_the_other_camera_sees_tells_of_exchanged_cameras(
    bay: MadeBay, lenses: dict[View, Lens]
) -> None:
    measuring = Measuring()
    measuring.begin(AIMS, lenses)
    face = bay.places(np.random.default_rng(1))[0].sights["face-on"]
    show(measuring, {FACE_ON: None, BEHIND: face}, looks=1)
    moving = measuring.verdict
    show(measuring, {FACE_ON: None, BEHIND: face}, looks=1)

    assert (moving, measuring.verdict) == (Verdict.LOOKING, Verdict.EXCHANGED)
    assert measuring.places == []


def test_what_is_to_be_expected_shrinks_with_each_place(
    bay: MadeBay, lenses: dict[View, Lens]
) -> None:
    measuring = Measuring()
    before = measuring.expecting()
    measuring.begin(AIMS, lenses)
    line = measuring.expecting()
    show_places(measuring, bay)
    all_places = measuring.expecting()
    taken = list(measuring.places)
    measuring.places = taken[:4]
    four = measuring.expecting()

    assert before is None
    assert line is not None
    assert all_places is not None
    assert four is not None
    first, some, last = line(), four(), all_places()
    assert first.now is None
    assert first.then is not None
    assert first.then.worst[0] < 40
    assert some.now is not None
    assert some.then is not None
    assert last.now is not None
    assert some.now.worst[0] > some.then.worst[0]
    assert some.now.worst[0] > last.now.worst[0]
    assert last.then is None or last.then.places > len(taken)


def test_a_board_in_a_hand_is_not_still(held: list[Corners]) -> None:
    shaken = replace(held[0], pixels=held[0].pixels + 2.0)

    assert is_still(held[0], held[0])
    assert not is_still(held[0], shaken)
    assert not is_still(None, held[0])
