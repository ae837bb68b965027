"""The club followed through rendered pictures of one view."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from capturestation.records import Box, FloatArray, FrameArray
from capturestation.swing.tracks import ClubTrack
from capturestation.tracking.club import ClubTracker
from capturestation.tracking.club_network import ClubNetwork
from sample_sessions.cameras import DOWN_THE_LINE, FACE_ON, Camera, Placement
from sample_sessions.golfer import Golfer
from sample_sessions.parameters import SwingParameters
from sample_sessions.render import Renderer
from sample_sessions.scene import empty_bay
from tests.helpers.club_truth import TrueClub, true_club

HALF = Placement(size_share=0.5)
GOLFER = Golfer(SwingParameters(seed=5))
TIMES_S = np.array([-0.60, -0.592, -0.584, -0.24, -0.232, -0.224, -0.05, -0.042, -0.034])
# Three in a row on the way back, near the top and on the way down.


class Film:
    """Some rendered frames of one view and what is true of them."""

    def __init__(self, camera: Camera) -> None:
        self.camera = camera.placed(HALF)
        draw = Renderer(GOLFER, self.camera)
        self.frames = [draw.frame(float(at), number=n) for n, at in enumerate(TIMES_S)]
        self.truth: TrueClub = true_club(GOLFER, self.camera, TIMES_S)
        pose = GOLFER.pose(TIMES_S)
        self.hands = self.camera.project(0.5 * (pose.lead_wrist + pose.trail_wrist))
        stand = self.camera.project(np.concatenate([pose.head[:1], pose.lead_heel[:1]]))
        self.tall_px = 0.95 * float(stand[1, 1] - stand[0, 1])
        at_set = self.camera.project(GOLFER.pose(np.array([-2.0])).lead_hand)[0]
        self.set_hands: FloatArray = np.asarray(at_set, dtype=np.float64)

    def followed(self, network: ClubNetwork, frames: list[FrameArray] | None = None) -> ClubTrack:
        """The track, the square laid by the hands at set."""
        tracker = ClubTracker(network=network)
        shown = frames or self.frames
        for number, (frame, at) in enumerate(zip(shown, TIMES_S, strict=True)):
            hands = self.hands[number] if number else self.set_hands
            tracker.see(frame, round(at * 1e9), hands, self.tall_px)
        return tracker.track()

    def off_deg(self, track: ClubTrack) -> FloatArray:
        """How far each direction is from the truth."""
        off = (track.shaft_deg - self.truth.shaft_deg + 180.0) % 360.0 - 180.0
        return np.asarray(np.abs(off), dtype=np.float64)


@pytest.fixture(scope="module")
def network() -> ClubNetwork:
    return ClubNetwork()


@pytest.fixture(scope="module", params=[FACE_ON, DOWN_THE_LINE], ids=lambda c: str(c.view))
def film(request: pytest.FixtureRequest) -> Film:
    camera = request.param
    assert isinstance(camera, Camera)
    return Film(camera)


def test_direction_grip_and_head_are_found(film: Film, network: ClubNetwork) -> None:
    track = film.followed(network)

    long_enough = film.truth.long_share > 0.25
    assert long_enough.sum() >= 4
    assert np.isfinite(track.shaft_deg[long_enough]).sum() >= long_enough.sum() - 1
    assert float(np.nanmax(film.off_deg(track)[long_enough])) < 10.0
    grip_off = np.linalg.norm(track.grip_px - film.truth.grip_px, axis=1)
    head_off = np.linalg.norm(track.head_px - film.truth.end_px, axis=1)
    assert float(np.nanmedian(grip_off)) < 0.03 * film.tall_px
    assert float(np.nanmedian(head_off)) < 0.03 * film.tall_px
    assert np.all((track.confidence > 0.0) == np.isfinite(track.shaft_deg))


def test_grey_pictures_do_as_well_as_colour(film: Film, network: ClubNetwork) -> None:
    greys = [np.asarray(cv2.cvtColor(f, cv2.COLOR_RGB2GRAY), np.uint8) for f in film.frames]

    assert np.allclose(
        film.followed(network, greys).shaft_deg, film.followed(network).shaft_deg, equal_nan=True
    )


def test_the_square_may_come_from_how_far_the_swing_reaches(network: ClubNetwork) -> None:
    film = Film(FACE_ON)
    tracker = ClubTracker(box=Box(left=0.08, top=0.0, right=0.84, bottom=1.0), network=network)

    for frame, at in zip(film.frames, TIMES_S, strict=True):
        tracker.see(frame, round(at * 1e9))

    assert float(np.nanmax(film.off_deg(tracker.track()))) < 10.0


def test_hands_that_are_not_known_are_done_without(film: Film, network: ClubNetwork) -> None:
    tracker = ClubTracker(network=network)
    for number, (frame, at) in enumerate(zip(film.frames, TIMES_S, strict=True)):
        hands = film.set_hands if number == 0 else np.full(2, np.nan)
        tracker.see(frame, round(at * 1e9), hands, film.tall_px)

    track = tracker.track()

    assert np.nanmedian(film.off_deg(track)) < 5.0


def test_the_square_is_laid_anew_once_the_golfer_is_known(network: ClubNetwork) -> None:
    film = Film(FACE_ON)
    tracker = ClubTracker(network=network)
    for number, (frame, at) in enumerate(zip(film.frames, TIMES_S, strict=True)):
        hands, tall = (None, None) if number < 3 else (film.hands[number], film.tall_px)
        tracker.see(frame, round(at * 1e9), hands, tall)

    track = tracker.track()

    assert len(track.times_ns) == len(TIMES_S)
    assert float(film.off_deg(track)[3:].max()) < 10.0
    head_off = np.linalg.norm(track.head_px - film.truth.end_px, axis=1)
    assert float(np.nanmedian(head_off[3:])) < 0.04 * film.tall_px


def test_a_club_that_cannot_be_seen_is_not_known(network: ClubNetwork) -> None:
    random = np.random.default_rng(3)
    bay = empty_bay(FACE_ON.placed(HALF)).picture
    tracker = ClubTracker(network=network)
    for number in range(4):
        shown = np.clip(bay + random.normal(0.0, 1.2, bay.shape), 0.0, 255.0).astype(np.uint8)
        tracker.see(shown, number * 8_000_000, np.array([320.0, 230.0]), 270.0)

    track = tracker.track()

    assert np.isnan(track.shaft_deg).all()
    assert np.all(track.confidence == 0.0)
    assert np.isnan(track.head_px).all()


def test_nothing_seen_gives_an_empty_track(network: ClubNetwork) -> None:
    track = ClubTracker(network=network).track()

    assert len(track.times_ns) == 0
    assert track.grip_px.shape == (0, 2)
    assert track.shaft_deg.shape == (0,)
