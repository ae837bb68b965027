"""Keys reach what they do: the shell's everywhere, a place's while it is seen.

Owns which key goes where when the keyboard is in a text, a list or a button: what is being typed
belongs to the text, arrows to the list, the space bar to the button. Refuses to know what an action
does.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial

from PyQt6.QtCore import QEvent, QObject, Qt
from PyQt6.QtGui import QKeyEvent, QKeySequence, QShortcut
from PyQt6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QAbstractSlider,
    QAbstractSpinBox,
    QApplication,
    QComboBox,
    QLineEdit,
    QPlainTextEdit,
    QTextEdit,
    QWidget,
)
from PyQt6.sip import isdeleted

from capturestation.ui.keys import REPEATS, SHELL, KeyLine, heard_in, with_learnt

Commands = Mapping[str, Callable[[], None]]
"""What is done for each action."""

_TYPED_IN = (QLineEdit, QPlainTextEdit, QTextEdit, QAbstractSpinBox)
_PRESS = {Qt.Key.Key_Space, Qt.Key.Key_Select, Qt.Key.Key_Return, Qt.Key.Key_Enter}
_ARROWS = {Qt.Key.Key_Left, Qt.Key.Key_Right, Qt.Key.Key_Up, Qt.Key.Key_Down}
_ENDS = {Qt.Key.Key_Home, Qt.Key.Key_End}
_ARROW_SIGNS = {"Left": "←", "Right": "→", "Up": "↑", "Down": "↓"}
_NOT_TYPED = {Qt.Key.Key_Escape, Qt.Key.Key_PageUp, Qt.Key.Key_PageDown}
_NOT_TYPED |= {Qt.Key(number) for number in range(Qt.Key.Key_F1.value, Qt.Key.Key_F35.value + 1)}
# A remote's pages and what functions do are never meant as text.
_KEYPAD = 0x2000_0000
# How Qt marks a key of the number block: the same key for us.
_HELD = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier


class Keyboard(QObject):
    """Hears the keys of one window.

    Args:
        window: Where they are pressed.
        commands: What the shell itself does.
    """

    def __init__(self, window: QWidget, commands: Commands) -> None:
        super().__init__(window)
        self._window = window
        self._own = dict(commands)
        self._place = ""
        self._commands: dict[str, Callable[[], None]] = {}
        self._learnt: dict[str, tuple[str, ...]] = {}
        self._hushed = False
        self._shortcuts: list[QShortcut] = []
        self._focused: QWidget | None = None
        app = QApplication.instance()
        assert isinstance(app, QApplication)
        app.focusChanged.connect(self._follow)
        self._bind()

    def listen_to(self, place: str, commands: Commands) -> None:
        """Hear the keys of that place from now on, and no other place's."""
        self._place = place
        self._commands = dict(commands)
        self._hushed = False
        self._bind()

    def hush(self, on: bool) -> None:
        """Hear the shell's keys alone for a while, or the place's again too."""
        self._hushed = on
        self._bind()

    def learn(self, learnt: Mapping[str, tuple[str, ...]]) -> None:
        """Take what was learnt of a remote."""
        self._learnt = dict(learnt)
        self._bind()

    @property
    def lines(self) -> tuple[KeyLine, ...]:
        """What can be pressed now: actions that somebody answers to, with their keys."""
        live = {**self._own, **self._commands}
        lines = with_learnt(heard_in(self._place), self._learnt)
        return tuple(line for line in lines if line.action in live)

    def _bind(self) -> None:
        for shortcut in self._shortcuts:
            shortcut.setParent(None)
            shortcut.deleteLater()
        live = {**self._own, **self._commands}
        self._shortcuts = [
            self._shortcut(key, line.action, live[line.action])
            for line in self.lines
            for key in line.keys
            if line.place == SHELL or not self._hushed
        ]

    def _shortcut(self, key: str, action: str, run: Callable[[], None]) -> QShortcut:
        made = QShortcut(_sequence(key), self._window)
        made.setAutoRepeat(action in REPEATS)
        made.activated.connect(partial(_run, run))
        return made

    def _follow(self, _old: QWidget | None, new: QWidget | None) -> None:
        # Only what has the keyboard is listened to: a filter on the whole program would see every
        # move of the mouse.
        if self._focused is not None and not isdeleted(self._focused):
            self._focused.removeEventFilter(self)
        self._focused = new
        if new is not None:
            new.installEventFilter(self)

    def eventFilter(self, watched: QObject | None, event: QEvent | None) -> bool:
        """Give a key to what has the keyboard where it belongs there."""
        if (
            event is not None
            and event.type() is QEvent.Type.ShortcutOverride
            and isinstance(event, QKeyEvent)
            and isinstance(watched, QWidget)
            and self._belongs_to(watched, event)
        ):
            event.accept()
            return True
        return super().eventFilter(watched, event)

    def _belongs_to(self, focused: QWidget, event: QKeyEvent) -> bool:
        key = event.key()
        held = bool(event.modifiers() & _HELD)
        if isinstance(focused, _TYPED_IN):
            return not held and key not in _NOT_TYPED
        if held:
            return False
        if isinstance(focused, QAbstractButton):
            return key in _PRESS
        if key in _ARROWS and key_words(event) in self._learnt_keys():
            return False
        if isinstance(focused, (QAbstractItemView, QComboBox)):
            return key in _PRESS | _ARROWS | _ENDS
        return isinstance(focused, QAbstractSlider) and key in _ARROWS | _ENDS

    def _learnt_keys(self) -> set[str]:
        return {key for keys in self._learnt.values() for key in keys}


def key_words(event: QKeyEvent) -> str:
    """The key of an event in Qt's portable words, as the table has them; empty for Shift alone."""
    if event.key() in (0, Qt.Key.Key_unknown) or event.key() in _ALONE:
        return ""
    keys = event.keyCombination().toCombined() & ~_KEYPAD
    return QKeySequence(keys).toString(QKeySequence.SequenceFormat.PortableText)


def keys_as_printed(keys: tuple[str, ...]) -> tuple[str, ...]:
    """The same keys as they are printed on this computer's keyboard."""
    native = QKeySequence.SequenceFormat.NativeText
    return tuple(_with_arrows(_sequence(key).toString(native)) for key in keys)


def _with_arrows(key: str) -> str:
    """An arrow as it stands on its key: "Right" alone could be a button of the mouse."""
    before, plus, last = key.rpartition("+")
    return f"{before}{plus}{_ARROW_SIGNS.get(last, last)}"


def _sequence(key: str) -> QKeySequence:
    return QKeySequence.fromString(key, QKeySequence.SequenceFormat.PortableText)


def _run(run: Callable[[], None]) -> None:
    run()


_ALONE = {
    Qt.Key.Key_Shift,
    Qt.Key.Key_Control,
    Qt.Key.Key_Alt,
    Qt.Key.Key_AltGr,
    Qt.Key.Key_Meta,
    Qt.Key.Key_CapsLock,
    Qt.Key.Key_NumLock,
    Qt.Key.Key_ScrollLock,
}
