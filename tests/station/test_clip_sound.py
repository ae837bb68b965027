from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from capturestation.compare.playout import Pace, write_script
from capturestation.drawing.layout import LayoutName
from capturestation.records import Moment, SoundArray, View
from capturestation.station.clip_request import ClipRequest, ClipSide
from capturestation.station.clip_sound import ClipSound, clip_sound
from tests.helpers.coded_media import Traits, write_coded_clip
from tests.helpers.made_swings import MS, made_swing, made_sync

RATE_HZ = 48_000


@pytest.fixture(scope="module")
def humming(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two seconds whose loudness says the time: it rises evenly from 0 to 0.8."""
    samples: SoundArray = np.linspace(0, 0.8, 2 * RATE_HZ, dtype=np.float32)
    return write_coded_clip(
        tmp_path_factory.mktemp("hum") / "hum.mov",
        frames=20,
        rate_hz=Fraction(10),
        sound=samples,
        traits=Traits(sound_codec="pcm_s16le"),
    )


def sound_of(path: Path, pace: Pace, *, start_ms: int, stop_ms: int) -> ClipSound:
    """A clip's sound; the swing's zero is at one second of the file, so 0.4 loud."""
    swing = made_swing("now", syncs=(made_sync(View.FACE_ON, -1_000 * MS),))
    request = ClipRequest(
        now=ClipSide(swing=swing, media={View.FACE_ON: path}, word="today"),
        layout=LayoutName.BOTH_ANGLES,
        start_ns=start_ms * MS,
        stop_ns=stop_ms * MS,
        pace=pace,
        sound=True,
    )
    script = write_script({}, pace, start_ns=request.start_ns, stop_ns=request.stop_ns)
    return clip_sound(request, script)


def heard_ms(sound: ClipSound, clip_ms: int) -> float:
    """The swing time that is heard at a time of the clip."""
    return float(sound.samples[clip_ms * RATE_HZ // 1000]) / 0.4 * 1000 - 1000


def test_at_real_speed_sound_and_picture_run_together(humming: Path) -> None:
    sound = sound_of(humming, Pace(slow=Fraction(1)), start_ms=-500, stop_ms=500)

    assert [heard_ms(sound, ms) for ms in (100, 500, 900)] == pytest.approx([-400, 0, 400], abs=0.2)


def test_into_a_hold_it_rings_on_then_rests_and_nothing_is_heard_twice(humming: Path) -> None:
    pace = Pace(slow=Fraction(1), hold_s=Fraction(1), moments=(Moment.IMPACT,))

    sound = sound_of(humming, pace, start_ms=-500, stop_ms=500)

    assert heard_ms(sound, 650) == pytest.approx(150, abs=0.2)
    assert not sound.samples[750 * 48 : 1650 * 48].any()
    assert heard_ms(sound, 1800) == pytest.approx(300, abs=0.2)


def test_a_clip_that_begins_in_a_hold_is_heard_from_where_it_goes_on(humming: Path) -> None:
    pace = Pace(slow=Fraction(1), hold_s=Fraction(1), moments=(Moment.IMPACT,))

    sound = sound_of(humming, pace, start_ms=0, stop_ms=500)

    assert not sound.samples[: 990 * 48].any()
    assert heard_ms(sound, 1100) == pytest.approx(100, abs=0.2)


def test_in_slow_motion_only_the_strike_is_heard(humming: Path) -> None:
    pace = Pace(hold_s=Fraction(1), moments=(Moment.IMPACT,))

    sound = sound_of(humming, pace, start_ms=-200, stop_ms=200)

    assert not sound.samples[: 590 * 48].any()
    assert [heard_ms(sound, ms) for ms in (700, 800, 900)] == pytest.approx([-100, 0, 100], abs=0.2)
    assert not sound.samples[1010 * 48 :].any()


def test_a_slow_clip_that_never_reaches_impact_is_silent_and_says_so(humming: Path) -> None:
    sound = sound_of(humming, Pace(), start_ms=-500, stop_ms=-300)

    assert not sound.samples.any()
    assert sound.said == "Silent: the clip does not reach impact."


def test_the_frames_sounds_laid_end_to_end_are_the_whole(humming: Path) -> None:
    pace = Pace(slow=Fraction(1), rate_hz=Fraction(30_000, 1001))
    sound = sound_of(humming, pace, start_ms=-500, stop_ms=500)
    frames = round(len(sound.samples) * pace.rate_hz / RATE_HZ)

    parts = [sound.of_frame(n, pace.rate_hz) for n in range(frames)]

    assert np.array_equal(np.concatenate(parts), sound.samples)
