"""The club network: three grey pictures in a row in, where grip, shaft and its end are out.

Owns running our own small network, which comes with the program. What it learnt from and how well
it sees stands in DEVELOPERS.md. Refuses to know where in a picture to look: `club` does.
"""

from __future__ import annotations

from dataclasses import dataclass
from importlib.resources import as_file, files

import cv2
import numpy as np

from capturestation.records import FloatArray, FrameArray

SIDE_PX, CELL_PX = 256, 4
"""Side of the pictures, and of one cell of the maps, in the pictures' pixels."""
CELLS = SIDE_PX // CELL_PX
_FILE = "club.onnx"
_SPREAD = 0.05
# Added to a picture's spread of brightness, as it was when the network learnt.


@dataclass(frozen=True, slots=True, kw_only=True)
class ClubMaps:
    """What the network makes of one picture; each map is (64, 64), a cell is 4 pixels.

    Args:
        grip: 0..1 that the middle between the hands is there.
        end: 0..1 that the shaft ends there, at the head.
        shaft: 0..1 that the shaft runs through there.
        way: (2, 64, 64) the direction from grip to head, x and y, about 1 long where it is sure.
    """

    grip: FloatArray
    end: FloatArray
    shaft: FloatArray
    way: FloatArray


class ClubNetwork:
    """Runs the network; one of them for each thread."""

    def __init__(self) -> None:
        with as_file(files("capturestation.tracking").joinpath(_FILE)) as path:
            # Twice as fast as the newer engine.
            self._net = cv2.dnn.readNetFromONNX(str(path), cv2.dnn.ENGINE_CLASSIC)

    def __call__(self, three: FrameArray) -> ClubMaps:
        """Look at one picture with its neighbours.

        Args:
            three: (3, 256, 256) grey, before, now and after, of the same part of the view.
        """
        maps = self.raw(evened(three)[None])[0].astype(np.float64)
        spots = 1.0 / (1.0 + np.exp(-np.clip(maps[:3], -30.0, 30.0)))
        return ClubMaps(grip=spots[0], end=spots[1], shaft=spots[2], way=maps[3:])

    def raw(
        self, batch: np.ndarray[tuple[int, ...], np.dtype[np.float32]]
    ) -> np.ndarray[tuple[int, ...], np.dtype[np.float32]]:
        """Maps as they come, (1, 5, 64, 64), of pictures already evened, (1, 3, 256, 256)."""
        self._net.setInput(batch)
        return np.asarray(self._net.forward(), dtype=np.float32)


def evened(three: FrameArray) -> np.ndarray[tuple[int, ...], np.dtype[np.float32]]:
    """Mean and spread of the middle picture taken out, as it was when the network learnt."""
    mean, spread = (float(one[0, 0]) / 255.0 for one in cv2.meanStdDev(three[1]))
    scaled = three.astype(np.float32)
    scaled *= np.float32(1.0 / 255.0 / (spread + _SPREAD))
    scaled -= np.float32(mean / (spread + _SPREAD))
    return scaled
