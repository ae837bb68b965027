"""What may stand on a command line, read and refused before anything is opened."""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Mapping, Sequence

import click
from click.shell_completion import CompletionItem

from capturestation.records import Moment, View

WHEN = click.DateTime(["%Y-%m-%d %H:%M", "%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M:%S", "%Y-%m-%d"])
DAY = click.DateTime(["%Y-%m-%d"])


class Number(click.ParamType[float]):
    """A plain number; "nan" and "inf" are no numbers to a coach."""

    name = "number"

    def __init__(self, least: float = -math.inf, most: float = math.inf) -> None:
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
            self.fail(f"{value} is not {self._range()}.", param, ctx)
        return number

    def _range(self) -> str:
        if math.isinf(self.most):
            return f"{self.least:g} or more"
        return f"from {self.least:g} to {self.most:g}"


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


def by_view(
    given: Sequence[tuple[View, float]], files: Mapping[View, object], option: str
) -> dict[View, float]:
    """One number for each view that has a file.

    Raises:
        click.UsageError: If a view is named twice or has no file.
    """
    found: dict[View, float] = {}
    for view, number in given:
        if view in found:
            raise click.UsageError(f"{option} names {view} twice.")
        if view not in files:
            raise click.UsageError(f"{option} names {view}, which has no file.")
        found[view] = number
    return found
