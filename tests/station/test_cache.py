"""What is made to look at stays small, private, and no longer than its swing."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from capturestation.errors import OutputError
from capturestation.library import Library
from capturestation.station import cache as caches
from capturestation.station.cache import Cache, Freed, cache_of
from tests.helpers.looked_at import Room


def put(cache: Cache, swing_id: str, name: str, size: int, looked_at_s: float = 0) -> Path:
    """A file of the cache, last looked at so many seconds after now."""
    path = cache.made_folder(swing_id) / name
    path.write_bytes(bytes(size))
    at = path.stat().st_mtime + looked_at_s
    os.utime(path, (at, at))
    return path


@pytest.fixture
def cache(tmp_path: Path) -> Cache:
    """A cache of three copies' room."""
    return Cache(tmp_path / "cache", most_bytes=300)


def test_what_was_not_looked_at_for_longest_goes_first(cache: Cache) -> None:
    paths = [put(cache, f"s{n}", f"{n}.look1.mp4", 100, -n) for n in (3, 1, 4, 2)]

    freed = cache.trim()

    assert freed == Freed(files=1, size_bytes=100)
    assert [path.exists() for path in paths] == [True, True, False, True]
    assert cache.trim() == Freed()


def test_what_is_looked_at_stays_even_if_it_is_old(cache: Cache) -> None:
    paths = [put(cache, f"s{n}", f"{n}.look1.mp4", 100, -n) for n in (1, 2, 3, 4)]

    cache.trim(kept=[paths[3]])

    assert [path.exists() for path in paths] == [True, True, False, True]


def test_pictures_have_a_room_of_their_own(cache: Cache, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(caches, "MOST_PICTURES_BYTES", 250)
    copy = put(cache, "s", "a.look1.mp4", 300, -100)
    pictures = [put(cache, f"s{n}", "face-on.a.0.jpg", 100, -n) for n in (1, 2, 3)]

    cache.trim()

    assert copy.exists()
    assert [path.exists() for path in pictures] == [True, True, False]


def test_a_copy_that_resists_is_named(cache: Cache, monkeypatch: pytest.MonkeyPatch) -> None:
    paths = [put(cache, f"s{n}", f"{n}.look1.mp4", 200, -n) for n in (1, 2)]
    monkeypatch.setattr(caches, "remove_file", lambda _: None)

    assert cache.trim().left == (paths[1], paths[0])


def test_dropping_a_swing_says_how_much_went(cache: Cache) -> None:
    put(cache, "s", "a.look1.mp4", 100)
    put(cache, "s", "face-on.a.0.jpg", 20)
    other = put(cache, "t", "b.look1.mp4", 7)

    assert cache.drop(["s", "never-there"]) == Freed(files=2, size_bytes=120)

    assert cache.held() == {"t"}
    assert other.exists()


def test_dropping_names_what_resists(cache: Cache, monkeypatch: pytest.MonkeyPatch) -> None:
    path = put(cache, "s", "a.look1.mp4", 100)
    monkeypatch.setattr(caches, "remove_folder", lambda _: None)

    assert cache.drop(["s"]) == Freed(left=(path,))


def test_a_sweep_takes_what_belongs_to_no_swing(looked_at: Room) -> None:
    kept = put(looked_at.cache, looked_at.swing_id, "a.look1.mp4", 10)
    put(looked_at.cache, looked_at.other_id, "b.look1.mp4", 10)
    put(looked_at.cache, "long-gone", "c.look1.mp4", 5)
    looked_at.library.trash_swing(looked_at.other_id)

    assert looked_at.cache.sweep(looked_at.library) == Freed(files=2, size_bytes=15)
    assert looked_at.cache.held() == {looked_at.swing_id}
    assert kept.exists()


def test_a_sweep_takes_what_a_kill_left_and_leaves_what_is_being_made(looked_at: Room) -> None:
    key, cache = looked_at.swing_id, looked_at.cache
    names = (".ab.c.look1.mp4.partial", "ab.c.look1.mp4")
    begun = [put(cache, key, name, 5) for name in names]
    cache.sweep(looked_at.library)
    assert all(path.exists() for path in begun)

    for path in begun:
        os.utime(path, (1_000, 1_000))
    whole = put(cache, key, "c.look1.mp4", 5, -100_000)
    cache.sweep(looked_at.library)

    assert [path for path in begun if path.exists()] == []
    assert whole.exists()


def test_a_library_that_is_carried_elsewhere_keeps_its_cache(
    looked_at: Room, tmp_path: Path
) -> None:
    before = cache_of(looked_at.library, tmp_path / "caches").root
    looked_at.library.close()
    moved = looked_at.library.folder.rename(tmp_path / "moved")

    with Library.open(moved) as library:
        assert cache_of(library, tmp_path / "caches").root == before


def test_another_library_has_another_cache(looked_at: Room, tmp_path: Path) -> None:
    with Library.open(tmp_path / "other") as other:
        assert cache_of(other, tmp_path / "caches").root != looked_at.cache.root


def test_the_cache_is_the_accounts_own_unless_told(
    looked_at: Room, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(caches, "user_cache_path", lambda name: tmp_path / name)

    root = cache_of(looked_at.library).root

    assert root == tmp_path / "capturestation" / looked_at.library.key
    assert not root.exists()


def test_a_folder_that_can_not_be_made_is_said(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("taken")

    with pytest.raises(OutputError):
        Cache(tmp_path / "file" / "cache").made_folder("s")

    assert (tmp_path / "file").read_text() == "taken"


def test_an_id_can_not_lead_out_of_the_cache(cache: Cache) -> None:
    with pytest.raises(ValueError, match="an id is"):
        cache.folder("../other")
