"""Looks at a job sheet as its readers would: by eye, by keyboard, by screen reader, on paper.

Published rules: Web Content Accessibility Guidelines (WCAG) 2.2, W3C 2023; the number of the success
criterion stands beside each check.
"""

from __future__ import annotations

import base64
import json
import re
import xml.etree.ElementTree as xml
from collections.abc import Callable
from pathlib import Path

import contrast
from browser import Browser
from ledger import Ledger
from pdf import Pdf

# Software rendering, so that a machine without a graphics card shows the viewer too.
WEBGL = ("--use-angle=swiftshader", "--enable-unsafe-swiftshader")
NO_WEBGL = ("--disable-3d-apis",)
SCHEMES = ("light", "dark")
# Width at which nothing may need sideways scrolling, CSS pixels: WCAG 1.4.10.
NARROW = 320
# Paper in millimetres (ISO 216; ANSI/ASME Y14.1) and the sheet's own margin.
PAPERS = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
MARGIN = 14.0
INCH = 25.4
PIXEL = INCH / 96
# Layout is rounded to whole pixels here and there.
ROUNDING = 1.5

# What must have been looked at, at least so often, in every sheet.
LEAST = {
    "every part is listed": 1, "every part is in the viewer": 1, "a part alone shows": 1,
    "Tab goes on in the order of the page": 20, "focus is seen": 20, "a control has a name": 20,
    "a picture has words": 2, "heading levels": 5, "a table has heads": 4, "text contrast, light": 100,
    "text contrast, dark": 100, "drawing text contrast": 5, "a key works in the viewer": 10,
    "a view's button works by keyboard": 7, "what is shown is chosen by keyboard": 6,
    "nothing moves by itself": 1, "inside a narrow page": 100, "a wide table scrolls by keyboard": 1,
    "a figure fits, A4": 2, "a figure fits, Letter": 2, "a printed picture is whole, A4": 2,
    "a printed picture is whole, Letter": 2, "pictures without WebGL": 2, "tables without scripts": 4,
    "no message": 3, "no network": 3, "a link leads somewhere": 5,
}

VISIBLE = "e.checkVisibility({ visibilityProperty: true }) && e.getClientRects().length > 0"
CONTROLS = f"""[...document.querySelectorAll('a[href], button, input, select, textarea, summary, [tabindex]')]
  .filter(e => !e.disabled && e.tabIndex >= 0 && {VISIBLE})"""
TEXTS = """(() => {
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT), out = new Map();
  for (let n = walk.nextNode(); n; n = walk.nextNode()) {
    const e = n.parentElement, range = document.createRange();
    range.selectNodeContents(n);
    const hidden = e.closest('script, style, .aside') || !e.checkVisibility({ visibilityProperty: true });
    if (!n.data.trim() || hidden || !range.getClientRects().length) continue;
    const grounds = [];
    for (let up = e; up; up = up.parentElement) {
      const style = getComputedStyle(up);
      if (style.opacity !== '1' || style.filter !== 'none') grounds.push('faded');
      grounds.push(style.backgroundColor);
    }
    const key = JSON.stringify([getComputedStyle(e).color, grounds]);
    const entry = out.get(key) || { top: getComputedStyle(e).color, grounds, text: n.data.trim().slice(0, 40), count: 0 };
    entry.count += 1;
    out.set(key, entry);
  }
  return [...out.values()];
})()"""


