"""Manifest, tables and beds: hashes, counts and packing, worked out afresh."""

from __future__ import annotations

import csv
import hashlib
import json
import math
import tomllib
from collections import Counter
from pathlib import Path

import numpy as np
import shapely

import solids
from ledger import Ledger
from sums import quantity

# Defaults of the job file, millimetres.
BED, MARGIN, GAP, DEVIATION, STRAP = [220.0, 220.0, 250.0], 5.0, 4.0, 0.05, 1.5
# Layout of the manifest that is read here.
FORMAT = 2
# What lies beside the set and is not part of it.
NOT_LISTED = {"manifest.json", ".bolewright.lock"}
# Single precision at 500 mm.
SAME_PLACE = 1e-4


class JobFile:
    """What the referee needs to know of a job."""

    def __init__(self, path: Path) -> None:
        data = tomllib.loads(path.read_text())
        printer, job = data.get("printer", {}), data.get("job", {})
        self.bed = [quantity(v) for v in printer.get("bed", BED)]
        self.margin = quantity(printer.get("margin", MARGIN))
        self.gap = quantity(printer.get("gap", GAP))
        self.strap_thickness = quantity(data.get("strap", {}).get("thickness", STRAP))
        self.deviation = quantity(job.get("deviation", DEVIATION))


def manifest(folder: Path, ledger: Ledger) -> dict:
    """Every listed file is there and whole; no other file is."""
    k, name = "hashlib", str(folder)
    listed = json.loads((folder / "manifest.json").read_text())
    ledger.require(k, "manifest of this format", name, listed["format"] == FORMAT, listed["format"])
    for path, entry in listed["files"].items():
        data = (folder / path).read_bytes()
        digest = hashlib.sha256(data).hexdigest()
        ledger.require(k, "file as the manifest says", f"{name}/{path}",
                       len(data) == entry["bytes"] and digest == entry["sha256"])
    there = {str(p.relative_to(folder)) for p in folder.rglob("*") if p.is_file()} - NOT_LISTED
    ledger.require(k, "all files are listed", name, there == set(listed["files"]),
                   there ^ set(listed["files"]))
    return listed


def table(path: Path, about: dict, ledger: Ledger) -> None:
    """A CSV after RFC 4180: as many fields in each row; trunks as the manifest says."""
    k, name = "csv", str(path)
    with path.open(newline="") as file:
        rows = list(csv.reader(file, strict=True))
    ledger.require(k, "has rows", name, bool(rows))
    ledger.require(k, "as many fields in each row", name, len({len(r) for r in rows}) == 1)
    if path.name == "trunks.csv":
        names = [r[0].removeprefix("'") for r in rows[1:]]
        ledger.require(k, "every trunk once", name, names == [t["name"] for t in about["trunks"]])


def beds(files: list[Path], about: dict, job: JobFile, ledger: Ledger) -> None:
    """Every copy to print lies in a bed, clear of the others; few beds are used."""
    if not files:
        return
    k, where = "packing", str(files[0].parent)
    parts = {p["name"]: p for p in about["parts"]}
    room = [job.bed[a] - 2 * job.margin for a in (0, 1)]
    with (files[0].parent.parent / "beds.csv").open(newline="") as file:
        rows = list(csv.DictReader(file))
    times = {row["bed"]: int(row["times"]) for row in rows}
    told = {(row["bed"], row["part"]): int(row["copies on it"]) for row in rows}
    seen: Counter[str] = Counter()
    found: Counter[tuple[str, str]] = Counter()
    for path in files:
        boxes, number = [], path.stem.removeprefix("bed-")
        for title, mesh in solids.threemf(path, ledger):
            seen[title] += times.get(number, 0)
            found[number, title] += 1
            ledger.ratio(k, "volume of a copy", f"{path} {title}", mesh.volume,
                         parts[title]["volume_mm3"], solids.SAME_MESH)
            low, high = np.array(mesh.bounds)
            inside = all(
                low[a] >= job.margin - SAME_PLACE
                and high[a] <= job.bed[a] - job.margin + SAME_PLACE
                for a in (0, 1)
            )
            standing = abs(low[2]) <= SAME_PLACE and high[2] <= job.bed[2]
            ledger.require(k, "copy within the bed", f"{path} {title}", inside and standing,
                           (low, high))
            boxes.append(shapely.box(low[0], low[1], high[0], high[1]))
        for i, one in enumerate(boxes):
            for other in boxes[:i]:
                clear = one.distance(other) >= job.gap - SAME_PLACE
                ledger.require(k, "copies clear of each other", str(path), clear)
    wanted = Counter()
    area, alone = 0.0, 0
    # What an error blocks is on no bed.
    errors = [f for f in about["findings"] if f["severity"] == "error"]
    blocked = {name for finding in errors for name in finding["parts"]}
    for part in about["parts"]:
        if part["name"] in blocked:
            continue
        x, y, z = part["bounding_box_mm"]
        small, large = sorted((x, y))
        if small <= min(room) and large <= max(room) and z <= job.bed[2] and part["prints"]:
            wanted[part["name"]] = part["prints"]
            area += part["prints"] * (x + job.gap) * (y + job.gap)
            # Two such parts cannot lie side by side in any way.
            alone += part["prints"] * (2 * small + job.gap > max(room))
    ledger.require(k, "beds as in the table", where, found == told, (found, told))
    ledger.require(k, "every copy once", where, seen == wanted, (seen, wanted))
    # No packing needs less: area with the gaps, and parts that each need a bed.
    bound = max(math.ceil(area / ((room[0] + job.gap) * (room[1] + job.gap)) - 1e-9), alone)
    used = sum(times.values())
    ledger.require(k, "beds are no fewer than can be", where, used >= bound)
    # First-fit by shelves needs at most about twice the least number (Coffman et al., "Performance
    # bounds for level-oriented two-dimensional packing algorithms", SIAM J. Comput. 9, 1980).
    ledger.require(k, "beds at most twice the bound and one", where, used <= 2 * bound + 1,
                   (used, bound))
