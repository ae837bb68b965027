"""What may stand on a command line, read and refused before anything is opened."""

from __future__ import annotations

import difflib
import math
import os
import re
from collections.abc import Mapping, Sequence
from datetime import datetime
from pathlib import Path
from typing import TypeVar

import click
from click.shell_completion import CompletionItem

from capturestation.records import Box, Moment, View

Given = TypeVar("Given", float, str)
FIRST_YEAR, LAST_YEAR = 1990, 2100
"""Years of lessons: others are slips of the hand, and some no clock can hold."""
DAY_S = 86_400.0
"""No lesson's file is longer, and a time within it fits the integers of the database."""


class Number(click.ParamType[float]):
    """A plain number, in seconds unless bounds are given; a coach knows no "nan" and no "inf"."""

    name = "number"

    def __init__(self, least: float = -DAY_S, most: float = DAY_S) -> None:
        self.least = least
        self.most = most

    def convert(
        self, value: object, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """Read and check."""
        try:
            number = float(str(value))
        except ValueError:
            number = math.nan
        if not math.isfinite(number):
            self.fail(f"{value!r} is not a number.", param, ctx)
        if not self.least <= number <= self.most:
            self.fail(f"{value} is not from {self.least:g} to {self.most:g}.", param, ctx)
        return number


class Percents(click.ParamType[Box]):
    """A box in a picture, in percent of it: left, top, right, bottom."""

    name = "box"

    def convert(
        self, value: object, param: click.Parameter | None, ctx: click.Context | None
    ) -> Box:
        """Read and check."""
        if isinstance(value, Box):
            return value
        sides = str(value).split(",")
        try:
            left, top, right, bottom = (float(side) / 100.0 for side in sides)
            return Box(left=left, top=top, right=right, bottom=bottom)
        except ValueError:
            self.fail(
                f"{value!r} is no box: four percents, left, top, right, bottom, such as "
                "30,10,70,95.", param, ctx,
            )  # fmt: skip


class Time(click.DateTime):
    """A day, or a minute of one, in a year that can be meant."""

    def convert(
        self, value: object, param: click.Parameter | None, ctx: click.Context | None
    ) -> datetime:
        """Read and check."""
        when: datetime = super().convert(value, param, ctx)
        if not FIRST_YEAR <= when.year <= LAST_YEAR:
            self.fail(f"{value} is not from {FIRST_YEAR} to {LAST_YEAR}.", param, ctx)
        return when


WHEN = Time(["%Y-%m-%d %H:%M", "%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M:%S", "%Y-%m-%d"])
DAY = Time(["%Y-%m-%d"])


class Text(click.ParamType[str]):
    """Words; bytes that are no text could never be kept."""

    name = "text"

    def convert(
        self, value: object, param: click.Parameter | None, ctx: click.Context | None
    ) -> str:
        """Check."""
        text = str(value)
        try:
            text.encode()
        except UnicodeEncodeError:
            self.fail(f"{text!r} is not text in UTF-8.", param, ctx)
        return text


class Folder(click.Path):
    """A folder's path."""

    def __init__(self) -> None:
        super().__init__(file_okay=False, path_type=Path)

    def convert(
        self,
        value: str | os.PathLike[str],
        param: click.Parameter | None,
        ctx: click.Context | None,
    ) -> str | bytes | os.PathLike[str]:
        """Check; no name at all would mean the folder that one happens to be in."""
        if not str(value):
            self.fail("A folder needs a name; for this one write a dot.", param, ctx)
        return super().convert(value, param, ctx)


class ClipFile(click.ParamType[Path]):
    """The path of a clip: always MP4, so that no other ending promises another kind."""

    name = "file"

    def convert(
        self, value: object, param: click.Parameter | None, ctx: click.Context | None
    ) -> Path:
        """Check."""
        path = Path(str(value))
        if path.suffix.lower() != ".mp4":
            self.fail(f"{str(value)!r} does not end in .mp4, as a clip's name does.", param, ctx)
        # A name such as 10:30.mp4 would be taken for an address.
        return Path.cwd() / path if ":" in path.name else path

    def shell_complete(
        self, ctx: click.Context, param: click.Parameter, incomplete: str
    ) -> list[CompletionItem]:
        """Files, by the shell itself."""
        del ctx, param
        return [CompletionItem(incomplete, type="file")]


class OfView(click.ParamType[tuple[View, float]]):
    """VIEW=NUMBER, for what differs between the cameras."""

    name = "view=number"

    def __init__(self, number: Number) -> None:
        self.number = number

    def convert(
        self, value: object, param: click.Parameter | None, ctx: click.Context | None
    ) -> tuple[View, float]:
        """Split and read."""
        view, _, number = str(value).partition("=")
        if view not in list(View):
            views = ", ".join(View)
            self.fail(f"{value!r} is not VIEW=NUMBER with a view of: {views}.", param, ctx)
        return View(view), self.number.convert(number, param, ctx)


class OneMoment(click.ParamType[Moment]):
    """A moment by its words; capitals, commas and hyphens don't matter."""

    name = "moment"

    def convert(
        self, value: object, param: click.Parameter | None, ctx: click.Context | None
    ) -> Moment:
        """Find it, or say which one is near."""
        known = {_plain(moment): moment for moment in Moment}
        typed = _plain(str(value))
        if typed not in known:
            near = difflib.get_close_matches(typed, known, n=1)
            hint = f'Did you mean "{known[near[0]]}"?' if near else f"There are: {_listed()}."
            self.fail(f'"{value}" is no moment of a swing. {hint}', param, ctx)
        return known[typed]

    def shell_complete(
        self, ctx: click.Context, param: click.Parameter, incomplete: str
    ) -> list[CompletionItem]:
        """Moments, written so that a shell needs no quotes."""
        del ctx, param
        written = [_plain(moment).replace(" ", "-") for moment in Moment]
        return [CompletionItem(word) for word in written if word.startswith(incomplete)]


def _plain(words: str) -> str:
    return " ".join(re.findall("[a-z]+", words.lower()))


def _listed() -> str:
    return "; ".join(Moment)


class NamedCamera(click.ParamType[tuple[View, str]]):
    """VIEW=NAME of the camera that made a file."""

    name = "view=name"

    def convert(
        self, value: object, param: click.Parameter | None, ctx: click.Context | None
    ) -> tuple[View, str]:
        """Split and read."""
        if isinstance(value, tuple):
            return View(value[0]), str(value[1])
        view, _, name = str(value).partition("=")
        if view not in set(View) or not name.strip():
            self.fail(f"{value!r} is not VIEW=NAME, such as face-on=phone.", param, ctx)
        return View(view), name.strip()


def by_view(
    given: Sequence[tuple[View, Given]], files: Mapping[View, object], option: str
) -> dict[View, Given]:
    """One value for each view that has a file.

    Raises:
        click.UsageError: If a view is named twice or has no file.
    """
    found: dict[View, Given] = {}
    for view, number in given:
        if view in found:
            raise click.UsageError(f"{option} names {view} twice.")
        if view not in files:
            raise click.UsageError(f"{option} names {view}, which has no file.")
        found[view] = number
    return found
