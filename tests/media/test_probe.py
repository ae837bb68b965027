from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import cv2
import numpy as np
import pytest

from capturestation.errors import NotReadableError
from capturestation.media.index import index_frames
from capturestation.media.light import Transfer
from capturestation.media.probe import MediaFacts, probe
from capturestation.media.sound import read_sound
from tests.helpers.altered_media import cut_tail, stored_turn
from tests.helpers.coded_media import Traits, click, write_coded_clip

RATE_HZ = Fraction(30)
READERS: list[Callable[[Path], object]] = [probe, index_frames, read_sound]


def test_a_clip_says_what_it_is(tmp_path: Path) -> None:
    path = write_coded_clip(
        tmp_path / "swing.mp4",
        frames=20,
        rate_hz=Fraction(30_000, 1001),
        sound=click(at_s=0.2, long_s=0.5, rate_hz=44_100),
        sound_rate_hz=44_100,
        traits=Traits(tags={"title": "Seven iron"}),
    )

    facts = probe(path)

    assert facts.tags["title"] == "Seven iron"
    assert facts == MediaFacts(
        path=path,
        container="mov",
        codec="h264",
        pixel_format="yuv420p",
        width_px=160,
        height_px=96,
        bits=8,
        colours="BT.601 limited",
        transfer=Transfer.ORDINARY,
        rotation_deg=0,
        mirrored=False,
        time_base=Fraction(1, 30_000),
        declared_rate_hz=Fraction(30_000, 1001),
        mean_rate_hz=Fraction(30_000, 1001),
        is_steady=True,
        played_slower=Fraction(1),
        has_sound=True,
        sound_rate_hz=44_100,
        sound_codec="aac",
        tags=facts.tags,
        said=("It doesn't say how its colours are coded; by its size, BT.601.",),
    )


def test_a_silent_clip_says_so(tmp_path: Path) -> None:
    facts = probe(write_coded_clip(tmp_path / "swing.mkv", frames=5, rate_hz=RATE_HZ))

    assert (facts.has_sound, facts.sound_rate_hz, facts.sound_codec) == (False, None, None)
    assert facts.container == "matroska"


@pytest.mark.parametrize(
    ("rotation_deg", "matrix"),
    [(90, (0, 1, -1, 0)), (180, (-1, 0, 0, -1)), (270, (0, -1, 1, 0))],
)
def test_a_turned_camera_is_told_by_its_clockwise_turn(
    tmp_path: Path, rotation_deg: int, matrix: tuple[int, ...]
) -> None:
    path = write_coded_clip(
        tmp_path / "upright.mov",
        frames=3,
        rate_hz=RATE_HZ,
        size=(96, 160),
        traits=Traits(rotation_deg=rotation_deg),
    )

    facts = probe(path)

    # The matrix is what ISO/IEC 14496-12 stores: with y down, (a b) is where stored +x is shown.
    assert stored_turn(path) == matrix
    assert facts.rotation_deg == rotation_deg
    assert (facts.width_px, facts.height_px) == (96, 160)


def test_a_name_with_a_colon_or_a_percent_sign_is_only_a_name(tmp_path: Path) -> None:
    path = write_coded_clip(tmp_path / "plain.mp4", frames=3, rate_hz=RATE_HZ)
    odd = path.rename(tmp_path / "http: 100%03d ü.mp4")

    assert probe(odd).path == odd


@pytest.fixture
def bad_files(tmp_path: Path) -> Path:
    """A folder of files that can't be used, one for each reason."""
    (tmp_path / "empty.mp4").touch()
    (tmp_path / "folder.mp4").mkdir()
    (tmp_path / "letter.mp4").write_text("Dear coach,\n" * 99)
    (tmp_path / "letter.txt").write_text("Dear coach,\n" * 99)
    (tmp_path / "noise.mp4").write_bytes(np.random.default_rng(1).bytes(5000))
    cv2.imwrite(str(tmp_path / "picture.png"), np.zeros((32, 32, 3), np.uint8))
    sound = click(at_s=0.5, long_s=1.0)
    good = write_coded_clip(tmp_path / "good.mp4", frames=30, rate_hz=RATE_HZ, sound=sound)
    (tmp_path / "playlist.m3u8").write_text(f"#EXTM3U\n#EXTINF:1,\n{good}\n#EXT-X-ENDLIST\n")
    good.rename(tmp_path / "no_index.mp4")
    cut_tail(tmp_path / "no_index.mp4", share=0.5)
    traits = Traits(movflags="faststart")
    write_coded_clip(tmp_path / "half.mp4", frames=30, rate_hz=RATE_HZ, sound=sound, traits=traits)
    cut_tail(tmp_path / "half.mp4", share=0.5)
    return tmp_path


@pytest.mark.parametrize("read", READERS)
@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("missing.mp4", "is not there"),
        ("empty.mp4", "is empty"),
        ("folder.mp4", "is a folder"),
        ("letter.mp4", "is not a video"),
        ("letter.txt", "is not a video"),
        ("noise.mp4", "is not a video"),
        ("picture.png", "is not a video"),
        ("playlist.m3u8", "is not a video"),
        ("no_index.mp4", "damaged or cut"),
        ("half.mp4", "is cut"),
    ],
)
def test_a_file_that_cant_be_used_is_named_with_the_reason(
    bad_files: Path, name: str, words: str, read: Callable[[Path], object]
) -> None:
    with pytest.raises(NotReadableError, match=words) as caught:
        read(bad_files / name)

    assert caught.value.what.startswith(name)
    assert caught.value.what.count(".") == name.count(".") + 1
    assert caught.value.try_next
    assert caught.value.subject == str(bad_files / name)


@pytest.mark.parametrize("read", [probe, index_frames])
def test_a_file_with_sound_only_is_no_video(tmp_path: Path, read: Callable[[Path], object]) -> None:
    path = write_coded_clip(
        tmp_path / "voice.mp4", frames=0, rate_hz=RATE_HZ, sound=click(at_s=0.1, long_s=0.5)
    )

    with pytest.raises(NotReadableError, match=r"voice\.mp4 holds no (moving )?picture"):
        read(path)


def test_nothing_of_the_library_is_said_on_the_terminal(
    bad_files: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    for path in sorted(bad_files.iterdir()):
        with pytest.raises(NotReadableError):
            index_frames(path)

    assert capfd.readouterr() == ("", "")
