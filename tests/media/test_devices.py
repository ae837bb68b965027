"""What is plugged in is asked of the system; what it can't tell is an empty answer."""

from __future__ import annotations

import sys

import av
import pytest

from capturestation.media.devices import Device, camera_devices, microphone_names


class Told:
    """As the library tells a device."""

    def __init__(self, name: str, description: str, *media_types: str) -> None:
        self.name = name
        self.description = description
        self.media_types = list(media_types)


def test_cameras_are_known_by_what_opens_them(monkeypatch: pytest.MonkeyPatch) -> None:
    told = [Told("/dev/video0", "Left eye", "video"), Told("hw:0", "Ear", "audio")]
    monkeypatch.setattr(av, "enumerate_input_devices", lambda _form: told)

    assert camera_devices() == (Device(address="/dev/video0", name="Left eye"),)


@pytest.mark.parametrize("error", [av.error.ExitError(1, "no"), OSError(), ValueError()])
def test_a_system_that_can_t_tell_has_no_cameras(
    monkeypatch: pytest.MonkeyPatch, error: Exception
) -> None:
    def fails(_form: str) -> list[Told]:
        raise error

    monkeypatch.setattr(av, "enumerate_input_devices", fails)

    assert camera_devices() == ()


def test_microphones_are_those_that_take_sound_in(monkeypatch: pytest.MonkeyPatch) -> None:
    class Driver:
        @staticmethod
        def query_devices() -> list[dict[str, object]]:
            return [
                {"name": "table", "max_input_channels": 1},
                {"name": "speakers", "max_input_channels": 0},
                {"name": "table", "max_input_channels": 2},
            ]

    monkeypatch.setitem(sys.modules, "sounddevice", Driver)

    assert microphone_names() == ("table",)


def test_without_a_driver_there_are_no_microphones(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "sounddevice", None)

    assert microphone_names() == ()
