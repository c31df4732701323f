"""A page as headless Chromium meets it: what it wrote on the console, what it asked the net for.

The browser's own requests (accounts, updates, clock) are told from the page's by who began them,
as the browser's network log states it; they are kept off the net by a resolver that knows no host.
"""

from __future__ import annotations

import json
import re
import shutil
import subprocess
from dataclasses import dataclass
from pathlib import Path

NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome")
OPTIONS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--host-resolver-rules=MAP * ~NOTFOUND",
    "--enable-logging=stderr",
    "--v=0",
)
TIMEOUT = 90
NOBODY = "not an origin"
"""The initiator that the network log gives for requests of the browser itself."""


@dataclass(frozen=True)
class Visit:
    """One visit: the page as rendered, lines on its console, addresses it asked for."""

    dom: str
    console: list[str]
    requests: list[str]


def find_browser() -> str | None:
    """The path of a Chromium, or None."""
    return next((path for name in NAMES if (path := shutil.which(name))), None)


def visit(browser: str, page: Path, folder: Path, *options: str) -> Visit:
    """Open a page with a fresh profile in that folder, until it is loaded; `options` are further
    ones of the browser."""
    log = folder / "network.json"
    done = subprocess.run(
        [
            browser,
            *OPTIONS,
            *options,
            f"--user-data-dir={folder / 'profile'}",
            f"--log-net-log={log}",
            "--dump-dom",
            page.as_uri(),
        ],
        capture_output=True,
        encoding="utf-8",
        errors="replace",
        timeout=TIMEOUT,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    console = re.findall(r":CONSOLE[:(]\d+\)?\] (.*)", done.stderr)
    return Visit(done.stdout, console, page_requests(log))


def page_requests(log: Path) -> list[str]:
    """The addresses that a page asked for, from the browser's network log."""
    content = json.loads(log.read_text(encoding="utf-8"))
    started = content["constants"]["logEventTypes"]["URL_REQUEST_START_JOB"]
    asked = []
    for event in content["events"]:
        about = event.get("params", {})
        if event["type"] != started or "url" not in about:
            continue
        own = about.get("initiator") == NOBODY and "file:" not in str(
            about.get("network_isolation_key")
        )
        if not own:
            asked.append(about["url"])
    return asked
