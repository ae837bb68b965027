"""A record in a JSON file comes back as it was; anything else is refused and named."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from hypothesis import given

from capturestation.errors import LibraryError
from capturestation.folders import read_document, write_document
from capturestation.records import Lesson, Swing
from tests.helpers.record_strategies import swings

FIELDS: dict[str, object] = {"id": "l", "student_id": "s", "on": "2026-10-30"}
GOOD: dict[str, object] = {"format": "capturestation lesson", "version": 1, "record": FIELDS}
DAMAGED = {
    "empty": "",
    "cut": json.dumps(GOOD)[:-9],
    "not an object": "[]",
    "other format": json.dumps(GOOD | {"format": "capturestation swing"}),
    "no version": json.dumps(GOOD | {"version": None}),
    "true as version": json.dumps(GOOD | {"version": True}),
    "version 0": json.dumps(GOOD | {"version": 0}),
    "a key more": json.dumps(GOOD | {"more": 1}),
    "a field more": json.dumps(GOOD | {"record": FIELDS | {"more": 1}}),
    "wrong kind": json.dumps(GOOD | {"record": FIELDS | {"id": 1}}),
    "not a number": '{"format": NaN}',
    "endless number": '{"format": ' + "9" * 5000 + "}",
    "large number": json.dumps(GOOD | {"version": 2**64}),
    "endless nesting": "[" * 200_000,
    "half a letter": json.dumps(GOOD | {"format": "\ud800"}),
}
"""One of each way in which a file can be no lesson."""


@given(swing=swings("a", "s", "l"))
def test_any_swing_comes_back_as_it_was_written(
    tmp_path_factory: pytest.TempPathFactory, swing: Swing
) -> None:
    path = tmp_path_factory.mktemp("json") / "a.json"

    write_document(path, "whole", swing)

    assert read_document(path, "whole", Swing) == swing


@pytest.mark.parametrize("damage", DAMAGED)
def test_a_damaged_file_is_named_and_not_touched(tmp_path: Path, damage: str) -> None:
    path = tmp_path / "a.json"
    path.write_text(DAMAGED[damage], encoding="utf-8")

    with pytest.raises(LibraryError) as caught:
        read_document(path, "lesson", Lesson)

    assert caught.value.subject == str(path)
    assert str(path) in str(caught.value)
    assert path.read_text(encoding="utf-8") == DAMAGED[damage]


def test_the_file_that_the_damage_starts_from_is_a_lesson(tmp_path: Path) -> None:
    path = tmp_path / "a.json"
    path.write_text(json.dumps(GOOD), encoding="utf-8")

    assert read_document(path, "lesson", Lesson).id == "l"


def test_bytes_that_are_no_text_are_a_damaged_file(tmp_path: Path) -> None:
    path = tmp_path / "a.json"
    path.write_bytes(b"\xff\xfe\x00")

    with pytest.raises(LibraryError, match="can't be understood"):
        read_document(path, "lesson", Lesson)


def test_a_file_of_a_newer_program_is_refused_with_both_versions(tmp_path: Path) -> None:
    path = tmp_path / "a.json"
    path.write_text(json.dumps(GOOD | {"version": 2}), encoding="utf-8")

    with pytest.raises(LibraryError, match=r"version 2; this program knows up to 1.*newest"):
        read_document(path, "lesson", Lesson)


def test_a_file_that_is_not_there_is_missing(tmp_path: Path) -> None:
    with pytest.raises(LibraryError, match="is missing"):
        read_document(tmp_path / "a.json", "lesson", Lesson)


def test_a_value_that_json_does_not_know_is_our_bug_and_writes_nothing(tmp_path: Path) -> None:
    path = tmp_path / "a.json"

    with pytest.raises(ValueError, match="JSON"):
        write_document(path, "number", {"value": float("nan")})

    assert not path.exists()


def test_a_file_of_a_newer_program_is_not_replaced(tmp_path: Path) -> None:
    path = tmp_path / "a.json"
    newer = json.dumps(GOOD | {"version": 99, "record": FIELDS | {"mood": "good"}})
    path.write_text(newer, encoding="utf-8")

    with pytest.raises(LibraryError, match="version 99; this program knows up to 1"):
        write_document(path, "lesson", {"id": "l"})

    assert path.read_text(encoding="utf-8") == newer


def test_a_damaged_file_may_be_replaced(tmp_path: Path) -> None:
    path = tmp_path / "a.json"
    path.write_text("cut", encoding="utf-8")

    write_document(path, "lesson", {"id": "l"})

    assert '"id": "l"' in path.read_text(encoding="utf-8")
