"""Opens a page in a real Chromium without a window and works it: keys, mouse, fingers, sizes.

Speaks the browser's own protocol over two pipes, so no port is opened and no driver is needed. It
is told that there is no network, and every address that the page asks for is written down.
"""

from __future__ import annotations

import base64
import json
import os
import shutil
import subprocess
import time
from collections.abc import Callable
from pathlib import Path
from select import select
from types import TracebackType
from typing import Self, TypeAlias

import pytest

Value: TypeAlias = "bool | int | float | str | list[Value] | dict[str, Value] | None"
Said: TypeAlias = "dict[str, Value]"
_LONGEST_S = 40.0
_KEYS = {"ArrowLeft": 37, "ArrowUp": 38, "ArrowRight": 39, "ArrowDown": 40, " ": 32, "Tab": 9,
         "Home": 36, "End": 35, "Enter": 13}  # fmt: skip


def browser_path() -> str:
    """Where it is; a test that needs it is skipped where it isn't installed."""
    found = shutil.which("chromium")
    if found is None:
        pytest.skip("no Chromium: apt-get install chromium")
    return found


class Browser:
    """One page in one browser; closed with its process by leaving the `with` block.

    Args:
        folder: An empty one for its profile.

    Attributes:
        asked: Every address that was asked for.
        faults: What the page's script threw or complained about.
    """

    def __init__(self, folder: Path) -> None:
        self.asked: list[str] = []
        self.faults: list[str] = []
        self._number = 0
        self._session = ""
        self._unread = b""
        self._folder = folder

    def __enter__(self) -> Self:
        to_it, ours_out = os.pipe()
        ours_in, from_it = os.pipe()
        words = [browser_path(), "--headless=new", "--no-sandbox", "--disable-gpu",
                 "--no-first-run", "--disable-dev-shm-usage", "--disable-background-networking",
                 "--autoplay-policy=no-user-gesture-required", f"--user-data-dir={self._folder}",
                 "--remote-debugging-pipe", "about:blank"]  # fmt: skip
        # The browser reads its commands from 3 and answers on 4.
        shell = f'exec "$@" 3<&{to_it} 4>&{from_it}'
        self._process = subprocess.Popen(
            ["bash", "-c", shell, "browser", *words],
            pass_fds=(to_it, from_it),
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        os.close(to_it)
        os.close(from_it)
        self._out, self._in = ours_out, ours_in
        try:
            self._attach()
        except BaseException:
            self._end()
            raise
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._end()

    def _attach(self) -> None:
        targets = self.tell("Target.getTargets")["targetInfos"]
        assert isinstance(targets, list)
        pages = [one for one in targets if isinstance(one, dict) and one["type"] == "page"]
        attached = self.tell("Target.attachToTarget", targetId=pages[0]["targetId"], flatten=True)
        self._session = str(attached["sessionId"])
        for domain in ("Page", "Runtime", "Network", "Log"):
            self.tell(f"{domain}.enable")

    def _end(self) -> None:
        for end in (self._out, self._in):
            os.close(end)
        self._process.terminate()
        try:
            self._process.wait(10)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait(10)

    def tell(self, method: str, **values: Value) -> Said:
        """Send one command and wait for its answer."""
        self._number += 1
        message: Said = {"id": self._number, "method": method, "params": values}
        if self._session:
            message["sessionId"] = self._session
        os.write(self._out, json.dumps(message).encode() + b"\0")
        until = time.monotonic() + _LONGEST_S
        while time.monotonic() < until:
            said = self._next(until)
            if said.get("id") == self._number:
                assert "error" not in said, (method, said["error"])
                result = said["result"]
                assert isinstance(result, dict)
                return result
            self._note(said)
        msg = f"no answer to {method}"
        raise TimeoutError(msg)

    def _next(self, until: float) -> Said:
        while b"\0" not in self._unread:
            ready, _, _ = select([self._in], [], [], max(until - time.monotonic(), 0.0))
            if not ready:
                return {}
            more = os.read(self._in, 1 << 20)
            assert more, "the browser ended"
            self._unread += more
        said, _, self._unread = self._unread.partition(b"\0")
        read: Said = json.loads(said)
        return read

    def _note(self, said: Said) -> None:
        params = said.get("params")
        if not isinstance(params, dict):
            return
        if said.get("method") == "Network.requestWillBeSent":
            request = params["request"]
            assert isinstance(request, dict)
            self.asked.append(str(request["url"])[:80])
        entry = params.get("entry")
        is_error = isinstance(entry, dict) and entry["level"] == "error"
        if said.get("method") == "Runtime.exceptionThrown" or is_error:
            self.faults.append(json.dumps(params)[:400])

    def open(self, page: Path, width_px: int, height_px: int, *, is_touched: bool = False) -> None:
        """Show a file on a screen of that size, without any network."""
        self.size(width_px, height_px, is_touched=is_touched)
        self.tell("Network.emulateNetworkConditions", offline=True, latency=0,
                  downloadThroughput=0, uploadThroughput=0)  # fmt: skip
        self.tell("Page.navigate", url=page.as_uri())
        there = (
            f"document.readyState === 'complete' && location.href === {json.dumps(page.as_uri())}"
        )
        self.wait_until(there)

    def size(self, width_px: int, height_px: int, *, is_touched: bool = False) -> None:
        """Have a screen of another size."""
        self.tell("Emulation.setDeviceMetricsOverride", width=width_px, height=height_px,
                  deviceScaleFactor=1, mobile=is_touched)  # fmt: skip
        self.tell("Emulation.setTouchEmulationEnabled", enabled=is_touched)

    def ask(self, script: str) -> Value:
        """What an expression of the page is."""
        said = self.tell("Runtime.evaluate", expression=script, returnByValue=True)
        assert "exceptionDetails" not in said, said
        result = said["result"]
        assert isinstance(result, dict)
        return result.get("value")

    def wait_until(self, script: str, holds: Callable[[Value], bool] = bool) -> Value:
        """Wait until an expression of the page is as it should be."""
        until = time.monotonic() + _LONGEST_S
        while True:
            value = self.ask(script)
            if holds(value):
                return value
            assert time.monotonic() < until, (script, value, self.faults)
            time.sleep(0.05)

    def press(self, key: str, *, shift: bool = False) -> None:
        """Press and release a key."""
        text = key if len(key) == 1 else ""
        code, held = _KEYS.get(key, ord(key[0])), 8 if shift else 0
        for kind, typed in (("keyDown", text), ("keyUp", "")):
            self.tell("Input.dispatchKeyEvent", type=kind, key=key, windowsVirtualKeyCode=code,
                      text=typed, modifiers=held)  # fmt: skip

    def click(self, selector: str) -> None:
        """Press the mouse on the middle of an element."""
        x, y = self._middle(selector)
        for kind in ("mousePressed", "mouseReleased"):
            self.tell("Input.dispatchMouseEvent", type=kind, x=x, y=y, button="left", clickCount=1)

    def swipe(self, selector: str, by_px: float) -> None:
        """Lay a finger on an element and move it to the side."""
        x, y = self._middle(selector)
        self._touch("touchStart", x, y)
        for step in range(1, 9):
            self._touch("touchMove", x + by_px * step / 8, y)
        self.tell("Input.dispatchTouchEvent", type="touchEnd", touchPoints=[])

    def tap(self, selector: str, script: str) -> None:
        """Touch the middle of an element until an expression of the page holds.

        A browser that still scrolls takes a touch for the wish to stop, so one may not be enough.
        """
        until = time.monotonic() + _LONGEST_S
        while not self.ask(script):
            assert time.monotonic() < until, (selector, script, self.faults)
            x, y = self._middle(selector)
            self._touch("touchStart", x, y)
            self.tell("Input.dispatchTouchEvent", type="touchEnd", touchPoints=[])
            time.sleep(0.3)

    def _touch(self, kind: str, x: float, y: float) -> None:
        self.tell("Input.dispatchTouchEvent", type=kind, touchPoints=[{"x": x, "y": y}])

    def _middle(self, selector: str) -> tuple[float, float]:
        found = self.ask(
            f"(() => {{ const e = document.querySelector({json.dumps(selector)});"
            "e.scrollIntoView({block: 'center'}); const b = e.getBoundingClientRect();"
            "return [b.x + b.width / 2, b.y + b.height / 2]; })()"
        )
        assert isinstance(found, list)
        x, y = found
        assert isinstance(x, int | float)
        assert isinstance(y, int | float)
        return float(x), float(y)

    def picture(self) -> bytes:
        """The whole page as PNG."""
        said = self.tell("Page.captureScreenshot", format="png", captureBeyondViewport=True)
        return base64.b64decode(str(said["data"]))
