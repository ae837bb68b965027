"""How lines about measures are broken, and how high a list of them has to be."""

from __future__ import annotations

from pytestqt.qtbot import QtBot

from capturestation.records import Moment
from capturestation.station.bench.measures import ChangeLine
from capturestation.ui.bench.measure_lines import Changes, held_together, list_of, rows_px
from capturestation.ui.look import Look

CHANGED = "farther from the target by 2.4 cm ± 1.4"


def test_a_number_is_never_parted_from_what_it_is_known_to() -> None:
    told = held_together("more to the target by 12.5 % of height ± 2, then 0.08 s ± 0.03 s")

    assert [word for word in told.split(" ") if "±" in word] == [
        "height\u00a0±\u00a02,",
        "0.08\u00a0s\u00a0±\u00a00.03\u00a0s",
    ]
    assert told.replace("\u00a0", " ").startswith("more to the target by 12.5 % of height ± 2")


def test_a_list_is_as_high_as_its_first_lines_whole_however_narrow(
    qtbot: QtBot, look: Look
) -> None:
    model = Changes()
    model.put([ChangeLine(name=name, moment=Moment.TOP, words=CHANGED) for name in "abc"])
    view = list_of(model, look, "changes")
    qtbot.addWidget(view)
    view.show()
    viewport, second = view.viewport(), model.index(1)
    assert viewport is not None

    def high_px(width_px: int) -> int:
        """Its height in a list so wide, once both its first lines are seen."""
        view.setFixedWidth(width_px)
        view.setFixedHeight(rows_px(view, 2))
        qtbot.waitUntil(lambda: 0 < view.visualRect(second).bottom() < viewport.height())
        return view.height()

    assert high_px(600) < high_px(230)
    assert rows_px(view, 3) > view.height()
