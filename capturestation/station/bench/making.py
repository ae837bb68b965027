"""One field's picture, from its frames to pixels that are only copied to the screen.

Owns which way is taken: as coded where that shows the same, else through RGB. Called by the
threads of the picture room, each with a screen of its own.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from capturestation.drawing.bench_layers import Layer, composed
from capturestation.drawing.bench_planes import PlaneLayer, can_mix, mixed
from capturestation.drawing.grid import Side
from capturestation.media.screen import Screen
from capturestation.records import FrameArray
from capturestation.station.bench.seen import Frames
from capturestation.station.bench.wishes import FrameWish, PictureWish


class NotWantedError(Exception):
    """Something else is waited for by now."""


def picture_of(
    wish: PictureWish,
    frames: Mapping[Side, Frames],
    screen: Screen,
    is_wanted: Callable[[], bool] = lambda: True,
) -> FrameArray:
    """Decode and lay together what a field shows, (H, W, 4) as Qt's RGB32.

    Args:
        wish: What it shows.
        frames: The open angles of its view.
        screen: The thread's own.
        is_wanted: Asked between the steps: whoever jumps doesn't wait for what was begun before.

    Raises:
        NotReadableError: If a frame can't be decoded.
        NotWantedError: If it isn't wanted any more.
    """
    planes = [_planes(layer, frames, is_wanted) for layer in _layers(wish)]
    coded = [layer for layer in planes if layer is not None]
    if len(coded) == len(planes) and can_mix(wish.size_px, *coded):
        width, height = wish.size_px
        whole = screen.picture(mixed(wish.size_px, *coded, opacity=wish.opacity))
        return whole[:height, :width]
    layers = [_layer(layer, frames, is_wanted) for layer in _layers(wish)]
    return composed(wish.size_px, *layers, opacity=wish.opacity, paper=wish.paper)


def _layers(wish: PictureWish) -> tuple[FrameWish, ...]:
    """The lower one first."""
    return (wish.base,) if wish.over is None else (wish.base, wish.over)


def _planes(
    wish: FrameWish, frames: Mapping[Side, Frames], is_wanted: Callable[[], bool]
) -> PlaneLayer | None:
    angle = frames[wish.side]
    planes = angle.frame_planes(wish.ordinal)
    if not is_wanted():
        raise NotWantedError
    if planes is None:
        return None
    return PlaneLayer(planes=planes, size_px=angle.size_px, matrix=wish.matrix)


def _layer(wish: FrameWish, frames: Mapping[Side, Frames], is_wanted: Callable[[], bool]) -> Layer:
    angle = frames[wish.side]
    frame_rgb = angle.frame_rgb(wish.ordinal)
    if not is_wanted():
        raise NotWantedError
    return Layer(frame_rgb=frame_rgb, size_px=angle.size_px, matrix=wish.matrix)
