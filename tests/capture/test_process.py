"""Commands in, facts out, in this process; cameras on real sockets."""

from __future__ import annotations

import io
import os
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from capturestation.capture.__main__ import senses as real_senses
from capturestation.capture.bay import Senses, plain_senses
from capturestation.capture.messages import (
    Bye,
    ChangeWindows,
    Command,
    Configure,
    Configured,
    Doing,
    Drop,
    Fact,
    Gone,
    Hello,
    KeepNow,
    Kept,
    LookReady,
    Pause,
    Preview,
    Ready,
    Refused,
    Struck,
    fact_of,
    to_line,
)
from capturestation.capture.process import run
from capturestation.folders import read_document, read_swing_facts, sha256_of
from capturestation.media.frames import FrameReader
from capturestation.media.index import index_frames
from capturestation.media.probe import probe
from capturestation.media.sound import read_sound
from capturestation.records import Quiet, View
from capturestation.records.capture import (
    CaptureNote,
    CaptureSetting,
    SourceKind,
    SourceSetting,
    Trigger,
    Windows,
)
from tests.helpers.bay_files import CONTACT_S, Filmed, Pair, uncoded_file
from tests.helpers.coded_media import click, read_code
from tests.helpers.live_servers import h264_film, http_camera, jpeg_film, tcp_camera, udp_camera
from tests.helpers.recorded_bay import Played, facts_until

S = 1_000_000_000
MS = 1_000_000


class Talk:
    """A process's two ends, run in a thread of this one."""

    def __init__(self, senses: Callable[[], Senses] = plain_senses) -> None:
        self._senses = senses
        reads, self._commands = os.pipe()
        self._facts, writes = os.pipe()
        self._in = os.fdopen(reads, "rb")
        self._out = os.fdopen(writes, "wb")
        self._lines = os.fdopen(self._facts, "rb")
        self._thread = threading.Thread(target=self._run)
        self._thread.start()

    def _run(self) -> None:
        run(self._in, self._out, self._senses)
        self._out.close()

    def say(self, command: Command) -> None:
        self.send(to_line(command).encode())

    def send(self, line: bytes) -> None:
        os.write(self._commands, line)

    def until(self, kind: type[Fact]) -> list[Fact]:
        return facts_until(self._lines.readline, lambda fact: isinstance(fact, kind))

    def until_recorded(self, for_s: float) -> None:
        """Wait until both cameras' memory holds so much."""

        def holds(fact: Fact) -> bool:
            return isinstance(fact, Doing) and all(s.ring_s > for_s for s in fact.health.sources)

        facts_until(self._lines.readline, holds)

    def end(self) -> list[Fact]:
        """End its input; what it says until it is gone."""
        os.close(self._commands)
        facts = [fact_of(line.decode()) for line in self._lines]
        self._thread.join()
        self._in.close()
        self._lines.close()
        return facts


@contextmanager
def talk(senses: Callable[[], Senses] = plain_senses) -> Iterator[Talk]:
    """Talk to a process; its end is the caller's to ask for, unless it failed."""
    made = Talk(senses)
    try:
        yield made
    except BaseException:
        made.end()
        raise


def last(facts: list[Fact], kind: type[Fact]) -> Fact:
    return next(fact for fact in reversed(facts) if isinstance(fact, kind))


def answers(*lines: bytes) -> list[Fact]:
    """What is answered to lines that need no camera."""
    facts = io.BytesIO()
    run(io.BytesIO(b"".join(lines)), facts, plain_senses)
    return [fact_of(line) for line in facts.getvalue().decode().splitlines()]


def test_lines_that_are_none_are_answered_and_what_follows_is_done() -> None:
    said = answers(b"\n", b"no json\n", b"\xff\xfe{\n", to_line(Bye()).encode())

    assert [type(fact) for fact in said] == [Hello, Refused, Refused, Gone]


@pytest.mark.parametrize(
    "command",
    [Ready(ticket=""), Pause(), KeepNow(), Drop(id="one")],
    ids=lambda c: type(c).__name__,
)
def test_before_the_cameras_are_chosen_nothing_else_is_done(command: Command) -> None:
    said = answers(to_line(command).encode())

    assert [type(fact) for fact in said] == [Hello, Refused, Gone]
    assert said[1] == Refused(
        what="No cameras are chosen yet.", try_next="Choose them, then try again."
    )


