"""Ways to spoil a sheet, each with the check that must notice it."""

from __future__ import annotations

import re
from dataclasses import dataclass


@dataclass
class Spoil:
    """Text of the sheet that is replaced at its first place, and the check that must fail."""

    check: str
    method: str
    before: str
    after: str

    def apply(self, html: str) -> str:
        """The spoilt sheet; without the policy, which would refuse a changed style or script."""
        html = re.sub(r'<meta http-equiv="Content-Security-Policy"[^>]*>', "", html, count=1)
        if self.before not in html:
            raise SystemExit(f"the spoil for \"{self.check}\" finds no {self.before!r} in the sheet")
        return html.replace(self.before, self.after, 1)


def style(check: str, method: str, rule: str) -> Spoil:
    """One more rule at the end of the style."""
    return Spoil(check, method, "</style>", rule + "</style>")


SPOILS = [
    Spoil("every part is listed", "lists", '<section id="parts">', '<section id="other">'),
    Spoil("every part is in the viewer", "lists", 'id="viewer"', 'id="elsewhere"'),
    Spoil("heading levels", "structure", "<h2>Findings</h2>", "<h4>Findings</h4>"),
    Spoil("a table has heads", "structure", '<th scope="col">part</th>', '<th scope="col"></th>'),
    Spoil("a link leads somewhere", "structure", 'href="#findings"', 'href="#lost"'),
    Spoil("no id twice", "structure", 'id="cautions"', 'id="findings"'),
    Spoil("a control has a name", "names", ' aria-label="done: ', ' title="" data-label="'),
    Spoil("a picture has words", "names", '" alt="', '" data-alt="'),
    Spoil("a key works in the viewer", "viewer", "ArrowLeft:()=>", "ArrowLost:()=>"),
    style("text contrast, light", "colours", "dt { color: #8a8f99 !important }"),
    style("text contrast, dark", "colours", "dd { color: #1c1e22 !important }"),
    style("follows light and dark", "colours", "body { background: #ffffff !important }"),
    style("nothing moves by itself", "motion", "a { transition: color 1s }"),
    style("focus is seen", "tab", ":focus-visible { outline: none !important }"),
    Spoil("Tab goes on in the order of the page", "tab", '<button type="button" id="theme"',
          '<button type="button" id="theme" tabindex="3"'),
    style("no sideways scrolling", "narrow", "h1 { width: 30rem }"),
    style("inside a narrow page", "narrow", "dl { overflow: hidden; height: 2rem } dl div { width: 30rem }"),
    style("a figure fits, A4", "paper", "figure { break-inside: auto !important; min-height: 400mm }"),
    style("a printed picture is whole, A4", "paper",
          "figure img { max-height: none !important; height: 500mm !important; object-fit: fill !important }"),
    style("the viewer is not printed", "paper", "#solids { display: block !important }"),
    style("pictures without WebGL", "without_webgl", "#pictures { display: none }"),
    Spoil("says where the pictures are", "without_webgl", 'id="still"', 'id="still" hidden'),
    Spoil("tables without scripts", "without_scripts", "<table>", "<table hidden>"),
    Spoil("no network", "lists", "<h2>Findings</h2>", '<h2>Findings</h2><img alt="" src="https://example.org/x.png">'),
    Spoil("no message", "lists", "<h2>Findings</h2>", "<h2>Findings</h2><script>console.log(1)</script>"),
]
