"""Exit codes, errors as sentences and as JSON, near misses, the stop key."""

from __future__ import annotations

import signal
from collections.abc import Sequence
from pathlib import Path

import click
import pytest

from capturestation.cli import show
from capturestation.cli.main import run
from capturestation.library import Library
from capturestation.records import View
from tests.cli.conftest import Typed
from tests.helpers.station_library import Filled, everything_in

REFUSED: dict[str, tuple[Sequence[str], int, str, str]] = {
    "a word that is no command": (["studens"], 2, "UsageError", "No such command 'studens'"),
    "an argument too few": (["students", "show"], 2, "UsageError", "Missing argument 'STUDENT'"),
    "no file named": (
        ["swings", "add", "zoe", "--club", "7 iron"],
        2,
        "UsageError",
        "Name a file for each camera",
    ),
    "a file that is not there": (
        ["swings", "add", "zoe", "--club", "7 iron", "--face-on", "no such.mp4"],
        3,
        "NotReadableError",
        "no such.mp4 is not there.",
    ),
    "a student who is not there": (
        ["students", "show", "Nobody"],
        4,
        "NotFoundError",
        "No student answers to 'Nobody'.",
    ),
    "a swing beside itself": (
        ["compare", "latest", "latest"],
        5,
        "ComparisonRefusedError",
        "would be compared with itself.",
    ),
    "impact marked elsewhere": (
        ["marks", "set", "latest", "impact", "--at", "0.1"],
        5,
        "MarkRefusedError",
        "Impact is the zero of the clock",
    ),
    "a clip into no folder": (
        ["clip", "--out", "no such folder/clip.mp4", "--own-use"],
        6,
        "OutputError",
        "clip.mp4 can't be written: its folder is not there.",
    ),
}


@pytest.mark.usefixtures("qapp")
@pytest.mark.parametrize("case", REFUSED)
def test_a_refusal_is_one_sentence_for_people_and_changes_nothing(
    typed: Typed, filled: Filled, case: str
) -> None:
    words, code, _, said = REFUSED[case]
    before = everything_in(filled.folder)

    done = typed(*words)

    assert (done.code, done.out) == (code, "")
    assert said in done.err
    assert everything_in(filled.folder) == before


@pytest.mark.usefixtures("qapp")
@pytest.mark.parametrize("case", REFUSED)
def test_a_refusal_is_one_json_value_too_where_asked(typed: Typed, case: str) -> None:
    words, code, kind, said = REFUSED[case]

    done = typed(*words, "--json")

    assert done.code == code
    assert isinstance(done.value, dict)
    assert set(done.value) == {"error", "what", "try", "subject"}
    assert done.value["error"] == kind
    assert said in str(done.value["what"])
    assert done.value["try"]
    assert said in done.err


def test_a_damaged_library_exits_with_seven(typed: Typed, filled: Filled) -> None:
    database = filled.folder / "library.sqlite"
    database.write_bytes(b"no rows here" * 500)

    done = typed("students", "list")

    assert done.code == 7
    assert "library.sqlite is damaged" in done.err
    assert "Rebuild the library" in done.err


def test_checking_a_library_that_lacks_a_file_exits_with_seven(
    typed: Typed, filled: Filled
) -> None:
    with Library.open(filled.folder) as library:
        library.media_path(filled.today, View.FACE_ON).unlink()

    done = typed("check")

    assert done.code == 7
    assert "face-on.mp4" in done.out
    assert "1 thing is not right." in done.out


def test_a_library_that_is_not_there_is_told_and_not_made(bare: Typed, tmp_path: Path) -> None:
    done = bare("students", "list", "--library", tmp_path / "mistyped")

    assert done.code == 4
    assert "There is no library in" in done.err
    assert list(tmp_path.iterdir()) == []


def test_the_first_student_begins_the_library_named_by_the_environment(
    bare: Typed, tmp_path: Path
) -> None:
    done = bare("students", "add", "Bo")

    assert done.code == 0
    assert (tmp_path / "library" / "library.sqlite").is_file()


@pytest.mark.parametrize(
    "words",
    [
        ("students", "add", " "),
        ("students", "add", "Bo", "--birth-year", "3"),
        ("calibrations", "add", "no such.json"),
    ],
)
def test_refused_input_begins_no_library(
    bare: Typed, tmp_path: Path, words: tuple[str, ...]
) -> None:
    done = bare(*words)

    assert done.code == 3
    assert list(tmp_path.iterdir()) == []


def test_the_option_wins_over_the_environment(typed: Typed, filled: Filled, tmp_path: Path) -> None:
    other = tmp_path / "Bücher & more"
    typed("students", "add", "Bo", "--library", other)

    listed = typed("students", "list", "--library", other, "--json")

    assert isinstance(listed.value, list)
    assert [row["name"] for row in listed.value if isinstance(row, dict)] == ["Bo"]
    with Library.open(filled.folder) as library:
        assert len(library.students()) == 1


NEAR = {
    "command": (["studens"], 2, "Did you mean 'students'?"),
    "command of a group": (["students", "lst"], 2, "Did you mean 'list'?"),
    "option": (["compare", "--jsn"], 2, "Did you mean --json?"),
    "student": (["students", "show", "Zoe Angstrum"], 4, "Did you mean Zoë Ångström"),
    "moment": (["marks", "none", "latest", "topp"], 2, 'Did you mean "top"?'),
}


