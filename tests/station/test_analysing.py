"""Swings are analysed once, resumed, and say why a measure is missing."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest

from capturestation.errors import CancelledError
from capturestation.records import (
    CalibrationRow,
    Hand,
    Measured,
    Moment,
    Quiet,
    Swing,
    View,
    new_id,
)
from capturestation.station.analysing import (
    NO_MODEL,
    Analyst,
    is_by_this_bay,
    is_current,
    with_results,
)
from capturestation.station.figures import odd_about
from capturestation.station.marking import mark_by_hand
from capturestation.station.models import BodyModel, body_model
from capturestation.station.seeing import Looked
from capturestation.station.seen_tracks import keep_tracks, kept_tracks, tracks_file
from capturestation.swing.measures import MEASURES
from capturestation.swing.tracks import Company, MotionTrack
from sample_sessions.golfer import Golfer
from sample_sessions.parameters import SwingParameters
from tests.helpers.invented_tracks import club_projected, moved, projected
from tests.helpers.looked_at import Room

CAMERA = "left phone"
MISSING = BodyModel(path=Path("nowhere"), is_there=False, engine="cv2", why_not="not here")


def analyst(room: Room, model: BodyModel = MISSING) -> Analyst:
    return Analyst(library=room.library, cache=room.cache, model=model, workers=2)


def swings_of(room: Room) -> tuple[Swing, ...]:
    return room.library.newest_swings(10)


class Hears:
    """Remembers what it was told; stops the job once far enough."""

    def __init__(self, stop_at: float = 2.0) -> None:
        self.shares: list[float] = []
        self.stop_at = stop_at

    def report(self, share: float, words: str) -> None:
        assert words
        self.shares.append(share)
        if share >= self.stop_at:
            raise CancelledError


def test_without_a_model_moments_stay_and_measures_say_why(looked_at: Room) -> None:
    before = swings_of(looked_at)[0]

    (found,) = analyst(looked_at).analyse([before], Quiet())

    whys = {r.why_missing for r in found.swing.book.results if r.measured is None}
    assert found.done
    assert NO_MODEL in whys
    assert {m.moment for m in found.swing.book.marks} >= {Moment.IMPACT}
    assert not is_current(found.swing)


def test_each_measure_is_there_or_says_why(looked_at: Room) -> None:
    (found,) = analyst(looked_at).analyse(swings_of(looked_at)[:1], Quiet())

    names = [result.name for result in found.swing.book.results]
    assert len(names) == len(set(names))
    # Beside them how long the finish was held, and three of the tempo.
    assert len(names) == sum(len(measure.moments) for measure in MEASURES) + 4


def test_with_the_model_it_is_looked_at_once(looked_at: Room) -> None:
    """Nobody is in these pictures: that is found out, and found out once."""
    model = body_model()
    if not model.is_there:
        pytest.skip(model.why_not)
    who, swings = analyst(looked_at, model), swings_of(looked_at)[:1]
    who.analyse(swings, Quiet())

    first = looked_at.library.swing(swings[0].id)
    (again,) = who.analyse([first], Quiet())

    assert is_current(first)
    assert not again.done
    assert tracks_file(who.cache.folder(first.id)).is_file()


def test_progress_rises_and_a_stop_keeps_what_is_done(looked_at: Room) -> None:
    hears, swings = Hears(stop_at=0.6), swings_of(looked_at)
    assert len(swings) == 2

    with pytest.raises(CancelledError):
        analyst(looked_at).analyse(swings, hears)

    after = [looked_at.library.swing(swing.id) for swing in swings]
    told = [any(r.why_missing == NO_MODEL for r in swing.book.results) for swing in after]
    assert hears.shares == sorted(hears.shares)
    assert told == [True, False]


def test_a_hand_s_mark_moves_the_measures_without_looking_again(looked_at: Room) -> None:
    model = BodyModel(path=Path("nowhere"), is_there=True, engine="cv2")
    who, swing = analyst(looked_at, model), swings_of(looked_at)[0]
    keep_tracks(who.cache.made_folder(swing.id), _tracks(swing))
    moments = {Moment.SET: -1.2, Moment.TOP: -0.27, Moment.FINISH: 0.6}
    for moment, at_s in moments.items():
        swing = mark_by_hand(looked_at.library, swing, moment, at_ns=round(at_s * 1e9))
    before = who.measure_again(swing)
    assert before is not None

    moved_on = mark_by_hand(looked_at.library, before, Moment.TOP, at_ns=-700_000_000)
    after = who.measure_again(moved_on)

    assert after is not None
    turns = [_value(one, "pelvis turn, top") for one in (before, after)]
    assert turns[0] > 30.0
    assert abs(turns[1] - turns[0]) > 5.0


def test_where_joints_are_hardly_seen_errors_are_wider(looked_at: Room) -> None:
    model = BodyModel(path=Path("nowhere"), is_there=True, engine="cv2")
    who, swing = analyst(looked_at, model), swings_of(looked_at)[0]
    for moment, at_s in {Moment.SET: -1.2, Moment.TOP: -0.27, Moment.FINISH: 0.6}.items():
        swing = mark_by_hand(looked_at.library, swing, moment, at_ns=round(at_s * 1e9))
    errors = []
    for surely in (1.0, 0.9):
        tracks = {}
        for view, one in _tracks(swing).items():
            assert one.body is not None
            body = replace(one.body, seen=np.full_like(one.body.seen, surely))
            tracks[view] = replace(one, body=body)
        keep_tracks(who.cache.made_folder(swing.id), tracks)
        measured = who.measure_again(swing)
        assert measured is not None
        errors.append(_measured(measured, "pelvis turn, top").u_systematic)

    assert errors[1] > 1.5 * errors[0]


def test_what_is_known_of_the_bay_now_is_a_reason_to_measure_anew(looked_at: Room) -> None:
    model = BodyModel(path=Path("nowhere"), is_there=True, engine="cv2")
    library, swing = looked_at.library, _filmed_by_a_camera(swings_of(looked_at)[0])
    who = analyst(looked_at, model)
    keep_tracks(who.cache.made_folder(swing.id), _tracks(swing))
    assert who.measure_again(swing) is not None
    (before,) = who.analyse([_filmed_by_a_camera(library.swing(swing.id))], Quiet())
    since = swing.facts.struck_at - timedelta(hours=1)
    library.add_calibration(
        CalibrationRow(id=new_id(), camera=CAMERA, valid_from=since, document="{}")
    )

    (after,) = who.analyse([before.swing], Quiet())
    (later,) = who.analyse([_filmed_by_a_camera(after.swing)], Quiet())

    assert (before.done, after.done, later.done) == (False, True, False)
    assert not is_by_this_bay(library, before.swing)
    assert is_current(after.swing)


def _filmed_by_a_camera(swing: Swing) -> Swing:
    recordings = tuple(replace(one, camera=CAMERA) for one in swing.facts.recordings)
    return replace(swing, facts=replace(swing.facts, recordings=recordings))


def test_how_a_swing_was_filmed_is_looked_at(looked_at: Room) -> None:
    swing = swings_of(looked_at)[0]
    tracks = _tracks(swing)
    tall = {r.view: r.height_px for r in swing.facts.recordings}

    assert max(tall.values()) < 700
    told = odd_about(tracks, swing, Hand.RIGHT)

    # The invented golfer was drawn for larger pictures: his feet lie below these.
    assert [one.said.startswith("The feet are cut off") for one in told] == [True] * len(tracks)


def test_tracks_come_back_as_they_were_kept(tmp_path: Path, looked_at: Room) -> None:
    swing = swings_of(looked_at)[0]
    about = Company(others=2, is_doubtful=True, hidden_share=0.25, lies_deg=90)
    tracks = {view: replace(one, company=about) for view, one in _tracks(swing).items()}

    keep_tracks(tmp_path, tracks)
    back = kept_tracks(tmp_path)

    assert set(back) == set(tracks)
    for view, looked in back.items():
        ours = tracks[view]
        assert looked.company == about
        assert looked.body is not None
        assert ours.body is not None
        assert np.array_equal(looked.body.joints_px, ours.body.joints_px)
        assert looked.club is not None
        assert np.array_equal(looked.motion.times_ns, ours.motion.times_ns)


def test_a_damaged_file_of_tracks_is_as_none(tmp_path: Path) -> None:
    tracks_file(tmp_path).write_bytes(b"PK\x03\x04 not whole")

    assert kept_tracks(tmp_path) == {}
    assert kept_tracks(tmp_path / "nowhere") == {}


def test_results_of_an_older_method_make_way(looked_at: Room) -> None:
    (found,) = analyst(looked_at).analyse(swings_of(looked_at)[:1], Quiet())
    fresh = found.swing.book.results[-1:]

    book = with_results(found.swing.book, fresh)

    assert [r.name for r in book.results if r.method.startswith("measures ")] == [fresh[0].name]
    assert any(r.method.startswith("tempo ") for r in book.results)


def _tracks(swing: Swing) -> dict[View, Looked]:
    golfer = Golfer(SwingParameters())
    seen = {}
    for sync in swing.book.syncs:
        body = projected(sync.view, golfer=golfer)
        club = club_projected(sync.view, golfer=golfer)
        motion = moved(golfer)
        media = MotionTrack(times_ns=sync.to_media(motion.times_ns), energy=motion.energy)
        seen[sync.view] = Looked(
            motion=media,
            body=replace(body, times_ns=sync.to_media(body.times_ns)),
            club=replace(club, times_ns=sync.to_media(club.times_ns)),
        )
    return seen


def _value(swing: Swing, name: str) -> float:
    return _measured(swing, name).value


def _measured(swing: Swing, name: str) -> Measured:
    result = next(r for r in swing.book.results if r.name == name)
    assert result.measured is not None, result.why_missing
    return result.measured
