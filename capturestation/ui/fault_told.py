"""A fault of this program, told on a page: what to do, and where it was, to be copied."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PyQt6.QtGui import QGuiApplication

from capturestation.ui.asking import Choice
from capturestation.ui.texts import say

if TYPE_CHECKING:
    from capturestation.ui.window import Window


def tell_fault(window: Window, where: str) -> None:
    """Tell that this program is at fault, and where.

    Args:
        window: In which it happened.
        where: The innermost places, no name and no path among them.
    """

    def copy() -> None:
        clipboard = QGuiApplication.clipboard()
        if clipboard is not None:
            clipboard.setText(where)
            window.caption.tell(say("shell.bug.copied"))

    choices = (
        Choice(words=say("shell.bug.on"), chosen=window.leave_over),
        Choice(words=say("shell.bug.copy"), chosen=copy),
        Choice(words=say("shell.bug.close"), chosen=lambda: _close(window)),
    )
    window.show_over(window.fault)
    note = say("shell.bug.where", where=where)
    window.fault.ask(say("shell.bug.title"), say("shell.bug.text"), choices, note)


def _close(window: Window) -> None:
    window.close()
