"""A headless browser driven over its own debugging pipe, so that a page is opened as a reader opens it."""

from __future__ import annotations

import base64
import fcntl
import json
import os
import shutil
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, NamedTuple

NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
PATIENCE = 60.0
"""s; a browser that does not answer for so long has failed."""


def browser_program() -> str | None:
    """The browser's path, or None."""
    return next((path for name in NAMES if (path := shutil.which(name))), None)


class Opened(NamedTuple):
    """What opening a page came to. said: console messages and errors; asked: every address that was requested; refused:
    those of them that the page's own policy kept from being fetched.
    """

    said: list[str]
    asked: list[str]
    refused: list[str]


class Browser:
    """One tab. Commands are those of the Chrome DevTools Protocol."""

    def __init__(self, to_browser: int, from_browser: int) -> None:
        self._write, self._read = to_browser, from_browser
        self._buffer, self._number, self._session = b"", 0, ""
        self.events: list[dict[str, Any]] = []
        target = self.call("Target.createTarget", url="about:blank")["targetId"]
        self._session = self.call("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]
        for domain in ("Page", "Runtime", "Log", "Network"):
            self.call(f"{domain}.enable")

    def call(self, method: str, **parameters: Any) -> dict[str, Any]:
        """Send a command and wait for its answer; events that come meanwhile are kept."""
        self._number += 1
        message = {"id": self._number, "method": method, "params": parameters}
        if self._session:
            message["sessionId"] = self._session
        os.write(self._write, json.dumps(message).encode() + b"\0")
        while True:
            answer = self._next()
            if answer.get("id") == self._number:
                assert "error" not in answer, answer
                return answer.get("result", {})
            self.events.append(answer)

    def _next(self) -> dict[str, Any]:
        deadline = time.monotonic() + PATIENCE
        while b"\0" not in self._buffer:
            assert time.monotonic() < deadline, "the browser does not answer"
            piece = os.read(self._read, 1 << 16)
            assert piece, "the browser has gone"
            self._buffer += piece
        message, self._buffer = self._buffer.split(b"\0", 1)
        return json.loads(message)

    def open(self, page: Path, width: int, height: int, *, phone: bool = False, dark: bool = False) -> Opened:
        """Open a file and wait until it has loaded."""
        self.resize(width, height, phone=phone)
        scheme = "dark" if dark else "light"
        self.call("Emulation.setEmulatedMedia", features=[{"name": "prefers-color-scheme", "value": scheme}])
        self.events.clear()
        self.call("Page.navigate", url=page.resolve().as_uri())
        while not any(event.get("method") == "Page.loadEventFired" for event in self.events):
            self.events.append(self._next())
        self.run("new Promise(done => requestAnimationFrame(() => setTimeout(done, 50)))")
        said, asked, refused = [], {}, []
        for event in self.events:
            kind, facts = event.get("method"), event.get("params", {})
            if kind in ("Runtime.exceptionThrown", "Runtime.consoleAPICalled", "Log.entryAdded"):
                said.append(json.dumps(facts))
            elif kind == "Network.requestWillBeSent":
                asked[facts["requestId"]] = facts["request"]["url"]
            elif kind == "Network.loadingFailed" and facts.get("blockedReason") == "csp":
                refused.append(asked[facts["requestId"]])
        return Opened(said, list(asked.values()), refused)

    def resize(self, width: int, height: int, *, phone: bool = False) -> None:
        """A window of so many pixels; what is open in it is laid out anew."""
        self.call(
            "Emulation.setDeviceMetricsOverride",
            width=width,
            height=height,
            deviceScaleFactor=1,
            mobile=phone,
        )

    @contextmanager
    def in_print(self) -> Iterator[None]:
        """Laid out by the rules for paper."""
        self.call("Emulation.setEmulatedMedia", media="print")
        try:
            yield
        finally:
            self.call("Emulation.setEmulatedMedia", media="")

    def run(self, script: str) -> Any:
        """The value of a script in the page."""
        answer = self.call("Runtime.evaluate", expression=script, returnByValue=True, awaitPromise=True)
        assert "exceptionDetails" not in answer, answer
        return answer["result"].get("value")

    def point(self, x: float, y: float) -> None:
        """Move the pointer to a place in the window."""
        self.call("Input.dispatchMouseEvent", type="mouseMoved", x=x, y=y)

    def picture(self, path: Path) -> None:
        """Write what is seen, the whole length of the page, as PNG."""
        shot = self.call("Page.captureScreenshot", captureBeyondViewport=True)
        path.write_bytes(base64.b64decode(shot["data"]))

    def printed(self, paper: tuple[float, float]) -> bytes:
        """The page as PDF on paper of so many inches."""
        sheet = self.call(
            "Page.printToPDF", paperWidth=paper[0], paperHeight=paper[1], preferCSSPageSize=False
        )
        return base64.b64decode(sheet["data"])


@contextmanager
def opened_browser(folder: Path) -> Iterator[Browser]:
    """A browser with an empty profile in a folder; gone afterwards whatever happens."""
    program = browser_program()
    assert program is not None
    to_browser, from_browser = os.pipe(), os.pipe()

    def take_pipes() -> None:
        ends = [fcntl.fcntl(end, fcntl.F_DUPFD, 10) for end in (to_browser[0], from_browser[1])]
        os.dup2(ends[0], 3)  # the browser reads commands from 3 and answers on 4
        os.dup2(ends[1], 4)

    options = ["--headless=new", "--no-sandbox", "--disable-gpu", "--disable-background-networking",
               "--no-first-run", "--disable-extensions", "--disable-component-update", "--disable-dev-shm-usage",
               f"--user-data-dir={folder}", "--remote-debugging-pipe"]  # fmt: skip
    running = subprocess.Popen(
        [program, *options],
        preexec_fn=take_pipes,
        close_fds=False,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    os.close(to_browser[0])
    os.close(from_browser[1])
    try:
        yield Browser(to_browser[1], from_browser[0])
    finally:
        running.kill()
        running.wait()
        os.close(to_browser[1])
        os.close(from_browser[0])
