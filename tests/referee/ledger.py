"""What was compared, by how much it was off, and whether enough was compared at all."""

from __future__ import annotations

import math
from dataclasses import dataclass, field


@dataclass
class Line:
    """One kind of comparison: how often, the largest difference, the tolerance."""

    count: int = 0
    worst: float = 0.0
    tolerance: float = 0.0
    failures: list[str] = field(default_factory=list)


class Ledger:
    """Collects every comparison; fails on a difference and on a kind that was never compared."""

    def __init__(self) -> None:
        self.lines: dict[tuple[str, str], Line] = {}

    def _line(self, kind: str, what: str) -> Line:
        return self.lines.setdefault((kind, what), Line())

    def compare(
        self, kind: str, what: str, where: str, found: float, expected: float, tolerance: float
    ) -> None:
        """Found and expected differ by at most the tolerance; not-a-number never passes."""
        line = self._line(kind, what)
        off = abs(found - expected)
        line.count += 1
        line.tolerance = max(line.tolerance, tolerance)
        if math.isfinite(off):
            line.worst = max(line.worst, off)
        if not off <= tolerance:
            line.failures.append(
                f"{where}: {what} {found:.9g}, expected {expected:.9g} within {tolerance:.3g}"
            )

    def ratio(
        self, kind: str, what: str, where: str, found: float, expected: float, tolerance: float
    ) -> None:
        """As `compare`, relative to the expected value."""
        if expected == 0:
            self.compare(kind, what, where, found, expected, 0.0)
        else:
            self.compare(kind, what, where, found / expected, 1.0, tolerance)

    def require(self, kind: str, what: str, where: str, holds: bool, detail: object = "") -> None:
        """A statement that holds or not."""
        line = self._line(kind, what)
        line.count += 1
        if not holds:
            line.failures.append(f"{where}: {what} does not hold {detail}".rstrip())

    def merge(self, other: Ledger) -> None:
        """Adds what another process compared."""
        for (kind, what), theirs in other.lines.items():
            line = self._line(kind, what)
            line.count += theirs.count
            line.worst = max(line.worst, theirs.worst)
            line.tolerance = max(line.tolerance, theirs.tolerance)
            line.failures += theirs.failures

    def compared(self, name: str) -> int:
        """How many comparisons were made by a reader, or of one thing."""
        return sum(line.count for key, line in self.lines.items() if name in key)

    def table(self) -> str:
        """The whole account as text."""
        rows = [f"{'reader':<11} {'compared':<44} {'times':>6} {'worst':>10} {'tolerance':>10}  off"]
        for (kind, what), line in sorted(self.lines.items()):
            worst, limit = (
                (f"{line.worst:.2e}", f"{line.tolerance:.1e}") if line.tolerance else ("", "")
            )
            off = str(len(line.failures)) if line.failures else "-"
            rows.append(f"{kind:<11} {what:<44} {line.count:>6} {worst:>10} {limit:>10}  {off}")
        return "\n".join(rows)

    def failures(self) -> list[str]:
        """Every disagreement."""
        return [
            f"{kind}: {text}"
            for (kind, _), line in sorted(self.lines.items())
            for text in line.failures
        ]

    def missing(self, minimum: dict[str, int]) -> list[str]:
        """Readers and things that were compared less often than they must be."""
        return [
            f"{name}: compared {self.compared(name)} times, at least {least} are needed"
            for name, least in minimum.items()
            if self.compared(name) < least
        ]
