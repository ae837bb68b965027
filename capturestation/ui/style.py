"""The window's style sheet: a print on paper, pressed by words.

Owns how each kind of control looks in both themes and at every size of letters. A widget says what
it is with a property: buttons `role` = word (a place or choice among others), main (the likeliest
next step), quiet; labels `letters` = note, head, title, huge, and `tone` = soft.
"""

from __future__ import annotations

from string import Template

from PyQt6.QtWidgets import QApplication, QStyleFactory

from capturestation.ui.look import ColourName, Look, SizeName

_COLOURS: tuple[ColourName, ...] = (
    "paper",
    "shade",
    "field",
    "ink",
    "soft",
    "edge",
    "chosen",
    "chosen_ink",
    "calm",
    "trouble",
    "focus",
)
_SIZES: tuple[SizeName, ...] = ("note", "body", "head", "title", "huge", "target", "gap", "margin")

_SHEET = Template("""
QWidget#page { background: $paper; }
QWidget#trouble { background: $trouble; border-top: 3px solid $ink; }
QWidget#caption, QWidget#header { background: $paper; }
QLabel { background: transparent; }
QLabel[letters="note"] { font-size: ${note}px; }
QLabel[letters="head"] { font-size: ${head}px; font-weight: 600; }
QLabel[letters="title"] { font-size: ${title}px; font-weight: 600; }
QLabel[letters="huge"] { font-size: ${huge}px; font-weight: 600; }
QLabel[tone="soft"] { color: $soft; }
QLabel[bold="true"] { font-weight: 600; }

QPushButton, QToolButton {
    background: $field; color: $ink; border: 1px solid $edge; border-radius: 3px;
    padding: 2px ${pad}px; margin: 2px; min-height: ${inner}px; min-width: ${inner}px;
}
QPushButton:hover, QToolButton:hover { background: $shade; }
QPushButton:pressed, QToolButton:pressed { background: $chosen; color: $chosen_ink; }
QPushButton:checked, QToolButton:checked {
    background: $chosen; color: $chosen_ink; border: 2px solid $ink; padding: 1px ${pad_tight}px;
}
QPushButton:disabled, QToolButton:disabled { color: $soft; background: $paper; }
QPushButton:focus, QToolButton:focus { border: 3px solid $focus; padding: 0px ${pad_less}px; }
QPushButton[role="main"] { background: $ink; color: $paper; border-color: $ink; font-weight: 600; }
QPushButton[role="main"]:focus {
    background: $field; color: $ink; border: 6px solid $ink; border-radius: 0px;
    padding: 0px ${pad_main}px; margin: 0px;
}
QPushButton[role="main"]:disabled { background: $soft; color: $paper; }
QPushButton[role="quiet"] { background: transparent; border-color: transparent; color: $ink; }
QPushButton[role="quiet"]:hover { background: $shade; }
QPushButton[role="quiet"]:disabled { color: $soft; }
QPushButton[role="quiet"]:focus { border: 3px solid $focus; }
QPushButton[role="word"] {
    background: transparent; border: 3px solid transparent; border-radius: 0px; margin: 0px;
    padding: 2px ${gap}px; color: $soft;
}
QPushButton[role="word"]:hover { color: $ink; }
QPushButton[role="word"]:checked {
    background: transparent; color: $ink; border: 3px solid transparent;
    border-bottom: 3px solid $ink; padding: 2px ${gap}px;
}
QPushButton[role="word"]:focus { border: 3px solid $focus; }
QPushButton[letters="title"] { font-size: ${title}px; }
QPushButton[letters="head"] { font-size: ${head}px; }
QPushButton[letters="note"] { font-size: ${note}px; padding-left: 2px; padding-right: 2px; }
QPushButton[room="line"] { min-height: 36px; padding-top: 0px; padding-bottom: 0px; }
QPushButton[room="line"]:focus { padding-top: 0px; padding-bottom: 0px; }

QLineEdit, QPlainTextEdit, QTextEdit, QComboBox, QAbstractSpinBox {
    background: $field; color: $ink; border: 1px solid $edge; border-radius: 3px;
    padding: 4px ${gap}px; selection-background-color: $chosen; selection-color: $chosen_ink;
}
QLineEdit, QComboBox, QAbstractSpinBox { min-height: ${inner}px; }
QLineEdit:focus, QPlainTextEdit:focus, QTextEdit:focus, QComboBox:focus, QAbstractSpinBox:focus {
    border: 3px solid $focus; padding: 2px ${gap_less}px;
}
QComboBox::drop-down { border: none; width: ${target}px; }
QComboBox QAbstractItemView::item { min-height: ${target}px; }
QComboBox QAbstractItemView { background: $field; color: $ink; border: 1px solid $ink; }

QAbstractItemView {
    background: $paper; color: $ink; border: 1px solid $edge; outline: 0;
    selection-background-color: $chosen; selection-color: $chosen_ink;
}
QAbstractItemView:focus { border: 3px solid $focus; }
QListView::item { padding-left: ${gap}px; }
QHeaderView::section {
    background: $paper; color: $soft; border: none; border-bottom: 1px solid $edge; padding: 4px;
}
QScrollArea { background: transparent; border: none; }
QScrollArea:focus { border: 3px solid $focus; }
QScrollBar:vertical { background: $paper; width: 22px; margin: 0; }
QScrollBar:horizontal { background: $paper; height: 22px; margin: 0; }
QScrollBar::handle { background: $edge; border-radius: 3px; margin: 4px; min-height: ${target}px; }
QScrollBar::handle:horizontal { min-width: ${target}px; }
QScrollBar::handle:hover { background: $soft; }
QScrollBar::add-line, QScrollBar::sub-line { width: 0; height: 0; }
QScrollBar::add-page, QScrollBar::sub-page { background: transparent; }

QCheckBox, QRadioButton { spacing: ${gap}px; min-height: ${target}px; }
QCheckBox:focus, QRadioButton:focus { border: 3px solid $focus; }
QCheckBox::indicator {
    width: ${note}px; height: ${note}px; border: 2px solid $ink; background: $field;
}
QCheckBox::indicator:checked { background: $ink; border: 2px solid $ink; }
QProgressBar { background: $edge; border: none; max-height: 6px; min-height: 6px; }
QProgressBar::chunk { background: $ink; }
QToolTip { background: $shade; color: $ink; border: 1px solid $edge; padding: 4px; }
QMenu { background: $field; color: $ink; border: 1px solid $ink; }
QMenu::item { padding: ${gap}px ${margin}px; }
QMenu::item:selected { background: $chosen; color: $chosen_ink; }
""")


