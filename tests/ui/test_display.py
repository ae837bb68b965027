"""Where no window can be opened it is said in a sentence, before Qt ends the process."""

from __future__ import annotations

import pytest

from capturestation.errors import RefusedError
from capturestation.ui import display
from capturestation.ui.display import need_display


def test_without_a_screen_it_says_what_to_try() -> None:
    with pytest.raises(RefusedError) as caught:
        need_display({}, "linux")

    assert caught.value.what == "There is no screen to open a window on."
    assert "own desktop" in caught.value.try_next


def test_a_screen_that_does_not_answer_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(display, "_loads", lambda _name: True)
    monkeypatch.setenv("DISPLAY", ":987654")

    with pytest.raises(RefusedError) as caught:
        need_display({"DISPLAY": ":987654"}, "linux")

    assert ":987654" in caught.value.what


def test_a_missing_part_of_the_system_is_named_with_its_package(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(display, "_loads", lambda name: name != "libxcb-cursor.so.0")

    with pytest.raises(RefusedError) as caught:
        need_display({"DISPLAY": ":0"}, "linux")

    assert "apt install libxcb-cursor0." in caught.value.try_next


@pytest.mark.parametrize(
    ("environment", "platform"),
    [
        ({"QT_QPA_PLATFORM": "offscreen"}, "linux"),
        ({"WAYLAND_DISPLAY": "wayland-0"}, "linux"),
        ({}, "darwin"),
        ({}, "win32"),
    ],
)
def test_elsewhere_qt_finds_its_own_way(environment: dict[str, str], platform: str) -> None:
    need_display(environment, platform)
