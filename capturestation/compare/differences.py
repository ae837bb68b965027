"""Whether a measure changed from one swing to another, beyond its own noise.

Owns the paired difference and its words. Refuses to call noise a change: within two standard
uncertainties, or within the player's own spread, the answer is "no clear change".
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from capturestation.records import Measured

COVERAGE = 2.0
"""Two standard uncertainties: about 95 % of normal errors."""
LEAST_SWINGS = 5
"""A spread from fewer swings is itself too uncertain to judge by."""
NO_CHANGE = "no clear change"
_WORDS = {"s": ("longer", "shorter"), "ratio": ("higher", "lower")}


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """Today's value less the earlier one.

    Args:
        value: Today less then.
        unit: As measured.
        u: Standard uncertainty of the difference by measuring alone.
        spread: Standard deviation of the player's single swings; None where it is not known.
        is_clear: Whether it is a change.
        words: For the coach: "longer by 0.08 s ± 0.03 s" (two standard uncertainties), or
            "no clear change".
        note: What could not be judged; empty where all could.
    """

    value: float
    unit: str
    u: float
    spread: float | None
    is_clear: bool
    words: str
    note: str = ""


def change(
    now: Measured,
    then: Measured,
    *,
    same_set_up: bool,
    own_values: Sequence[float] = (),
    ways: tuple[str, str] | None = None,
) -> Change:
    """Compare one measure of two swings of one student.

    Systematic errors that both share cancel in the difference; with another camera set-up
    they don't, and count in full. Two of the player's ordinary swings differ by √2 times the
    spread of single ones, so a change must be beyond twice that too.

    Args:
        now: Today's value.
        then: The earlier value, of the same measure.
        same_set_up: Whether both were measured with the same cameras in the same places.
        own_values: The same measure in this player's ordinary swings, for the spread.
        ways: What a larger and a smaller value are called; else by the unit.

    Raises:
        ValueError: If the units differ.

    Example:
        >>> now = Measured(value=0.93, unit="s", u_random=0.01, u_systematic=0.05)
        >>> then = Measured(value=0.85, unit="s", u_random=0.01, u_systematic=0.05)
        >>> change(now, then, same_set_up=True).words
        'longer by 0.08 s ± 0.03 s'
    """
    if now.unit != then.unit:
        msg = f"a difference needs one unit, got {now.unit} and {then.unit}"
        raise ValueError(msg)
    parts = [now.u_random, then.u_random]
    if not same_set_up:
        parts += [now.u_systematic, then.u_systematic]
    u = math.hypot(*parts)
    spread = float(np.std(own_values, ddof=1)) if len(own_values) >= LEAST_SWINGS else None
    value = now.value - then.value
    noise = max(u, math.sqrt(2.0) * (spread or 0.0))
    is_clear = abs(value) > COVERAGE * noise
    return Change(
        value=value,
        unit=now.unit,
        u=u,
        spread=spread,
        is_clear=is_clear,
        words=_words(value, u, now.unit, ways) if is_clear else NO_CHANGE,
        note="" if spread is not None else _no_spread(len(own_values)),
    )


def value_words(measured: Measured, sides: tuple[str, str] | None = None) -> str:
    """A measure for the coach, with two standard uncertainties of this one swing.

    Args:
        measured: The value.
        sides: What a value above zero and one below are called; without, the sign says it.

    Example:
        >>> value_words(Measured(value=0.8412, unit="s", u_random=0.011))
        '0.84 s ± 0.02'
        >>> value_words(Measured(value=3.12, unit="ratio", u_random=0.2))
        '3.1 ± 0.4'
        >>> open_by = Measured(value=-24.2, unit="deg", u_random=4.0)
        >>> value_words(open_by, ("closed", "open"))
        '24 deg open ± 8'
    """
    either_way = COVERAGE * math.hypot(measured.u_random, measured.u_systematic)
    written = "" if measured.unit == "ratio" else f" {measured.unit}"
    places = _places(either_way) if either_way > 0 else _places(abs(measured.value or 1) / 1000)
    value, side = measured.value, ""
    if sides is not None:
        value, side = abs(value), f" {sides[0] if value >= 0 else sides[1]}"
    return f"{value:.{places}f}{written}{side} ± {either_way:.{places}f}"


def _no_spread(count: int) -> str:
    return (
        f"The player's own spread is not known: it takes {LEAST_SWINGS} other swings like these, "
        f"and {count} are measured."
    )


def _words(value: float, u: float, unit: str, ways: tuple[str, str] | None) -> str:
    more, less = ways or _WORDS.get(unit, ("more", "less"))
    written = "" if unit == "ratio" else f" {unit}"
    either_way = COVERAGE * u
    places = _places(either_way) if either_way > 0 else _places(abs(value) / 10)
    size = f"{abs(value):.{places}f}"
    noise = f"{either_way:.{places}f}"
    return f"{more if value > 0 else less} by {size}{written} ± {noise}{written}"


def _places(noise: float) -> int:
    """Decimals that show the noise to one digit, two where that digit is a 1."""
    power = math.floor(math.log10(noise))
    leading = noise / 10.0**power
    return max(-power + (1 if round(leading, 1) < 2 else 0), 0)
