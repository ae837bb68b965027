"""What live sources hand on: packets of pictures and blocks of sound, stamped when they came.

Owns the records that cross from a source's thread to the rings. Imports no media library, so that
whoever only holds packets needs none.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from types import TracebackType
from typing import Protocol, Self

from capturestation.records import NS_PER_S, SoundArray
from capturestation.records.capture import Got


@dataclass(frozen=True, slots=True, kw_only=True)
class Packet:
    """One coded picture.

    Args:
        host_ns: When it came, taken before anything else was done with it.
        pts: Its stamp in `time_base`, when it is shown.
        dts: When it is due at the decoder.
        duration: How long it is shown; 0 where unknown.
        time_base: Unit of the stamps.
        is_key: Whether it stands for itself.
        data: Its bytes.
        is_damaged: Whether a part of it was lost on its way.
    """

    host_ns: int
    pts: int
    dts: int
    duration: int
    time_base: Fraction
    is_key: bool
    data: bytes | memoryview
    is_damaged: bool = False

    @property
    def size_bytes(self) -> int:
        """Memory that it takes."""
        return len(self.data)

    @property
    def device_ns(self) -> int:
        """Its stamp in nanoseconds, the source's clock."""
        unit = self.time_base
        return self.pts * NS_PER_S * unit.numerator // unit.denominator

    @property
    def due_ns(self) -> int:
        """When it is due at the decoder, the source's clock; what it is sent by."""
        unit = self.time_base
        return self.dts * NS_PER_S * unit.numerator // unit.denominator


@dataclass(frozen=True, slots=True, kw_only=True)
class SoundBlock:
    """A stretch of mono sound.

    Args:
        host_ns: When its last sample came, or was taken where that is known.
        device_ns: Its first sample by the source's own clock; arrival less length without one.
        rate_hz: Samples a second.
        samples: (n,).
    """

    host_ns: int
    device_ns: int
    rate_hz: int
    samples: SoundArray

    @property
    def size_bytes(self) -> int:
        """Memory that it takes."""
        return self.samples.nbytes

    @property
    def is_key(self) -> bool:
        """Sound stands for itself."""
        return True

    @property
    def end_device_ns(self) -> int:
        """Just after its last sample, the source's clock."""
        return self.device_ns + len(self.samples) * NS_PER_S // self.rate_hz


class Live(Protocol):
    """A source that is open."""

    @property
    def got(self) -> Got:
        """What it gives."""

    @property
    def head(self) -> bytes:
        """What a decoder must know of its pictures."""

    def __iter__(self) -> Iterator[Packet | SoundBlock]:
        """What comes, until it ends.

        Raises:
            NotReadableError: If it breaks off or says nothing for too long.
        """

    def close(self) -> None:
        """Let go of it; from the thread that reads."""

    def __enter__(self) -> Self:
        """Itself."""

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Close."""
