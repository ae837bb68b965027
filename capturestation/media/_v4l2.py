"""What Linux lets a program ask of a camera that is plugged in: its modes, and what it holds still.

Owns the kernel's numbers and structures (Documentation/userspace-api/media/v4l, uapi
linux/videodev2.h and v4l2-controls.h). A camera that does not know a question answers with an
error; that is an answer too. Called by `modes` and `locks`.
"""

from __future__ import annotations

import contextlib
import errno
import os
import struct
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction

Ioctl = Callable[[int, int, bytearray], int]
_READ_WRITE = 3
_CAPTURE = 1
_DISCRETE = 1
_DISABLED = 0x0001
_MOST = 64

_FORMAT = struct.Struct("=III32sII3I")
_SIZE = struct.Struct("=III6I2I")
_INTERVAL = struct.Struct("=IIIII6I2I")
_CONTROL = struct.Struct("=Ii")
_QUERY = struct.Struct("=II32siiiiI2I")

_USER, _CAMERA = 0x00980900, 0x009A0900
AUTO_WHITE_BALANCE = _USER + 12
WHITE_BALANCE_K = _USER + 26
EXPOSURE_AUTO = _CAMERA + 1
EXPOSURE_100US = _CAMERA + 2
EXPOSURE_SLOWS_RATE = _CAMERA + 3
FOCUS = _CAMERA + 10
FOCUS_AUTO = _CAMERA + 12
STABILISES = _CAMERA + 22
EXPOSURE_BY_HAND = 1


def _asks(number: int, size: int) -> int:
    return _READ_WRITE << 30 | size << 16 | ord("V") << 8 | number


_ENUM_FORMAT = _asks(2, _FORMAT.size)
_GET, _SET = _asks(27, _CONTROL.size), _asks(28, _CONTROL.size)
_QUERY_CONTROL = _asks(36, _QUERY.size)
_ENUM_SIZE, _ENUM_INTERVAL = _asks(74, _SIZE.size), _asks(75, _INTERVAL.size)


def _system_ioctl(handle: int, request: int, data: bytearray) -> int:
    import fcntl  # Only this system has it.

    return int(fcntl.ioctl(handle, request, data))


@dataclass(frozen=True, slots=True, kw_only=True)
class Mode:
    """One way in which a camera sends.

    Args:
        form: Its coding, the kernel's four signs.
        width_px: Width.
        height_px: Height.
        rates_hz: Frames a second, fastest first.
    """

    form: str
    width_px: int
    height_px: int
    rates_hz: tuple[Fraction, ...]


class Camera:
    """A device that is open for questions, beside whoever records from it.

    Args:
        path: Its file.
        ioctl: Asks the kernel; for trials another one.

    Raises:
        OSError: If it can't be opened.
    """

    def __init__(self, path: str, ioctl: Ioctl = _system_ioctl) -> None:
        self._handle = os.open(path, os.O_RDWR | getattr(os, "O_NONBLOCK", 0))
        self._ioctl = ioctl

    def close(self) -> None:
        """Let go of it."""
        os.close(self._handle)

    def modes(self) -> list[Mode]:
        """Every mode that it names; steps between sizes are left out."""
        return [
            Mode(form=form, width_px=width, height_px=height, rates_hz=rates)
            for form, code in self._forms()
            for width, height in self._sizes(code)
            for rates in [tuple(sorted(self._rates(code, width, height), reverse=True))]
        ]

    def get(self, control: int) -> int | None:
        """What a control stands at; None if there is no such control."""
        query = bytearray(_QUERY.pack(control, 0, b"", 0, 0, 0, 0, 0, 0, 0))
        if not self._asked(_QUERY_CONTROL, query) or _QUERY.unpack(query)[7] & _DISABLED:
            return None
        data = bytearray(_CONTROL.pack(control, 0))
        return int(_CONTROL.unpack(data)[1]) if self._asked(_GET, data) else None

    def set(self, control: int, value: int) -> bool:
        """Set a control; whether it then stands there."""
        data = bytearray(_CONTROL.pack(control, value))
        return self._asked(_SET, data) and self.get(control) == value

    def _asked(self, request: int, data: bytearray) -> bool:
        try:
            self._ioctl(self._handle, request, data)
        except OSError as error:
            if error.errno in (errno.EINVAL, errno.ENOTTY, errno.EACCES, errno.EBUSY, errno.ERANGE):
                return False
            raise
        return True

    def _forms(self) -> Iterator[tuple[str, int]]:
        for number in range(_MOST):
            data = bytearray(_FORMAT.pack(number, _CAPTURE, 0, b"", 0, 0, 0, 0, 0))
            if not self._asked(_ENUM_FORMAT, data):
                return
            code = _FORMAT.unpack(data)[4]
            yield code.to_bytes(4, "little").decode("ascii", "replace").strip(), code

    def _sizes(self, code: int) -> Iterator[tuple[int, int]]:
        for number in range(_MOST):
            data = bytearray(_SIZE.pack(number, code, 0, *[0] * 8))
            if not self._asked(_ENUM_SIZE, data):
                return
            _, _, kind, *sides = _SIZE.unpack(data)
            # Where sizes go in steps, the largest is named.
            yield (sides[0], sides[1]) if kind == _DISCRETE else (sides[1], sides[4])

    def _rates(self, code: int, width: int, height: int) -> Iterator[Fraction]:
        for number in range(_MOST):
            data = bytearray(_INTERVAL.pack(number, code, width, height, 0, *[0] * 8))
            if not self._asked(_ENUM_INTERVAL, data):
                return
            kind, top, bottom = _INTERVAL.unpack(data)[4:7]
            if top and bottom:
                yield Fraction(bottom, top)
            if kind != _DISCRETE:
                return


@contextlib.contextmanager
def opened(path: str, ioctl: Ioctl = _system_ioctl) -> Iterator[Camera]:
    """A camera open for questions.

    Raises:
        OSError: If it can't be opened.
    """
    camera = Camera(path, ioctl)
    try:
        yield camera
    finally:
        camera.close()
