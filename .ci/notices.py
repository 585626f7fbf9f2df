"""Writes the licence notices of every crate that goes into the program, as its licences ask for.

Usage: notices.py FILE. Names, versions and licences are those of `cargo metadata` on all platforms, texts
those in the crates' own folders. A crate that ships no text is named in `dependencies.toml`: it is taken
under Apache-2.0, whose text is this program's own, or else under MIT with the usual wording. Equal texts
stand once. Same lock file, same bytes.
"""

import re
import sys
from collections import defaultdict
from pathlib import Path

from dependencies import RULES, Graph

ROOT = Path(__file__).resolve().parents[1]
# The licence as the Open Source Initiative has it.
MIT = """\
MIT License

Copyright (c) {holders}

Permission is hereby granted, free of charge, to any person obtaining a copy of this software and associated
documentation files (the "Software"), to deal in the Software without restriction, including without limitation
the rights to use, copy, modify, merge, publish, distribute, sublicense, and/or sell copies of the Software, and
to permit persons to whom the Software is furnished to do so, subject to the following conditions:

The above copyright notice and this permission notice shall be included in all copies or substantial portions of
the Software.

THE SOFTWARE IS PROVIDED "AS IS", WITHOUT WARRANTY OF ANY KIND, EXPRESS OR IMPLIED, INCLUDING BUT NOT LIMITED TO
THE WARRANTIES OF MERCHANTABILITY, FITNESS FOR A PARTICULAR PURPOSE AND NONINFRINGEMENT. IN NO EVENT SHALL THE
AUTHORS OR COPYRIGHT HOLDERS BE LIABLE FOR ANY CLAIM, DAMAGES OR OTHER LIABILITY, WHETHER IN AN ACTION OF
CONTRACT, TORT OR OTHERWISE, ARISING FROM, OUT OF OR IN CONNECTION WITH THE SOFTWARE OR THE USE OR OTHER DEALINGS
IN THE SOFTWARE."""
# Files that hold a licence, a copyright or a notice, by their usual names.
NOTICE = re.compile(r"(un)?licen[cs]e|copying|copyright|notice", re.IGNORECASE)


def texts(package: dict) -> list[str]:
    """The texts that a crate ships, by the order of their names."""
    folder = Path(package["manifest_path"]).parent
    files = sorted(p for p in folder.iterdir() if p.is_file() and NOTICE.match(p.name))
    found = [p.read_text(encoding="utf-8", errors="replace").replace("\r\n", "\n").strip() for p in files]
    return [text for text in found if text]


def usual(package: dict) -> list[str]:
    """The wording of a licence that a crate is under and does not ship; none for other licences."""
    if "Apache-2.0" in package["license"]:
        return [(ROOT / "LICENSE").read_text(encoding="utf-8").strip()]
    if "MIT" in package["license"]:
        holders = ", ".join(package["authors"]) or f"the authors of {package['name']}"
        return [MIT.format(holders=holders)]
    return []


def main() -> int:
    packages: dict[str, dict] = {}
    for platform in RULES["platforms"]:
        for package in Graph("--filter-platform", platform).needed(with_tests=False):
            packages[f"{package['name']} {package['version']}"] = package
    without = set(RULES["notices"]["without-text"])
    wrong, silent, shared = [], set(), defaultdict(list)
    for title, package in sorted(packages.items()):
        found = texts(package)
        if not found:
            silent.add(package["name"])
            found = usual(package)
        if not found or (package["name"] in silent - without):
            wrong.append(f"{title}: ships no licence text ({package['license']}, {package['repository']})")
        for text in found:
            shared[text].append(title)
    wrong += [f"{name} ships its text, or is out of use: drop it from the notices" for name in sorted(without - silent)]
    for line in wrong:
        print(f"error: {line}")
    if wrong:
        return 1
    lines = ["Crates that are part of Bolewright, and their licences.", ""]
    for title, package in sorted(packages.items()):
        authors = ", ".join(a.split(" <")[0] for a in package["authors"])
        lines.append(f"{title}: {package['license']}" + (f" ({authors})" if authors else ""))
    for text, titles in sorted(shared.items(), key=lambda item: item[1]):
        lines += ["", "=" * 78, *titles, "=" * 78, "", text]
    Path(sys.argv[1]).write_text("\n".join(lines) + "\n", encoding="utf-8")
    print(f"{len(packages)} crates, {len(shared)} different texts")
    return 0


if __name__ == "__main__":
    sys.exit(main())
