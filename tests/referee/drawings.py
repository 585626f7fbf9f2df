"""Drawings and pages: DXF by ezdxf, SVG and HTML by headless Chromium, PNG by its own rules.

A drawing must come out at true size: one unit of a DXF is a millimetre, and a browser that lays out
an SVG at 96 pixels an inch (W3C, CSS Values and Units Level 3) must show it as large as it says.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import struct
import subprocess
import tempfile
import zlib
from html.parser import HTMLParser
from pathlib import Path

import ezdxf
from ezdxf import bbox

from ledger import Ledger

# Millimetres in a CSS pixel.
PIXEL = 25.4 / 96
# Chromium lays out in 1/64 pixel.
LAYOUT = PIXEL / 32
# A view box is held in single precision, mm.
SAME_UNIT = 1e-4
# Chromium puts the edges of a drawing on whole device units, which stretches it by so much, mm.
SAME_BAR = 1e-2
# Drawings on one page. Chromium holds places in single precision: some hundred thousand pixels down
# a page, a drawing's size is off by more than its layout steps.
PAGE = 100
# Four decimals in both files, mm.
SAME_LINE = 1e-3
# The bar that stands for 100 mm on every template.
BAR = 100.0


def dxf(path: Path, ledger: Ledger) -> tuple[float, float] | None:
    """A DXF: audit without error or repair, unit millimetre; size of its cut lines."""
    name, k = str(path), "ezdxf"
    document = ezdxf.readfile(path)
    audit = document.audit()
    ledger.require(k, "audit without error", name, not audit.errors, audit.errors)
    ledger.require(k, "nothing to repair", name, not audit.fixes, audit.fixes)
    unit = document.header.get("$INSUNITS", 0)
    ledger.require(k, "unit is millimetres", name, unit == 4, unit)
    space = document.modelspace()
    ledger.require(k, "not empty", name, len(space) > 0)
    box = bbox.extents(e for e in space if e.dxf.layer.lower() == "cut")
    return (box.size.x, box.size.y) if box.has_data else None


# Of the level lines on the note layer, the one that is nearest to the bar's length is the bar.
MEASURE = f"const want = {BAR / PIXEL};" + """
const cut = s => { const g = s.querySelector('g.cut'); if (!g) return null;
  const b = g.getBBox(); return [b.width, b.height]; };
const bar = s => { let best = null;
  for (const p of s.querySelectorAll('g.note path, g.note line')) {
    const px = p.getTotalLength() * p.getScreenCTM().a;
    const b = p.getBBox();
    if (b.height < 1e-6 && (best === null || Math.abs(px - want) < Math.abs(best - want))) best = px; }
  return best; };
const found = {};
for (const s of document.querySelectorAll('body > div > svg')) {
  const r = s.getBoundingClientRect(), b = s.getBBox(), v = s.viewBox.baseVal;
  found[s.parentNode.id] = {size: [r.width, r.height], box: [b.x, b.y, b.x + b.width, b.y + b.height],
    view: [v.x, v.y, v.width, v.height], cut: cut(s), bar: bar(s),
    nested: s.querySelector('svg') !== null}; }
