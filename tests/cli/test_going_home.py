"""All that goes home, by command; a phone nearby takes a file while the command waits."""

from __future__ import annotations

import threading
import urllib.request
from pathlib import Path

import pytest

from capturestation.cli import going_home
from capturestation.station.nearby import Nearby
from tests.cli.conftest import Typed

pytestmark = pytest.mark.usefixtures("qapp")
SHORT = ("--slow", "1", "--hold", "0", "--alone")


@pytest.fixture
def shared(typed: Typed) -> Typed:
    """The student said yes to sharing."""
    typed("students", "consent", "zoe", "sharing", "yes", "--by", "coach")
    return typed


def test_without_consent_nothing_is_made(typed: Typed, tmp_path: Path) -> None:
    done = typed("handout", "--out", tmp_path / "home", *SHORT)

    assert done.code == 5
    assert "must not be handed on" in done.err
    assert not (tmp_path / "home").exists()


def test_a_third_thing_to_practise_is_refused(shared: Typed, tmp_path: Path) -> None:
    words = ("--practise", "a", "--practise", "b", "--practise", "c")

    done = shared("handout", "--out", tmp_path / "home", *SHORT, *words)

    assert done.code == 3
    assert "one or two things" in done.err


def test_a_swing_alone_has_none_laid_over_it(shared: Typed, tmp_path: Path) -> None:
    done = shared("handout", "--out", tmp_path / "home", *SHORT, "--over")

    assert done.code == 3
    assert "--alone or --over" in done.err
    assert not (tmp_path / "home").exists()


def test_a_phone_nearby_takes_the_page_while_the_command_waits(
    shared: Typed, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    took: list[bytes] = []
    phones: list[threading.Thread] = []

    def opened(file: Path) -> Nearby:
        """The real door on this computer alone, and a phone that comes to it."""
        door = Nearby(file, host="127.0.0.1")

        def take() -> None:
            with urllib.request.urlopen(door.address, timeout=20) as answer:
                took.append(answer.read())

        phones.append(threading.Thread(target=take, name="phone", daemon=True))
        phones[0].start()
        return door

    monkeypatch.setattr(going_home, "Nearby", opened)

    done = shared("handout", "--out", tmp_path / "home", *SHORT, "--nearby", "page")

    phones[0].join(20)
    assert done.code == 0
    assert "The phone has it." in done.err
    assert "http://127.0.0.1:" in done.err
    [page] = (tmp_path / "home").glob("*.pdf")
    assert took == [page.read_bytes()]
