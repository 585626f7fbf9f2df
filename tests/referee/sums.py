"""Sums worked out a second time, from the job file and from the printed part.

Circuits: the nodes' equations are set up from the job file and solved by SciPy's root finder; the
program gets there from the loads. Straps: the printed cradle is cut at the height of its strap and
Shapely takes the convex hull round trunk and webs; the program gets there from support functions.
"""

from __future__ import annotations

import csv
import json
import math
import os
import re
import subprocess
import tomllib
from pathlib import Path

import manifold3d
import numpy as np
import shapely
import shapely.affinity
import trimesh
from scipy import optimize

from ledger import Ledger

# Own units in one of this unit, by dimension (SI brochure; yard and pound agreement of 1959).
UNITS = {
    "mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8,
    "V": 1.0, "mV": 1e-3, "W": 1.0, "mW": 1e-3, "ohm": 1.0, "mohm": 1e-3, "Ω": 1.0, "mΩ": 1e-3,
}
# Ohms a kilometre at 20 C, class 5 (IEC 60228:2004, table 3; from memory).
CLASS_5 = {"0.5": 39.0, "0.75": 26.0, "1": 19.5, "1.5": 13.3, "2.5": 7.98, "4": 4.95, "6": 3.3,
           "10": 1.91}
# Half of the last digit that the account prints, volts, and the rounding of r20 and t in it.
SAME_VOLTS = 0.011
# Chords of 0.05 mm in the slice, buckle and tail as printed, mm.
SAME_STRAP = 0.1
# Where no cable is laid, ohms: what flows through it is nothing.
NO_WIRE = 1e9
# Slices through one passage leave webs as thick as each other to so much, mm: its mouths are rounded.
SAME_WEB = 1.0


def quantity(value: object) -> float:
    """A quantity in the job file's own unit: `3`, `"2.5 m"`, `"32 ft 6 in"`, `"1 1/2 in"`."""
    if isinstance(value, (int, float)):
        return float(value)
    total, text = 0.0, str(value).strip()
    for whole, top, bottom, unit in re.findall(r"([\d.]+)?(?:\s*(\d+)/(\d+))?\s*([A-Za-zΩ]+)", text):
        amount = float(whole or 0) + (int(top) / int(bottom) if top else 0)
        if unit not in UNITS:
            raise SystemExit(f"referee: unit of {value!r} is not known")
        total += amount * UNITS[unit]
    return total


def leading(text: str) -> float:
    """The number that a printed value begins with."""
    match = re.match(r"-?[\d.]+", text)
    if match is None:
        raise ValueError(text)
    return float(match.group())


def account(toml: Path) -> dict:
    """What `sums --json` says."""
    run = subprocess.run([os.environ["BOLEWRIGHT"], "sums", str(toml), "--json"],
                         capture_output=True, text=True, timeout=120, check=False)
    return json.loads(run.stdout) if run.stdout else {}


def trunks(data: dict, folder: Path) -> list[tuple[str, int, bool]]:
    """Name, lamps and box of each trunk, in the order of the job."""
    found = [(t["name"], t.get("fixtures", 1), t.get("box", False)) for t in data.get("trunk", [])]
    if "survey" in data["job"]:
        with (folder / data["job"]["survey"]).open(newline="") as file:
            for row in csv.DictReader(file):
                found.append((row["name"], int(row["fixtures"] or 1), row["box"] == "yes"))
    return found


def voltages(emf: float, inner: float, wires: list[float], loads: list[tuple[str, float]]
             ) -> np.ndarray | None:
    """Volts at the lamps: a chain, or a ring when there is one wire more than lamps."""
    n = len(loads)

    def balance(v: np.ndarray) -> np.ndarray:
        at, terminal = v[:n], v[n]
        line = [terminal, *at] + ([terminal] if len(wires) > n else [])
        flow = [(line[k] - line[k + 1]) / wires[k] for k in range(len(wires))]
        drawn = [p / u if kind == "power" else p for (kind, p), u in zip(loads, at)]
        node = [flow[k] - (flow[k + 1] if k + 1 < len(flow) else 0.0) - drawn[k] for k in range(n)]
        out = flow[0] - (flow[n] if len(wires) > n else 0.0)
        return np.array([*node, emf - terminal - inner * out])

    found = optimize.root(balance, np.full(n + 1, emf), tol=1e-12)
    # Amperes by which Kirchhoff's law is missed.
    solved = np.abs(found.fun).max() < 1e-7
    return found.x[:n] if solved and np.all(found.x > 0.3 * emf) else None


