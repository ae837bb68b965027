"""What goes wrong in a bay, with real processes: it is said, balls are kept, and it heals."""

from __future__ import annotations

import shutil
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from capturestation.capture.messages import (
    ChangeWindows,
    ClockSet,
    Doing,
    Kept,
    Lost,
    SoundState,
)
from capturestation.folders import read_document, read_swing_facts
from capturestation.media.frames import FrameReader
from capturestation.media.sound import read_sound
from capturestation.records import NS_PER_S, View
from capturestation.records.capture import (
    CaptureNote,
    CaptureSetting,
    MicrophoneSetting,
    Replay,
    ReplayPiece,
    SourceKind,
    SourceSetting,
    Windows,
)
from capturestation.station.capture_client import CaptureClient, Told
from tests.helpers.bay_files import Pair
from tests.helpers.coded_media import Traits, click, read_code, write_coded_clip
from tests.helpers.recorded_bay import (
    READY,
    WINDOWS,
    Played,
    client_of,
    lead_ns,
    settled,
    told_until,
)

pytestmark = [pytest.mark.process, pytest.mark.slow]
FAULTY = (sys.executable, "-m", "tests.helpers.faulty_recording")
RATES_HZ = {View.FACE_ON: 240, View.DOWN_THE_LINE: 30, View.EXTRA: 60}
_CONTACT_S, _LONG_S = 1.9, 2.6
_DISK = """
mount -t tmpfs -o size=2m none "$1" && head -c 2000000 /dev/zero > "$1/film"
(while [ ! -e "$2" ]; do sleep 0.05; done; rm "$1/film") &
exec "$3" -m capturestation.capture
"""


def note_of(kept: Kept) -> CaptureNote:
    return read_document(Path(kept.folder) / "capture.json", "capture", CaptureNote)


def sound_s(kept: Kept) -> float:
    """How much sound lies with a ball's first recording."""
    sound = read_sound(Path(kept.folder) / "face-on.mp4")
    return len(sound.samples) / sound.rate_hz


def kept_of(told: list[Told]) -> list[Kept]:
    return [fact for fact in told if isinstance(fact, Kept)]


def told_times(client: CaptureClient, done: Callable[[Told], bool], times: int) -> list[Told]:
    return [fact for _ in range(times) for fact in told_until(client, done)]


def test_three_cameras_at_30_60_and_240_are_kept_together(tmp_path: Path) -> None:
    impact_s, films = 2.2, {}
    for view, rate_hz in RATES_HZ.items():
        films[view] = write_coded_clip(
            tmp_path / f"{view}.mp4",
            frames=round(_LONG_S * rate_hz),
            rate_hz=Fraction(rate_hz),
            sound=click(at_s=_CONTACT_S, long_s=_LONG_S) if view is View.FACE_ON else None,
            traits=Traits(b_frames=0, key_every=15),
        )
    begins_ns = time.perf_counter_ns() + lead_ns()
    cameras = []
    for view, film in films.items():
        piece = ReplayPiece(file=str(film), at_s=impact_s - _CONTACT_S)
        replay = Replay(pieces=(piece,), begins_host_ns=begins_ns)
        cameras.append(SourceSetting(view=view, kind=SourceKind.REPLAY, replay=replay))
    setting = CaptureSetting(
        inbox=str(tmp_path / "inbox"), sources=tuple(cameras), windows=WINDOWS, preview_px=80
    )

    with CaptureClient(setting) as client:
        client.say(READY)
        [kept] = kept_of(told_until(client, settled))

    note = note_of(kept)
    recordings = read_swing_facts(Path(kept.folder)).recordings
    assert [r.view for r in recordings] == list(RATES_HZ)
    assert kept.missing == 0
    for recording, source in zip(recordings, note.sources, strict=True):
        rate_hz = RATES_HZ[recording.view]
        with FrameReader(Path(kept.folder) / recording.file) as reader:
            shown = [read_code(reader.frame_rgb(n)) for n in range(len(reader))]
            impact = shown[reader.index.at(source.impact_media_ns)]
        assert recording.rate_hz == rate_hz
        assert shown == list(range(shown[0], shown[0] + len(shown)))
        assert impact / rate_hz == pytest.approx(_CONTACT_S, abs=0.5 / rate_hz + 0.005)


