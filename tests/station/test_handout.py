from __future__ import annotations

import dataclasses
import threading
from fractions import Fraction
from pathlib import Path

import av
import pytest

from capturestation.compare.playout import Pace
from capturestation.drawing.layout import LayoutName
from capturestation.errors import (
    CancelledError,
    ComparisonRefusedError,
    NoSoundError,
    NotFoundError,
    NotReadableError,
    OutputError,
)
from capturestation.media.frames import FrameReader
from capturestation.media.sound import read_sound
from capturestation.records import NS_PER_S, Moment, Quiet, StopAfter, SyncSource, View
from capturestation.station.handout import ClipReport, ClipRequest, ClipSide, make_clip
from tests.helpers.coded_bay import (
    ODD_NS,
    Coded,
    coded_bay,
    expected_now_ns,
    expected_then_ns,
    request_all_four_of,
)
from tests.helpers.coded_media import click, onset_s, read_code, write_coded_clip
from tests.helpers.made_swings import MS, made_swing, made_sync

pytestmark = pytest.mark.usefixtures("qapp")


@pytest.fixture(scope="module")
def bay(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Coded]:
    return coded_bay(tmp_path_factory.mktemp("bay"))


@pytest.fixture
def request_all_four(bay: dict[str, Coded]) -> ClipRequest:
    return request_all_four_of(bay)


def codes_shown(report: ClipReport, name: str) -> list[int]:
    cut = report.placements[name].target.cut
    with FrameReader(report.path) as clip:
        return [read_code(clip.frame_rgb(n)[cut]) for n in range(len(clip))]


def test_every_field_of_every_frame_shows_the_frame_that_its_time_asks_for(
    bay: dict[str, Coded], request_all_four: ClipRequest, tmp_path: Path
) -> None:
    report = make_clip(request_all_four, tmp_path / "clip.mp4", watch=Quiet())

    now_ns = expected_now_ns(request_all_four)
    assert report.frames == len(now_ns) == 61
    for name, coded in bay.items():
        at_ns = now_ns if name.startswith("now") else [expected_then_ns(t) for t in now_ns]
        wanted = [coded.nearest(t) for t in at_ns]
        assert codes_shown(report, name) == wanted, name
        assert report.sources[name].tolist() == wanted, name


@pytest.mark.parametrize(
    ("rate_hz", "start_ms", "slow"),
    [(Fraction(25), -299, Fraction(1, 2)), (Fraction(60_000, 1001), -107, Fraction(1))],
)
def test_other_rates_starts_and_speeds_show_the_right_frames_too(
    bay: dict[str, Coded],
    request_all_four: ClipRequest,
    tmp_path: Path,
    rate_hz: Fraction,
    start_ms: int,
    slow: Fraction,
) -> None:
    wanted = dataclasses.replace(
        request_all_four,
        layout=LayoutName.BOTH_ANGLES_UPRIGHT,
        start_ns=start_ms * MS,
        pace=Pace(slow=slow, rate_hz=rate_hz, hold_s=Fraction(1, 10), moments=(Moment.IMPACT,)),
    )

    report = make_clip(wanted, tmp_path / "clip.mp4", watch=Quiet())

    for name in ("now face-on", "now down-the-line"):
        asked = [bay[name].nearest(t) for t in expected_now_ns(wanted)]
        assert codes_shown(report, name) == asked, name


def test_a_clip_is_tagged_plays_at_its_rate_and_starts_while_it_loads(
    request_all_four: ClipRequest, tmp_path: Path
) -> None:
    out = tmp_path / "clip.mp4"

    report = make_clip(request_all_four, out, watch=Quiet())

    with av.open(str(out)) as clip:
        video = clip.streams.video[0]
        context = video.codec_context
        assert (context.width, context.height) == (640, 360)
        assert context.pix_fmt == "yuv420p"
        assert (context.colorspace, context.color_range) == (1, 1)
        assert (context.color_primaries, context.color_trc) == (1, 1)
        assert video.average_rate == 30
        assert clip.streams.audio == ()
    data = out.read_bytes()
    assert data.index(b"moov") < data.index(b"mdat")
    assert report.duration_s == Fraction(report.frames, 30)


def test_stopped_midway_nothing_is_left(request_all_four: ClipRequest, tmp_path: Path) -> None:
    with pytest.raises(CancelledError):
        make_clip(request_all_four, tmp_path / "clip.mp4", watch=StopAfter(0.5))

    assert list(tmp_path.iterdir()) == []
    assert not [t.name for t in threading.enumerate() if t.name.startswith("clip-")]


def test_stopped_at_the_last_moment_nothing_is_left(
    request_all_four: ClipRequest, tmp_path: Path
) -> None:
    with pytest.raises(CancelledError):
        make_clip(request_all_four, tmp_path / "clip.mp4", watch=StopAfter(1.0))

    assert list(tmp_path.iterdir()) == []


