"""Writes a picture of every screen: by day and lamp light, at 100 and 200 %, small and large.

    python -m tests.screens OUT [--library FOLDER] [--only NAME]

Without a library it makes the one of the invented student first, which takes a minute.
"""

from __future__ import annotations

import argparse
import os
import pkgutil
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from importlib import import_module
from itertools import product
from pathlib import Path

from PyQt6.QtWidgets import QApplication

import tests.screens
from capturestation.drawing.app import forget_cv2_qt
from capturestation.records import Quiet
from capturestation.station.desk import Desk
from capturestation.station.opening import make_sample
from capturestation.ui.look import Look, Theme
from capturestation.ui.places import place_kinds
from capturestation.ui.style import dress
from capturestation.ui.window import Window
from tests.screens.screen import Screen

SIZES_PX = ((1280, 720), (2560, 1440))
SCALES = (1.0, 2.0)
PATIENCE_S = 30.0
_LOOK_S = 0.005
# Other threads, which fetch pictures, get their turn between two looks.
_SETTLED = 8
# Looks in a row that have to find it ready.


def screens() -> tuple[Screen, ...]:
    """Every screen of every module here."""
    found: list[Screen] = []
    for module in pkgutil.iter_modules(tests.screens.__path__, "tests.screens."):
        if not module.name.endswith("__main__"):
            found.extend(getattr(import_module(module.name), "SCREENS", ()))
    return tuple(found)


def main(arguments: Sequence[str] | None = None) -> None:
    """Write the pictures."""
    asked = _asked(arguments)
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    forget_cv2_qt()
    app = QApplication.instance() or QApplication(["screens"])
    assert isinstance(app, QApplication)
    asked.out.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        library = asked.library or make_sample(Path(folder) / "invented", Quiet())
        look = Look()
        dress(app, look)
        window = Window(Desk(), Path(folder) / "window.json", look, place_kinds())
        window.show()
        window.open(library)
        _wait(app, lambda: window.is_open)
        wanted = [s for s in screens() if asked.only in ("", s.name)]
        for path in _pictures(app, window, wanted, asked.out):
            print(path)
        window.close()


def _asked(arguments: Sequence[str] | None) -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tests.screens", description=__doc__)
    parser.add_argument("out", type=Path, help="folder for the pictures")
    parser.add_argument("--library", type=Path, help="a library to show; else the invented one")
    parser.add_argument("--only", default="", choices=[s.name for s in screens()])
    return parser.parse_args(arguments)


def _pictures(
    app: QApplication, window: Window, wanted: Sequence[Screen], out: Path
) -> Iterator[Path]:
    for theme, scale, size in product(Theme, SCALES, SIZES_PX):
        window.look.choose(theme)
        window.look.enlarge(scale)
        window.resize(*size)
        for screen in wanted:
            screen.show(window)
            _wait(app, lambda: not window.workers.jobs and screen.ready(window))  # noqa: B023
            path = out / f"{screen.name}-{theme}-{round(100 * scale)}-{size[0]}x{size[1]}.png"
            window.grab().save(str(path))
            screen.leave(window)
            yield path


def _wait(app: QApplication, ready: Callable[[], bool]) -> None:
    """Let the window work until something is so, and until all of it is laid out."""
    end_s = time.monotonic() + PATIENCE_S
    well = 0
    while well < _SETTLED:
        # First the window takes up what was asked of it: before that, what stood there is ready.
        app.processEvents()
        time.sleep(_LOOK_S)
        well = well + 1 if ready() else 0
        if time.monotonic() > end_s:
            msg = f"not ready within {PATIENCE_S:.0f} s"
            raise TimeoutError(msg)


if __name__ == "__main__":
    main()
