"""What the shell itself shows: welcome, keys and look, a trouble, a fault, a question."""

from __future__ import annotations

from pathlib import Path

from capturestation.errors import LibraryError, NotFoundError
from capturestation.ui.asking import Choice
from capturestation.ui.texts import say
from capturestation.ui.window import Window
from tests.screens.screen import Screen

NO_LIBRARY = NotFoundError("There is no library.", try_next="Begin one.")
DAMAGED = LibraryError(
    "lessons/library.sqlite is damaged (file is not a database).",
    try_next="Rebuild the library from its folders; no recording is touched.",
)


def _welcome(window: Window) -> None:
    window.start.show_trouble(NO_LIBRARY)
    window.show_over(window.start)


def _damaged(window: Window) -> None:
    window.start.show_trouble(DAMAGED)
    window.show_over(window.start)


def _trouble(window: Window) -> None:
    window.tell_trouble(DAMAGED)
    window.caption.tell(say("shell.undone", words="best"))


def _read(window: Window) -> None:
    while window.troubles.troubles:
        window.troubles.dismiss()
    window.caption.tell("")


def _fault(window: Window) -> None:
    window.tell_fault(f"KeyError ← {Path(__file__).name}:1 show ← window.py:200 look_at")


def _closing(window: Window) -> None:
    keys = ("shell.close.finish", "shell.close.stop", "shell.close.stay")
    choices = [Choice(words=say(key), chosen=window.leave_over) for key in keys]
    window.show_over(window.question)
    text = say("shell.close.text", words="Making the clip")
    window.question.ask(say("shell.close.title"), text, choices)


SCREENS = (
    Screen(name="welcome", show=_welcome),
    Screen(name="damaged", show=_damaged),
    Screen(name="keys", show=Window.show_sheet),
    Screen(name="trouble", show=_trouble, leave=_read),
    Screen(name="fault", show=_fault),
    Screen(name="closing", show=_closing),
)
