"""The club network as data: which layer takes what, so that learning and export read one list.

Owns the shape. 256 x 256 greys of three pictures in a row go in; maps a quarter of that size come
out, five values a place: grip, end of the shaft, shaft (as logits), and which way the shaft runs.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

INPUT_PX, STRIDE = 256, 4
PICTURES, MAPS = 3, 5
INPUT_NAME, OUTPUT_NAME = "pictures", "maps"


class Kind(StrEnum):
    """What a layer does."""

    CONV = "conv"
    ADD = "add"
    DOUBLE = "double"


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """One layer.

    Args:
        name: Its own.
        kind: Convolve, add two of one shape, or double the size.
        takes: What goes in.
        inputs: Channels going in.
        outputs: Channels coming out.
        kernel: Side of the kernel.
        stride: Step.
        bent: Whether negative values are cut off after it.
    """

    name: str
    kind: Kind
    takes: tuple[str, ...]
    inputs: int = 0
    outputs: int = 0
    kernel: int = 3
    stride: int = 1
    bent: bool = True

    @property
    def weights(self) -> int:
        """How many numbers it learns, with its offsets."""
        if self.kind is not Kind.CONV:
            return 0
        return self.outputs * (self.inputs * self.kernel**2 + 1)


class _Builder:
    """Appends layers and knows the last one and its channels."""

    def __init__(self) -> None:
        self.layers: list[Layer] = []
        self.last, self.channels = INPUT_NAME, PICTURES

    def conv(self, outputs: int, *, kernel: int = 3, stride: int = 1, bent: bool = True) -> None:
        name = f"c{len(self.layers)}"
        self.layers.append(
            Layer(name=name, kind=Kind.CONV, takes=(self.last,), inputs=self.channels,
                  outputs=outputs, kernel=kernel, stride=stride, bent=bent)
        )  # fmt: skip
        self.last, self.channels = name, outputs

    def add(self, other: str) -> None:
        name = f"a{len(self.layers)}"
        self.layers.append(Layer(name=name, kind=Kind.ADD, takes=(self.last, other)))
        self.last = name

    def double(self) -> None:
        name = f"d{len(self.layers)}"
        self.layers.append(Layer(name=name, kind=Kind.DOUBLE, takes=(self.last,), bent=False))
        self.last = name

    def block(self) -> None:
        """Two convolutions beside a short cut."""
        before = self.last
        self.conv(self.channels)
        self.conv(self.channels, bent=False)
        self.add(before)


def layers() -> list[Layer]:
    """The whole network, in the order of working it out."""
    made = _Builder()
    made.conv(12, stride=2)
    made.conv(20, stride=2)
    made.conv(20)
    quarter = made.last
    made.conv(40, stride=2)
    made.block()
    eighth = made.last
    made.conv(64, stride=2)
    made.block()
    made.block()
    sixteenth = made.last
    made.conv(96, stride=2)
    made.block()
    for channels, other in ((64, sixteenth), (40, eighth), (20, quarter)):
        made.conv(channels, kernel=1, bent=False)
        made.double()
        made.add(other)
        made.conv(channels)
    made.conv(MAPS, kernel=1, bent=False)
    return made.layers
