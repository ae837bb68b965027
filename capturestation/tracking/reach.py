"""How far a swing reaches in a view: the golfer and the club from set to finish.

Owns the way from small grey pictures to the part of the picture that a swing needs. Refuses
files: pictures come in one after another, and only a bit a pixel is kept of each.
"""

from __future__ import annotations

import cv2
import numpy as np

from capturestation.records import BoolArray, Box, FloatArray, FrameArray, IntArray

_SIGMAS = 4.5
_LEAST_STEP = 7.0
# Grey steps; a strongly packed file flickers by less, a shaft one pixel wide differs by more.
_DARK = 8.0
_SPARSE = 3
_BRIDGE_SHARE = 0.025
# Of the picture's longer side: a shaft that is too thin to see is bridged from hands to head, a
# ball on its way is not bridged to the club for longer than it takes to leave it.
_OFTEN_SHARE = 0.1
_FEWEST = 3
_LEAST_AREA = 0.002
# Of the picture: a golfer who can be seen at all changes more than this.
_ANOTHER = 0.15
# Of what moves most: less is a ball, a shadow, the club's end.
_SPECK_PX = 2
_SIDE_MARGIN, _TOP_MARGIN, _FEET_MARGIN = 0.035, 0.04, 0.06
# Of the swing's height. Below there is more: feet and ball stand still and their shadow belongs.
_UNSEEN_SHARE = 0.015
# More margin, of the swing's height, for each grey step by which noise hides a fast club.


class Reach:
    """Collects where pictures differ from the first one, and tells how far the swing reached.

    The first picture shows the golfer at set. Against it, body and club hang together in each
    later picture, whereas a ball in flight or somebody further off stands apart.
    """

    def __init__(self) -> None:
        self._first: FloatArray | None = None
        self._shape = (0, 0)
        self._masks: list[FrameArray] = []
        self._limits: list[float] = []
        self._counts: IntArray = np.zeros((0, 0), dtype=np.int64)

    def see(self, grey: FrameArray) -> None:
        """Take one more picture in.

        Args:
            grey: (h, w) uint8, about 320 wide, of one size with the others.
        """
        blurred = cv2.GaussianBlur(grey.astype(np.float64), (0, 0), 0.8)
        now = np.asarray(blurred, dtype=np.float64)
        if self._first is None:
            self._first, self._shape = now, (now.shape[0], now.shape[1])
            self._counts = np.zeros(now.shape, dtype=np.int64)
            return
        limit, mask = _differs(self._first, now)
        self._limits.append(limit)
        self._counts += mask
        self._masks.append(np.packbits(mask))

    def box(self, *, evenly: bool = False) -> Box | None:
        """Where golfer, club and ball are from the first picture to the last, with a margin.

        Args:
            evenly: Whether the club reaches as far past the golfer on one side as on the other, as
                it does face-on: going back it is slow and well seen, going through it may blur.

        Returns:
            A box; None where nothing moved that could be a golfer.
        """
        cores = self._cores()
        return self._box_round(cores[0], evenly=evenly) if cores else None

    def boxes(self) -> tuple[Box, ...]:
        """Where somebody may have swung, the likeliest first: more than one where another moved.

        Somebody who walks by differs from the first picture, too, where he was and where he is.
        """
        found = [self._box_round(core, evenly=False) for core in self._cores()]
        return tuple(box for box in found if box is not None)

    def _box_round(self, core: BoolArray, *, evenly: bool) -> Box | None:
        reached = np.zeros(self._shape, dtype=np.bool_)
        for packed in self._masks:
            reached |= self._hanging_on(core, self._unpacked(packed))
        hidden = float(np.median(self._limits)) - _LEAST_STEP
        middle = float(np.average(np.arange(self._shape[1]), weights=(core * self._counts).sum(0)))
        return _with_margin(reached, _UNSEEN_SHARE * hidden, middle if evenly else None)

    def _unpacked(self, packed: FrameArray) -> BoolArray:
        height, width = self._shape
        bits = np.unpackbits(packed, count=height * width)
        return bits.reshape(self._shape).astype(np.bool_)

    def _cores(self) -> list[BoolArray]:
        """Where bodies move: what differs often and hangs together, who does so most first."""
        if len(self._masks) < _FEWEST:
            return []
        often = self._counts >= max(_OFTEN_SHARE * len(self._masks), _FEWEST - 1)
        labels = _grouped(often)
        weights = np.bincount(labels[often], weights=self._counts[often])
        order = np.argsort(-weights)
        some = [int(n) for n in order if weights[n] >= _ANOTHER * weights[order[0]]]
        cores: list[BoolArray] = [often & (labels == n) for n in some]
        return [core for core in cores if core.mean() >= _LEAST_AREA]

    @staticmethod
    def _hanging_on(core: BoolArray, mask: BoolArray) -> BoolArray:
        labels = _grouped(mask)
        holding = np.unique(labels[mask & core])
        kept: BoolArray = mask & np.isin(labels, holding)
        return kept


def _differs(first: FloatArray, now: FloatArray) -> tuple[float, BoolArray]:
    """The step that is more than light and noise, and which pixels differ by more."""
    sparse = np.s_[::_SPARSE, ::_SPARSE]
    gain = float(np.median((now[sparse] + _DARK) / (first[sparse] + _DARK)))
    step = np.abs(now - (first + _DARK) * gain + _DARK)
    noise = float(np.median(step[sparse])) / 0.6745
    limit = max(_SIGMAS * noise, _LEAST_STEP)
    return limit, step > limit


def _grouped(mask: BoolArray) -> IntArray:
    """Number the groups of pixels that lie closer together than the bridge."""
    half = max(round(_BRIDGE_SHARE * max(mask.shape) / 2), 1)
    kernel = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * half + 1, 2 * half + 1))
    grown = cv2.dilate(mask.astype(np.uint8), kernel)
    _, labels = cv2.connectedComponents(grown, connectivity=8)
    return labels.astype(np.int64)


def _with_margin(reached: BoolArray, more: float, middle: float | None) -> Box | None:
    columns = np.flatnonzero(reached.sum(axis=0) >= _SPECK_PX)
    rows = np.flatnonzero(reached.sum(axis=1) >= _SPECK_PX)
    if len(columns) == 0 or len(rows) == 0:
        return None
    height, width = reached.shape
    left, right = float(columns[0]), float(columns[-1] + 1)
    top, bottom = float(rows[0]), float(rows[-1] + 1)
    if middle is not None:
        half = max(middle - left, right - middle)
        left, right = middle - half, middle + half
    tall = bottom - top
    return Box(
        left=max((left - (_SIDE_MARGIN + more) * tall) / width, 0.0),
        top=max((top - (_TOP_MARGIN + more) * tall) / height, 0.0),
        right=min((right + (_SIDE_MARGIN + more) * tall) / width, 1.0),
        bottom=min((bottom + (_FEET_MARGIN + more) * tall) / height, 1.0),
    )
