"""The body network: one picture of 256 by 256 in, 39 landmarks out.

Owns which file it is (pinned by its hash), the two ways to run it, and what its outputs mean.
Refuses any other file. The network is published under Apache-2.0 in a registry's package; it is
fetched once (`station.models`) and never part of this program.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

import cv2
import numpy as np

from capturestation.errors import BadInputError, NotFoundError
from capturestation.records import FloatArray, FrameArray

PACKAGE = "mediapipe"
VERSION = "0.10.21"
PYTHON = "3.12"
MEMBER = "mediapipe/modules/pose_landmark/pose_landmark_full.tflite"
"""Where it lies in the wheel of that package."""
SHA256 = "e9a5c5cb17f736fafd4c2ec1da3b3d331d6edbe8a0d32395855aeb2cdfd64b9f"
FILE = f"body-landmarks-{VERSION}.tflite"
"""Its name where it is kept."""
SIDE_PX = 256
LANDMARKS = 39
_FIVE = 5
# Of each landmark: x, y, depth, and the logits of being visible and of being in the picture.
_OUT_LANDMARKS, _OUT_PRESENT = "Identity", "Identity_1"


@dataclass(frozen=True, slots=True, kw_only=True)
class Landmarks:
    """What the network sees in one picture.

    Args:
        at_px: (39, 2) in the picture that it was given, the middle of the first pixel is 0, 0.
        seen: (39,) 0..1 that it is in sight.
        present: 0..1 that a person is there at all.
    """

    at_px: FloatArray
    seen: FloatArray
    present: float


class _Engine(Protocol):
    name: str

    def run(self, batch: np.ndarray[tuple[int, ...], np.dtype[np.float32]]) -> list[FloatArray]:
        """Landmarks and presence of one picture, (1, 256, 256, 3) in 0..1."""


class BodyNetwork:
    """Runs the network; one of them for each thread.

    Args:
        path: The network's file, as `station.models` keeps it.
        engine: "litert" or "cv2"; empty for the faster one that is installed.
        threads: How many it may use.

    Raises:
        NotFoundError: If the file isn't there.
        BadInputError: If it is another file.
    """

    def __init__(self, path: Path, *, engine: str = "", threads: int = 1) -> None:
        content = read_pinned(path)
        chosen = engine or ("litert" if has_litert() else "cv2")
        self._engine = _LiteRt(content, threads) if chosen == "litert" else _Cv2(path)

    @property
    def engine(self) -> str:
        """What runs it."""
        return self._engine.name

    def __call__(self, crop_rgb: FrameArray) -> Landmarks:
        """Look at one picture.

        Args:
            crop_rgb: (256, 256, 3) uint8, the person in the middle, with room around.
        """
        batch = crop_rgb[None].astype(np.float32) / np.float32(255.0)
        rows, present = self._engine.run(batch)
        found = rows.reshape(LANDMARKS, _FIVE)
        return Landmarks(
            at_px=found[:, :2] - 0.5,
            seen=_share(np.minimum(found[:, 3], found[:, 4])),
            present=float(present.ravel()[0]),
        )


def read_pinned(path: Path) -> bytes:
    """The network's bytes, if they are the ones that this program was tried with.

    Raises:
        NotFoundError: If the file isn't there.
        BadInputError: If it is another file.
    """
    try:
        content = path.read_bytes()
    except FileNotFoundError as error:
        raise NotFoundError(
            "The body model is not on this computer yet.",
            try_next="Fetch it once: capturestation models fetch.",
            subject=path.name,
        ) from error
    if not is_pinned(content):
        raise BadInputError(
            f"{path.name} is not the body model of {PACKAGE} {VERSION}: its hash differs.",
            try_next="Fetch it again: capturestation models fetch.",
            subject=path.name,
        )
    return content


def is_pinned(content: bytes) -> bool:
    """Whether these are the network's bytes."""
    return hashlib.sha256(content).hexdigest() == SHA256


def has_litert() -> bool:
    """Whether the faster way to run it is installed."""
    try:
        import ai_edge_litert.interpreter  # noqa: F401 - optional, and slow to import
    except ImportError:
        return False
    return True


class _LiteRt:
    name = "litert"

    def __init__(self, content: bytes, threads: int) -> None:
        from ai_edge_litert.interpreter import Interpreter

        # It reads the bytes where they lie, so they have to stay.
        self._content = content
        self._net = Interpreter(model_content=self._content, num_threads=threads)
        self._net.allocate_tensors()
        self._in = self._net.get_input_details()[0]["index"]
        places = {told["name"]: told["index"] for told in self._net.get_output_details()}
        self._out = [places[_OUT_LANDMARKS], places[_OUT_PRESENT]]

    def run(self, batch: np.ndarray[tuple[int, ...], np.dtype[np.float32]]) -> list[FloatArray]:
        self._net.set_tensor(self._in, batch)
        self._net.invoke()
        return [np.asarray(self._net.get_tensor(place), np.float64) for place in self._out]


class _Cv2:
    name = "cv2"

    def __init__(self, path: Path) -> None:
        # Bytes in memory would be run by the newer engine, which can't run this network.
        self._net = cv2.dnn.readNetFromTFLite(str(path), engine=cv2.dnn.ENGINE_CLASSIC)

    def run(self, batch: np.ndarray[tuple[int, ...], np.dtype[np.float32]]) -> list[FloatArray]:
        self._net.setInput(np.ascontiguousarray(batch.transpose(0, 3, 1, 2)))
        found = self._net.forward([_OUT_LANDMARKS, _OUT_PRESENT])
        return [np.asarray(one, np.float64) for one in found]


def _share(logit: FloatArray) -> FloatArray:
    held: FloatArray = 1.0 / (1.0 + np.exp(-np.clip(logit, -50.0, 50.0)))
    return held
