"""Checks what the program is built from: licences, sources, banned crates, duplicates, oldest Rust.

Reads `cargo metadata` and the rules in `dependencies.toml` beside it; exit code 1 when a rule is broken
or an exception is out of use. A tool for this exists, which would have to be fetched and built first (how
long that takes was not measured); this asks the same kinds of question of the same data.
"""

import json
import re
import subprocess
import sys
import tomllib
from collections import defaultdict
from pathlib import Path

RULES = tomllib.loads(Path(__file__).with_name("dependencies.toml").read_text(encoding="utf-8"))
REGISTRY = "registry+"


class Graph:
    """Packages of one `cargo metadata`, and who needs whom."""

    def __init__(self, *options: str) -> None:
        command = ["cargo", "metadata", "--format-version", "1", "--locked", *options]
        data = json.loads(subprocess.run(command, check=True, stdout=subprocess.PIPE).stdout)
        self.packages = {p["id"]: p for p in data["packages"]}
        self.nodes = {n["id"]: n for n in data["resolve"]["nodes"]}
        self.root = data["resolve"]["root"] or data["workspace_default_members"][0]

    def needed(self, with_tests: bool) -> list[dict]:
        """Every package that the program needs, or the program with its tests; itself left out."""
        seen, todo = set(), [self.root]
        while todo:
            here = todo.pop()
            if here in seen:
                continue
            seen.add(here)
            for dep in self.nodes[here]["deps"]:
                kinds = {k["kind"] for k in dep["dep_kinds"]}
                if kinds - {"dev"} or (with_tests and here == self.root):
                    todo.append(dep["pkg"])
        return [self.packages[i] for i in sorted(seen - {self.root})]


def is_allowed(expression: str, allowed: set[str]) -> bool:
    """Whether an SPDX expression (with the old `/` for OR) can be met from these licences."""
    words = re.findall(r"[()]|[^\s()]+", expression.replace("/", " OR "))
    # A licence with an exception grants more than the licence.
    while "WITH" in words:
        at = words.index("WITH")
        del words[at : at + 2]
    signs = {"(": "(", ")": ")", "OR": "or", "AND": "and"}
    terms = [signs.get(word, str(word in allowed)) for word in words]
    return bool(words) and eval(" ".join(terms))  # only brackets, or, and, True, False


def number(version: str | None) -> tuple[int, ...]:
    parts = [int(part) for part in (version or "0").split(".")]
    return tuple(parts + [0] * (3 - len(parts)))


def licences(graph: Graph) -> list[str]:
    program = {p["id"] for p in graph.needed(with_tests=False)}
    wrong, used = [], set()
    for package in graph.needed(with_tests=True):
        allowed = set(RULES["licences"]["allow"])
        if package["id"] not in program:
            allowed |= set(RULES["licences"]["tests"]["allow"])
        expression = package["license"] or ""
        used |= {licence for licence in allowed if licence in re.split(r"[\s()/]+", expression)}
        if not is_allowed(expression, allowed):
            wrong.append(f"{package['name']} {package['version']}: licence {expression or 'not told'}")
    for licence in RULES["licences"]["allow"] + RULES["licences"]["tests"]["allow"]:
        if licence not in used:
            wrong.append(f"no dependency has the licence {licence} any more")
    return wrong


def sources(graph: Graph) -> list[str]:
    foreign = [p for p in graph.needed(with_tests=True) if not (p["source"] or "").startswith(REGISTRY)]
    return [f"{p['name']} comes from {p['source']}, not from the registry" for p in foreign]


def oldest_rust(graph: Graph) -> list[str]:
    ours = graph.packages[graph.root]["rust_version"]
    newer = [p for p in graph.needed(with_tests=True) if number(p["rust_version"]) > number(ours)]
    return [f"{p['name']} needs Rust {p['rust_version']}, the program says {ours}" for p in newer]


def bans_and_duplicates(graphs: list[Graph]) -> list[str]:
    versions = defaultdict(set)
    for graph in graphs:
        for package in graph.needed(with_tests=False):
            versions[package["name"]].add(package["version"])
    banned = {name: why for name, why in RULES["banned"].items() if name != "exceptions"}
    excepted = RULES["banned"]["exceptions"]
    wrong = [
        f"{name} is needed, but the program {why}" if not why.startswith("no ") else f"{name}: {why}"
        for name, why in banned.items()
        if name in versions and name not in excepted
    ]
    wrong += [f"{name} is no longer needed: drop its exception" for name in excepted if name not in versions]
    twice = {name for name, found in versions.items() if len(found) > 1}
    wrong += [
        f"{name} is there in versions {', '.join(sorted(versions[name]))}"
        for name in sorted(twice - RULES["duplicates"].keys())
    ]
    wrong += [
        f"{name} is there once: drop it from the duplicates"
        for name in sorted(RULES["duplicates"].keys() - twice)
    ]
    return wrong


def main() -> int:
    everywhere = Graph()
    platforms = [Graph("--filter-platform", platform) for platform in RULES["platforms"]]
    wrong = licences(everywhere) + sources(everywhere) + oldest_rust(everywhere)
    wrong += bans_and_duplicates(platforms)
    for line in wrong:
        print(f"error: {line}")
    program = len(everywhere.needed(with_tests=False))
    print(f"{program} packages in the program, {len(everywhere.needed(with_tests=True))} with its tests")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
