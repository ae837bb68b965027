"""Files dropped anywhere on the window.

Owns hearing them; who takes them is the window's business. What is no file of this computer is
left alone.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PyQt6.QtCore import QEvent, QMimeData, QObject
from PyQt6.QtGui import QDropEvent
from PyQt6.QtWidgets import QWidget


class Drops(QObject):
    """Hears what is dropped on a widget and on all below it that take no drops themselves.

    Args:
        widget: Which.
        take: Gets the files.
    """

    def __init__(self, widget: QWidget, take: Callable[[tuple[Path, ...]], None]) -> None:
        super().__init__(widget)
        self._take = take
        widget.setAcceptDrops(True)
        widget.installEventFilter(self)

    def eventFilter(self, watched: QObject | None, event: QEvent | None) -> bool:
        """Take files, pass everything else on."""
        if isinstance(event, QDropEvent):
            paths = dropped_files(event.mimeData())
            if paths:
                event.acceptProposedAction()
                # The two are told apart by their type: Qt hands a move over as one of them too.
                if event.type() == QEvent.Type.Drop:
                    self._take(paths)
                return True
        return super().eventFilter(watched, event)


def dropped_files(mime: QMimeData | None) -> tuple[Path, ...]:
    """The files of this computer among what is dragged."""
    urls = mime.urls() if mime is not None else []
    return tuple(Path(url.toLocalFile()) for url in urls if url.isLocalFile())
