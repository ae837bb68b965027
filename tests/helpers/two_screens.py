"""Shows the second screen's window on two screens and says where it stands; see its test."""

from __future__ import annotations

import json
import sys

from PyQt6.QtWidgets import QApplication, QWidget

from capturestation.ui.tv import Tv
from tests.helpers.two_places import Patch


def main() -> None:
    """Put the pictures on the screen that the window is not on, and take it from there."""
    app = QApplication(sys.argv)
    window = QWidget()
    window.setGeometry(10, 10, 300, 200)
    window.show()
    tv = Tv(window)
    said: list[str] = []
    tv.says.connect(said.append)
    tv.show_from(Patch())
    tv.show()
    for _ in range(20):
        app.processEvents()
    place = tv._tv.geometry()
    window_on = window.screen()
    there = tv._tv.screen()
    told = {
        "window": window_on.name() if window_on else "",
        "pictures": there.name() if there else "",
        "size": [place.width(), place.height()],
        "fills": tv.fills_a_screen,
        "said": said,
    }
    sys.stdout.write(json.dumps(told))
    tv.close()


if __name__ == "__main__":
    main()
