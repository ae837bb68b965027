"""Files that are no good, and places that can't be written: one sentence, nothing left behind."""

from __future__ import annotations

import errno
import os
import wave
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import av
import cv2
import numpy as np
import pytest
from av.video.stream import VideoStream

from tests.cli.conftest import Outcome, Typed
from tests.helpers.altered_media import cut_tail, damage_frame
from tests.helpers.bay_files import Filmed, Pair, bay_file
from tests.helpers.coded_media import write_coded_clip
from tests.helpers.station_library import Filled, everything_in

NAME = "Schläge & co 1.mp4"


def add(typed: Typed, *words: str | Path) -> Outcome:
    return typed("swings", "add", "zoe", "--club", "7 iron", *words)


def nothing(path: Path) -> None:
    assert not path.exists()


def empty(path: Path) -> None:
    path.touch()


def without_its_index(path: Path) -> None:
    bay_file(path, Filmed(seed=5))
    data = path.read_bytes()
    path.write_bytes(data[: data.index(b"moov") - 4])


def cut_at_the_end(path: Path) -> None:
    write_coded_clip(path, frames=30, rate_hz=Fraction(30))
    moved = path.with_name("moved.mp4")
    with (
        av.open(str(path)) as old,
        av.open(str(moved), "w", container_options={"movflags": "faststart"}) as new,
    ):
        copy = new.add_stream_from_template(old.streams.video[0])
        for packet in old.demux(video=0):
            if packet.size:
                packet.stream = copy
                new.mux(packet)
    moved.replace(path)
    cut_tail(path, share=0.6)


def text(path: Path) -> None:
    path.write_text("no video at all\n" * 100, encoding="utf-8")


def picture(path: Path) -> None:
    drawn, data = cv2.imencode(".png", np.zeros((96, 160, 3), np.uint8))
    assert drawn
    path.write_bytes(data.tobytes())


def sound(path: Path) -> None:
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(48_000)
        file.writeframes(bytes(96_000))


def no_frames(path: Path) -> None:
    with av.open(str(path), "w") as container:
        stream = container.add_stream("libx264", rate=30)
        assert isinstance(stream, VideoStream)
        stream.width, stream.height, stream.pix_fmt = 160, 96, "yuv420p"
        container.start_encoding()


def one_frame(path: Path) -> None:
    write_coded_clip(path, frames=1, rate_hz=Fraction(30))


def a_damaged_frame(path: Path) -> None:
    bay_file(path, Filmed(seed=6))
    damage_frame(path, 70)


def folder(path: Path) -> None:
    path.mkdir()


BAD: dict[str, Callable[[Path], None]] = {
    "not there": nothing,
    "empty": empty,
    "without its index": without_its_index,
    "cut at the end": cut_at_the_end,
    "text": text,
    "a picture": picture,
    "a sound": sound,
    "no frames": no_frames,
    "one frame": one_frame,
    "a damaged frame": a_damaged_frame,
    "a folder": folder,
}


@pytest.mark.parametrize("what", BAD)
def test_a_file_that_is_no_good_is_named_and_nothing_is_kept(
    typed: Typed, filled: Filled, tmp_path: Path, what: str
) -> None:
    path = tmp_path / NAME
    BAD[what](path)
    before = everything_in(filled.folder)

    done = add(typed, "--face-on", path)

    said, hint = done.err.splitlines()
    assert (done.code, done.out) == (3, "")
    assert NAME in said
    assert hint.endswith(".")
    assert everything_in(filled.folder) == before


