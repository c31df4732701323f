"""A headless Chromium that a test drives: taps, reloads, clocks, zones, kills, screenshots.

It is spoken to in the browser's own protocol (Chrome DevTools Protocol) over two pipes, on file
descriptors 3 and 4: JSON texts that end in a NUL character.
"""

from __future__ import annotations

import base64
import json
import os
import subprocess
import time
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from browser import OPTIONS, TIMEOUT

CLOCK = """(start => {
  const Real = Date;
  let at = start;
  window.setClock = now => { at = now; };
  window.Date = class extends Real {
    constructor(...given) { super(...(given.length ? given : [at])); }
    static now() { return at; }
  };
})(%d);"""
"""A clock of the page's own, which stands until it is set."""


class Driven:
    """A browser with one page; use it with `with`."""

    def __init__(self, browser: str, profile: Path, *options: str) -> None:
        to_read, self._write = os.pipe()
        self._read, to_write = os.pipe()

        def on_three_and_four() -> None:
            kept = [os.dup(one) for one in (to_read, to_write)]
            for wanted, one in zip((3, 4), kept, strict=True):
                os.dup2(one, wanted)

        self.process = subprocess.Popen(
            [browser, *OPTIONS, *options, "--remote-debugging-pipe", f"--user-data-dir={profile}"],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            close_fds=False,
            pass_fds=(),
            preexec_fn=on_three_and_four,
        )
        os.close(to_read)
        os.close(to_write)
        self._rest, self._number, self._session = b"", 0, None
        self.said: list[str] = []
        self.loaded = True
        self._open_page()

    def fresh(self) -> None:
        """A page in a context of its own: nothing of the pages before it is kept."""
        self.said, self._session = [], None
        context = self.ask("Target.createBrowserContext")["browserContextId"]
        self._open_page(browserContextId=context)

    def _open_page(self, **where: str) -> None:
        target = self.ask("Target.createTarget", url="about:blank", **where)["targetId"]
        attached = self.ask("Target.attachToTarget", targetId=target, flatten=True)
        self._session = attached["sessionId"]
        for domain in ("Page", "Runtime"):
            self.ask(f"{domain}.enable")

    def ask(self, method: str, **parameters: Any) -> dict[str, Any]:
        """The browser's answer; what it says meanwhile on its console is kept in `said`."""
        self._number += 1
        asked: dict[str, Any] = {"id": self._number, "method": method, "params": parameters}
        if self._session is not None:
            asked["sessionId"] = self._session
        os.write(self._write, json.dumps(asked).encode() + b"\0")
        ends = time.monotonic() + TIMEOUT
        while time.monotonic() < ends:
            while b"\0" not in self._rest:
                more = os.read(self._read, 65536)
                assert more, "the browser has gone"
                self._rest += more
            one, _, self._rest = self._rest.partition(b"\0")
            told = json.loads(one)
            if told.get("method") in ("Runtime.exceptionThrown", "Runtime.consoleAPICalled"):
                self.said.append(json.dumps(told["params"])[:500])
            self.loaded = self.loaded or told.get("method") == "Page.loadEventFired"
            if told.get("id") == self._number:
                assert "error" not in told, (method, told)
                return dict(told["result"])
        raise TimeoutError(method)

    def run(self, script: str) -> Any:
        """The value of an expression in the page."""
        done = self.ask(
            "Runtime.evaluate",
            expression=script,
            returnByValue=True,
            awaitPromise=True,
            userGesture=True,
        )
        assert "exceptionDetails" not in done, done
        return done["result"].get("value")

    def at_clock(self, moment: int, zone: str) -> None:
        """Pages opened from now on have this clock (milliseconds since 1970) and zone."""
        self.ask("Page.addScriptToEvaluateOnNewDocument", source=CLOCK % moment)
        self.ask("Emulation.setTimezoneOverride", timezoneId=zone)

    def open(self, address: str) -> None:
        """Open a page and wait until its script has run."""
        self.loaded = False
        self.ask("Page.navigate", url=address)
        while not self.loaded:
            self.ask("Browser.getVersion")
            time.sleep(0.02)

    def phone(self, width: int = 390, height: int = 844) -> None:
        """A window of a phone's size."""
        self.ask(
            "Emulation.setDeviceMetricsOverride",
            width=width,
            height=height,
            deviceScaleFactor=1,
            mobile=True,
        )

    def picture(self, file: Path, whole: bool = True) -> None:
        """A screenshot of the page."""
        taken = self.ask("Page.captureScreenshot", format="png", captureBeyondViewport=whole)
        file.write_bytes(base64.b64decode(taken["data"]))

    def kill(self) -> None:
        """End it at once, as a dead battery does."""
        self.process.kill()
        self.process.wait()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self.process.poll() is None:
            self.kill()
        os.close(self._write)
        os.close(self._read)
