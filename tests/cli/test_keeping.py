"""Thrown away and back, moved to whom it belongs, and a student forgotten only when sure."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import click
import pytest

from capturestation.library import Library
from tests.cli.conftest import Typed
from tests.helpers.coded_media import Traits, write_coded_clip
from tests.helpers.station_library import NAME, Filled, everything_in

FORGET = ("students", "delete", "zoe", "--everything")


@pytest.fixture
def answers(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """What a person will type at each question, in order; each is asked for once."""
    typed: list[str] = []

    def asked(*_: object, **__: object) -> str:
        return typed.pop(0)

    def sure(*_: object, **__: object) -> bool:
        return typed.pop(0) == "y"

    monkeypatch.setattr(click, "prompt", asked)
    monkeypatch.setattr(click, "confirm", sure)
    return typed


def test_a_swing_thrown_away_comes_back_by_the_command_that_is_told(
    typed: Typed, filled: Filled
) -> None:
    before = typed("swings", "show", filled.today.id).out

    told = typed("swings", "delete", "latest").out

    assert typed("swings", "show", filled.today.id).code == 4
    assert filled.today.id in typed("swings", "trash").out
    command = told.split("capturestation ")[1].split()
    assert typed(*command).code == 0
    assert typed("swings", "show", filled.today.id).out == before
    assert typed("swings", "trash").out == "Nothing yet.\n"


def test_the_trash_is_emptied_only_when_sure(
    typed: Typed, filled: Filled, answers: list[str]
) -> None:
    typed("swings", "delete", "latest")
    answers += ["n", "y"]

    assert typed("swings", "trash", "--empty").code == 130
    assert filled.today.id in typed("swings", "trash").out
    assert "Gone for good: 0 swings" in typed("swings", "trash", "--empty", "--older-than", "1").out
    assert "Gone for good: 1 swing," in typed("swings", "trash", "--empty").out
    assert typed("swings", "restore").code == 4


def test_a_swing_in_the_trash_that_is_damaged_is_still_listed(typed: Typed, filled: Filled) -> None:
    typed("swings", "delete", "latest")
    (filled.folder / "trash" / filled.today.id / "book.json").write_bytes(b"{")

    listed = typed("swings", "trash")

    assert listed.code == 0
    assert "can't be understood" in listed.out


def test_a_moved_swing_says_how_to_undo_it(typed: Typed, filled: Filled) -> None:
    before = typed("swings", "show", "latest").out
    typed("students", "add", "Bo Berg", "--birth-year", "1970")

    told = typed("swings", "move", "latest", "--to-student", "bo").out

    assert typed("swings", "show", "latest").out.startswith("Bo Berg: 7 iron")
    undo = told.split("Undo: capturestation ")[1].split()
    assert typed(*undo).code == 0
    assert typed("swings", "show", "latest").out == before
    assert filled.today.id in told


@pytest.mark.parametrize("where", [(), ("--to-student", "bo", "--to-lesson", "x")])
def test_a_move_needs_one_place_to_go(typed: Typed, where: tuple[str, ...]) -> None:
    before = typed("swings", "show", "latest").out

    assert typed("swings", "move", "latest", *where).code == 2

    assert typed("swings", "show", "latest").out == before


def test_a_student_with_swings_is_not_deleted_by_the_way(typed: Typed, filled: Filled) -> None:
    before = everything_in(filled.folder)

    done = typed("students", "delete", "zoe", "--yes", "--name", NAME)

    assert done.code == 5
    assert "2 swings, 1 lesson and 1 answer" in done.err
    assert "--everything" in done.err
    assert everything_in(filled.folder) == before


@pytest.mark.parametrize(
    ("typed_in", "options"),
    [
        (["n"], ()),
        (["y", "Zoë"], ()),
        (["Ångström"], ("--yes",)),
        ([], ("--yes", "--name", "x")),
    ],
)
def test_without_both_answers_nothing_is_deleted(
    typed: Typed, filled: Filled, answers: list[str], typed_in: list[str], options: tuple[str, ...]
) -> None:
    answers += typed_in
    before = everything_in(filled.folder)

    done = typed(*FORGET, *options)

    assert done.code == 130
    assert "othing was deleted" in done.err
    assert answers == []
    assert everything_in(filled.folder) == before


def test_with_nobody_to_answer_nothing_is_deleted(
    typed: Typed, filled: Filled, monkeypatch: pytest.MonkeyPatch
) -> None:
    def nobody(*_: object, **__: object) -> str:
        raise click.Abort

    monkeypatch.setattr(click, "prompt", nobody)
    before = everything_in(filled.folder)

    assert typed(*FORGET, "--yes").code == 130
    assert everything_in(filled.folder) == before


def test_with_both_answers_the_report_says_what_went(
    typed: Typed, filled: Filled, answers: list[str]
) -> None:
    answers += ["y", " zoe  ångström "]
    key = filled.today.book.student_id

    done = typed(*FORGET)

    assert done.code == 0
    lines = done.out.splitlines()
    assert lines[0] == f"Deleted the student {key} with 2 swings, 1 lesson and 1 answer."
    assert lines[1].startswith("recordings    8 files, ")
    looked = "Looked afterwards in rows, folders, trash and what was made: "
    assert f"{looked}nothing is left but ids without a name." in lines
    assert lines[-1].startswith("Not reached: ")
    # By the id it may be repeated, where it was cut short.
    assert typed("students", "delete", key).code == 0


def test_where_something_is_left_the_exit_code_says_so(
    typed: Typed, filled: Filled, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("capturestation.library.settle.remove_folder", lambda _: None)

    done = typed(*FORGET, "--yes", "--name", NAME)

    assert done.code == 7
    assert done.out.count("STILL THERE") == 2
    assert filled.today.id in done.out


def test_a_student_without_anything_needs_no_more_than_both_answers(
    typed: Typed, filled: Filled
) -> None:
    typed("students", "add", "Bo Berg")

    assert typed("students", "delete", "bo", "--yes", "--name", "bo berg").code == 0

    with Library.open(filled.folder) as library:
        assert [student.name for student in library.students()] == [NAME]


@pytest.fixture
def uneven(tmp_path: Path) -> Path:
    """A file whose frames come at a varying rate."""
    pts = [3000 * n + 700 * (n % 3) for n in range(48)]
    traits = Traits(pts=pts, time_base=Fraction(1, 90_000))
    return write_coded_clip(tmp_path / "uneven.mp4", frames=48, rate_hz=Fraction(30), traits=traits)


def test_what_to_know_of_a_file_stands_in_the_card_at_once_and_later(
    typed: Typed, uneven: Path
) -> None:
    words = ("--club", "7 iron", "--face-on", uneven, "--contact-at", "face-on=1.0")

    added = typed("swings", "add", "zoe", *words, "--struck-at", "2026-10-31").out
    shown = typed("swings", "show", "latest")

    line = (
        "its file       face-on: Its frames come at a varying rate; each is shown at its own time."
    )
    assert line in added.splitlines()
    assert line in shown.out.splitlines()
    value = typed("swings", "show", "latest", "--json").value
    assert isinstance(value, dict)
    assert isinstance(value["files"], dict)
    assert "varying rate" in str(value["files"]["face-on"])