class Look:
    """All checks of one sheet."""

    def __init__(self, folder: Path, ledger: Ledger):
        self.folder, self.page, self.ledger = folder, folder / "sheet.html", ledger
        self.parts = [
            part["name"] for part in json.loads((folder / "manifest.json").read_text())["about"]["parts"]
        ]

    def need(self, what: str, holds: bool, detail: object = "", kind: str = "page") -> None:
        self.ledger.require(kind, what, self.folder.name, bool(holds), detail)

    def all(self) -> None:
        """Every check, in fresh browsers."""
        self.session(WEBGL, self.lists, self.structure, self.names, self.viewer, self.colours, self.motion)
        self.session(WEBGL, self.tab, self.narrow, self.paper)
        self.session(NO_WEBGL, self.without_webgl, self.without_scripts)

    def session(self, flags: tuple[str, ...], *checks: Callable[[Browser], None]) -> None:
        """Some checks in one browser, which must stay quiet."""
        with Browser(*flags) as b:
            b.emulate()
            b.open(self.page)
            for check in checks:
                check(b)
                self.quiet(b)

    def quiet(self, b: Browser) -> None:
        """No message on the console, and nothing asked of the network."""
        heard, asked = [], []
        for event in b.events:
            params = event.get("params", {})
            if event.get("method") == "Log.entryAdded":
                heard.append(params["entry"]["text"])
            elif event.get("method") in ("Runtime.consoleAPICalled", "Runtime.exceptionThrown"):
                heard.append(json.dumps(params)[:300])
            elif event.get("method") == "Network.requestWillBeSent":
                url = params["request"]["url"]
                if not url.startswith("data:") and url != self.page.resolve().as_uri():
                    asked.append(url)
        # Messages of the graphics driver are about the machine, not about the page.
        heard = [text for text in heard if "GL Driver Message" not in text]
        self.need("no message", not heard, heard[:3])
        self.need("no network", not asked, asked[:3])

    def lists(self, b: Browser) -> None:
        """Every part of the manifest is in the list of parts and in the viewer."""
        cells = b.run("[...document.querySelectorAll('#parts td')].map(e => e.textContent)")
        shown = b.run("[...document.querySelectorAll('#viewer fieldset.parts label')].map(e => e.textContent.trim())")
        for part in self.parts:
            self.need("every part is listed", part in cells, part)
            self.need("every part is in the viewer", any(s.startswith(part) for s in shown), part)

    def structure(self, b: Browser) -> None:
        """Headings, tables, links (WCAG 1.3.1, 2.4.2, 2.4.4, 3.1.1)."""
        self.need("has a title and a language", b.run("document.title.trim() && document.documentElement.lang"))
        levels = b.run("[...document.querySelectorAll('h1,h2,h3,h4,h5,h6')].map(e => +e.tagName[1])")
        self.need("one first heading", levels.count(1) == 1 and levels[0] == 1, levels[:3])
        for before, level in zip(levels, levels[1:]):
            self.need("heading levels", level <= before + 1, f"{before} then {level}")
        for table in b.run("""[...document.querySelectorAll('table')].map(t => ({
              heads: [...t.querySelectorAll('thead th[scope=col]')].map(h => h.textContent.trim()),
              rows: [...t.tBodies[0].rows].map(r => r.cells.length), text: t.textContent.trim().slice(0, 40) }))"""):
            heads = table["heads"]
            self.need("a table has heads", heads and all(heads), table["text"])
            self.need("a table's rows fit its heads", max(table["rows"]) <= len(heads), table["text"])
        ids = b.run("[...document.querySelectorAll('[id]')].map(e => e.id)")
        self.need("no id twice", ids and len(ids) == len(set(ids)), ids)
        for link in b.run("[...document.querySelectorAll('a')].map(e => e.getAttribute('href'))"):
            self.need("a link leads somewhere", link.startswith("#") and link[1:] in ids, link)

    def names(self, b: Browser) -> None:
        """What a screen reader is told (WCAG 1.1.1, 4.1.2), from the browser's accessibility tree."""
        nodes = [n for n in b.call("Accessibility.getFullAXTree")["nodes"] if not n["ignored"]]
        value = lambda node, what: str(node.get(what, {}).get("value", "")).strip()
        controls = {"link", "button", "checkbox", "combobox", "slider", "application", "group", "status", "spinbutton"}
        for node in nodes:
            role, name = value(node, "role"), value(node, "name")
            if role in controls - {"status"}:
                self.need("a control has a name", name, f"{role} {node.get('backendDOMNodeId')}")
            elif role in ("image", "img", "Canvas", "SvgRoot"):
                self.need("a picture has words", name, node.get("backendDOMNodeId"))
        hidden = b.run("""[...document.querySelectorAll('img, svg, canvas')].filter(e => !e.alt && !e.getAttribute('aria-label')
            && e.closest('[aria-hidden=true]') === null).length""")
        self.need("no picture without words", hidden == 0, hidden)
        apps = [n for n in nodes if value(n, "role") == "application"]
        self.need("the viewer is told of", len(apps) == 1 and value(apps[0], "description"), apps)

    def viewer(self, b: Browser) -> None:
        """The viewer, by its keys alone (WCAG 2.1.1)."""
        seen = lambda: (b.settle(), b.run("document.querySelector('#viewer canvas').toDataURL()"))[1]
        b.run("document.querySelector('#viewer canvas').focus()")
        keys = [(k, False) for k in ("ArrowLeft", "ArrowUp", "+", "-", "ArrowRight", "ArrowDown")]
        keys += [(k, True) for k in ("ArrowLeft", "ArrowUp", "ArrowRight", "ArrowDown")]
        before = seen()
        for key, shift in keys:
            b.press(key, shift)
            after = seen()
            self.need("a key works in the viewer", after != before, f"{'shift ' * shift}{key}")
            before = after
        # No letter and no number does anything: buttons and boxes say in words what they do.
        for key in "abdegmwx0123456789":
            b.press(key)
        self.need("letters and numbers do nothing in the viewer", seen() == before)
        # Every view by its button, then what is shown by its box; all but one pair of boxes both ways.
        press = lambda what: (b.run(f"{what}.focus()"), b.press(" "))
        buttons = "[...[...document.querySelectorAll('#viewer fieldset')].find(f => f.firstChild.textContent === 'view').querySelectorAll('button')]"
        for i in range(b.run(f"{buttons}.length")):
            press(f"{buttons}[{i}]")
            after = seen()
            self.need("a view's button works by keyboard", after != before, b.run(f"{buttons}[{i}].textContent"))
            before = after
        boxes = "[...[...document.querySelectorAll('#viewer fieldset')].find(f => f.firstChild.textContent === 'show').querySelectorAll('input')]"
        for i in (0, 0, 1, 1, 2, 2):
            press(f"{boxes}[{i}]")
            after = seen()
            self.need("what is shown is chosen by keyboard", after != before, b.run(f"{boxes}[{i}].parentElement.textContent"))
            before = after
        measure = f"{boxes}.find(e => e.parentElement.textContent.includes('measure'))"
        canvas = "document.querySelector('#viewer canvas')"
        # Two points are measured: one in the middle, one after a turn.
        status = "document.querySelector('#viewer [role=status]').textContent"
        press(measure)
        asked = b.run(status)
        b.run(f"{canvas}.focus()")
        b.press("Enter")
        second = b.run(status)
        for _ in range(3):
            b.press("ArrowRight")
            b.press("ArrowDown", True)
        b.press("Enter")
        length = re.match(r"(\d+\.\d+) mm", b.run(status))
        self.need("two points are measured by keys", asked and second != asked and length and float(length[1]) > 0,
                  [asked, second, b.run(status)])
        press(measure)
        # The section: an axis by its letter, then the slider.
        b.run("document.querySelector('#viewer select').focus()")
        before = seen()
        b.press("z")
        middle = seen()
        b.run("document.querySelector('#viewer input[type=range]').focus()")
        where = b.run("document.querySelector('#viewer output').textContent")
        b.press("ArrowRight")
        self.need("a section is cut by keys", before != middle
                  and where and where != b.run("document.querySelector('#viewer output').textContent"), where)
        b.run("document.querySelector('#viewer select').focus()")
        b.press("n")
        # Each part draws something when it is shown alone.
        boxes = "[...document.querySelectorAll('#viewer fieldset.parts input')]"
        b.run(f"{boxes}.forEach(e => e.checked && e.click())")
        empty = seen()
        for i in range(b.run(f"{boxes}.length")):
            b.run(f"{boxes}[{i}].focus()")
            b.press(" ")
            self.need("a part alone shows", seen() != empty, b.run(f"{boxes}[{i}].parentElement.textContent"))
            b.press(" ")
        b.run(f"{boxes}.forEach(e => e.click())")

    def colours(self, b: Browser) -> None:
        """Contrast of every text with its ground, as the system asks for and by the page's switch."""
        for scheme in SCHEMES:
            b.emulate(prefers_color_scheme=scheme)
            ground = "getComputedStyle(document.body).backgroundColor"
            own = b.run(ground)
            self.need("follows light and dark", (contrast.luminance(contrast.colour(own)) > 0.5) == (scheme == "light"), own)
            self.texts(b, scheme)
            b.run("document.getElementById('theme').focus()")
            b.press(" ")
            self.need("the switch turns light and dark", b.run(ground) != own)
            self.texts(b, "dark" if scheme == "light" else "light")
            b.run("delete document.documentElement.dataset.theme")
        # Drawings are images of their own: their text on the white of the figure.
        for source in b.run("[...document.querySelectorAll('img')].map(e => e.src).filter(s => s.startsWith('data:image/svg'))"):
            tree = xml.fromstring(base64.b64decode(source.split(",", 1)[1]))
            self.drawing(tree, "#000000")

    def drawing(self, element: xml.Element, fill: str) -> None:
        fill = element.get("fill", fill)
        if element.tag.endswith("}text") and fill != "none":
            found = contrast.on_grounds(fill, ["rgb(255, 255, 255)"])
            self.need("drawing text contrast", found >= contrast.TEXT, f"{found:.2f} {element.text}")
        for child in element:
            self.drawing(child, fill)

    def texts(self, b: Browser, scheme: str) -> None:
        for text in b.run(TEXTS):
            judged = "faded" not in text["grounds"]
            found = contrast.on_grounds(text["top"], text["grounds"]) if judged else 0.0
            for _ in range(text["count"]):
                self.need(f"text contrast, {scheme}", found >= contrast.TEXT, f"{found:.2f}: {text['text']}")

    def motion(self, b: Browser) -> None:
        """Nothing moves, asked for or not (WCAG 2.3.3)."""
        for wish in ("reduce", "no-preference"):
            b.emulate(prefers_reduced_motion=wish)
            moving = b.run("""[...document.querySelectorAll('*')].map(e => getComputedStyle(e)).filter(s => s.animationName !== 'none'
                || s.transitionDuration.split(',').some(d => parseFloat(d) > 0) || s.scrollBehavior !== 'auto').length
                + document.getAnimations().length""")
            pixels = "document.querySelector('#viewer canvas').toDataURL()"
            before = b.run(pixels)
            for _ in range(10):
                b.settle()
            self.need("nothing moves by itself", moving == 0 and b.run(pixels) == before, moving)

    def tab(self, b: Browser) -> None:
        """Tab reaches every control in the order of the page, and shows where it is
        (WCAG 2.1.1, 2.1.2, 2.4.3, 2.4.7, 2.4.11)."""
        count = b.run(f"{CONTROLS}.map((e, i) => {{ e.dataset.look = i; }}).length")
        for i in range(count):
            b.press("Tab")
            at = b.run("""(() => { const e = document.activeElement, s = getComputedStyle(e), r = e.getBoundingClientRect(), g = [];
                for (let up = e.parentElement; up; up = up.parentElement) g.push(getComputedStyle(up).backgroundColor);
                return { look: e.dataset.look, what: e.outerHTML.slice(0, 80), style: s.outlineStyle,
                  width: parseFloat(s.outlineWidth), colour: s.outlineColor, grounds: g,
                  inside: r.bottom > 0 && r.top < innerHeight && r.right > 0 && r.left < innerWidth }; })()""")
            self.need("Tab goes on in the order of the page", at.get("look") == str(i), f"{i}: {at['what']}")
            self.need("focus is seen", at["style"] != "none" and at["width"] >= 2 and at["inside"]
                      and contrast.on_grounds(at["colour"], at["grounds"]) >= contrast.FOCUS, at)
        b.press("Tab")
        self.need("Tab leaves at the end", b.run("document.activeElement.dataset.look ?? ''") in ("", "0"))

    def narrow(self, b: Browser) -> None:
        """Nothing is lost and nothing scrolls sideways on a narrow screen, tables apart (WCAG 1.4.10)."""
        b.emulate(width=NARROW, height=640)
        wide = b.run("document.scrollingElement.scrollWidth")
        self.need("no sideways scrolling", wide <= NARROW, wide)
        for e in b.run(f"""[...document.body.querySelectorAll('*')].filter(e => {VISIBLE}
              && !e.closest('.skip, .aside, script, .frame .labels, option')).map(e => ({{
              table: e.parentElement.closest('.wide') !== null, right: e.getBoundingClientRect().right,
              left: e.getBoundingClientRect().left, what: e.outerHTML.slice(0, 60),
              clipped: ['hidden', 'clip'].includes(getComputedStyle(e).overflowX) && e.scrollWidth > e.clientWidth + 1
                && !e.matches('.frame') }}))"""):
            inside = e["table"] or (e["right"] <= NARROW + ROUNDING and e["left"] >= -ROUNDING)
            self.need("inside a narrow page", inside and not e["clipped"], e)
        # Every table that is wider than the screen is reached by Tab, itself or a control in it, and
        # scrolls by arrow.
        b.run("""document.querySelectorAll('.wide').forEach(e => { e.dataset.wide = e.scrollWidth > e.clientWidth + 1; });
            document.activeElement.blur(); getSelection().collapse(document.body, 0)""")
        at = "document.activeElement.closest('.wide')"
        for _ in range(b.run("document.querySelectorAll('*').length")):
            b.press("Tab")
            if b.run("document.activeElement === document.body"):
                break
            if b.run(f"{at}?.dataset.wide === 'true' && {at}.scrollLeft === 0"):
                for _ in range(3):
                    b.press("ArrowRight")
                b.run(f"new Promise(d => {at}.addEventListener('scroll', d, {{ once: true }}) ?? setTimeout(d, 500))")
        for scrolled, name in b.run("""[...document.querySelectorAll('.wide[data-wide=true]')].map(e =>
              [e.scrollLeft, e.getAttribute('aria-label')])"""):
            self.need("a wide table scrolls by keyboard", scrolled > 0 and name, name)
        b.emulate()

    def paper(self, b: Browser) -> None:
        """On paper: all figures whole, nothing beyond the margins."""
        for name, (width, height) in PAPERS.items():
            inner = [(side - 2 * MARGIN) / PIXEL for side in (width, height)]
            b.emulate(width=int(inner[0]), height=int(inner[1]), media="print")
            for f in b.run("""[...document.querySelectorAll('figure, table')].map(e => { const r = e.getBoundingClientRect(), i = e.querySelector('img');
                  return { what: (e.querySelector('figcaption') || e).textContent.trim().slice(0, 40), table: e.tagName === 'TABLE',
                    right: Math.max(r.right, r.left + e.scrollWidth), height: r.height, whole: getComputedStyle(e).breakInside === 'avoid',
                    loaded: !i || i.complete && i.naturalWidth > 0 }; })"""):
                fits = f["right"] <= inner[0] + ROUNDING and f["loaded"]
                if not f["table"]:
                    fits = fits and f["height"] <= inner[1] and f["whole"]
                self.need(f"a {'table' if f['table'] else 'figure'} fits, {name}", fits, f)
            self.need("the viewer is not printed", b.run("getComputedStyle(document.getElementById('solids')).display") == "none")
            shaded = b.run("document.querySelectorAll('img[src^=\"data:image/png\"]').length")
            b.emulate()
            paper = Pdf(b.pdf(width / INCH, height / INCH))
            self.need("prints to some pages", len(paper.pages) >= 2, len(paper.pages))
            whole = 0
            for page in paper.pages:
                self.need("has the size of the paper", all(
                    abs(found - side / INCH * 72) < 1 for found, side in zip(page.size, (width, height))), page.size)
                edge = MARGIN / INCH * 72 - 1
                for left, bottom, right, top in page.pictures:
                    inside = left >= edge and bottom >= edge and right <= page.size[0] - edge and top <= page.size[1] - edge
                    self.need(f"a printed picture is whole, {name}", inside, (left, bottom, right, top))
                    whole += 1
            self.need("each picture is printed once", whole == shaded, f"{whole} of {shaded}")

    def without_webgl(self, b: Browser) -> None:
        """Where WebGL is missing the pictures stand for the viewer."""
        self.need("no viewer without WebGL", b.run("document.getElementById('viewer').hidden && document.querySelector('canvas') === null"))
        self.need("says where the pictures are", b.run(
            "(e => e !== null && e.checkVisibility() && e.querySelector('a[href=\"#pictures\"]') !== null)(document.getElementById('still'))"))
        self.pictures(b, "pictures without WebGL")

    def without_scripts(self, b: Browser) -> None:
        """All that the sheet says is there without scripts."""
        b.open(self.page, scripts=False)
        self.pictures(b, "pictures without scripts")
        for count in b.run("[...document.querySelectorAll('table')].map(t => t.checkVisibility() ? t.tBodies[0].rows.length : 0)"):
            self.need("tables without scripts", count > 0, count)

    def pictures(self, b: Browser, what: str) -> None:
        for loaded in b.run("[...document.querySelectorAll('#pictures img')].map(e => e.checkVisibility() && e.complete && e.naturalWidth > 0)"):
            self.need(what, loaded)
