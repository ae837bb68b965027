"""How the window stood comes back; a damaged or newer file costs a sentence and nothing else."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from capturestation.errors import LibraryError
from capturestation.records import SwingId, from_plain, to_plain
from capturestation.station.desk import Desk, Learnt, desk_file, read_desk, write_desk

ACTIONS = st.sampled_from(["remote.previous", "remote.next", "remote.play", "remote.view"])
KEYS = st.lists(st.sampled_from(["PgUp", "PgDown", "F5", ".", "Right", "B"]), max_size=3)
FULL = Desk(
    library="elsewhere",
    place="bench",
    swing=SwingId("swing-1"),
    theme="dark",
    scale=1.5,
    left_px=-1280,
    top_px=40,
    width_px=1000,
    height_px=700,
    filled="whole",
    tv=True,
    remote=(Learnt(action="remote.next", keys=("Right",)),),
).with_place("book", {"student": "s"})


def test_what_is_kept_comes_back(tmp_path: Path) -> None:
    file = tmp_path / "state" / "window.json"

    write_desk(file, FULL)

    assert read_desk(file).desk == FULL
    assert read_desk(file).trouble is None
    assert not read_desk(file).is_first


def test_without_a_file_it_stands_as_at_first_and_nothing_is_said(tmp_path: Path) -> None:
    read = read_desk(tmp_path / "window.json")

    assert read.desk == Desk()
    assert read.is_first
    assert read.trouble is None


@pytest.mark.parametrize(
    "text",
    [
        "",
        "{",
        "[]",
        '{"format": "capturestation book", "version": 1, "record": {}}',
        json.dumps(
            {"format": "capturestation window", "version": 1, "record": {"scale": 40.0}},
        ),
        json.dumps(
            {"format": "capturestation window", "version": 1, "record": {"width_px": 0}},
        ),
        json.dumps({"format": "capturestation window", "version": 1, "record": {"colour": "red"}}),
    ],
)
def test_a_damaged_file_is_told_in_a_sentence_and_replaced_on_closing(
    tmp_path: Path, text: str
) -> None:
    file = tmp_path / "window.json"
    file.write_text(text, encoding="utf-8")

    read = read_desk(file)
    before = file.read_text(encoding="utf-8")
    write_desk(file, FULL)

    assert read.desk == Desk()
    assert read.trouble is not None
    assert "stands as at first" in read.trouble.what
    assert before == text
    assert read_desk(file).desk == FULL


def test_a_newer_program_s_file_stays_as_it_is(tmp_path: Path) -> None:
    file = tmp_path / "window.json"
    text = json.dumps({"format": "capturestation window", "version": 99, "record": {}})
    file.write_text(text, encoding="utf-8")

    with pytest.raises(LibraryError):
        write_desk(file, FULL)

    assert file.read_text(encoding="utf-8") == text
    assert read_desk(file).trouble is not None


def test_it_lies_in_this_account_s_state_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path))

    assert desk_file() == tmp_path / "capturestation" / "window.json"


@given(st.lists(st.tuples(ACTIONS, KEYS), max_size=8))
def test_a_learnt_key_means_one_thing_only(lessons: list[tuple[str, list[str]]]) -> None:
    desk = Desk()
    for action, keys in lessons:
        desk = desk.with_learnt(action, tuple(dict.fromkeys(keys)))

    every = [key for keys in desk.learnt().values() for key in keys]
    assert len(every) == len(set(every))
    assert all(desk.learnt().values())
    assert from_plain(Desk, to_plain(desk)) == desk


def test_what_one_place_keeps_leaves_another_s_alone() -> None:
    desk = Desk().with_place("book", {"student": "a"}).with_place("bench", {"zoom": "2"})

    desk = desk.with_place("book", {"lesson": "b"})

    assert desk.of_place("book") == {"lesson": "b"}
    assert desk.of_place("bench") == {"zoom": "2"}
