from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from capturestation.errors import CancelledError, NotReadableError, OutputError
from capturestation.media.frames import FrameReader
from capturestation.media.index import index_frames
from capturestation.media.probe import probe
from capturestation.media.working_copy import (
    BOX_PX,
    copy_path,
    drop_copies,
    make_copy,
    open_frames,
    why_copy,
)
from capturestation.records import Quiet, StopAfter
from tests.helpers.altered_media import cut_tail, damage_frame, trim_by_edit_list
from tests.helpers.coded_media import Traits, read_code, write_coded_clip

RATE_HZ = Fraction(30)
UNEVEN = [3000 * n + 700 * (n % 3) for n in range(48)]
LONG = Traits(key_every=48)


def clip(path: Path, traits: Traits = LONG, *, size: tuple[int, int] = (160, 96)) -> Path:
    return write_coded_clip(path, frames=48, rate_hz=RATE_HZ, size=size, traits=traits)


@pytest.fixture
def original(tmp_path: Path) -> Path:
    return clip(tmp_path / "swing.mp4")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "made" / "copies"


def files(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.glob("*")) if folder.exists() else []


@dataclass(frozen=True, kw_only=True)
class Case:
    """A file, and the number painted into its first shown frame."""

    name: str
    traits: Traits
    size: tuple[int, int] = (160, 96)
    trim_s: Fraction | None = None
    first_code: int = 0


CASES = {
    "long": Case(name="a.mp4", traits=LONG),
    "uneven": Case(
        name="a.mp4", traits=Traits(pts=UNEVEN, time_base=Fraction(1, 90_000), b_frames=0)
    ),
    "late": Case(
        name="a.mkv", traits=Traits(pts=[n + 9000 for n in UNEVEN], time_base=Fraction(1, 90_000))
    ),
    "trimmed": Case(name="a.mp4", traits=LONG, trim_s=Fraction(7, 30), first_code=7),
    "upright": Case(name="a.mov", traits=Traits(rotation_deg=90), size=(96, 160)),
    "mirrored": Case(name="a.mp4", traits=Traits(mirrored=True)),
    "hevc 10 bit": Case(
        name="a.mov", traits=Traits(codec="libx265", pixel_format="yuv420p10le", key_every=48)
    ),
}


@pytest.mark.parametrize("case", CASES.values(), ids=list(CASES))
def test_a_copy_shows_the_same_frames_at_the_same_times(
    case: Case, tmp_path: Path, folder: Path
) -> None:
    path = clip(tmp_path / case.name, case.traits, size=case.size)
    if case.trim_s is not None:
        trim_by_edit_list(path, start_s=case.trim_s, long_s=Fraction(48, 30) - case.trim_s)
    before, times = path.read_bytes(), path.stat().st_mtime_ns

    made = make_copy(path, folder, watch=Quiet())

    with open_frames(path, folder, cache_mb=0) as copy, FrameReader(path) as plain:
        count = len(plain)
        assert copy.index.times_ns.tolist() == plain.index.times_ns.tolist()
        codes = [read_code(copy.frame_rgb(n)) for n in reversed(range(count))]
        off = np.abs(copy.frame_rgb(9).astype(int) - plain.frame_rgb(9))
        assert copy.frame_grey(9).shape == plain.frame_grey(9).shape
    assert codes == list(reversed(range(case.first_code, 48)))
    assert off.mean() <= 4
    assert index_frames(made).longest_group == 1
    assert (path.read_bytes(), path.stat().st_mtime_ns) == (before, times)
    assert files(folder) == [made.name]