def style_sheet(look: Look) -> str:
    """The sheet for the look as it is now."""
    values: dict[str, object] = {name: look.colour(name).name() for name in _COLOURS}
    values |= {name: look.px(name) for name in _SIZES}
    # What Qt calls the least height leaves out padding, border and margin of a pressed word.
    values["inner"] = look.px("target") - 8
    pad = round(0.6 * look.px("body"))
    values |= {"pad": pad, "pad_tight": pad - 1, "pad_less": pad - 2, "pad_main": pad - 6}
    values["gap_less"] = look.px("gap") - 2
    return _SHEET.substitute(values)


def slider_sheet(look: Look) -> str:
    """A slider whose handle is as large as a finger."""
    target, ink, edge = look.px("target"), look.colour("ink").name(), look.colour("edge").name()
    focus, line = look.colour("focus").name(), look.px("focus")
    off = (target - 6) // 2
    return (
        f"QSlider {{ min-height: {target}px; border: {line}px solid transparent; }}"
        f"QSlider:focus {{ border-color: {focus}; }}"
        f"QSlider::groove:horizontal {{ height: 6px; background: {edge}; }}"
        f"QSlider::handle:horizontal {{ width: {target // 2}px; margin: -{off}px 0;"
        f" background: {ink}; border-radius: 3px; }}"
    )


def dress(app: QApplication, look: Look) -> None:
    """Give the whole program the look, and again whenever it changes."""
    app.setStyle(QStyleFactory.create("Fusion"))
    _dress(app, look)
    look.changed.connect(lambda: _dress(app, look))


def _dress(app: QApplication, look: Look) -> None:
    app.setPalette(look.palette())
    app.setFont(look.font("body"))
    app.setStyleSheet(style_sheet(look))
