"""Records to and from plain JSON values, by their own type hints.

One place, so that folders, database and `--json` say the same. Unknown keys are refused: a file
from a newer program must not lose what it holds when it is written back.
"""

from __future__ import annotations

import types
from dataclasses import MISSING, fields, is_dataclass
from datetime import date
from enum import Enum
from fractions import Fraction
from functools import cache
from pathlib import PurePath
from typing import TypeVar, Union, get_args, get_origin, get_type_hints

Record = TypeVar("Record")
Plain = None | bool | int | float | str | list["Plain"] | dict[str, "Plain"]


def to_plain(value: object) -> Plain:
    """Turn a record, or anything inside one, into JSON values.

    Example:
        >>> to_plain({"rate": Fraction(120), "on": date(2026, 3, 2)})
        {'rate': '120/1', 'on': '2026-03-02'}
    """
    if is_dataclass(value) and not isinstance(value, type):
        return {f.name: to_plain(getattr(value, f.name)) for f in fields(value)}
    if isinstance(value, dict):
        return {str(key): to_plain(item) for key, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [to_plain(item) for item in value]
    return _leaf_to_plain(value)


def _leaf_to_plain(value: object) -> Plain:
    if isinstance(value, Enum):
        return str(value.value)
    if isinstance(value, Fraction):
        return f"{value.numerator}/{value.denominator}"
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, PurePath):
        return value.as_posix()
    if value is None or isinstance(value, (bool, int, float, str)):
        return value
    msg = f"no plain form for {type(value).__name__}"
    raise TypeError(msg)


def from_plain(kind: type[Record], value: Plain) -> Record:
    """Build a record of `kind` from what `to_plain` made.

    Raises:
        ValueError: If a key is unknown or missing, or a value has another type; names the place.
    """
    built = _build(kind, value, kind.__name__)
    assert isinstance(built, kind)
    return built


def _build(hint: object, value: Plain, place: str) -> object:
    origin = get_origin(hint)
    if origin in (Union, types.UnionType):
        return _build_union(hint, value, place)
    if origin is tuple:
        return _build_tuple(hint, value, place)
    plain_hint = getattr(hint, "__supertype__", hint)
    if not isinstance(plain_hint, type):
        msg = f"{place}: no rule for {hint}"
        raise TypeError(msg)
    if is_dataclass(plain_hint):
        return _build_record(plain_hint, value, place)
    return _build_leaf(plain_hint, value, place)


def _build_union(hint: object, value: Plain, place: str) -> object:
    options = get_args(hint)
    if value is None:
        if type(None) in options:
            return None
        msg = f"{place}: a value is needed"
        raise ValueError(msg)
    return _build(next(o for o in options if o is not type(None)), value, place)


def _build_tuple(hint: object, value: Plain, place: str) -> tuple[object, ...]:
    if not isinstance(value, list):
        raise _misfit(place, "a list is needed", value)
    item_hint = get_args(hint)[0]
    return tuple(_build(item_hint, item, f"{place}[{i}]") for i, item in enumerate(value))


def _build_record(kind: type, value: Plain, place: str) -> object:
    if not isinstance(value, dict):
        raise _misfit(place, "an object is needed", value)
    hints = _hints(kind)
    known = {f.name: f for f in fields(kind)}
    unknown = sorted(set(value) - set(known))
    if unknown:
        msg = f"{place}: unknown {', '.join(unknown)}"
        raise ValueError(msg)
    missing = [
        name
        for name, f in known.items()
        if name not in value and f.default is MISSING and f.default_factory is MISSING
    ]
    if missing:
        msg = f"{place}: missing {', '.join(missing)}"
        raise ValueError(msg)
    return kind(**{name: _build(hints[name], value[name], f"{place}.{name}") for name in value})


@cache
def _hints(kind: type) -> dict[str, object]:
    # A library of thousands of swings asks this for every mark; reading the hints takes longer
    # than building the record.
    return get_type_hints(kind)


def _build_leaf(kind: type, value: Plain, place: str) -> object:
    try:
        if issubclass(kind, (Enum, Fraction, date)):
            return _read_text(kind, value)
    except (ValueError, ZeroDivisionError) as error:
        raise _misfit(place, str(error), value) from error
    if kind is float and isinstance(value, int) and not isinstance(value, bool):
        return float(value)
    if not isinstance(value, kind) or (kind is int and isinstance(value, bool)):
        raise _misfit(place, f"{kind.__name__} is needed", value)
    return value


def _misfit(place: str, why: str, value: Plain) -> ValueError:
    return ValueError(f"{place}: {why}, got {value!r}")


def _read_text(kind: type[Enum | Fraction | date], value: Plain) -> object:
    if not isinstance(value, str):
        raise _misfit(kind.__name__, "text is needed", value)
    return kind.fromisoformat(value) if issubclass(kind, date) else kind(value)
