"""Recording by itself with real processes: kept, killed, cut off, unplugged, without room."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from fractions import Fraction
from pathlib import Path

import pytest

from capturestation.capture.messages import (
    Gone,
    Heard,
    Kept,
    Lost,
    Ready,
    SourceDown,
    SourceUp,
    Struck,
    to_line,
)
from capturestation.folders import read_swing_facts
from capturestation.library import Library
from capturestation.records import NS_PER_S, Quiet, SyncSource, View
from capturestation.records.capture import Spell
from capturestation.station import people
from capturestation.station.capture_client import Interrupted, Resumed
from capturestation.station.taking_in import Ticket, take_in_all, ticket_text, waiting
from tests.helpers.bay_files import Pair
from tests.helpers.library_records import DAY
from tests.helpers.recorded_bay import (
    COMMAND,
    PATIENCE_S,
    READY,
    Played,
    client_of,
    facts_until,
    lead_ns,
    settled,
    told_until,
)
from tests.helpers.station_library import grown_up

pytestmark = [pytest.mark.process, pytest.mark.slow]
_NO_ROOM = """
import resource, runpy, signal
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (20_000, 20_000))
runpy.run_module("capturestation.capture", run_name="__main__")
"""


def test_struck_balls_are_in_their_lesson_whenever_and_however_often_they_are_taken_in(
    first_swing: Pair, tmp_path: Path
) -> None:
    with Library.open(tmp_path / "library") as library:
        student = grown_up(library)
        lesson = people.add_lesson(library, student.id, on=DAY)
        ticket = Ticket(lesson=lesson.id, club="7 iron")
        played = Played(pair=first_swing, inbox=library.inbox, impacts_s=[1.5, 4.0])
        with client_of(played, ready=Ready(ticket=ticket_text(ticket))) as client:
            told_until(client, settled)
            told_until(client, settled)

        left_before = waiting(library)
        taken = take_in_all(library, Quiet())
        again = take_in_all(library, Quiet())
        swings = library.swings(lesson.id)

    assert len(left_before) == 2
    assert (taken.left, again.left, again.swings) == ((), (), ())
    assert [swing.id for swing in swings] == [swing.id for swing in taken.swings]
    for swing in swings:
        assert (swing.book.club, swing.book.student_id) == ("7 iron", student.id)
        assert {sync.view for sync in swing.book.syncs} == {View.FACE_ON, View.DOWN_THE_LINE}
        assert all(sync.source is not SyncSource.HAND for sync in swing.book.syncs)
        assert swing.book.marks
    apart = swings[1].facts.struck_at - swings[0].facts.struck_at
    assert apart.total_seconds() == pytest.approx(2.5, abs=0.05)


def test_a_killed_recording_says_what_is_lost_and_the_next_ball_is_kept(
    first_swing: Pair, tmp_path: Path
) -> None:
    # The next process is there by then, on this computer and beside others.
    later_s = 1.5 + max(3.1, lead_ns() / NS_PER_S)
    played = Played(pair=first_swing, inbox=tmp_path / "inbox", impacts_s=[1.5, later_s])
    with client_of(played) as client:
        struck = told_until(client, lambda fact: isinstance(fact, Struck))[-1]
        os.kill(client.pid, signal.SIGKILL)
        told = told_until(client, lambda fact: isinstance(fact, Kept))

    assert isinstance(struck, Struck)
    lost = [fact for fact in told if isinstance(fact, Lost)]
    interrupted = [fact for fact in told if isinstance(fact, Interrupted)]
    kept = told[-1]
    assert isinstance(kept, Kept)
    assert [fact.id for fact in lost] == [struck.id]
    assert [fact.for_good for fact in interrupted] == [False]
    [resumed] = [fact for fact in told if isinstance(fact, Resumed)]
    assert interrupted[0].since == resumed.since < resumed.until
    assert [path.name for path in played.inbox.iterdir()] == [kept.id]


def test_a_recording_whose_station_is_gone_finishes_what_is_struck_and_ends(
    first_swing: Pair, tmp_path: Path
) -> None:
    stalled = (Spell(at_s=1.6, for_s=0.7),)
    played = Played(
        pair=first_swing,
        inbox=tmp_path / "inbox",
        impacts_s=[1.5],
        stalled=stalled,
        asked_hz=Fraction(240),
    )
    process = subprocess.Popen(COMMAND, stdin=subprocess.PIPE, stdout=subprocess.PIPE)
    with process:
        assert process.stdin is not None
        assert process.stdout is not None
        process.stdin.write(played.configure() + to_line(READY).encode())
        process.stdin.flush()
        facts_until(process.stdout.readline, lambda fact: isinstance(fact, Heard))
        process.stdin.close()
        facts = facts_until(process.stdout.readline, lambda fact: isinstance(fact, Gone))
        code = process.wait(PATIENCE_S)

    [kept] = [fact for fact in facts if isinstance(fact, Kept)]
    assert code == 0
    assert facts[-1] == Gone(kept=1, lost=0)
    recordings = read_swing_facts(Path(kept.folder)).recordings
    assert [r.view for r in recordings] == [View.FACE_ON, View.DOWN_THE_LINE]
    assert kept.missing == 0
    assert all(r.duration_ns >= 1.75e9 for r in recordings)
    assert kept.said == ("The down-the-line camera should send 240 frames a second and sends 60.",)


def test_a_camera_that_is_unplugged_is_said_and_taken_up_again(
    first_swing: Pair, tmp_path: Path
) -> None:
    played = Played(
        pair=first_swing,
        inbox=tmp_path / "inbox",
        impacts_s=[1.5, 4.0],
        unplugged=(Spell(at_s=0.2, for_s=1.9),),
    )
    with client_of(played) as client:
        told = told_until(client, settled)
        told += told_until(client, settled)

    first, second = (fact for fact in told if isinstance(fact, Kept))
    gone = [fact for fact in told if isinstance(fact, SourceDown)]
    up = [fact.view for fact in told if isinstance(fact, SourceUp)]
    recorded = [
        [recording.view for recording in read_swing_facts(Path(kept.folder)).recordings]
        for kept in (first, second)
    ]
    assert [fact.view for fact in gone] == [View.DOWN_THE_LINE]
    assert gone[0].why == "The down-the-line camera stopped sending."
    assert up.count(View.DOWN_THE_LINE) == 2
    assert recorded == [[View.FACE_ON], [View.FACE_ON, View.DOWN_THE_LINE]]
    assert "The down-the-line camera sent nothing at impact." in first.said


def test_a_ball_for_which_there_is_no_room_is_said_to_be_lost(
    first_swing: Pair, tmp_path: Path
) -> None:
    played = Played(pair=first_swing, inbox=tmp_path / "inbox", impacts_s=[1.5])
    with client_of(played, program=(sys.executable, "-c", _NO_ROOM)) as client:
        told = told_until(client, settled)

    lost = told[-1]
    assert isinstance(lost, Lost)
    assert "can't be written" in lost.why
    assert list(played.inbox.iterdir()) == []
