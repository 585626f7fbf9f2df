"""Random jobs as TOML text: the same seed, the same jobs.

Measures are those that a practitioner could meet, a little beyond on both sides, so that most jobs
end in a whole set and some in findings.
"""

from __future__ import annotations

import random


def log_uniform(r: random.Random, low: float, high: float) -> float:
    """As many small values as large ones."""
    return low * (high / low) ** r.random()


def pattern(r: random.Random, width: float, height: float) -> str:
    """Holes that stay within a plate of this size."""
    kind = r.choice(["rectangle", "circle", "points"])
    if kind == "rectangle":
        w, h = r.uniform(0.4, 0.75) * width, r.uniform(0.4, 0.75) * height
        return f'{{ pattern = "rectangle", width = {w:.1f}, height = {h:.1f} }}'
    if kind == "circle":
        d = r.uniform(0.45, 0.75) * min(width, height)
        return f'{{ pattern = "circle", diameter = {d:.1f}, count = {r.randint(2, 5)} }}'
    x, y = 0.35 * width, 0.35 * height
    return f'{{ pattern = "points", points = [[{-x:.1f}, {-y:.1f}], [{x:.1f}, {-y:.1f}], [0, {y:.1f}]] }}'


def trunk(r: random.Random, number: int, box: bool, about: float) -> str:
    girth = about * r.uniform(0.8, 1.25)
    lines = ["[[trunk]]", f'name = "Tree {number}"', f"girth = {girth:.0f}",
             f'crown-base = "{r.uniform(2.2, 3.5):.1f} m"',
             f'crown-spread = "{r.uniform(4, 10):.1f} m"', f"box = {str(box).lower()}"]
    if r.random() < 0.2:
        lines.append(f'lean = "{r.uniform(-8, 8):.0f} deg"')
    if r.random() < 0.2:
        lines.append("fixtures = 2")
    if r.random() < 0.2:
        d = girth / 3.14159
        lines.append(f"diameters = [{d * r.uniform(1.0, 1.04):.0f}, {d * r.uniform(0.96, 1.0):.0f}]")
    return "\n".join(lines)


def fixture(r: random.Random) -> str:
    width, height, depth = r.uniform(70, 150), r.uniform(60, 110), r.uniform(30, 60)
    mass = width * height * depth * r.uniform(0.5e-6, 1.2e-6)
    lines = ["[fixture]", 'name = "Lamp"', f"width = {width:.1f}", f"height = {height:.1f}",
             f"depth = {depth:.1f}", f"mass = {mass:.2f}", f"power = {r.uniform(5, 30):.0f}",
             f"lumens = {r.uniform(500, 3000):.0f}", 'beam-angle = "60 deg"',
             f"cable-room = {r.choice([0, 12, 20])}", "min-voltage = 9.5", "max-voltage = 30"]
    if r.random() < 0.5:
        lines += ["[fixture.mount]", 'kind = "side-bosses"', f"span = {width + r.uniform(1, 8):.1f}",
                  f'thread = "{r.choice(["M5", "M6", "M8"])}"']
        if r.random() < 0.4:
            lines.append(f"lock-radius = {r.uniform(24, 34):.1f}")
    else:
        lines += ["[fixture.mount]", 'kind = "base-plate"', f'thread = "{r.choice(["M4", "M5"])}"',
                  f"holes = {pattern(r, width, height)}"]
    return "\n".join(lines)


def power(r: random.Random) -> str:
    """Battery, controller, entries."""
    length, width, height = r.uniform(100, 170), r.uniform(65, 105), r.uniform(50, 100)
    lines = ["[battery]", 'name = "Pack"', f"length = {length:.1f}", f"width = {width:.1f}",
             f"height = {height:.1f}", "mass = 1.1", 'chemistry = "li-ion"', "voltage = 18",
             f"capacity = {r.choice([5, 8, 12])}", "[battery.receiver]",
             f"thickness = {r.uniform(3, 8):.1f}", f'thread = "{r.choice(["M3", "M4"])}"',
             f"holes = {pattern(r, length - 10, width - 10)}",
             "[[gland]]", f'size = "{r.choice(["M12", "M16", "M20"])}"', f"count = {r.randint(1, 2)}"]
    if r.random() < 0.6:
        a, b = r.uniform(50, 100), r.uniform(35, 60)
        lines += ["[controller]", 'name = "Dimmer"', f"length = {a:.1f}", f"width = {b:.1f}",
                  f"height = {r.uniform(12, 30):.1f}", "mass = 0.07", 'thread = "M3"',
                  f'holes = {{ pattern = "rectangle", width = {a - 8:.1f}, height = {b - 8:.1f} }}']
    if r.random() < 0.4:
        lines += ["[vent]", 'size = "M12"']
    return "\n".join(lines)


# What a practitioner may ask for and should be told about.
ODD = [
    '[seal]\ncord = 6',
    "[polymer]\nkind = \"pla\"\ndark = true",
    '[[glare]]\nname = "window"\ndistance = "6 m"\nheight = "4 m"\nlimit = "0.1 lx"',
]


def job(seed: int) -> str:
    """One whole job file."""
    r = random.Random(seed)
    count, about = r.randint(1, 6), log_uniform(r, 550, 2200)
    with_box = r.random() < 0.6
    tilt = sorted([r.uniform(-15, 20), r.uniform(55, 85)])
    bed = r.choice([(220, 220, 250), (256, 256, 256), (350, 350, 400)])
    blocks = [f'[job]\nname = "Random {seed}"\ngrowth = {r.choice([0, 5, 12])}']
    blocks += [trunk(r, n + 1, with_box and n == 0, about) for n in range(count)]
    blocks.append(fixture(r))
    blocks.append(f"[tilt]\nmin = {tilt[0]:.0f}\nmax = {tilt[1]:.0f}")
    blocks.append(f"[strap]\nwidth = {r.choice([25, 38, 50])}\n"
                  f"thickness = {r.choice([1.2, 1.5, 2.0])}\nworking-load = 1500")
    blocks.append(f"[pad]\nthickness = {r.choice([8, 10, 12.7, 15])}")
    blocks.append(f"[printer]\nbed = [{bed[0]}, {bed[1]}, {bed[2]}]\nline = {r.choice([0.42, 0.45, 0.6])}")
    blocks.append(f'[site]\ngust = "{r.uniform(9, 16):.0f} m/s"\nwarm = "25 C"')
    if with_box:
        blocks.append(power(r))
    # One job in four asks for something odd as well.
    if r.random() < 0.25:
        blocks.append(r.choice(ODD))
    blocks.append('[feed]\nconductor = "2.5 mm2"\nlead = "2 m"\nsegments = "6 m"')
    return "\n\n".join(blocks) + "\n"
