"""The four keys of a presenter's remote, each of which can be learnt.

Owns catching the one key that is pressed next. Remotes differ: none says what it sends, so one
presses it once.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial

from PyQt6.QtCore import QEvent, Qt, pyqtSignal
from PyQt6.QtGui import QFocusEvent, QHideEvent, QKeyEvent
from PyQt6.QtWidgets import QGridLayout, QLabel, QPushButton, QWidget

from capturestation.ui.binding import key_words, keys_as_printed
from capturestation.ui.keys import REMOTE_ACTIONS, KeyLine, key_table
from capturestation.ui.texts import say
from capturestation.ui.words import button, label, put_words

_NEVER = {"Tab", "Backtab", "Shift+Backtab", "Esc"}
# With these one gets about and away; a remote that sends Escape after F5 is understood anyway.


class RemotePanel(QWidget):
    """Shows what each key of the remote is, and learns others.

    Signals:
        learnt: An action and the key that means it from now on.
        forgets: What was learnt is to be forgotten.
        says: One calm sentence.
    """

    learnt = pyqtSignal(str, str)
    forgets = pyqtSignal()
    says = pyqtSignal(str)

    def __init__(
        self, learnt: Callable[[], Mapping[str, tuple[str, ...]]], parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._learnt = learnt
        self._waits_for = ""
        self._keys: dict[str, QLabel] = {}
        self._learns: dict[str, QPushButton] = {}
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setColumnStretch(1, 1)
        grid.setHorizontalSpacing(20)
        for row, line in enumerate(_remote_lines()):
            words = say(line.text)
            self._keys[line.action] = label(soft=True)
            name = say("shell.sheet.learn.name", words=words)
            self._learns[line.action] = button(
                say("shell.sheet.learn"), partial(self._ask, line.action), name=name
            )
            grid.addWidget(label(words), row, 0)
            grid.addWidget(self._keys[line.action], row, 1)
            grid.addWidget(self._learns[line.action], row, 2)
        self._forget = button(say("shell.sheet.forget"), self.forgets.emit, role="quiet")
        grid.addWidget(self._forget, len(REMOTE_ACTIONS), 0, 1, 3, Qt.AlignmentFlag.AlignLeft)
        self.show_keys()

    @property
    def waits_for(self) -> str:
        """The action whose key is pressed next; empty where none is awaited."""
        return self._waits_for

    def show_keys(self) -> None:
        """Show the keys as they are now."""
        learnt = self._learnt()
        for line in _remote_lines():
            keys = learnt.get(line.action) or line.keys
            self._keys[line.action].setText(
                f" {say('shell.sheet.or')} ".join(keys_as_printed(keys))
            )
        self._forget.setVisible(bool(learnt))

    def learn_button(self, action: str) -> QPushButton:
        """What starts learning that action's key."""
        return self._learns[action]

    def _ask(self, action: str) -> None:
        if self._waits_for:
            self._give_up()
            return
        self._waits_for = action
        put_words(self._learns[action], say("shell.sheet.press"))
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setFocus(Qt.FocusReason.OtherFocusReason)

    def _end(self) -> str:
        action, self._waits_for = self._waits_for, ""
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        if self.hasFocus():
            self._learns[action].setFocus(Qt.FocusReason.OtherFocusReason)
        line = next(line for line in _remote_lines() if line.action == action)
        name = say("shell.sheet.learn.name", words=say(line.text))
        put_words(self._learns[action], say("shell.sheet.learn"), name)
        return action

    def _give_up(self) -> None:
        self._end()
        self.says.emit(say("shell.sheet.not_learnt"))

    def _take(self, key: str) -> None:
        if key in _NEVER:
            self._give_up()
            return
        action = self._end()
        line = next(line for line in _remote_lines() if line.action == action)
        self.learnt.emit(action, key)
        self.show_keys()
        printed = keys_as_printed((key,))[0]
        self.says.emit(say("shell.sheet.learnt", keys=printed, words=say(line.text)))

    def event(self, event: QEvent | None) -> bool:
        """While a key is awaited, take it before any shortcut does."""
        if self._waits_for and isinstance(event, QKeyEvent):
            if event.type() is QEvent.Type.ShortcutOverride:
                event.accept()
                return True
            if event.type() is QEvent.Type.KeyPress:
                key = key_words(event)
                if key:
                    self._take(key)
                return True
        return super().event(event)

    def focusOutEvent(self, event: QFocusEvent | None) -> None:
        """Await no key where it would go to something else."""
        super().focusOutEvent(event)
        # Pressing its own word again gives up by itself.
        if self._waits_for and not self._learns[self._waits_for].hasFocus():
            self._give_up()

    def hideEvent(self, event: QHideEvent | None) -> None:
        """Await no key where nobody sees it."""
        if self._waits_for:
            self._end()
        super().hideEvent(event)


def _remote_lines() -> tuple[KeyLine, ...]:
    return tuple(line for line in key_table() if line.action in REMOTE_ACTIONS)
