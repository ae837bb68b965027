"""Evidence by direction, and the best path through it."""

from __future__ import annotations

import numpy as np

from capturestation.records import FloatArray, IntArray
from capturestation.tracking.club_network import CELLS, ClubMaps
from capturestation.tracking.club_path import best_path
from capturestation.tracking.club_rays import STEP_DEG, WAYS, look

STEP_NS = 8_333_333


def _stamps(count: int) -> IntArray:
    return np.arange(count, dtype=np.int64) * STEP_NS


def _peaks(angles_deg: list[float | None], strength: float = 0.8) -> FloatArray:
    """Evidence with one peak a picture; none where it is None."""
    at = STEP_DEG * np.arange(WAYS)
    rows = []
    for angle in angles_deg:
        if angle is None:
            rows.append(np.zeros(WAYS))
            continue
        off = np.abs((at - angle + 180.0) % 360.0 - 180.0)
        rows.append(strength * np.exp(-0.5 * (off / 6.0) ** 2))
    return np.stack(rows)


def _off_deg(path: IntArray, angles_deg: list[float]) -> FloatArray:
    off = path * STEP_DEG - np.array(angles_deg)
    return np.asarray(np.abs((off + 180.0) % 360.0 - 180.0), dtype=np.float64)


def test_a_shaft_that_turns_quickly_is_followed() -> None:
    angles = [90.0 + 14.0 * n for n in range(20)]

    path = best_path(_peaks(list(angles)), _stamps(20))

    assert float(_off_deg(path, angles).max()) <= 2.0 * STEP_DEG


def test_one_picture_that_is_wrong_is_overruled() -> None:
    angles = [200.0 + 3.0 * n for n in range(12)]
    evidence = _peaks(list(angles))
    evidence[6] = _peaks([20.0])[0] + 0.2 * evidence[6]

    path = best_path(evidence, _stamps(12))

    assert float(_off_deg(path, angles).max()) <= 2.0 * STEP_DEG


def test_a_flip_that_lasts_is_believed() -> None:
    angles = [80.0] * 8 + [260.0] * 8

    path = best_path(_peaks(list(angles)), _stamps(16))

    assert float(_off_deg(path, angles).max()) <= STEP_DEG


def test_a_hidden_shaft_is_bridged() -> None:
    angles = [100.0 + 6.0 * n for n in range(15)]
    shown: list[float | None] = [None if 5 <= n < 9 else a for n, a in enumerate(angles)]

    path = best_path(_peaks(shown), _stamps(15))

    assert float(_off_deg(path, angles)[[4, 9]].max()) <= STEP_DEG
    assert float(_off_deg(path, angles).max()) < 25.0


def _drawn(angle_deg: float, grip: tuple[float, float], long: float) -> ClubMaps:
    """Maps of a straight shaft, as a network that makes no mistake would give them."""
    y, x = np.mgrid[0:CELLS, 0:CELLS].astype(np.float64)
    way = np.array([np.cos(np.radians(angle_deg)), np.sin(np.radians(angle_deg))])
    along = np.clip((x - grip[0]) * way[0] + (y - grip[1]) * way[1], 0.0, long)
    far = np.hypot(x - grip[0] - along * way[0], y - grip[1] - along * way[1])
    end = np.array(grip) + long * way

    def bump(middle: FloatArray) -> FloatArray:
        apart = np.hypot(x - middle[0], y - middle[1])
        return np.asarray(np.exp(-0.5 * (apart / 1.2) ** 2), dtype=np.float64)

    return ClubMaps(
        grip=bump(np.array(grip)),
        end=bump(end),
        shaft=np.exp(-0.5 * (far / 0.9) ** 2),
        way=np.stack([np.full_like(x, way[0]), np.full_like(x, way[1])]),
    )


def test_a_drawn_shaft_gives_its_direction_grip_and_end() -> None:
    for angle in (17.0, 111.0, 254.0):
        sight = look(_drawn(angle, (30.4, 28.7), 18.0), None)

        best = int(sight.evidence.argmax())
        off = (sight.fine_deg[best] - angle + 180.0) % 360.0 - 180.0
        assert abs(best * STEP_DEG - angle) <= 2.0 * STEP_DEG
        assert abs(off) < 1.0
        assert np.allclose(sight.grip, (30.4, 28.7), atol=0.3)
        assert abs(sight.reach[best] - 18.0) < 1.0
        assert sight.end_sure[best] > 0.7
        assert sight.evidence[best] > 0.9


def test_the_hands_decide_between_two_grips() -> None:
    maps = _drawn(90.0, (20.0, 20.0), 15.0)
    other = _drawn(90.0, (44.0, 20.0), 15.0)
    both = ClubMaps(
        grip=np.maximum(maps.grip, 0.9 * other.grip), end=maps.end, shaft=maps.shaft, way=maps.way
    )

    near_other = look(both, np.array([43.0, 21.0]))

    assert np.allclose(look(both, None).grip, (20.0, 20.0), atol=0.3)
    assert np.allclose(near_other.grip, (44.0, 20.0), atol=0.6)


def test_where_nothing_is_seen_there_is_no_evidence() -> None:
    nothing = np.zeros((CELLS, CELLS))

    sight = look(
        ClubMaps(grip=nothing, end=nothing, shaft=nothing, way=np.zeros((2, CELLS, CELLS))), None
    )

    assert float(sight.evidence.max()) < 0.05
    assert sight.grip_sure == 0.0
