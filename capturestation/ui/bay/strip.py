"""The line that says how all is doing, and above it the one trouble that matters most.

Owns that the room on the disk is always read, and that what is well takes few words.
"""

from __future__ import annotations

from PyQt6.QtWidgets import QVBoxLayout, QWidget

from capturestation.station.bay.bay import Bay
from capturestation.station.bay.standing import Level, Sign
from capturestation.ui.bay.wording import sign_words, trouble_words
from capturestation.ui.look import Look
from capturestation.ui.texts import say
from capturestation.ui.words import ground, label

_NBSP = "\N{NO-BREAK SPACE}"
# What is said of one thing is not parted by a line's end.


class Strip(QWidget):
    """Health in words and shapes."""

    def __init__(self, bay: Bay, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._bay = bay
        self.delays = ""
        self.trouble = label(wraps=True)
        self._band = QWidget()
        ground(self._band, "trouble")
        inside = QVBoxLayout(self._band)
        inside.setContentsMargins(look.px("gap"), look.px("gap"), look.px("gap"), look.px("gap"))
        inside.addWidget(self.trouble)
        self.signs = label(letters="note", wraps=True)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2)
        column.addWidget(self._band)
        column.addWidget(self.signs)
        bay.changed.tell(self.show_bay)
        self.show_bay()

    def show_bay(self) -> None:
        """Say how all is."""
        trouble = trouble_words(self._bay)
        if trouble != self.trouble.text():
            self.trouble.setText(trouble)
        self._band.setVisible(bool(trouble))
        words = self._words()
        if words != self.signs.text():
            self.signs.setText(words)
            self.signs.setAccessibleName(words)
        self.signs.setVisible(bool(words))

    def _words(self) -> str:
        if not self._bay.recording.is_wanted:
            return ""
        signs = self._bay.standing.signs(self._bay.balls_an_hour)
        said = [sign_words(sign) for sign in _shortened(signs)]
        if self.delays:
            said.insert(len(said) - 1, self.delays)
        return "   ".join(one.replace(" ", _NBSP) for one in said)

    def tell_delays(self, words: str) -> None:
        """What was learned of the cameras' own delays."""
        self.delays = words
        self.show_bay()


def _shortened(signs: tuple[Sign, ...]) -> tuple[Sign, ...]:
    """Where every camera is well at one rate, one sign says it of all."""
    cameras = [sign for sign in signs if "view" in sign.values]
    rates = {sign.values.get("rate") for sign in cameras}
    well = all(sign.what == "sends" and sign.level is Level.WELL for sign in cameras)
    if len(cameras) < 2 or not well or len(rates) > 1:
        return signs
    values: dict[str, object] = {"count": len(cameras), "rate": cameras[0].values["rate"]}
    together = Sign(what="all_send", level=Level.WELL, values=values)
    return (together, *(sign for sign in signs if sign not in cameras))


def delay_words(said: tuple[tuple[str, str, str], ...]) -> str:
    """The cameras' delays, each with its error.

    Args:
        said: Camera, milliseconds, and their error, as words.
    """
    return "   ".join(say("bay.delay", camera=c, ms=ms, error=u) for c, ms, u in said)
