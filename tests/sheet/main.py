"""Looks at job sheets, or makes sure that the looking is not blind.

    tests/sheet/run DIR ...         each DIR is a set that `make` has written
    tests/sheet/run --spoil DIR     each check must fail on a sheet that was spoilt for it
"""

from __future__ import annotations

import shutil
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent / "referee"))

from ledger import Ledger
from look import LEAST, NO_WEBGL, WEBGL, Look
from spoils import SPOILS


def spoilt(folder: Path) -> list[str]:
    """Which checks do not notice what they are for."""
    blind = []
    for spoil in SPOILS:
        with tempfile.TemporaryDirectory() as name:
            copy = Path(name)
            shutil.copy(folder / "manifest.json", copy)
            text = (folder / "sheet.html").read_text(encoding="utf-8")
            (copy / "sheet.html").write_text(spoil.apply(text), encoding="utf-8")
            ledger = Ledger()
            look = Look(copy, ledger)
            try:
                look.session(NO_WEBGL if spoil.method.startswith("without") else WEBGL, getattr(look, spoil.method))
            except RuntimeError as error:
                blind.append(f"{spoil.check}: {error}")
                continue
            if not any(line.failures for (_, what), line in ledger.lines.items() if what == spoil.check):
                blind.append(f"{spoil.check}: does not notice {spoil.after or spoil.before!r}")
    return blind


def main() -> int:
    if sys.argv[1:2] == ["--spoil"] and len(sys.argv) == 3:
        blind = spoilt(Path(sys.argv[2]))
        for line in blind:
            print(f"sheet: {line[:400]}", file=sys.stderr)
        print(f"{len(SPOILS)} spoilt sheets, {len(SPOILS) - len(blind)} noticed")
        return 1 if blind else 0
    folders = [Path(name) for name in sys.argv[1:]]
    if not folders:
        print("usage: tests/sheet/run DIR ... | --spoil DIR", file=sys.stderr)
        return 2
    wrong = []
    for folder in folders:
        ledger = Ledger()
        Look(folder, ledger).all()
        found = ledger.failures() + ledger.missing(LEAST)
        wrong += [f"{folder.name}: {line}" for line in found]
        times = sum(line.count for line in ledger.lines.values())
        print(f"{folder.name}: {times} things looked at in {len(ledger.lines)} ways, {len(found)} wrong")
    for line in wrong[:60]:
        print(f"sheet: {line[:400]}", file=sys.stderr)
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