def rows(cables: list[dict]) -> list[list[float | None]]:
    """For each box the pieces of its cable to cut, mm, in the order along it; `None` where two pieces do not
    meet: between the ends of a chain that leaves its box both ways."""
    found: list[list[float | None]] = []
    at = None
    for piece in cables:
        ends = [re.match(r"lamp (\d+) on ", piece[end]) for end in ("from", "to")]
        start, stop = [int(end.group(1)) if end else None for end in ends]
        if start is None:
            found.append([])
        elif start != at:
            found[-1].append(None)
        found[-1].append(piece["length"])
        at = stop
    return found


def feeds(toml: Path, sums: dict, ledger: Ledger) -> None:
    """Volts at the worst lamp of every feed, battery at nominal voltage."""
    k, data = "scipy", tomllib.loads(toml.read_text())
    battery, feed, lamp = data.get("battery"), data.get("feed", {}), data["fixture"]
    sections = [s for s in sums["account"]["job"] if s["title"].startswith("feed")]
    if battery is None:
        return
    groups: list[list[str]] = [[]]
    boxed = False
    for name, lamps, box in trunks(data, toml.parent):
        if box and boxed:
            groups.append([])
        boxed |= box
        groups[-1] += [name] * lamps
    groups = [g for g in groups if g]
    ledger.require(k, "one account a feed", str(toml), len(groups) == len(sections),
                   (len(groups), len(sections)))
    cables = rows(sums["lists"]["cables"])
    ledger.require(k, "one row of cables a feed", str(toml), len(cables) == len(sections),
                   (len(cables), len(sections)))
    written = feed.get("segments")
    if isinstance(written, str):
        # Between trunks one length holds; on one trunk the plan's own is shorter.
        longest = max((v for row in cables for v in row[1:] if v is not None), default=0.0)
        apart = len({name for group in groups for name in group}) > len(groups)
        ledger.require(k, "no gap longer than written, but for a lead", str(toml),
                       not apart or feed.get("layout") == "loop" or longest >= quantity(written) - 1e-6,
                       (longest, written))
    emf, inner = quantity(battery["voltage"]), quantity(battery.get("resistance", 0.05))
    watts = quantity(lamp["power"])
    current = lamp.get("load", "constant-power") == "constant-current"
    load = ("current", watts / emf) if current else ("power", watts)
    for group, section, lengths in zip(groups, sections, cables):
        lines = {line["title"]: line for line in section["lines"]}
        cable = next(line for title, line in lines.items()
                     if title.startswith("resistance of the cable from the box"))
        inputs = dict(cable["inputs"])
        r20, warm = leading(inputs["r20"]), leading(inputs["t"])
        metric = re.match(r"([\d.]+) mm2", inputs["conductor"])
        if metric:
            ledger.compare(k, "ohms a kilometre", f"{toml} {inputs['conductor']}", r20,
                           CLASS_5[metric.group(1)], 1e-9)
        # Both conductors and a plug of two contacts; copper by 250/(230 + t) as IEC 60228 annex B has it.
        contact = leading(inputs["a contact of a plug, counted beside it"])
        wires = [NO_WIRE if length is None else
                 2 * length / 1e6 * r20 * (230 + warm) / 250 + 2 * contact for length in lengths]
        for title, source in (("battery nominal", (emf, inner)),
                              ("charge drawn as planned", None)):
            line = lines[f"volts at the worst lamp, {title}"]
            if source is None:
                source = (leading(dict(line["inputs"])["terminals"]), 0.0)
            mine = voltages(*source, wires, [load] * len(group))
            where = f"{toml} {section['title']} {title}"
            told = re.match(r"-?[\d.]+ V", line["result"])
            ledger.require(k, "a working point, or none, in both", where,
                           (mine is not None) == (told is not None), line["result"])
            if mine is not None and told is not None:
                ledger.compare(k, "volts at the worst lamp", where, leading(line["result"]),
                               float(mine.min()), SAME_VOLTS)


