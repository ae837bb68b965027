"""Words that move the earlier swing a little, in time, in place and in size."""

from __future__ import annotations

from collections.abc import Callable

from PyQt6.QtWidgets import QGridLayout, QWidget

from capturestation.ui.bench.wordings import stretch
from capturestation.ui.texts import say
from capturestation.ui.words import button


class NudgePad(QWidget):
    """Words that move the earlier swing a little, in time and in place."""

    def __init__(
        self,
        place: Callable[[int, int, int], None],
        time: Callable[[int], None],
        reset: Callable[[], None],
    ) -> None:
        super().__init__()
        self.setAccessibleName(say("sketch.nudge"))
        self.back = button(say("sketch.nudge.back"), lambda: time(-1))
        self.on = button(say("sketch.nudge.on"), lambda: time(1))
        ways = {
            "left": (-1, 0, 0),
            "right": (1, 0, 0),
            "up": (0, -1, 0),
            "down": (0, 1, 0),
            "smaller": (0, 0, -1),
            "larger": (0, 0, 1),
        }
        self.ways = {
            name: button(say(f"sketch.nudge.{name}"), _moving(place, *way))
            for name, way in ways.items()
        }
        for pressed in (self.back, self.on, *self.ways.values()):
            pressed.setAutoRepeat(True)
        self.reset = button(say("sketch.nudge.reset"), reset)
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        for place_of, pressed in enumerate((self.back, self.on, *self.ways.values())):
            grid.addWidget(stretch(pressed), place_of // 2, place_of % 2)
        grid.addWidget(stretch(self.reset), 4, 0, 1, 2)

    def show_for(self, *, has_then: bool, is_over: bool) -> None:
        """Time can be moved where there is an earlier swing; place where it is laid over."""
        self.setVisible(has_then)
        for pressed in self.ways.values():
            pressed.setVisible(is_over)


def _moving(
    place: Callable[[int, int, int], None], across: int, down: int, larger: int
) -> Callable[[], None]:
    return lambda: place(across, down, larger)