def test_a_file_that_is_there_is_not_replaced_unasked(
    request_all_four: ClipRequest, tmp_path: Path
) -> None:
    out = tmp_path / "clip.mp4"
    out.write_bytes(b"mine")

    # Refused before a picture is looked at: the watch would stop it there.
    with pytest.raises(OutputError, match="already there"):
        make_clip(request_all_four, out, watch=StopAfter(0.0))

    assert out.read_bytes() == b"mine"
    assert list(tmp_path.iterdir()) == [out]


def test_a_file_that_is_there_is_replaced_when_asked(
    request_all_four: ClipRequest, tmp_path: Path
) -> None:
    out = tmp_path / "clip.mp4"
    out.write_bytes(b"mine")

    report = make_clip(request_all_four, out, watch=Quiet(), overwrite=True)

    with FrameReader(out) as clip:
        assert len(clip) == report.frames


def test_a_recording_that_breaks_off_leaves_no_clip_and_says_which(
    request_all_four: ClipRequest, tmp_path: Path
) -> None:
    whole = request_all_four.now.media[View.FACE_ON].read_bytes()
    broken = tmp_path / "broken.mp4"
    spoiled = bytearray(whole)
    middle = whole.index(b"mdat") + 4
    spoiled[middle + 2_000 : middle + 40_000] = bytes(38_000)
    broken.write_bytes(spoiled)
    now = dataclasses.replace(
        request_all_four.now, media={**request_all_four.now.media, View.FACE_ON: broken}
    )

    with pytest.raises(NotReadableError, match=r"broken\.mp4"):
        make_clip(dataclasses.replace(request_all_four, now=now), tmp_path / "c.mp4", watch=Quiet())

    assert list(tmp_path.iterdir()) == [broken]
    assert not [t.name for t in threading.enumerate() if t.name.startswith("clip-")]


def test_swings_of_two_students_make_no_clip(request_all_four: ClipRequest, tmp_path: Path) -> None:
    assert request_all_four.then is not None
    other = dataclasses.replace(
        request_all_four.then, swing=made_swing("then", student="student-b")
    )

    with pytest.raises(ComparisonRefusedError, match="two different students"):
        make_clip(
            dataclasses.replace(request_all_four, then=other), tmp_path / "c.mp4", watch=Quiet()
        )

    assert list(tmp_path.iterdir()) == []


def test_a_layout_with_an_earlier_swing_needs_one(
    request_all_four: ClipRequest, tmp_path: Path
) -> None:
    with pytest.raises(ComparisonRefusedError, match="none was chosen"):
        make_clip(
            dataclasses.replace(request_all_four, then=None), tmp_path / "c.mp4", watch=Quiet()
        )


def test_a_clip_of_no_picture_at_all_is_refused(
    request_all_four: ClipRequest, tmp_path: Path
) -> None:
    bare = dataclasses.replace(request_all_four.now, media={})
    wanted = dataclasses.replace(request_all_four, now=bare, layout=LayoutName.BOTH_ANGLES)

    with pytest.raises(NotFoundError, match="no placed recording"):
        make_clip(wanted, tmp_path / "c.mp4", watch=Quiet())

    assert list(tmp_path.iterdir()) == []


def test_a_missing_view_is_said_and_the_other_still_plays(
    request_all_four: ClipRequest, tmp_path: Path
) -> None:
    only = {View.FACE_ON: request_all_four.now.media[View.FACE_ON]}
    now = dataclasses.replace(request_all_four.now, media=only)
    wanted = dataclasses.replace(request_all_four, now=now, layout=LayoutName.BOTH_ANGLES)

    report = make_clip(wanted, tmp_path / "c.mp4", watch=Quiet())

    assert set(report.sources) == {"now face-on"}
    assert "today, down-the-line: not recorded down-the-line in this swing." in report.said


def test_the_report_says_how_views_were_placed_and_how_the_two_are_laid(
    request_all_four: ClipRequest, tmp_path: Path
) -> None:
    swing = request_all_four.now.swing
    syncs = tuple(
        dataclasses.replace(sync, source=SyncSource.PICTURE)
        if sync.view is View.DOWN_THE_LINE
        else sync
        for sync in swing.book.syncs
    )
    swing = dataclasses.replace(swing, book=dataclasses.replace(swing.book, syncs=syncs))
    now = dataclasses.replace(request_all_four.now, swing=swing)
    wanted = dataclasses.replace(
        request_all_four, now=now, stop_ns=-200 * MS, start_ns=-700 * MS, keep_width=0.6
    )

    report = make_clip(wanted, tmp_path / "c.mp4", watch=Quiet())

    assert "today, down-the-line: placed by picture." in report.said
    exact = [said for said in report.said if said.startswith("Each picture is the recorded one")]
    assert len(exact) == 1
    views = "own best, face-on", "today, face-on", "own best, down-the-line", "today, down-the-line"
    assert exact[0].endswith(f"known to: {'; '.join(f'{who} ± 2.0 ms' for who in views)}.")
    assert 'Not held, because it lies outside the clip: "impact".' in report.said
    assert any(said.startswith('Laid together at "top"') for said in report.said)
    starts = [said for said in report.said if "starts later" in said]
    assert [said.split(":")[0] for said in starts] == [
        "own best, face-on",
        "today, face-on",
        "own best, down-the-line",
        "today, down-the-line",
    ]