@pytest.mark.parametrize("what", NEAR)
def test_a_near_miss_is_answered_with_what_comes_near(typed: Typed, what: str) -> None:
    words, code, hint = NEAR[what]

    done = typed(*words)

    assert done.code == code
    assert hint.replace("'", "") in done.err.replace("'", "")


@pytest.mark.parametrize("signs", [12, 5])
def test_a_mistyped_id_is_answered_with_the_one_that_comes_near(
    typed: Typed, filled: Filled, signs: int
) -> None:
    right = filled.today.id[:signs]
    wrong = right[:-1] + ("0" if right[-1] != "0" else "1")

    done = typed("swings", "show", wrong)

    assert done.code == 4
    assert f"Did you mean {filled.today.id}" in done.err


@pytest.mark.parametrize(
    "words",
    [
        ["--at", "nan"],
        ["--at", "inf"],
        ["--at", "soon"],
        ["--at", "1e10"],
        ["--at", "-1e10"],
        ["--at", "-1", "--error", "-0.1"],
        ["--at", "-1", "--error", "1e300"],
    ],
)
def test_a_number_that_is_none_is_refused_before_anything_is_opened(
    typed: Typed, words: list[str]
) -> None:
    done = typed("marks", "set", "no such swing", "takeaway", *words)

    assert done.code == 2


@pytest.mark.parametrize(
    "words",
    [
        ["--contact-at", "face-on=nan"],
        ["--contact-at", "face-on=1e300"],
        ["--contact-at", "face-on"],
        ["--contact-at", "sideways=1"],
        ["--contact-at", "down-the-line=1"],
        ["--contact-at", "face-on=1", "--contact-at", "face-on=2"],
        ["--microphone-m", "face-on=-1"],
        ["--temperature-c", "-273.15"],
        ["--temperature-c", "-25"],
        ["--temperature-c", "60.1"],
        ["--struck-at", "yesterday"],
        ["--kind", "huge"],
    ],
)
def test_a_mistyped_option_of_a_new_swing_exits_with_two(
    typed: Typed, filled: Filled, words: list[str]
) -> None:
    before = everything_in(filled.folder)

    done = typed("swings", "add", "zoe", "--club", "7 iron", "--face-on", "a.mp4", *words)

    assert done.code == 2
    assert everything_in(filled.folder) == before


def test_a_contact_by_hand_beyond_any_file_is_refused_in_a_sentence(
    typed: Typed, filled: Filled
) -> None:
    before = everything_in(filled.folder)

    done = typed("offset", "latest", "face-on", "--contact-at", "1e300")

    assert done.code == 2
    assert "1e300 is not from -86400 to 86400." in done.err
    assert everything_in(filled.folder) == before


@pytest.mark.parametrize(
    "words", ["lead arm level, down", "lead-arm-level-down", "Lead Arm Level Down"]
)
def test_a_moment_may_be_written_without_its_comma(typed: Typed, words: str) -> None:
    done = typed("marks", "none", "latest", words, "--json")

    assert isinstance(done.value, list)
    assert "lead arm level, down" in done.out


@pytest.mark.parametrize("answer", [False, None])
def test_a_no_or_nobody_to_answer_keeps_the_swing(
    typed: Typed, filled: Filled, monkeypatch: pytest.MonkeyPatch, answer: bool | None
) -> None:
    def refuses(text: str, **_: object) -> bool:
        assert "7 iron" in text
        if answer is None:
            raise click.Abort
        return answer

    monkeypatch.setattr(click, "confirm", refuses)
    before = everything_in(filled.folder)

    done = typed("swings", "delete", "latest", "--for-good", "--json")

    assert done.code == 130
    assert isinstance(done.value, dict)
    assert done.value["error"] == "CancelledError"
    assert "Nothing was deleted." in done.err
    assert everything_in(filled.folder) == before


def test_the_stop_key_elsewhere_than_in_a_job_stops_at_once(
    typed: Typed, monkeypatch: pytest.MonkeyPatch
) -> None:
    def pressed(*_: object, **__: object) -> bool:
        signal.raise_signal(signal.SIGINT)
        return True

    monkeypatch.setattr(click, "confirm", pressed)

    done = typed("swings", "delete", "latest", "--for-good")

    assert done.code == 130
    assert typed("swings", "show", "latest").code == 0


def test_the_stop_key_stops_a_job_and_the_next_command_runs_again(
    typed: Typed, filled: Filled, monkeypatch: pytest.MonkeyPatch
) -> None:
    heard = show.TerminalWatch.report
    before = everything_in(filled.folder)

    def pressed(watch: show.TerminalWatch, share: float, words: str) -> None:
        signal.raise_signal(signal.SIGINT)
        heard(watch, share, words)

    with monkeypatch.context() as patched:
        patched.setattr(show.TerminalWatch, "report", pressed)
        done = typed("marks", "find", "latest")

    assert (done.code, done.out) == (130, "")
    assert "Stopped at your request." in done.err
    assert everything_in(filled.folder) == before
    assert typed("marks", "find", "latest").code == 0


def test_the_handler_of_the_stop_key_is_put_back() -> None:
    before = signal.getsignal(signal.SIGINT)

    run(["completion", "bash"])

    assert signal.getsignal(signal.SIGINT) is before


def test_an_error_of_our_own_is_not_hidden(typed: Typed, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(Library, "find_students", broken)

    with pytest.raises(ZeroDivisionError):
        typed("students", "list")