def straps(toml: Path, sums: dict, manifest: dict, meshes: dict[str, trimesh.Trimesh],
           thickness: float, ledger: Ledger) -> None:
    """Way of the strap round trunk and cradles, from the printed cradle."""
    k = "shapely"
    gets = {t["name"]: t for t in manifest["about"]["trunks"]}
    figures = {t["name"]: t["figures"] for t in sums["trunks"]}
    oval = {t["name"] for t in tomllib.loads(toml.read_text()).get("trunk", []) if "diameters" in t}
    for group in sums["account"]["trunks"]:
        name = group["trunks"][0]
        mesh = meshes.get(gets[name]["cradle"] or "")
        lines = {line["title"]: line for s in group["sections"] if s["title"].startswith("cradle")
                 for line in s["lines"]}
        told = lines.get("strap to cut")
        way = lines.get("strap round trunk and seats")
        # An oval trunk is turned under its cradles in a way that the account does not tell.
        if mesh is None or told is None or way is None or name in oval:
            continue
        gap = leading(dict(way["inputs"])["bark to face"])
        radius = gets[name]["girth_mm"] / (2 * math.pi)
        web = web_of(mesh)
        where = f"{toml} {name}"
        ledger.require(k, "cradle has a strap passage", where, web is not None)
        if web is None:
            continue
        # The rigid face in the middle lies one gap outside the bark.
        x = web.bounds[0] / 2 + web.bounds[2] / 2
        middle = web.intersection(shapely.LineString([(x, -1e3), (x, 1e3)]))
        centre = (x, middle.bounds[1] - gap - radius)
        webs = [shapely.affinity.rotate(web, at, origin=centre, use_radians=True)
                for at in angles(figures[name]["bearings"])]
        trunk = shapely.Point(centre).buffer(radius, quad_segs=512)
        hull = shapely.union_all([trunk, *webs]).convex_hull
        spare = dict(told["inputs"])
        loop = figures[name]["strap"] - leading(spare["buckle"]) - leading(spare["tail"])
        # The middle of the webbing lies half its thickness outside the hull (Steiner's formula).
        ledger.compare(k, "strap round trunk and seats, mm", where, loop,
                       hull.length + math.pi * thickness, SAME_STRAP)


def angles(bearings: list) -> list[float]:
    """Bearings in radians; they are written in degrees."""
    return [math.radians(b) for b in bearings]


def web_of(mesh: trimesh.Trimesh) -> shapely.Polygon | None:
    """The part of a saddle between trunk and strap: the rearmost piece of a slice through the
    lowest passage, where the slice falls in two. A slot in the ears parts a slice too, but farther
    out."""
    solid = manifold3d.Manifold(
        manifold3d.Mesh(vert_properties=np.asarray(mesh.vertices, dtype=np.float32),
                        tri_verts=np.asarray(mesh.faces, dtype=np.uint32)))
    rear = []
    for z in np.linspace(0.03, 0.6, 115) * mesh.extents[2]:
        # Outlines only: a hull has no holes.
        outlines = [max(map(shapely.Polygon, piece.to_polygons()), key=lambda p: p.area)
                    for piece in solid.slice(z).decompose()]
        pieces = sorted(outlines, key=lambda p: p.bounds[1])
        parted = len(pieces) >= 2 and pieces[1].bounds[1] >= pieces[0].bounds[3]
        rear.append(pieces[0] if parted else None)
    thinnest = min((p.bounds[3] for p in rear if p is not None), default=0.0)
    found = []
    for piece in rear:
        if piece is not None and piece.bounds[3] < thinnest + SAME_WEB:
            found.append(piece)
        elif found:
            break
    # The middle of the passage.
    return found[len(found) // 2] if found else None
