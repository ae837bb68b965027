"""The station's sign at every size that a desktop asks for."""

from __future__ import annotations

import pytest
from PyQt6.QtGui import QImage

from capturestation.drawing.icon import icon_image, icon_png
from capturestation.drawing.theme import INK, INK_SOFT, PAPER, PAPER_SHADE, Colour


def colour(image: QImage, x: float, y: float) -> Colour:
    at = image.pixelColor(round(x * image.width()), round(y * image.height()))
    return at.red(), at.green(), at.blue()


@pytest.mark.parametrize("px", [48, 128, 256])
def test_what_two_cameras_see_meets_at_a_ball(px: int) -> None:
    image = icon_image(px)

    assert (image.width(), image.height()) == (px, px)
    assert colour(image, 0.66, 0.36) == PAPER
    assert colour(image, 0.35, 0.36) == PAPER_SHADE
    assert colour(image, 0.66, 0.7) == INK_SOFT
    assert colour(image, 0.3, 0.7) == INK
    assert image.pixelColor(0, 0).alpha() < 64


def test_its_file_holds_the_same_picture() -> None:
    read = QImage.fromData(icon_png(64))

    assert read == icon_image(64).convertToFormat(read.format())
