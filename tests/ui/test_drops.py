"""What is dropped anywhere on the window comes to the place that takes files."""

from __future__ import annotations

from pathlib import Path

import pytest
from PyQt6.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl
from PyQt6.QtGui import QDragEnterEvent, QDropEvent

from capturestation.ui.drops import dropped_files
from capturestation.ui.window import Window
from tests.helpers.two_places import TinyBook


def mime_of(*urls: str) -> QMimeData:
    """What the desktop hands over."""
    mime = QMimeData()
    mime.setUrls([QUrl(url) for url in urls])
    return mime


def drop(window: Window, mime: QMimeData) -> bool:
    """Drop it on the window; says whether it was taken."""
    event = QDropEvent(
        QPointF(10, 10),
        Qt.DropAction.CopyAction,
        mime,
        Qt.MouseButton.LeftButton,
        Qt.KeyboardModifier.NoModifier,
    )
    event.ignore()
    # Handed over where Qt hands it: it lets no one else begin a drop of its own.
    return window.drops.eventFilter(window, event) and event.isAccepted()


def test_files_dropped_while_the_bench_is_seen_come_to_the_book(window: Window) -> None:
    window.go_to("bench")

    taken = drop(window, mime_of("file:///a/front.mp4", "file:///a/line.mp4"))

    book = window.places["book"]
    assert taken
    assert isinstance(book, TinyBook)
    assert book.done == ["front.mp4", "line.mp4"]
    assert window.place is book


def test_files_are_welcome_while_they_are_dragged(window: Window) -> None:
    event = QDragEnterEvent(
        QPoint(10, 10),
        Qt.DropAction.CopyAction,
        mime := mime_of("file:///a/front.mp4"),
        Qt.MouseButton.LeftButton,
        Qt.KeyboardModifier.NoModifier,
    )
    event.ignore()

    window.drops.eventFilter(window, event)

    book = window.places["book"]
    assert mime.hasUrls()
    assert event.isAccepted()
    assert isinstance(book, TinyBook)
    assert book.done == []


@pytest.mark.parametrize("url", ["https://example.org/clip.mp4", "mailto:nobody@example.org"])
def test_what_is_no_file_of_this_computer_is_left_alone(window: Window, url: str) -> None:
    assert not drop(window, mime_of(url))


def test_only_files_are_kept_of_what_is_dragged() -> None:
    mime = mime_of("https://example.org/clip.mp4", "file:///a/b.mp4")

    assert dropped_files(mime) == (Path("/a/b.mp4"),)
    assert dropped_files(None) == ()