def test_a_copys_frames_are_not_asked_how_they_are_turned(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    turned = write_coded_clip(
        tmp_path / "turned.mp4", frames=4, rate_hz=Fraction(30), traits=Traits(rotation_deg=90)
    )
    copy = make_copy(turned, folder, watch=Quiet())
    with FrameReader(turned, copy=copy) as reader:
        monkeypatch.delattr("capturestation.media._upright.turn_of")

        assert reader.frame_planes(2) is not None
        assert read_code(reader.frame_rgb(2)) == 2
        assert next(reader.iter_grey(0, 4, width_px=40)).shape[1] == 40


def test_a_large_picture_is_copied_at_the_size_of_a_screens_half(
    tmp_path: Path, folder: Path
) -> None:
    path = write_coded_clip(tmp_path / "a.mp4", frames=2, rate_hz=RATE_HZ, size=(1920, 1080))
    tall = write_coded_clip(tmp_path / "b.mp4", frames=2, rate_hz=RATE_HZ, size=(1078, 1920))

    for one in (path, tall):
        make_copy(one, folder, watch=Quiet())

    with open_frames(path, folder) as reader:
        assert reader.frame_rgb(1).shape == (720, 1280, 3)
        assert read_code(reader.frame_rgb(1)) == 1
    with open_frames(tall, folder) as reader:
        assert reader.frame_rgb(1).shape == (1280, 718, 3)


@pytest.mark.parametrize(
    ("name", "traits", "words"),
    [
        ("a.mp4", Traits(key_every=48), "one in 48"),
        ("a.mp4", Traits(key_every=1, b_frames=0), ""),
        ("a.mp4", Traits(key_every=3, b_frames=0), ""),
        ("a.avi", Traits(codec="mjpeg", pixel_format="yuvj420p"), ""),
        ("a.mp4", Traits(codec="libx265", key_every=1, b_frames=0), "hevc, 8 bits"),
        ("a.mp4", Traits(pixel_format="yuv420p10le", key_every=1, b_frames=0), "h264, 10 bits"),
    ],
)
def test_a_copy_is_asked_for_where_a_file_is_slow(
    tmp_path: Path, name: str, traits: Traits, words: str
) -> None:
    path = clip(tmp_path / name, traits)

    reason = why_copy(probe(path), index_frames(path))

    assert words in reason
    assert bool(reason) == bool(words)


def test_a_copy_is_asked_for_where_a_picture_is_large(tmp_path: Path) -> None:
    traits = Traits(key_every=1, b_frames=0)
    path = write_coded_clip(
        tmp_path / "a.mp4", frames=2, rate_hz=RATE_HZ, size=(722, 730), traits=traits
    )

    assert "(722x730) are larger" in why_copy(probe(path), index_frames(path))
    assert min(722, 730) > BOX_PX[1]


def test_a_file_without_a_copy_is_read_itself(original: Path, folder: Path) -> None:
    with open_frames(original, folder) as reader:
        assert read_code(reader.frame_rgb(5)) == 5

    assert not folder.exists()


def test_a_changed_file_never_meets_its_old_copy(original: Path, folder: Path) -> None:
    old = make_copy(original, folder, watch=Quiet())
    write_coded_clip(original, frames=30, rate_hz=RATE_HZ)

    with open_frames(original, folder) as reader:
        assert len(reader) == 30
        assert read_code(reader.frame_rgb(29)) == 29
    assert copy_path(original, folder) != old


def test_a_file_that_moves_finds_its_copy(original: Path, folder: Path, tmp_path: Path) -> None:
    made = make_copy(original, folder, watch=Quiet())

    moved = original.rename(tmp_path / "kept.mp4")

    assert copy_path(moved, folder) == made


def test_a_copy_that_is_there_is_not_made_again(original: Path, folder: Path) -> None:
    made = make_copy(original, folder, watch=Quiet())
    before = made.stat().st_mtime_ns

    assert make_copy(original, folder, watch=StopAfter(0.0)) == made
    assert made.stat().st_mtime_ns == before


def test_a_damaged_copy_is_passed_over_and_made_again(original: Path, folder: Path) -> None:
    made = make_copy(original, folder, watch=Quiet())
    cut_tail(made, share=0.5)

    with open_frames(original, folder) as reader:
        assert read_code(reader.frame_rgb(47)) == 47
    assert make_copy(original, folder, watch=Quiet()) == made
    assert len(index_frames(made)) == 48


def test_stopping_leaves_nothing(original: Path, folder: Path) -> None:
    with pytest.raises(CancelledError):
        make_copy(original, folder, watch=StopAfter(0.5))

    assert files(folder) == []


def test_a_damaged_original_leaves_nothing_and_names_the_frame(
    original: Path, folder: Path
) -> None:
    damage_frame(original, 24)

    with pytest.raises(NotReadableError, match=r"swing\.mp4 is damaged: frame"):
        make_copy(original, folder, watch=Quiet())

    assert files(folder) == []


def test_a_folder_that_cant_be_made_is_named(original: Path, tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("a file")

    with pytest.raises(OutputError, match="copies can't be written"):
        make_copy(original, tmp_path / "taken" / "copies", watch=Quiet())

    assert (tmp_path / "taken").read_text() == "a file"


def test_a_missing_original_is_named(tmp_path: Path, folder: Path) -> None:
    with pytest.raises(NotReadableError, match=r"gone\.mp4 is not there"):
        open_frames(tmp_path / "gone.mp4", folder)

    assert not folder.exists()


def test_copies_of_deleted_recordings_are_dropped(
    original: Path, folder: Path, tmp_path: Path
) -> None:
    other = clip(tmp_path / "other.mp4", Traits(key_every=24))
    kept = make_copy(original, folder, watch=Quiet())
    make_copy(other, folder, watch=Quiet())
    (folder / ".0123.look1.mp4.partial").write_bytes(b"begun")
    (folder / "notes.txt").write_text("not ours")

    assert drop_copies(folder, [original]) == 2
    assert files(folder) == sorted([kept.name, "notes.txt"])
    assert drop_copies(folder) == 1
    assert drop_copies(tmp_path / "nowhere") == 0


def test_two_that_make_one_copy_at_once_never_write_into_each_other(
    original: Path, folder: Path
) -> None:
    begun: list[Path] = []

    class Nested:
        """While the first is half done, a second makes the whole."""

        def report(self, share: float, words: str) -> None:  # noqa: ARG002 - the protocol's shape
            if share > 0.5 and not begun:
                begun.append(make_copy(original, folder, watch=Quiet()))

    made = make_copy(original, folder, watch=Nested())

    assert begun == [made]
    assert files(folder) == [made.name]
    with open_frames(original, folder) as reader:
        assert [read_code(reader.frame_rgb(n)) for n in (0, 30, 47)] == [0, 30, 47]


def test_a_copy_that_can_not_get_its_name_leaves_nothing(
    original: Path, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    name = copy_path(original, folder).name
    real = Path.replace

    def refused(self: Path, target: Path) -> Path:
        if Path(target).name == name:
            raise PermissionError(13, "refused")
        return real(self, target)

    monkeypatch.setattr(Path, "replace", refused)
    with pytest.raises(OutputError, match="refuses it"):
        make_copy(original, folder, watch=Quiet())

    assert files(folder) == []