def test_balls_struck_while_others_are_still_being_written_are_all_kept(
    first_swing: Pair, tmp_path: Path
) -> None:
    windows = Windows(before_ns=2 * NS_PER_S, after_ns=5 * NS_PER_S // 2, sound_ns=NS_PER_S // 2)
    impacts_s = [2.2, 4.5, 6.8]
    played = Played(
        pair=first_swing, inbox=tmp_path / "inbox", impacts_s=impacts_s, windows=windows
    )
    with client_of(played) as client:
        told = told_times(client, settled, len(impacts_s))

    kept = kept_of(told)
    struck_ns = sorted(note_of(one).impact_host_ns for one in kept)
    assert [fact for fact in told if isinstance(fact, Lost)] == []
    # Two frames wait for those out of order.
    assert struck_ns == pytest.approx(played.impacts_ns, abs=50_000_000)
    assert all(one.missing == 0 and not one.said for one in kept)
    for one in kept:
        for recording in read_swing_facts(Path(one.folder)).recordings:
            assert recording.duration_ns == pytest.approx(4.5e9, abs=0.3e9)


def has_own_mounts() -> bool:
    """Whether a process here may have disks that nobody else sees."""
    tool = shutil.which("unshare")
    return (
        tool is not None
        and not subprocess.run([tool, "-rm", "true"], capture_output=True, check=False).returncode
    )


@pytest.mark.skipif(not has_own_mounts(), reason="no disk of its own can be made here")
def test_a_full_disk_is_said_and_the_next_ball_is_kept_once_there_is_room(
    first_swing: Pair, tmp_path: Path
) -> None:
    inbox, room = tmp_path / "inbox", tmp_path / "room"
    inbox.mkdir()
    played = Played(pair=first_swing, inbox=inbox, impacts_s=[1.5, 4.5])
    program = ("unshare", "-rm", "sh", "-c", _DISK, "sh", str(inbox), str(room), sys.executable)
    with client_of(played, program=program) as client:
        told = told_until(client, settled)
        room.touch()
        after = told_until(client, settled)

    lost = told[-1]
    full = [fact.health for fact in told if isinstance(fact, Doing)]
    assert isinstance(lost, Lost)
    assert lost.why.endswith("can't be written: the disk is full.")
    assert full[0].disk_free_mb == 0
    [kept] = kept_of(after)
    assert kept.missing == 0
    assert list(inbox.iterdir()) == []


def test_a_microphone_that_goes_is_said_replaced_by_a_camera_and_taken_up_again(
    first_swing: Pair, tmp_path: Path
) -> None:
    gone = tmp_path / "gone"
    played = Played(pair=first_swing, inbox=tmp_path / "inbox", impacts_s=[5.0])
    setting = replace(played.setting(), microphone=MicrophoneSetting())

    with CaptureClient(setting, program=(*FAULTY, "microphone", str(gone))) as client:
        client.say(READY)
        told = told_until(client, _listens_by("Listening by the microphone."))
        gone.touch()
        told += told_until(client, settled)
        gone.unlink()
        told += told_until(client, _listens_by("Listening by the microphone."))

    said = [fact.said for fact in told if isinstance(fact, SoundState)]
    [kept] = kept_of(told)
    assert "Nothing is heard: the microphone is gone." in said
    assert any(words.endswith("camera's microphone.") for words in said)
    assert note_of(kept).impact_host_ns == pytest.approx(played.impacts_ns[0], abs=50_000_000)


def _listens_by(said: str) -> Callable[[Told], bool]:
    return lambda fact: isinstance(fact, SoundState) and fact.said == said


def test_a_clock_that_is_set_is_said_and_moves_no_ball(first_swing: Pair, tmp_path: Path) -> None:
    is_set = tmp_path / "set"
    played = Played(pair=first_swing, inbox=tmp_path / "inbox", impacts_s=[1.5, 3.8])
    with client_of(played, program=(*FAULTY, "clock", str(is_set))) as client:
        told = told_until(client, settled)
        is_set.touch()
        told += told_until(client, lambda fact: isinstance(fact, ClockSet))
        told += told_until(client, settled)

    first, second = kept_of(told)
    [step] = [fact for fact in told if isinstance(fact, ClockSet)]
    apart_ns = note_of(second).impact_host_ns - note_of(first).impact_host_ns
    days = [read_swing_facts(Path(one.folder)).struck_at for one in (first, second)]
    assert step.by_s == pytest.approx(-3600, abs=1)
    assert step.what.startswith("The computer's clock went 3600 s back")
    assert apart_ns == pytest.approx(2.3e9, abs=20e6)
    assert (days[1] - days[0]).total_seconds() == pytest.approx(2.3 - 3600, abs=0.1)


def test_while_the_coach_narrates_the_sound_is_as_long_as_the_picture(
    first_swing: Pair, tmp_path: Path
) -> None:
    talk = replace(WINDOWS, keeps_talk=True)
    played = Played(
        pair=first_swing, inbox=tmp_path / "inbox", impacts_s=[1.5, 3.8], windows=WINDOWS
    )
    with client_of(played) as client:
        [mute] = kept_of(told_until(client, settled))
        client.say(ChangeWindows(windows=talk))
        [told] = kept_of(told_until(client, settled))

    assert sound_s(mute) == pytest.approx(1.0, abs=0.05)
    assert sound_s(told) == pytest.approx(1.8, abs=0.05)