def test_a_file_that_may_not_be_read_is_named(
    typed: Typed, filled: Filled, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = bay_file(tmp_path / NAME)

    def refuses(*_: object, **__: object) -> None:
        raise PermissionError(errno.EACCES, "Permission denied", str(path))

    # An account that may read everything runs these tests too, so the system's answer is played.
    monkeypatch.setattr(av, "open", refuses)

    done = add(typed, "--face-on", path)

    assert done.code == 3
    assert f"{NAME} may not be read." in done.err


def test_one_file_given_twice_is_refused(typed: Typed, filled: Filled, tmp_path: Path) -> None:
    path = bay_file(tmp_path / NAME, Filmed(seed=5))
    before = everything_in(filled.folder)

    done = add(typed, "--face-on", path, "--down-the-line", path)

    assert done.code == 3
    assert f"{NAME} is given for down-the-line and for face-on too." in done.err
    assert everything_in(filled.folder) == before


def test_one_view_recorded_twice_is_refused(typed: Typed, filled: Filled, tmp_path: Path) -> None:
    first = bay_file(tmp_path / "a.mp4", Filmed(seed=5))
    again = bay_file(tmp_path / NAME, Filmed(seed=6))
    before = everything_in(filled.folder)

    done = add(typed, "--face-on", first, "--down-the-line", again)

    assert done.code == 3
    assert "show the same view." in done.err
    assert everything_in(filled.folder) == before


def test_a_file_that_was_added_before_is_refused(
    typed: Typed, filled: Filled, first_swing: Pair
) -> None:
    before = everything_in(filled.folder)

    done = add(typed, "--face-on", first_swing.face_on)

    assert done.code == 3
    assert f"in the library already, in swing {filled.best.id}" in done.err
    assert everything_in(filled.folder) == before


def test_without_sound_or_ball_the_way_out_is_told_and_works(
    typed: Typed, filled: Filled, tmp_path: Path
) -> None:
    path = write_coded_clip(tmp_path / NAME, frames=60, rate_hz=Fraction(30))
    before = everything_in(filled.folder)

    refused = add(typed, "--face-on", path)
    left = everything_in(filled.folder)
    added = add(typed, "--face-on", path, "--contact-at", "face-on=1.25")

    assert refused.code == 5
    assert NAME in refused.err
    assert "Here: --contact-at VIEW=SECONDS." in refused.err
    assert left == before
    assert added.code == 0
    assert "contact at 1.2500 s of its file" in added.out


@pytest.mark.parametrize("seconds", ["-1", "2.5"])
def test_contact_outside_the_file_is_refused(
    typed: Typed, filled: Filled, tmp_path: Path, seconds: str
) -> None:
    path = bay_file(tmp_path / NAME, Filmed(seed=5))
    before = everything_in(filled.folder)

    done = add(typed, "--face-on", path, "--contact-at", f"face-on={seconds}")

    assert done.code == 5
    assert f"lies outside {NAME}, which runs from 0.000 s to 2.200 s." in done.err
    assert everything_in(filled.folder) == before


def test_a_full_disk_is_told_and_nothing_is_kept(
    typed: Typed, filled: Filled, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = bay_file(tmp_path / NAME, Filmed(seed=5))
    before = everything_in(filled.folder)
    flush = os.fsync

    def full(number: int) -> None:
        if os.fstat(number).st_size == path.stat().st_size:
            raise OSError(errno.ENOSPC, "No space left on device")
        flush(number)

    with monkeypatch.context() as patched:
        patched.setattr(os, "fsync", full)
        done = add(typed, "--face-on", path)

    assert done.code == 6
    assert "There is no room left to write" in done.err
    assert everything_in(filled.folder) == before
    assert typed("check").code == 0


def test_a_library_below_a_file_is_refused(bare: Typed, tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("mine", encoding="utf-8")

    done = bare("students", "add", "Bo", "--library", tmp_path / "notes.txt" / "library")

    assert done.code == 6
    assert "notes.txt" in done.err
    assert [path.name for path in tmp_path.iterdir()] == ["notes.txt"]


Target = Callable[[Path], Path]


def existing(place: Path) -> Path:
    (place / NAME).write_bytes(b"mine")
    return place / NAME


def named_as_a_folder(place: Path) -> Path:
    (place / NAME).mkdir()
    return place / NAME


def below_a_file(place: Path) -> Path:
    (place / "notes.txt").write_text("mine", encoding="utf-8")
    return place / "notes.txt" / NAME


def in_no_folder(place: Path) -> Path:
    return place / "no such folder" / NAME


TARGETS: dict[str, tuple[Target, tuple[str, ...], str]] = {
    "existing": (existing, (), "to be replaced. Here: --replace."),
    "a folder": (named_as_a_folder, (), "already there"),
    "a folder to replace": (named_as_a_folder, ("--replace",), "a folder has that name"),
    "below a file": (below_a_file, (), "its folder is a file"),
    "in no folder": (in_no_folder, (), "its folder is not there"),
}


@pytest.mark.usefixtures("qapp")
@pytest.mark.parametrize("what", TARGETS)
def test_a_clip_that_can_not_be_written_leaves_its_place_as_it_was(
    typed: Typed, tmp_path: Path, what: str
) -> None:
    target, words, said = TARGETS[what]
    place = tmp_path / "clips"
    place.mkdir()
    out = target(place)
    before = {path: path.is_file() and path.read_bytes() for path in place.rglob("*")}

    done = typed("clip", "--own-use", "--out", out, "--slow", "1", "--hold", "0", *words)

    assert (done.code, done.out) == (6, "")
    assert NAME in done.err
    assert said in done.err
    assert {path: path.is_file() and path.read_bytes() for path in place.rglob("*")} == before


@pytest.mark.usefixtures("qapp")
def test_a_clip_may_be_written_over_where_asked(typed: Typed, tmp_path: Path) -> None:
    out = existing(tmp_path)

    short = ("--own-use", "--slow", "1", "--hold", "0")

    done = typed("clip", "--out", out, *short, "--replace")

    assert done.code == 0
    assert out.stat().st_size > 1_000


@pytest.mark.parametrize("content", ["", "{", '{"format": "something else"}', "[1, 2]"])
def test_a_calibration_that_is_none_is_named_and_not_kept(
    typed: Typed, filled: Filled, tmp_path: Path, content: str
) -> None:
    path = tmp_path / "camera ä.json"
    path.write_text(content, encoding="utf-8")
    before = everything_in(filled.folder)

    done = typed("calibrations", "add", path)

    assert done.code == 3
    assert "camera ä.json" in done.err
    assert everything_in(filled.folder) == before


def test_a_calibration_that_is_no_text_is_named(typed: Typed, tmp_path: Path) -> None:
    path = bay_file(tmp_path / NAME)

    done = typed("calibrations", "add", path)

    assert done.code == 3
    assert f"{NAME} is not a calibration" in done.err
    assert "codec" not in done.err
