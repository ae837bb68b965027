"""A number that a coach enters where the bay is measured: degrees, millimetres, metres.

Owns reading it as it is written in either country. What it may be is decided where it is used.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from PyQt6.QtWidgets import QLineEdit, QWidget

from capturestation.errors import BadInputError, StationError
from capturestation.ui.texts import say

_NUMBER = re.compile(r"[-+]?\d+(?:[.,]\d*)?")


class NumberField(QLineEdit):
    """One number, taken with Enter or where the keyboard goes elsewhere.

    Args:
        words: What is asked for.
        put: Gets the number; may refuse it with a `StationError`.
        failed: Gets what was refused.
        parent: The widget above.
    """

    def __init__(
        self,
        words: str,
        put: Callable[[float], None],
        failed: Callable[[StationError], None],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._words, self._put, self._failed = words, put, failed
        self._taken = ""
        self.setPlaceholderText(words)
        self.setAccessibleName(words)
        self.setToolTip(words)
        self.editingFinished.connect(self._read)

    def show_number(self, text: str) -> None:
        """Write what is known."""
        self._taken = text
        self.setText(text)

    def _read(self) -> None:
        text = self.text().strip()
        if text in ("", self._taken):
            return
        found = _NUMBER.match(text)
        # Said once: leaving the field must not say it again.
        self._taken = text
        try:
            if found is None:
                raise BadInputError(
                    say("bay.number.not", words=text), try_next=self._words, subject=text
                )
            self._put(float(found.group().replace(",", ".")))
        except StationError as error:
            self._failed(error)
