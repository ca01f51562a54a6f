"""A headless Chromium, driven through ChromeDriver with nothing but the standard library.

Debian's packages chromium and chromium-driver; `.ci/run` installs them. Where they are missing, the tests that need
them say so and are red.
"""

import base64
import json
import re
import shutil
import subprocess
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType
from typing import Any

import pytest

FLAGS = (
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--hide-scrollbars", "--force-color-profile=srgb",
)  # fmt: skip
NEEDED = (
    "is not installed here. Debian's packages chromium and chromium-driver have it; .ci/run installs them."
)


def program(name: str) -> str:
    """The path of a program; the test is red without it."""
    found = shutil.which(name)
    if found is None:
        pytest.fail(f"{name} {NEEDED}")
    return found


class Browser:
    """One session of a browser with a new, empty profile."""

    def __init__(self, port: int, profile: Path) -> None:
        self._base = f"http://127.0.0.1:{port}"
        options = {"binary": program("chromium"), "args": [*FLAGS, f"--user-data-dir={profile}"]}
        wanted = {
            "browserName": "chrome", "goog:chromeOptions": options,
            "goog:loggingPrefs": {"browser": "ALL", "performance": "ALL"},
        }  # fmt: skip
        made = self._ask("POST", "/session", {"capabilities": {"alwaysMatch": wanted}})
        self._session = f"/session/{made['sessionId']}"

    def _ask(self, method: str, path: str, body: Any = None) -> Any:
        data = None if body is None else json.dumps(body).encode()
        request = urllib.request.Request(
            self._base + path, data, {"Content-Type": "application/json"}, method=method
        )
        try:
            with urllib.request.urlopen(request, timeout=120) as answer:
                return json.load(answer)["value"]
        except urllib.error.HTTPError as error:
            raise AssertionError(error.read().decode()) from error

    def open(self, path: Path) -> None:
        """Show a file, with the logs emptied before; what the browser's own first page asked for is in none."""
        self._ask("POST", f"{self._session}/url", {"url": "about:blank"})
        for kind in ("browser", "performance"):
            self.log(kind)
        self._ask("POST", f"{self._session}/url", {"url": path.as_uri()})

    def script(self, source: str, *arguments: Any) -> Any:
        """What a script of ours answers in the page; the page's own policy does not concern it."""
        body = {"script": source, "args": list(arguments)}
        return self._ask("POST", f"{self._session}/execute/sync", body)

    def script_later(self, source: str, *arguments: Any) -> Any:
        """What a script answers by calling its last argument."""
        body = {"script": source, "args": list(arguments)}
        return self._ask("POST", f"{self._session}/execute/async", body)

    def command(self, name: str, **parameters: Any) -> Any:
        """A command of the browser's own protocol."""
        body = {"cmd": name, "params": parameters}
        return self._ask("POST", f"{self._session}/goog/cdp/execute", body)

    def log(self, kind: str) -> list[dict[str, Any]]:
        """What was logged since this was last asked."""
        found: list[dict[str, Any]] = self._ask("POST", f"{self._session}/se/log", {"type": kind})
        return found

    def requests(self) -> list[str]:
        """The addresses that the page has asked for since it was opened."""
        events = [json.loads(entry["message"])["message"] for entry in self.log("performance")]
        sent = [event for event in events if event["method"] == "Network.requestWillBeSent"]
        return [event["params"]["request"]["url"] for event in sent]

    def scheme(self, name: str) -> None:
        """Prefer light or dark."""
        features = [{"name": "prefers-color-scheme", "value": name}]
        self.command("Emulation.setEmulatedMedia", media="", features=features)

    def pdf(self, width: float, height: float) -> bytes:
        """The page printed on paper of so many inches, with the margins that it asks for."""
        made = self.command(
            "Page.printToPDF", paperWidth=width, paperHeight=height, preferCSSPageSize=False, printBackground=True
        )  # fmt: skip
        return base64.b64decode(made["data"])

    def __enter__(self) -> "Browser":
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._ask("DELETE", self._session)


@contextmanager
def browser(folder: Path) -> Iterator[Browser]:
    """A browser whose profile lies in a folder; both are gone afterwards."""
    driver = subprocess.Popen(
        [program("chromedriver"), "--port=0"], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
    )
    try:
        assert driver.stdout is not None
        port = next(
            (
                int(found[1])
                for line in driver.stdout
                if (found := re.search(r"success.* on port (\d+)", line))
            ),
            None,
        )
        assert port is not None, "ChromeDriver did not say on which port it listens"
        with Browser(port, folder / "profile") as session:
            yield session
    finally:
        driver.terminate()
        driver.wait(timeout=30)
        assert driver.stdout is not None
        driver.stdout.close()