def test_a_struck_ball_becomes_a_finished_folder(first_swing: Pair, tmp_path: Path) -> None:
    played = Played(pair=first_swing, inbox=tmp_path / "inbox", impacts_s=[1.5], previews=True)
    with talk() as process:
        process.send(played.configure())
        process.say(Ready(ticket="whose"))
        facts = process.until(Kept)
    gone = last(process.end(), Gone)

    kept = last(facts, Kept)
    assert isinstance(kept, Kept)
    folder = Path(kept.folder)
    note = read_document(folder / "capture.json", "capture", CaptureNote)
    swing = read_swing_facts(folder)
    assert gone == Gone(kept=1, lost=0)
    assert {path.name for path in played.inbox.iterdir()} == {kept.id}
    assert (note.ticket, note.trigger) == ("whose", Trigger.SOUND)
    # Two frames wait for those out of order.
    assert abs(note.impact_host_ns - played.impacts_ns[0]) < 50 * MS
    assert [r.view for r in swing.recordings] == [View.FACE_ON, View.DOWN_THE_LINE]
    assert any(isinstance(fact, LookReady) for fact in facts)
    assert any(isinstance(fact, Preview) for fact in facts)
    for recording, source in zip(swing.recordings, note.sources, strict=True):
        path = folder / recording.file
        index = index_frames(path)
        stamps = np.load(folder / source.stamps)
        told = probe(path)
        assert recording.sha256 == sha256_of(path, Quiet())
        assert (recording.frames, recording.first_pts) == (len(index), int(index.pts[0]))
        assert (recording.width_px, recording.has_sound) == (told.width_px, told.has_sound)
        assert recording.duration_ns == index.duration_ns
        assert stamps.shape == (len(index), 2)
        assert source.missing == 0
        assert index.times_ns[0] <= source.impact_media_ns - played.windows.before_ns
        assert index.times_ns[-1] >= source.impact_media_ns + played.windows.after_ns - 40 * MS
        sound = read_sound(path)
        assert len(sound.samples) / sound.rate_hz == pytest.approx(1.0, abs=0.03)


