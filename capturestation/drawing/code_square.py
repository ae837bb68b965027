"""An address as a square that a phone's camera reads (ISO/IEC 18004)."""

from __future__ import annotations

import numpy as np
import segno

from capturestation.records import FrameArray

_QUIET = 4
# Empty modules round it: the standard asks for them, and cameras miss it without.


def code_square(text: str, size_px: int) -> FrameArray:
    """The square, black on white, its modules whole pixels.

    Args:
        text: What the phone is to read.
        size_px: Its largest side.

    Returns:
        (n, n, 3) RGB, n up to `size_px`.

    Raises:
        ValueError: If there is not a pixel for each module.
    """
    made = segno.make(text, error="m", micro=False)
    dark = np.array([list(row) for row in made.matrix], dtype=np.uint8) > 0
    modules = np.pad(dark, _QUIET)
    each = size_px // len(modules)
    if each < 1:
        msg = f"{len(modules)} modules need as many pixels, got {size_px}"
        raise ValueError(msg)
    grey = np.where(np.kron(modules, np.ones((each, each), dtype=np.bool_)), 0, 255)
    return np.repeat(grey.astype(np.uint8)[:, :, np.newaxis], 3, axis=2)


def code_words(text: str) -> str:
    """The square for a terminal: two modules one above the other are one sign."""
    made = segno.make(text, error="m", micro=False)
    dark = np.array([list(row) for row in made.matrix], dtype=np.uint8) > 0
    modules = np.pad(dark, _QUIET)
    modules = np.pad(modules, ((0, len(modules) % 2), (0, 0)))
    # Light is the filled sign: most terminals write light on dark.
    signs = {(False, False): "█", (False, True): "▀", (True, False): "▄", (True, True): " "}
    pairs = zip(modules[::2], modules[1::2], strict=True)
    return "\n".join(
        "".join(signs[bool(up), bool(down)] for up, down in zip(upper, lower, strict=True))
        for upper, lower in pairs
    )
