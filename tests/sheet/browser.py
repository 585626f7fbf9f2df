"""A page in headless Chromium, driven over a pipe with the DevTools protocol; standard library only."""

from __future__ import annotations

import base64
import json
import os
import select
import shutil
import subprocess
import tempfile
import time
from pathlib import Path

# Longest wait for one answer, s: software rendering on a busy machine is slow.
PATIENCE = 120

# What each key sends: code and, for a key that types something, its text.
KEYS = {
    "Tab": ("Tab", 9, ""),
    "Enter": ("Enter", 13, "\r"),
    " ": ("Space", 32, " "),
    "ArrowLeft": ("ArrowLeft", 37, ""),
    "ArrowUp": ("ArrowUp", 38, ""),
    "ArrowRight": ("ArrowRight", 39, ""),
    "ArrowDown": ("ArrowDown", 40, ""),
}
SHIFT = 8


class Browser:
    """One browser with one page. Every host name is refused, so a page that asks the network fails."""

    def __init__(self, *flags: str, program: str = os.environ.get("CHROMIUM", "chromium")):
        if shutil.which(program) is None:
            raise SystemExit(f"no {program}: set CHROMIUM to a Chromium browser")
        self.profile = tempfile.mkdtemp(prefix="sheet-")
        self.next, self.events, self.buffer = 0, [], b""
        to_child, self.send_end = os.pipe()
        self.read_end, from_child = os.pipe()
        command = [
            program, "--headless", "--no-sandbox", "--disable-gpu", "--no-first-run",
            "--disable-background-networking", "--disable-component-update", "--disable-sync",
            "--host-resolver-rules=MAP * ~NOTFOUND", f"--user-data-dir={self.profile}",
            "--remote-debugging-pipe", *flags, "about:blank",
        ]
        # The browser reads commands from descriptor 3 and answers on descriptor 4; the shell puts
        # the two pipes there, whatever numbers they have here.
        redirect = f'exec "$@" 3<&{to_child} 4>&{from_child}'
        self.process = subprocess.Popen(
            ["/bin/sh", "-c", redirect, "sh", *command],
            pass_fds=(to_child, from_child), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )
        os.close(to_child)
        os.close(from_child)
        self.session = None
        target = self.wait_for_page()
        self.session = self.call("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]
        for domain in ("Page", "Runtime", "Log", "Network", "DOM", "Accessibility"):
            self.call(f"{domain}.enable")

    def __enter__(self) -> "Browser":
        return self

    def __exit__(self, *_: object) -> None:
        self.session = None
        try:
            self.call("Browser.close")
            self.process.wait(10)
        except (OSError, RuntimeError, subprocess.TimeoutExpired):
            self.process.kill()
            self.process.wait()
        os.close(self.send_end)
        os.close(self.read_end)
        shutil.rmtree(self.profile, ignore_errors=True)

    def wait_for_page(self) -> str:
        end = time.monotonic() + PATIENCE
        while time.monotonic() < end:
            for target in self.call("Target.getTargets")["targetInfos"]:
                if target["type"] == "page":
                    return target["targetId"]
            time.sleep(0.1)
        raise RuntimeError("the browser opened no page")

    def call(self, method: str, **params: object) -> dict:
        """Sends a command and waits for its answer; events that come between are kept."""
        self.next += 1
        message: dict = {"id": self.next, "method": method, "params": params}
        if self.session:
            message["sessionId"] = self.session
        os.write(self.send_end, json.dumps(message).encode() + b"\0")
        end = time.monotonic() + PATIENCE
        while True:
            answer = self.receive(end - time.monotonic(), method)
            if answer.get("id") == message["id"]:
                if "error" in answer:
                    raise RuntimeError(f"{method}: {answer['error']}")
                return answer["result"]
            self.events.append(answer)

    def receive(self, patience: float, what: str) -> dict:
        while b"\0" not in self.buffer:
            if patience <= 0 or not select.select([self.read_end], [], [], patience)[0]:
                raise RuntimeError(f"{what}: no answer in {PATIENCE} s")
            more = os.read(self.read_end, 1 << 20)
            if not more:
                raise RuntimeError(f"{what}: the browser has gone")
            self.buffer += more
        line, self.buffer = self.buffer.split(b"\0", 1)
        return json.loads(line)

    def open(self, path: Path, scripts: bool = True) -> None:
        """Loads a file, its scripts allowed or not, and waits until it has loaded."""
        self.call("Emulation.setScriptExecutionDisabled", value=not scripts)
        self.events.clear()
        self.call("Page.navigate", url=path.resolve().as_uri())
        end = time.monotonic() + PATIENCE
        while not any(e.get("method") == "Page.loadEventFired" for e in self.events):
            self.events.append(self.receive(end - time.monotonic(), "loading"))
        if scripts:
            self.settle()

    def run(self, script: str) -> object:
        """The value of an expression; a promise is waited for."""
        answer = self.call("Runtime.evaluate", expression=script, returnByValue=True, awaitPromise=True)
        if "exceptionDetails" in answer:
            raise RuntimeError(json.dumps(answer["exceptionDetails"])[:600])
        return answer["result"].get("value")

    def settle(self) -> None:
        """Until two frames have been drawn."""
        self.run("new Promise(d => requestAnimationFrame(() => requestAnimationFrame(() => d(1))))")

    def press(self, key: str, shift: bool = False) -> None:
        """One key, down and up, as from a keyboard."""
        code, number, text = KEYS.get(key, (key, ord(key[0].upper()), key))
        event = {
            "key": key, "code": code, "windowsVirtualKeyCode": number,
            "modifiers": SHIFT if shift else 0,
        }
        down = {"type": "keyDown" if text else "rawKeyDown", **({"text": text} if text else {})}
        self.call("Input.dispatchKeyEvent", **event, **down)
        self.call("Input.dispatchKeyEvent", **event, type="keyUp")

    def emulate(self, width: int = 1200, height: int = 900, media: str = "", **features: str) -> None:
        """Size of the window in CSS pixels, medium and media features."""
        self.call("Emulation.setDeviceMetricsOverride", width=width, height=height,
                  deviceScaleFactor=1, mobile=False)
        named = [{"name": k.replace("_", "-"), "value": v} for k, v in features.items()]
        self.call("Emulation.setEmulatedMedia", media=media, features=named)
        self.settle()

    def picture(self, whole: bool = False) -> bytes:
        """What is to be seen, as PNG."""
        return base64.b64decode(
            self.call("Page.captureScreenshot", format="png", captureBeyondViewport=whole)["data"]
        )

    def pdf(self, width: float, height: float) -> bytes:
        """The page in print, on paper of this size in inches."""
        answer = self.call("Page.printToPDF", paperWidth=width, paperHeight=height,
                           preferCSSPageSize=False, printBackground=False)
        return base64.b64decode(answer["data"])
