"""What a recording is made from, as typed: cameras, how they are asked to send, the microphone."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from typing import ParamSpec, TypedDict, TypeVar

import click

from capturestation.cli.parameters import NamedCamera, Number, OfView
from capturestation.cli.say import put_aside
from capturestation.records import View
from capturestation.records.capture import (
    QUARTER_TURNS,
    MicrophoneSetting,
    SourceKind,
    SourceSetting,
)
from capturestation.station.bay.choosing import SCHEMES, by_address
from capturestation.station.bay.setting import BaySetting, bay_file, read_bay

P = ParamSpec("P")
R = TypeVar("R")
ViewWord = tuple[View, str]
_MODE = re.compile(r"(\d+)x(\d+)(?:@(\d+(?:/\d+)?))?(?::(\w+))?")


class AskedOfView(click.ParamType[tuple[View, str]]):
    """VIEW=WIDTHxHEIGHT@RATE:CODING of a camera."""

    name = "view=mode"

    def convert(
        self, value: object, param: click.Parameter | None, ctx: click.Context | None
    ) -> ViewWord:
        """Split and check."""
        view, _, mode = str(value).partition("=")
        if view not in set(View) or not _MODE.fullmatch(mode):
            self.fail(f"{value!r} is not such as face-on=1280x720@120:mjpeg.", param, ctx)
        return View(view), mode


class SourceOptions(TypedDict):
    """What the options hold."""

    camera: tuple[ViewWord, ...]
    mode: tuple[ViewWord, ...]
    turned: tuple[tuple[View, float], ...]
    lens: tuple[ViewWord, ...]
    microphone: str | None
    microphone_m: tuple[tuple[View, float], ...]
    demo: bool


def source_options(command: Callable[P, R]) -> Callable[P, R]:
    """Add the options; without any, the bay is recorded as it was set up in the window."""
    named = NamedCamera()
    options = (
        click.option("--camera", metavar="VIEW=ADDRESS", type=named, multiple=True,
            help="A camera: its device or its URL. None takes the bay as set up in the window."),
        click.option("--mode", metavar="VIEW=MODE", type=AskedOfView(), multiple=True,
            help="What it is asked for, such as face-on=1280x720@120:mjpeg."),
        click.option("--turned", metavar="VIEW=DEGREES", type=OfView(Number(0, 270)),
            multiple=True, help="Clockwise turn that shows it upright: 90 for one on its side."),
        click.option("--lens", metavar="VIEW=NAME", type=named, multiple=True,
            help="Lens or zoom that it is set to, in your words."),
        click.option("--microphone", metavar="NAME",
            help='The station\'s own microphone; "usual" for the system\'s. Else a camera\'s.'),
        click.option("--microphone-m", metavar="VIEW=METRES", type=OfView(Number(0, 100)),
            multiple=True, help="From ball to that camera's microphone."),
        click.option("--demo", is_flag=True, help="The invented bay: no camera is opened."),
    )  # fmt: skip
    for option in reversed(options):
        command = option(command)
    return command


def bay_of(asked: SourceOptions) -> BaySetting:
    """The bay as typed, or as set up.

    Raises:
        click.UsageError: If something is said of a camera that is not named.
        BadInputError: If an address is none.
    """
    if asked["demo"]:
        return BaySetting(is_demo=True)
    if not asked["camera"]:
        known = read_bay(bay_file())
        if known.trouble is not None:
            put_aside(str(known.trouble))
        return known.setting
    cameras: dict[View, SourceSetting] = {}
    for view, address in asked["camera"]:
        if view in cameras:
            raise click.UsageError(f"--camera names {view} twice.")
        cameras[view] = _camera(view, address)
    _ask(cameras, asked)
    microphone = None
    if asked["microphone"]:
        name = "" if asked["microphone"] == "usual" else asked["microphone"]
        microphone = MicrophoneSetting(name=name)
    return BaySetting(cameras=tuple(cameras.values()), microphone=microphone)


def _camera(view: View, address: str) -> SourceSetting:
    if address.partition("://")[0] in SCHEMES:
        return by_address(address, view)
    return SourceSetting(view=view, kind=SourceKind.DEVICE, address=address, camera=address)


def _ask(cameras: dict[View, SourceSetting], asked: SourceOptions) -> None:
    for view, mode in asked["mode"]:
        _change(cameras, "--mode", view, **_mode(mode))
    for view, degrees in asked["turned"]:
        if degrees not in QUARTER_TURNS:
            raise click.UsageError(f"--turned goes by quarters, got {degrees:g}.")
        _change(cameras, "--turned", view, rotation_deg=int(degrees))
    for view, lens in asked["lens"]:
        _change(cameras, "--lens", view, lens=lens)
    for view, metres in asked["microphone_m"]:
        _change(cameras, "--microphone-m", view, microphone_m=metres)


def _mode(text: str) -> dict[str, object]:
    found = _MODE.fullmatch(text)
    assert found is not None
    width, height, rate, form = found.groups()
    changes: dict[str, object] = {"width_px": int(width), "height_px": int(height)}
    if rate is not None:
        changes["rate_hz"] = Fraction(rate)
    if form is not None:
        changes["form"] = form
    return changes


def _change(cameras: dict[View, SourceSetting], option: str, view: View, **changes: object) -> None:
    if view not in cameras:
        raise click.UsageError(f"{option} names {view}, which has no --camera.")
    cameras[view] = replace(cameras[view], **changes)  # type: ignore[arg-type]