def test_a_view_placed_by_sound_alone_is_said_with_how_little_is_known(
    request_all_four: ClipRequest, tmp_path: Path
) -> None:
    said = "The delay of this camera's sound was never measured."
    alone = dataclasses.replace(
        made_sync(View.FACE_ON, -ODD_NS, said=said), u_ns=35 * MS, sound_ns=ODD_NS
    )
    only = {View.FACE_ON: request_all_four.now.media[View.FACE_ON]}
    now = ClipSide(swing=made_swing("now", syncs=(alone,)), media=only, word="today")
    wanted = dataclasses.replace(
        request_all_four, now=now, views=(View.FACE_ON,), layout=LayoutName.BOTH_ANGLES
    )

    report = make_clip(wanted, tmp_path / "c.mp4", watch=Quiet())

    assert f"today, face-on: {said}" in report.said
    assert any(words.endswith("known to: today, face-on ± 70 ms.") for words in report.said)


@pytest.mark.parametrize("slow", [Fraction(1, 4), Fraction(1)])
def test_the_strike_is_heard_when_the_picture_is_at_impact(
    request_all_four: ClipRequest, bay: dict[str, Coded], tmp_path: Path, slow: Fraction
) -> None:
    strike_s = Fraction(ODD_NS, NS_PER_S)
    loud = write_coded_clip(
        tmp_path / "loud.mp4",
        frames=130,
        rate_hz=Fraction(120),
        sound=click(at_s=float(strike_s), long_s=1.0),
    )
    now = dataclasses.replace(request_all_four.now, media={View.FACE_ON: loud})
    pace = dataclasses.replace(request_all_four.pace, slow=slow)
    wanted = dataclasses.replace(
        request_all_four, now=now, layout=LayoutName.BOTH_ANGLES, sound=True, pace=pace
    )

    report = make_clip(wanted, tmp_path / "c.mp4", watch=Quiet())

    at_impact = [n for n, at_ns in enumerate(expected_now_ns(wanted)) if at_ns == 0]
    sound = read_sound(report.path)
    heard_s = onset_s(sound.samples, start_s=sound.start_ns / NS_PER_S, rate_hz=sound.rate_hz)
    assert -1 / 30 < heard_s - at_impact[0] / 30 < 0.005
    assert ("the strike is heard once" in report.said[-1]) == (slow < 1)


def test_a_strike_that_lags_its_picture_is_still_heard_at_impact(
    request_all_four: ClipRequest, tmp_path: Path
) -> None:
    lag_ns = 55 * MS
    loud = write_coded_clip(
        tmp_path / "loud.mp4",
        frames=130,
        rate_hz=Fraction(120),
        sound=click(at_s=(ODD_NS + lag_ns) / NS_PER_S, long_s=1.0),
    )
    sync = dataclasses.replace(made_sync(View.FACE_ON, -ODD_NS), sound_ns=ODD_NS + lag_ns)
    now = ClipSide(swing=made_swing("now", syncs=(sync,)), media={View.FACE_ON: loud}, word="today")
    wanted = dataclasses.replace(
        request_all_four,
        now=now,
        layout=LayoutName.BOTH_ANGLES,
        sound=True,
        pace=Pace(moments=(Moment.IMPACT,)),
    )

    report = make_clip(wanted, tmp_path / "c.mp4", watch=Quiet())

    sound = read_sound(report.path)
    heard_s = onset_s(sound.samples, start_s=sound.start_ns / NS_PER_S, rate_hz=sound.rate_hz)
    assert heard_s == pytest.approx(0.3 * 4, abs=0.005)


def test_sound_of_silent_recordings_is_refused_and_leaves_nothing(
    request_all_four: ClipRequest, tmp_path: Path
) -> None:
    with pytest.raises(NoSoundError, match="None of the recordings"):
        make_clip(
            dataclasses.replace(request_all_four, sound=True), tmp_path / "c.mp4", watch=Quiet()
        )

    assert list(tmp_path.iterdir()) == []