def test_cameras_on_sockets_share_the_sound_of_one(tmp_path: Path) -> None:
    heard = h264_film(tmp_path / "a.mp4", frames=270, sound=click(at_s=2.5, long_s=4.5))
    silent = jpeg_film(tmp_path / "b.mkv", frames=60)
    windows = Windows(before_ns=S, after_ns=S // 2, sound_ns=S // 4)
    with tcp_camera(heard) as first, http_camera(silent) as second, talk() as process:
        cameras = (
            SourceSetting(view=View.FACE_ON, kind=SourceKind.STREAM, address=first),
            SourceSetting(
                view=View.DOWN_THE_LINE, kind=SourceKind.STREAM, address=second, form="mjpeg"
            ),
        )
        setting = CaptureSetting(
            inbox=str(tmp_path / "inbox"), sources=cameras, windows=windows, preview_px=0
        )
        process.say(Configure(setting=setting))
        process.say(Ready(ticket="whose"))
        facts = process.until(Kept)
        process.end()

    kept = last(facts, Kept)
    assert isinstance(kept, Kept)
    folder = Path(kept.folder)
    note = read_document(folder / "capture.json", "capture", CaptureNote)
    assert [source.own_clock for source in note.sources] == [True, False]
    with FrameReader(folder / "face-on.mp4") as reader:
        codes = [read_code(reader.frame_rgb(n)) for n in range(len(reader))]
        impact = codes[reader.index.at(note.sources[0].impact_media_ns)]
    assert codes == list(range(codes[0], codes[0] + len(codes)))
    assert abs(impact - 150) <= 1
    for source in note.sources:
        sound = read_sound(folder / f"{source.view}.mp4")
        loudest = int(np.argmax(np.abs(sound.samples)))
        at_ns = sound.start_ns + loudest * S // sound.rate_hz
        assert at_ns == pytest.approx(source.impact_media_ns, abs=3 * MS)


def test_what_is_lost_over_udp_is_counted_and_said(tmp_path: Path) -> None:
    film = h264_film(tmp_path / "a.mp4", frames=330, sound=click(at_s=4.0, long_s=5.5))
    windows = Windows(before_ns=S, after_ns=S // 2, sound_ns=S // 4)
    with udp_camera(film, lose_every=23) as address, talk() as process:
        camera = SourceSetting(view=View.FACE_ON, kind=SourceKind.STREAM, address=address)
        setting = CaptureSetting(
            inbox=str(tmp_path / "inbox"), sources=(camera,), windows=windows, preview_px=0
        )
        process.say(Configure(setting=setting))
        process.say(Ready(ticket="whose"))
        facts = process.until(Kept)
        process.end()

    kept = last(facts, Kept)
    assert isinstance(kept, Kept)
    note = read_document(Path(kept.folder) / "capture.json", "capture", CaptureNote)
    assert kept.missing > 0
    assert note.sources[0].missing == kept.missing
    assert f"The face-on recording misses {kept.missing} frames, or parts of them." in kept.said


def test_a_paused_station_keeps_nothing_but_what_was_struck_before(
    first_swing: Pair, tmp_path: Path
) -> None:
    played = Played(pair=first_swing, inbox=tmp_path / "inbox", impacts_s=[20.0])
    with talk() as process:
        process.send(played.configure())
        process.say(Ready(ticket="whose"))
        process.say(Pause())
        process.until_recorded(0.5)
        process.say(KeepNow())
        refused = last(process.until(Refused), Refused)
        process.say(Ready(ticket="another"))
        process.say(ChangeWindows(windows=replace(played.windows, before_ns=S // 2)))
        process.say(KeepNow(back_ns=0))
        process.say(Pause())
        facts = process.until(Kept)
    process.end()

    kept = last(facts, Kept)
    assert isinstance(kept, Kept)
    note = read_document(Path(kept.folder) / "capture.json", "capture", CaptureNote)
    assert isinstance(refused, Refused)
    assert refused.what == "Nothing is kept while the station is paused."
    assert (note.ticket, note.trigger, note.candidate) == ("another", Trigger.KEY, None)
    assert [path.name for path in played.inbox.iterdir()] == [kept.id]


def test_where_it_is_wished_a_swing_that_nobody_heard_is_kept_by_its_motion(
    tmp_path: Path,
) -> None:
    behind = Filmed(view=View.DOWN_THE_LINE, contact_s=CONTACT_S - 0.2, has_ball=False)
    missed = Pair(
        face_on=uncoded_file(tmp_path / "a.mp4", Filmed(has_ball=False)),
        down_the_line=uncoded_file(tmp_path / "b.mp4", behind),
    )
    played = Played(pair=missed, inbox=tmp_path / "inbox", impacts_s=[3.0])
    with talk(real_senses) as process:
        process.send(played.configure())
        process.say(Ready(ticket="whose", keeps_swings=True))
        facts = process.until(Kept)
    process.end()

    kept = last(facts, Kept)
    assert isinstance(kept, Kept)
    note = read_document(Path(kept.folder) / "capture.json", "capture", CaptureNote)
    assert (note.ticket, note.trigger, note.candidate) == ("whose", Trigger.MOTION, None)
    assert note.impact_host_ns == pytest.approx(played.impacts_ns[0], abs=250 * MS)


def test_a_ball_that_was_heard_is_not_kept_once_more_by_its_motion(
    first_swing: Pair, tmp_path: Path
) -> None:
    windows = Windows(before_ns=S // 2, after_ns=5 * S // 2)
    played = Played(pair=first_swing, inbox=tmp_path / "inbox", impacts_s=[3.0], windows=windows)
    with talk(real_senses) as process:
        process.send(played.configure())
        process.say(Ready(ticket="whose", keeps_swings=True))
        facts = process.until(Kept)
    facts += process.end()

    assert [fact.trigger for fact in facts if isinstance(fact, Struck)] == [Trigger.SOUND]
    assert last(facts, Gone) == Gone(kept=1, lost=0)


def test_longer_windows_than_memory_holds_are_refused(first_swing: Pair, tmp_path: Path) -> None:
    played = Played(pair=first_swing, inbox=tmp_path / "inbox", impacts_s=[20.0])
    with talk() as process:
        process.send(played.configure())
        process.until(Configured)
        process.say(ChangeWindows(windows=Windows(before_ns=30 * S)))
        process.say(Configure(setting=played.setting()))
        facts = process.end()

    refused = [fact.what for fact in facts if isinstance(fact, Refused)]
    assert refused == [
        "At most 4 s of each ball can be kept.",
        "The cameras are chosen already.",
    ]


def test_a_kept_ball_can_be_dropped_again(first_swing: Pair, tmp_path: Path) -> None:
    played = Played(pair=first_swing, inbox=tmp_path / "inbox", impacts_s=[20.0])
    with talk() as process:
        process.send(played.configure())
        process.say(Ready(ticket="whose"))
        process.until_recorded(0.5)
        process.say(KeepNow(back_ns=0))
        kept = last(process.until(Kept), Kept)
        assert isinstance(kept, Kept)
        process.say(Drop(id=kept.id))
        process.say(Drop(id=kept.id))
        facts = process.end()

    assert list(played.inbox.iterdir()) == []
    assert len([fact for fact in facts if isinstance(fact, Refused)]) == 1
