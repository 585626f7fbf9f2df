"""Makes jobs with the program, then reads every file of every set with programs of other people.

A file that no reader knows is a failure, and so is a kind of comparison that was made too seldom:
the referee cannot pass by looking away.
"""

from __future__ import annotations

import argparse
import os
import re
import shutil
import subprocess
import sys
import time
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import accounts
import drawings
import features
import jobs
import solids
import sums
from ledger import Ledger

ROOT = Path(__file__).resolve().parents[2]
# Longest that one job may take, seconds.
PATIENCE = 120
# Least number of comparisons by a reader or of one thing, for each demo job.
LEAST = {"trimesh": 5, "manifold3d": 2, "lib3mf": 3, "ocp": 5, "hashlib": 3, "csv": 2, "ezdxf": 3,
         "chromium": 5, "packing": 3, "volts at the worst lamp": 1, "strap round trunk and seats, mm": 1, "scale bar, mm": 2,
         "cut lines as in the DXF, mm": 4, "mesh corner off the surface, mm": 20}
# Share of the random jobs that must end in a whole set, or the jobs say nothing.
WHOLE = 0.2


def make(toml: Path, folder: Path) -> tuple[int, str]:
    """Runs `make`; exit code and messages."""
    run = subprocess.run(
        [os.environ["BOLEWRIGHT"], "make", str(toml), "--out", str(folder)],
        capture_output=True, text=True, timeout=PATIENCE, check=False,
    )
    return run.returncode, run.stderr


def error_codes(messages: str) -> list[str]:
    """Codes of the errors in a report: each is a block that begins with its weight and its number, and
    that ends with the page that tells why."""
    codes = set()
    for block in re.split(r"\n\n", messages):
        why = re.search(r"^  why   bolewright why ([a-z-]+)$", block, re.M)
        if re.match(r"Error( \d+ of \d+)?: ", block) and why:
            codes.add(why.group(1))
    return sorted(codes)


def judge(toml: Path, folder: Path) -> tuple[str, Ledger, list[Path], dict]:
    """Makes one job and reads its solids and accounts; drawings are left for one run of Chromium."""
    ledger = Ledger()
    code, messages = make(toml, folder)
    ledger.require("exit code", "0 or 1", str(toml), code in (0, 1), f"{code}: {messages[-1500:]}")
    codes = error_codes(messages)
    end = "made" if code == 0 else " ".join(codes) or f"exit {code}"
    if code == 1:
        ledger.require("exit code", "1 with a finding", str(toml), bool(codes), messages[-500:])
    if not (folder / "manifest.json").exists():
        ledger.require("exit code", "no set only after an error", str(toml), code != 0)
        return end, ledger, [], {}
    listed = accounts.manifest(folder, ledger)
    about, job = listed["about"], accounts.JobFile(toml)
    parts = {p["name"]: p for p in about["parts"]}
    meshes, shapes, beds, pages, cuts = {}, {}, [], [], {}
    for name in sorted(listed["files"]):
        path = folder / name
        part = parts.get(path.stem)
        if path.parent.name == "beds":
            beds.append(path)
        elif path.suffix == ".stl" and part:
            meshes[path.stem] = solids.stl(path, part, ledger)
        elif path.suffix == ".3mf" and part:
            solids.part_3mf(path, part, ledger)
        elif path.suffix == ".dxf":
            size = drawings.dxf(path, ledger)
            if size is not None:
                cuts[path.with_suffix(".svg")] = size
        elif path.suffix == ".png":
            drawings.png(path, ledger)
        elif path.suffix == ".csv":
            accounts.table(path, about, ledger)
        elif path.suffix in (".svg", ".html"):
            pages.append(path)
        elif path.suffix != ".step" or not part:
            ledger.require("referee", "a reader for every file", str(path), False)
    for name, part in parts.items():
        step = folder / "exact" / f"{name}.step"
        if not step.exists():
            continue
        shape = solids.step(step, part, ledger)
        if shape is not None and name in meshes:
            solids.mesh_on_solid(meshes[name], shape, part, job.deviation, str(step), ledger)
        if shape is not None:
            features.check(shape, part, about, str(step), ledger)
            shapes[name] = shape
    if {"box-body", "box-lid"} <= shapes.keys():
        print_ = next(p for p in about["prints"] if p["kind"] == "box")
        features.closed(shapes["box-body"], shapes["box-lid"], print_, str(folder), ledger)
    if code == 0:
        ledger.require("referee", "every part has its three files", str(folder),
                       all(f"{d}/{n}.{e}" in listed["files"] for n in parts
                           for d, e in (("print", "stl"), ("print", "3mf"), ("exact", "step"))))
    accounts.beds(beds, about, job, ledger)
    told = sums.account(toml)
    ledger.require("scipy", "sums are told", str(toml), bool(told))
    if told:
        sums.feeds(toml, told, ledger)
        sums.straps(toml, told, listed, meshes, job.strap_thickness, ledger)
    return end, ledger, pages, cuts


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--random", type=int, default=60, help="random jobs besides the demo jobs")
    parser.add_argument("--seed", type=int, default=1, help="of the first random job")
    parser.add_argument("--jobs", type=int, default=2, help="jobs read at a time")
    parser.add_argument("--speed", action="store_true", help="compare speed and nothing else")
    parser.add_argument("--keep", type=Path, help="keep the sets in this folder")
    args = parser.parse_args()
    if args.speed:
        import speed

        return speed.main()

    start = time.monotonic()
    work = args.keep or Path(os.environ["BOLEWRIGHT"]).parents[1] / "referee"
    shutil.rmtree(work, ignore_errors=True)
    (work / "jobs").mkdir(parents=True)
    demo = sorted((ROOT / "params").glob("*.toml"))
    if not demo:
        raise SystemExit("referee: no job files in params/")
    orders = [(path, work / path.stem) for path in demo]
    for seed in range(args.seed, args.seed + args.random):
        path = work / "jobs" / f"random-{seed}.toml"
        path.write_text(jobs.job(seed))
        orders.append((path, work / path.stem))

    ledger, ends, pages, cuts = Ledger(), Counter(), [], {}
    with ProcessPoolExecutor(args.jobs) as pool:
        results = list(pool.map(judge, *zip(*orders)))
    for (path, _), (end, one, drawn, sizes) in zip(orders, results):
        ledger.merge(one)
        pages += drawn
        cuts |= sizes
        if path.parent.name == "params":
            ledger.require("exit code", "demo job is made", str(path), end == "made", end)
        else:
            ends[end] += 1
    drawings.svgs([p for p in pages if p.suffix == ".svg"], cuts, ledger)
    # The page is the same program text for every job: the demo jobs show it.
    for page in (p for p in pages if p.suffix == ".html" and p.is_relative_to(work)):
        if not page.relative_to(work).parts[0].startswith("random-"):
            drawings.html(page, ledger)

    print(ledger.table())
    print(f"\nrandom jobs: {args.random}")
    for end, times in ends.most_common():
        print(f"{times:>6}  {end}")
    failures = ledger.failures()
    failures += ledger.missing({k: n * len(demo) for k, n in LEAST.items()})
    if args.random and ends["made"] < WHOLE * args.random:
        failures.append(f"only {ends['made']} of {args.random} random jobs end in a whole set")
    for text in failures:
        print(f"FAILED {text}", file=sys.stderr)
    total = sum(line.count for line in ledger.lines.values())
    print(f"\nreferee: {len(orders)} jobs, {total} comparisons, {len(failures)} failures, "
          f"{time.monotonic() - start:.0f} s")
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main())
