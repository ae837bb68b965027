"""The bay from above, on paper: mat, target line, cameras and how well their places are known.

Owns the look of the report's picture. Errors are drawn larger than they are; it says how much.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from PyQt6.QtCore import QPointF, QRectF, Qt
from PyQt6.QtGui import QColor, QImage, QPainter, QPen, QPolygonF

from capturestation.drawing import theme

WIDE_PX, HIGH_PX = 1600, 1200
ENLARGED = 10.0
"""An error of 15 mm is half a millimetre on this paper: nobody would see it."""
_MARGIN_PX, _LETTERS_PX = 90.0, 30
_MAT_M, _CELL_M = 1.5, 0.5
_SEEN_M = 1.6


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanCamera:
    """A camera on the plan.

    Args:
        name: What it is called.
        at_m: Its place, x along the target line and y left of it.
        looks_deg: Which way, against the clock from the target.
        hfov_deg: How wide.
        words: Its height and its errors.
        u_m: Standard error of its place.
    """

    name: str
    at_m: tuple[float, float]
    looks_deg: float
    hfov_deg: float
    words: str
    u_m: float


def bay_plan(cameras: Sequence[PlanCamera], heading: str) -> QImage:
    """The plan as a picture; the target is to the right."""
    image = QImage(WIDE_PX, HIGH_PX, QImage.Format.Format_RGB32)
    image.fill(QColor(*theme.PAPER))
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    sheet = _Sheet.around(cameras)
    _paint_mat(painter, sheet)
    for camera in cameras:
        _paint_camera(painter, sheet, camera)
    painter.setPen(QColor(*theme.INK))
    painter.setFont(theme.font(round(1.3 * _LETTERS_PX), bold=True))
    painter.drawText(QPointF(_MARGIN_PX, 0.7 * _MARGIN_PX), heading)
    painter.setFont(theme.font(_LETTERS_PX))
    told = f"Squares of {_CELL_M:g} m. Circles: standard error, {ENLARGED:.0f} times as large."
    painter.drawText(QPointF(_MARGIN_PX, HIGH_PX - 0.4 * _MARGIN_PX), told)
    painter.end()
    return image


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sheet:
    """From metres of the bay to pixels of the sheet."""

    px_per_m: float
    left_px: float
    top_px: float

    @classmethod
    def around(cls, cameras: Sequence[PlanCamera]) -> _Sheet:
        """So that mat and cameras are seen."""
        xs = [-_MAT_M, _MAT_M, *(camera.at_m[0] for camera in cameras)]
        ys = [-_MAT_M, _MAT_M, *(camera.at_m[1] for camera in cameras)]
        wide_px, high_px = WIDE_PX - 4 * _MARGIN_PX, HIGH_PX - 4 * _MARGIN_PX
        scale = min(wide_px / (max(xs) - min(xs)), high_px / (max(ys) - min(ys)))
        middle_x, middle_y = (max(xs) + min(xs)) / 2, (max(ys) + min(ys)) / 2
        left, top = WIDE_PX / 2 - scale * middle_x, HIGH_PX / 2 + scale * middle_y
        return cls(px_per_m=scale, left_px=left, top_px=top)

    def at(self, x_m: float, y_m: float) -> QPointF:
        """Where a place of the mat is."""
        return QPointF(self.left_px + self.px_per_m * x_m, self.top_px - self.px_per_m * y_m)


def _paint_mat(painter: QPainter, sheet: _Sheet) -> None:
    painter.fillRect(
        QRectF(sheet.at(-_MAT_M, _MAT_M), sheet.at(_MAT_M, -_MAT_M)), QColor(*theme.PAPER_SHADE)
    )
    painter.setPen(QPen(QColor(*theme.INK_SOFT), 1.0))
    for number in range(-3, 4):
        at = number * _CELL_M
        painter.drawLine(sheet.at(at, -_MAT_M), sheet.at(at, _MAT_M))
        painter.drawLine(sheet.at(-_MAT_M, at), sheet.at(_MAT_M, at))
    painter.setPen(QPen(QColor(*theme.INK), 5.0))
    end = sheet.at(_MAT_M + 0.3, 0.0)
    painter.drawLine(sheet.at(-_MAT_M, 0.0), end)
    painter.setBrush(QColor(*theme.INK))
    painter.drawPolygon(
        QPolygonF([end + QPointF(26, 0), end + QPointF(0, -11), end + QPointF(0, 11)])
    )
    painter.drawEllipse(sheet.at(0.0, 0.0), 9.0, 9.0)
    painter.setFont(theme.font(_LETTERS_PX))
    painter.drawText(end + QPointF(-20, 3 * 16), "target")
    painter.drawText(sheet.at(0.0, 0.0) + QPointF(14.0, 1.5 * _LETTERS_PX), "mat mark")


def _paint_camera(painter: QPainter, sheet: _Sheet, camera: PlanCamera) -> None:
    at = sheet.at(*camera.at_m)
    rays = []
    for side in (-0.5, 0.5):
        way = math.radians(camera.looks_deg + side * camera.hfov_deg)
        x = camera.at_m[0] + _SEEN_M * math.cos(way)
        rays.append(sheet.at(x, camera.at_m[1] + _SEEN_M * math.sin(way)))
    tint = QColor(*theme.BLUE)
    tint.setAlpha(40)
    painter.setPen(QPen(QColor(*theme.BLUE), 2.0))
    painter.setBrush(tint)
    painter.drawPolygon(QPolygonF([at, *rays]))
    painter.setPen(QPen(QColor(*theme.VERMILLION), 3.0))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    around = ENLARGED * camera.u_m * sheet.px_per_m
    painter.drawEllipse(at, around, around)
    painter.setPen(QColor(*theme.INK))
    painter.setBrush(QColor(*theme.INK))
    painter.drawEllipse(at, 8.0, 8.0)
    for line, words in enumerate((camera.name, camera.words)):
        painter.setFont(theme.font(_LETTERS_PX, bold=line == 0))
        wide = painter.fontMetrics().horizontalAdvance(words)
        left = min(max(at.x() - wide / 2, 10.0), WIDE_PX - wide - 10.0)
        down = at.y() + around + (line + 1.2) * 1.25 * _LETTERS_PX
        painter.drawText(QPointF(left, min(down, HIGH_PX - (2 - line) * 36.0)), words)
