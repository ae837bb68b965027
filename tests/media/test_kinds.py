"""What phones, webcams and action cameras write: tracks, shapes, and times that are not as said."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from capturestation.errors import NotReadableError
from capturestation.media.frames import FrameReader
from capturestation.media.index import index_frames
from capturestation.media.probe import probe
from capturestation.media.sound import read_sound
from tests.helpers.altered_media import join_tracks, rename_coding, trim_by_edit_list
from tests.helpers.coded_media import Traits, click, onset_s, read_code, write_coded_clip

RATE_HZ = Fraction(30)
TICK = Fraction(1, 90_000)


def clip(path: Path, *, size: tuple[int, int] = (160, 96), traits: Traits | None = None) -> Path:
    return write_coded_clip(path, frames=24, rate_hz=RATE_HZ, size=size, traits=traits)


def voice(path: Path, *, at_s: float, codec: str = "aac") -> Path:
    sound, traits = click(at_s=at_s, long_s=0.8), Traits(sound_codec=codec)
    return write_coded_clip(path, frames=0, rate_hz=RATE_HZ, sound=sound, traits=traits)


def test_a_plain_file_needs_no_words(tmp_path: Path) -> None:
    path = clip(tmp_path / "a.mp4", traits=Traits(tags={"title": "plain"}))

    facts = probe(path)

    assert facts.is_steady
    assert facts.played_slower == 1
    assert [said for said in facts.said if "colours" not in said] == []


def test_of_several_pictures_the_largest_is_taken_and_said(tmp_path: Path) -> None:
    small = clip(tmp_path / "small.mp4", size=(96, 64))
    large = clip(tmp_path / "large.mp4")
    both = join_tracks(tmp_path / "both.mkv", [small, large])

    facts = probe(both)

    assert (facts.width_px, facts.height_px) == (160, 96)
    assert "It holds 2 moving pictures; number 2 (160x96) is taken." in facts.said
    with FrameReader(both) as reader:
        assert reader.frame_rgb(20).shape == (96, 160, 3)
        assert read_code(reader.frame_rgb(20)) == 20


@pytest.mark.parametrize("name", ["both.mkv", "both.mov"])
def test_the_picture_that_the_file_marks_as_usual_is_taken(tmp_path: Path, name: str) -> None:
    small = clip(tmp_path / "small.mp4", size=(96, 64))
    large = clip(tmp_path / "large.mp4")
    both = join_tracks(tmp_path / name, [large, small], usual=1)

    facts = probe(both)

    assert (facts.width_px, facts.height_px) == (96, 64)
    assert "It holds 2 moving pictures; number 2 (96x64) is taken." in facts.said


def test_of_several_sounds_the_usual_one_is_taken_and_said(tmp_path: Path) -> None:
    parts = [clip(tmp_path / "p.mp4"), voice(tmp_path / "a.mp4", at_s=0.2)]
    parts.append(voice(tmp_path / "b.mp4", at_s=0.5))
    first = join_tracks(tmp_path / "first.mov", parts)
    second = join_tracks(tmp_path / "second.mkv", parts, usual=2)

    for path, at_s, number in ((first, 0.2, 1), (second, 0.5, 2)):
        sound = read_sound(path)
        heard_s = onset_s(sound.samples, start_s=sound.start_ns / 1e9, rate_hz=sound.rate_hz)
        # Joining leaves the encoder's lead-in of 21 ms in place.
        assert abs(heard_s - at_s) <= 0.03
        assert f"It holds 2 sounds; number {number} (aac) is taken." in probe(path).said


def test_a_sound_that_nothing_decodes_is_passed_over_and_said(tmp_path: Path) -> None:
    strange = voice(tmp_path / "strange.mov", at_s=0.1, codec="pcm_s16le")
    parts = [clip(tmp_path / "p.mp4"), strange, voice(tmp_path / "v.mp4", at_s=0.4)]
    path = join_tracks(tmp_path / "a.mov", parts)
    rename_coding(path, b"sowt", b"zzzz")

    sound = read_sound(path)

    heard_s = onset_s(sound.samples, start_s=sound.start_ns / 1e9, rate_hz=sound.rate_hz)
    assert abs(heard_s - 0.4) <= 0.03
    assert "A sound of it (1 of 2) can't be decoded here." in probe(path).said


def test_a_sound_that_nothing_decodes_is_not_taken_for_silence(tmp_path: Path) -> None:
    path = voice(tmp_path / "strange.mov", at_s=0.1, codec="pcm_s16le")
    rename_coding(path, b"sowt", b"zzzz")

    with pytest.raises(NotReadableError, match="a kind that can't be decoded here"):
        read_sound(path)


def test_pictures_that_nothing_decodes_are_refused(tmp_path: Path) -> None:
    path = clip(tmp_path / "strange.mp4")
    rename_coding(path, b"avc1", b"zzzz")

    with pytest.raises(NotReadableError, match="a kind that can't be decoded here"):
        probe(path)


@pytest.mark.parametrize(
    ("aspect", "shown"),
    [(Fraction(4, 3), (213, 96)), (Fraction(8, 9), (160, 108)), (Fraction(1), (160, 96))],
)
@pytest.mark.parametrize("name", ["a.mp4", "a.mkv"])
def test_pixels_that_are_not_square_are_stretched(
    tmp_path: Path, name: str, aspect: Fraction, shown: tuple[int, int]
) -> None:
    path = clip(tmp_path / name, traits=Traits(pixel_aspect=aspect))

    facts = probe(path)

    assert (facts.width_px, facts.height_px) == shown
    assert any("not square" in said for said in facts.said) == (aspect != 1)
    with FrameReader(path) as reader:
        assert reader.frame_rgb(7).shape == (*reversed(shown), 3)
        assert reader.frame_grey(7).shape == tuple(reversed(shown))
        assert read_code(reader.frame_rgb(7)) == 7


def test_an_upright_file_of_wide_pixels_is_stretched_before_it_is_turned(tmp_path: Path) -> None:
    traits = Traits(pixel_aspect=Fraction(4, 3), rotation_deg=90)
    path = clip(tmp_path / "a.mov", size=(96, 160), traits=traits)

    facts = probe(path)

    assert (facts.width_px, facts.height_px) == (96, 213)
    with FrameReader(path) as reader:
        assert reader.frame_rgb(7).shape == (213, 96, 3)


def test_a_mirrored_file_is_shown_mirrored_and_says_so(tmp_path: Path) -> None:
    path = clip(tmp_path / "a.mp4", traits=Traits(mirrored=True))

    facts = probe(path)

    assert (facts.mirrored, facts.rotation_deg) == (True, 0)
    assert any("mirrored" in said for said in facts.said)


def test_a_turn_between_two_quarters_goes_to_the_nearest_and_says_so(tmp_path: Path) -> None:
    path = clip(tmp_path / "a.mp4", size=(96, 160), traits=Traits(rotation_deg=90, off_deg=7.0))

    facts = probe(path)

    assert facts.rotation_deg == 90
    assert "It asks to be turned by 97 degrees; it is turned by 90." in facts.said


def test_a_head_that_lies_about_its_rate_is_found_out(tmp_path: Path) -> None:
    stamps = Traits(pts=[2 * n for n in range(24)], time_base=Fraction(1, 60), b_frames=0)
    path = write_coded_clip(tmp_path / "a.mkv", frames=24, rate_hz=Fraction(60), traits=stamps)

    facts = probe(path)

    assert facts.declared_rate_hz == 60
    assert facts.mean_rate_hz is not None
    assert float(facts.mean_rate_hz) == pytest.approx(30, abs=0.05)
    assert any("Its head says 60.00 frames a second; " in said for said in facts.said)


@pytest.mark.parametrize("name", ["a.mp4", "a.mov", "a.mkv", "a.ts"])
@pytest.mark.parametrize("rate_hz", [Fraction(30), Fraction(60_000, 1001), Fraction(240)])
def test_a_constant_rate_is_constant_in_any_container(
    tmp_path: Path, name: str, rate_hz: Fraction
) -> None:
    path = write_coded_clip(tmp_path / name, frames=24, rate_hz=rate_hz)

    facts = probe(path)

    assert facts.is_steady
    assert facts.mean_rate_hz is not None
    assert float(facts.mean_rate_hz / rate_hz) == pytest.approx(1, abs=0.01)


@pytest.mark.parametrize("name", ["a.mp4", "a.mkv"])
def test_a_varying_rate_is_said(tmp_path: Path, name: str) -> None:
    pts = [3000 * n + (900 if n % 5 == 2 else 0) for n in range(24)]
    path = clip(tmp_path / name, traits=Traits(pts=pts, time_base=TICK, b_frames=0))

    facts = probe(path)

    assert not facts.is_steady
    assert any("varying rate" in said for said in facts.said)


@pytest.mark.parametrize(
    ("tag", "slower"), [("240.000000", 8), ("239.97", 8), ("30", 1), ("", 1), ("fast", 1)]
)
def test_a_file_filmed_faster_than_it_plays_is_told_by_its_tag(
    tmp_path: Path, tag: str, slower: int
) -> None:
    traits = Traits(tags={"com.example.capture.fps": tag}, movflags="use_metadata_tags")

    facts = probe(clip(tmp_path / "a.mp4", traits=traits))

    assert facts.played_slower == slower
    assert any("8 times slower" in said for said in facts.said) == (slower == 8)


def test_slow_motion_that_was_edited_in_is_hinted_at(tmp_path: Path) -> None:
    gaps = [375] * 20 + [3000] * 12 + [375] * 15
    pts = [0, *np.cumsum(gaps).tolist()]
    traits = Traits(pts=pts, time_base=TICK, b_frames=0)
    path = write_coded_clip(tmp_path / "a.mp4", frames=48, rate_hz=RATE_HZ, traits=traits)

    said = probe(path).said

    assert any(
        "From 0.08 to 0.48 s its frames come 8 times slower: slow motion" in one for one in said
    )


def test_dim_light_that_halves_the_rate_is_no_slow_motion(tmp_path: Path) -> None:
    pts = [0, *np.cumsum([1500] * 12 + [3000] * 11).tolist()]
    path = clip(tmp_path / "a.mp4", traits=Traits(pts=pts, time_base=TICK, b_frames=0))

    facts = probe(path)

    assert not facts.is_steady
    assert not any("slow motion" in said for said in facts.said)


def test_a_trimmed_file_says_how_much_is_hidden(tmp_path: Path) -> None:
    path = clip(tmp_path / "a.mp4")
    trim_by_edit_list(path, start_s=Fraction(7, 30), long_s=Fraction(17, 30))

    facts = probe(path)

    assert index_frames(path).hidden == 7
    assert "7 of the 24 pictures in it are trimmed away." in facts.said


@pytest.mark.parametrize(("key_every", "longest"), [(1, 1), (12, 12), (250, 24)])
def test_the_longest_way_to_a_frame_is_measured(
    tmp_path: Path, key_every: int, longest: int
) -> None:
    path = clip(tmp_path / "a.mp4", traits=Traits(key_every=key_every, b_frames=0))

    assert index_frames(path).longest_group == longest
