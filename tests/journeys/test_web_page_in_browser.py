"""The web page that goes home, in a real browser without a network: keys, mouse, fingers, sizes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path

import pytest
from PyQt6.QtWidgets import QApplication

from capturestation.library import Library
from capturestation.records import Consent, Giver, Purpose, Quiet, Shape
from capturestation.station import people
from capturestation.station.clips import ClipWish
from capturestation.station.going_home import HomeWish, take_home
from tests.helpers.library_records import DAY
from tests.helpers.real_browser import Browser, browser_path
from tests.helpers.sketches import drawing
from tests.helpers.station_library import NAME, Filled

pytestmark = [pytest.mark.process, pytest.mark.slow, pytest.mark.timeout(180)]
FRAME = "Number(document.body.dataset.frame)"
PLUMB = drawing(Shape.PLUMB, (0.5, 0.5))
IMPACT = "facts.moments.find(one => one.name === 'impact').frame"


@dataclass(frozen=True)
class Opened:
    browser: Browser
    page: Path

    def show(self, width_px: int, height_px: int, *, is_touched: bool = False) -> None:
        """Open it anew, standing at impact."""
        self.browser.open(self.page, width_px, height_px, is_touched=is_touched)
        self.browser.wait_until(f"{FRAME} === {IMPACT}")

    def stands_at(self, frame: str) -> None:
        """Wait until it shows that frame, and the film stands there too."""
        self.browser.wait_until(f"{FRAME} === {frame}")
        self.browser.wait_until(
            f"!film.seeking && Math.floor(film.currentTime * facts.rate_hz + 1e-6) === {frame}"
        )

    def seen(self) -> list[int]:
        """A grid of what is painted."""
        found = self.browser.ask(
            "Array.from(pen.getImageData(0, 0, stage.width, stage.height).data)"
            ".filter((_, place) => place % 404 === 1)"
        )
        assert isinstance(found, list)
        return [int(one) for one in found if isinstance(one, int)]


@pytest.fixture(scope="module")
def opened(
    tmp_path_factory: pytest.TempPathFactory, prepared: Filled, qapp: QApplication
) -> Iterator[Opened]:
    browser_path()
    filled = prepared.copied(tmp_path_factory.mktemp("web") / "library")
    with Library.open(filled.folder) as library:
        yes = Consent(purpose=Purpose.SHARING, giver=Giver.STUDENT, given=True, on=DAY, by="coach")
        people.answer_consent(library, NAME, yes)
        held = library.swing(filled.today.id).book
        library.save_book(replace(held, drawings=(PLUMB,)))
        wish = HomeWish(clip=ClipWish(slow=Fraction(1), hold_s=0.0))
        made = take_home(library, "latest", None, wish, filled.folder.parent / "home", Quiet())
    with Browser(tmp_path_factory.mktemp("browser")) as browser:
        yield Opened(browser, made.web)
        assert browser.faults == []
        assert {url.partition(":")[0] for url in browser.asked} <= {"file", "data", "blob"}


def test_it_opens_at_impact_and_says_so(opened: Opened) -> None:
    opened.show(1280, 800)

    opened.stands_at(IMPACT)
    assert opened.browser.ask("document.getElementById('when').textContent") == "impact"
    assert opened.browser.ask("document.getElementById('trouble').hidden") is True
    assert len(set(opened.seen())) > 8


def test_keys_step_go_to_moments_and_blend(opened: Opened) -> None:
    browser = opened.browser
    opened.show(1280, 800)

    browser.press("ArrowRight")
    opened.stands_at(f"{IMPACT} + 1")
    browser.press("ArrowLeft", shift=True)
    opened.stands_at(f"{IMPACT} - 9")
    browser.press("1")
    opened.stands_at("facts.moments[0].frame")
    browser.press("End")
    opened.stands_at("facts.frames - 1")
    browser.press("ArrowRight")
    browser.press("Home")
    opened.stands_at("0")
    browser.press("ArrowDown")
    browser.wait_until("document.body.dataset.blend === '90'")


def test_keys_pressed_faster_than_the_film_follows_are_all_counted(opened: Opened) -> None:
    opened.show(1280, 800)

    for _ in range(12):
        opened.browser.press("ArrowLeft")

    opened.stands_at(f"{IMPACT} - 12")


def test_it_plays_slowly_and_stops_on_the_frame_that_is_seen(opened: Opened) -> None:
    browser = opened.browser
    opened.show(1280, 800)
    browser.press("Home")
    opened.stands_at("0")

    browser.click("[data-speed='0.125']")
    browser.click("#play")
    browser.wait_until(f"{FRAME} > 3")
    assert browser.ask("film.playbackRate") == 0.25
    browser.click("#play")

    browser.wait_until("film.paused")
    stopped = browser.ask(FRAME)
    assert browser.ask("document.getElementById('play').textContent") == "Play"
    assert browser.ask(FRAME) == stopped


def test_a_slider_goes_from_then_to_now(opened: Opened) -> None:
    browser = opened.browser
    opened.show(1280, 800)
    browser.click("[data-views='face-on|down-the-line']")
    browser.ask("lines = false, draw()")
    now = opened.seen()

    browser.ask("setBlend(0)")
    then = opened.seen()
    browser.ask("setBlend(0.5)")
    between = opened.seen()

    assert now != then
    off = [abs(2 * c - a - b) for a, b, c in zip(now, then, between, strict=True)]
    assert max(off) <= 8
    assert "own best" in str(browser.ask("document.getElementById('then').textContent"))


def test_what_is_drawn_on_today_is_seen_and_hidden_and_never_on_the_earlier_swing(
    opened: Opened,
) -> None:
    browser = opened.browser
    opened.show(1280, 800)
    browser.wait_until("facts.cells.some(cell => cell.lines && cell.lines.naturalWidth)")

    drawn = opened.seen()
    browser.click("#lines")
    bare = opened.seen()
    browser.ask("setBlend(0)")
    then = opened.seen()
    browser.click("#lines")

    assert drawn != bare
    assert opened.seen() == then
    assert browser.ask("document.getElementById('lines').getAttribute('aria-pressed')") == "true"


def test_fingers_drag_through_the_swing_and_press_moments(opened: Opened) -> None:
    browser = opened.browser
    opened.show(360, 740, is_touched=True)

    browser.swipe("#stage", -120)
    browser.wait_until(f"{FRAME} < {IMPACT} - 10")
    browser.tap("#moments button:first-child", f"{FRAME} === facts.moments[0].frame")

    opened.stands_at("facts.moments[0].frame")
    assert browser.ask("document.querySelector('#moments button').getAttribute('aria-pressed')")


@pytest.mark.parametrize("width_px", [360, 414, 768, 1024, 1280, 1920])
def test_at_any_width_nothing_lies_beyond_the_edge_and_fingers_find_the_buttons(
    opened: Opened, width_px: int
) -> None:
    opened.show(width_px, 800, is_touched=width_px < 1000)

    assert opened.browser.ask("document.documentElement.scrollWidth <= innerWidth") is True
    small = (
        "[...document.querySelectorAll('button')].filter(one => one.offsetParent)"
        ".filter(one => one.offsetHeight < 44 || one.offsetWidth < 44).length"
    )
    assert opened.browser.ask(small) == 0
    assert opened.browser.ask("stage.clientWidth >= 0.5 * Math.min(innerWidth, 800) - 40") is True