const pre = document.createElement('pre'); pre.id = 'measured';
pre.textContent = JSON.stringify(found); document.body.append(pre);
"""


def chromium(*arguments: str) -> subprocess.CompletedProcess[str]:
    """Runs a headless Chromium in a profile of its own."""
    program = os.environ.get("CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")
    if program is None:
        raise SystemExit("referee: no Chromium found, install it or set CHROMIUM to its path")
    with tempfile.TemporaryDirectory() as profile:
        return subprocess.run(
            [program, "--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage",
             f"--user-data-dir={profile}", *arguments],
            capture_output=True, text=True, timeout=300, check=False,
        )


def svgs(paths: list[Path], cuts: dict[Path, tuple[float, float]], ledger: Ledger) -> None:
    """All SVG files in pages of Chromium; `cuts` holds the cut sizes of their DXF twins."""
    for start in range(0, len(paths), PAGE):
        page_of(paths[start:start + PAGE], cuts, ledger)


def page_of(paths: list[Path], cuts: dict[Path, tuple[float, float]], ledger: Ledger) -> None:
    """Some SVG files in one page."""
    k = "chromium"
    parts = [f'<div id="s{i}">{p.read_text()}</div>' for i, p in enumerate(paths)]
    page = ("<!DOCTYPE html><meta charset=utf-8><style>svg{display:block}</style>"
            f"<body>{''.join(parts)}<script>{MEASURE}</script></body>")
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder, "page.html")
        file.write_text(page)
        run = chromium("--dump-dom", file.as_uri())
    match = re.search(r'<pre id="measured">(.*?)</pre>', run.stdout, re.S)
    if match is None:
        raise SystemExit(f"referee: Chromium measured nothing:\n{run.stderr[-2000:]}")
    measured = json.loads(match.group(1))
    for i, path in enumerate(paths):
        name, found = str(path), measured.get(f"s{i}")
        ledger.require(k, "drawn", name, found is not None)
        if found is None:
            continue
        head = re.search(r'<svg [^>]*width="([\d.]+)mm" height="([\d.]+)mm"', path.read_text())
        ledger.require(k, "width and height in mm", name, head is not None)
        for axis in range(2):
            if head is not None:
                stated = float(head.group(axis + 1))
                shown = found["size"][axis] * PIXEL
                ledger.compare(k, "size on the page, mm", name, shown, stated, LAYOUT)
                ledger.compare(k, "one unit is one mm", name, found["view"][2 + axis], stated,
                               SAME_UNIT)
        if not found["nested"]:
            x, y, w, h = found["view"]
            b = found["box"]
            inside = b[0] >= x and b[1] >= y and b[2] <= x + w and b[3] <= y + h
            ledger.require(k, "nothing drawn past the edge", name, inside, (b, found["view"]))
        if "templates" in path.parts and not found["nested"]:
            bar = (found["bar"] or 0.0) * PIXEL
            ledger.compare(k, "scale bar, mm", name, bar, BAR, SAME_BAR)
        if path in cuts:
            for axis in range(2):
                mine = (found["cut"] or [0.0, 0.0])[axis]
                ledger.compare(k, "cut lines as in the DXF, mm", name, mine, cuts[path][axis], SAME_LINE)


class References(HTMLParser):
    """Everything that a page would fetch."""

    def __init__(self) -> None:
        super().__init__()
        self.outside: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        for key, value in attrs:
            fetched = key in ("src", "srcset", "poster", "data") or (key == "href" and tag == "link")
            if fetched and value and not value.startswith(("data:", "#")):
                self.outside.append(f"{tag} {key}={value[:60]}")


def html(path: Path, ledger: Ledger) -> None:
    """A page that stands alone and runs in Chromium without an error."""
    name, k = str(path), "chromium"
    references = References()
    references.feed(path.read_text())
    ledger.require(k, "page fetches nothing", name, not references.outside, references.outside)
    run = chromium("--enable-logging=stderr", "--virtual-time-budget=4000", "--dump-dom",
                   path.resolve().as_uri())
    # WebGL without a graphics card warns; an error of the page's own script says "Uncaught".
    errors = [line for line in run.stderr.splitlines()
              if "CONSOLE" in line and ("Uncaught" in line or "Refused" in line)]
    ledger.require(k, "page runs without an error", name, not errors, errors)
    ledger.require(k, "page has text", name, len(run.stdout) > 1000)


def png(path: Path, ledger: Ledger) -> None:
    """A PNG by the rules of its standard (ISO/IEC 15948): chunks, checksums, amount of data."""
    name, k = str(path), "png"
    data = path.read_bytes()
    ledger.require(k, "signature", name, data[:8] == b"\x89PNG\r\n\x1a\n")
    at, body, head, ended = 8, b"", None, False
    while at + 12 <= len(data):
        (length,) = struct.unpack(">I", data[at:at + 4])
        kind, content = data[at + 4:at + 8], data[at + 8:at + 8 + length]
        (crc,) = struct.unpack(">I", data[at + 8 + length:at + 12 + length])
        ledger.require(k, "checksum of a chunk", name, zlib.crc32(kind + content) == crc, kind)
        if kind == b"IHDR":
            head = struct.unpack(">IIBBBBB", content)
        body += content if kind == b"IDAT" else b""
        ended = kind == b"IEND"
        at += 12 + length
    ledger.require(k, "ends where it should", name, ended and at == len(data))
    ledger.require(k, "has a header", name, head is not None)
    if head is not None:
        width, height, depth, colour = head[:4]
        channels = {0: 1, 2: 3, 3: 1, 4: 2, 6: 4}[colour]
        rows = height * (1 + (width * channels * depth + 7) // 8)
        pixels = zlib.decompress(body)
        ledger.require(k, "holds all its rows", name, len(pixels) == rows)
        ledger.require(k, "is no blank sheet", name, len(set(pixels)) > 8)
