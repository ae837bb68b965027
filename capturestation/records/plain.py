"""Records to and from plain JSON values, by their own type hints.

One place, so that folders, database and `--json` say the same. Unknown keys are refused: a file
from a newer program must not lose what it holds when it is written back.
"""

from __future__ import annotations

import types
from collections.abc import Callable
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
    hint: object = kind
    built = _builder(hint)(value, kind.__name__)
    assert isinstance(built, kind)
    return built


Builder = Callable[[Plain, str], object]
"""Makes a value of one hint from its plain form; the text names the place for an error."""


@cache
def _builder(hint: object) -> Builder:
    # A lesson of twenty swings asks this for thousands of values: what a hint means is found out
    # once, and only what depends on the value is left for each.
    origin = get_origin(hint)
    if origin in (Union, types.UnionType):
        return _union_builder(hint)
    if origin is tuple:
        return _tuple_builder(hint)
    plain_hint = getattr(hint, "__supertype__", hint)
    if not isinstance(plain_hint, type):
        msg = f"no rule for {hint}"
        raise TypeError(msg)
    if is_dataclass(plain_hint):
        return _record_builder(plain_hint)
    if issubclass(plain_hint, (Enum, Fraction, date)):
        return _text_builder(plain_hint)
    return _value_builder(plain_hint)


def _union_builder(hint: object) -> Builder:
    options = get_args(hint)
    allows_none = type(None) in options
    build_option = _builder(next(o for o in options if o is not type(None)))

    def build(value: Plain, place: str) -> object:
        if value is not None:
            return build_option(value, place)
        if allows_none:
            return None
        msg = f"{place}: a value is needed"
        raise ValueError(msg)

    return build


def _tuple_builder(hint: object) -> Builder:
    build_item = _builder(get_args(hint)[0])

    def build(value: Plain, place: str) -> object:
        if not isinstance(value, list):
            raise _misfit(place, "a list is needed", value)
        return tuple(build_item(item, f"{place}[{i}]") for i, item in enumerate(value))

    return build


def _record_builder(kind: type) -> Builder:
    hints = get_type_hints(kind)
    known = {f.name: _builder(hints[f.name]) for f in fields(kind)}
    needed = [f.name for f in fields(kind) if f.default is MISSING and f.default_factory is MISSING]

    def build(value: Plain, place: str) -> object:
        if not isinstance(value, dict):
            raise _misfit(place, "an object is needed", value)
        unknown = sorted(name for name in value if name not in known)
        if unknown:
            msg = f"{place}: unknown {', '.join(unknown)}"
            raise ValueError(msg)
        missing = [name for name in needed if name not in value]
        if missing:
            msg = f"{place}: missing {', '.join(missing)}"
            raise ValueError(msg)
        return kind(**{name: known[name](value[name], f"{place}.{name}") for name in value})

    return build


def _text_builder(kind: type[Enum | Fraction | date]) -> Builder:
    read = kind.fromisoformat if issubclass(kind, date) else kind

    def build(value: Plain, place: str) -> object:
        if not isinstance(value, str):
            raise _misfit(place, "text is needed", value)
        try:
            return read(value)
        except (ValueError, ZeroDivisionError) as error:
            raise _misfit(place, str(error), value) from error

    return build


def _value_builder(kind: type) -> Builder:
    def build(value: Plain, place: str) -> object:
        if kind is float and isinstance(value, int) and not isinstance(value, bool):
            return float(value)
        if not isinstance(value, kind) or (kind is int and isinstance(value, bool)):
            raise _misfit(place, f"{kind.__name__} is needed", value)
        return value

    return build


def _misfit(place: str, why: str, value: Plain) -> ValueError:
    return ValueError(f"{place}: {why}, got {value!r}")
