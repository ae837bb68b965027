from __future__ import annotations

import os
import subprocess
import sys
import threading

import pytest
from PyQt6.QtWidgets import QApplication

from capturestation.drawing.app import ensure_app, forget_cv2_qt, refuse_without_fonts
from capturestation.errors import StationError

ALONE = """
import os
from capturestation.drawing.app import ensure_app
from capturestation.drawing import sheet
try:
    sheet.Sheet(4, 4)
except RuntimeError as error:
    print(error)
app = ensure_app()
print(type(app).__name__, app is ensure_app(), app.platformName())
print(sheet.Sheet(4, 4).pixels().shape, "QT_QPA_FONTDIR" in os.environ)
"""


def test_the_running_application_is_used(qapp: QApplication) -> None:
    assert ensure_app() is qapp


def test_alone_it_makes_one_that_paints_without_a_display() -> None:
    hidden = {"DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM"}
    env = {name: value for name, value in os.environ.items() if name not in hidden}

    done = subprocess.run(
        [sys.executable, "-c", ALONE], capture_output=True, text=True, env=env, check=True
    )

    assert done.stdout.splitlines() == [
        "ensure_app() must be called before painting",
        "QGuiApplication True offscreen",
        "(4, 4, 3) False",
    ]
    assert done.stderr == ""


def test_without_an_application_another_thread_may_not_make_one(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(
        "capturestation.drawing.app.QGuiApplication.instance", staticmethod(lambda: None)
    )
    said: list[str] = []

    def ask() -> None:
        try:
            ensure_app()
        except RuntimeError as error:
            said.append(str(error))

    thread = threading.Thread(target=ask)
    thread.start()
    thread.join(10)

    assert said == ["the application must be made in the main thread"]


def test_a_machine_without_letters_is_told_which_package_helps() -> None:
    with pytest.raises(StationError, match="fonts-dejavu-core"):
        refuse_without_fonts([])


def test_only_settings_that_point_into_cv2_are_taken_back(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("QT_QPA_FONTDIR", "/usr/share/fonts")
    monkeypatch.setenv("QT_QPA_PLATFORM_PLUGIN_PATH", "/lib/cv2/qt/plugins")

    forget_cv2_qt()

    assert os.environ["QT_QPA_FONTDIR"] == "/usr/share/fonts"
    assert "QT_QPA_PLATFORM_PLUGIN_PATH" not in os.environ
