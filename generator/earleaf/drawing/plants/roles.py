"""Roles of lines and shapes in a drawing, and how each looks: colours, classes for style sheets, white edges."""

from __future__ import annotations

import re

from .path import number

TARGET, PLANT, LINE, OLD, GROUND = "#17324D", "#DDEBCF", "#3E6B33", "#EEF1DF", "#E8DECB"
YOUNG, FLOWER, PAGE, INK, QUIET = "#F4F8EC", "#FBFAF4", "#FFF", "#16211C", "#6B746F"

ROLES: dict[str, str] = {
    "leaf": f'class="el-leaf" fill="{PLANT}"',
    "old": f'class="el-leaf el-old" fill="{OLD}"',
    "young": f'class="el-leaf el-young" fill="{YOUNG}"',
    "rib": 'class="el-rib" stroke-width=".6"',
    "stem": f'class="el-stem" fill="{PLANT}"',
    "stalk": 'class="el-stalk" stroke-width="2"',
    "hair": 'class="el-stalk" stroke-width=".9"',
    "fern": 'class="el-stalk" stroke-width=".8"',
    "band-hair": f'class="el-target el-target-line" stroke="{TARGET}" stroke-width="1.9"',
    "collar": 'class="el-collar" stroke-width="2.4"',
    "wood": f'class="el-wood" fill="{GROUND}" stroke="{QUIET}"',
    "flower": f'class="el-flower" fill="{FLOWER}" stroke-width=".9"',
    "ground": f'class="el-ground" fill="{GROUND}" stroke="none"',
    "cut": f'class="el-cut" stroke="{INK}" stroke-width="1.6" stroke-dasharray="5 3"',
    "ruler": f'class="el-ruler" stroke="{INK}" stroke-width="1"',
    "target": f'class="el-target" fill="{TARGET}" stroke="{TARGET}" stroke-width="2.4"',
    "band": f'class="el-target el-target-each" fill="{TARGET}" stroke="{PAGE}" stroke-width=".8"',
    "target-line": f'class="el-target el-target-line" stroke="{TARGET}" stroke-width="4.4"',
    "target-stalk": f'class="el-target el-target-line" stroke="{TARGET}" stroke-width="6"',
    "target-rib": f'class="el-target-rib" stroke="{PAGE}" stroke-width="1.1"',
    "either": f'class="el-either" fill="{YOUNG}" stroke="{TARGET}" stroke-width="2.6"',
    "either-line": f'class="el-either el-either-line" stroke="{TARGET}" stroke-width="6"',
    "either-stalk": f'class="el-either el-either-line" stroke="{TARGET}" stroke-width="7"',
    "either-rib": f'class="el-either-rib" stroke="{TARGET}" stroke-width=".8"',
    "either-hatch": f'class="el-either-rib el-hatch" stroke="{TARGET}" stroke-width="1.3"',
    "wrong": f'class="el-plant-wrong" fill="{YOUNG}" stroke="{INK}" stroke-width="2"',
    "wrong-line": f'class="el-plant-wrong el-wrong-line" stroke="{INK}" stroke-width="6"',
    "wrong-stalk": f'class="el-plant-wrong el-wrong-line" stroke="{INK}" stroke-width="6.4"',
    "wrong-rib": f'class="el-wrong-rib" stroke="{QUIET}" stroke-width=".7"',
    "cross": f'class="el-cross" stroke="{INK}" stroke-width="3.8"',
}
ROLES |= {"band-line": ROLES["target-line"], "band-rib": ROLES["target-rib"], "band-hatch": ROLES["target-rib"]}
BAND = ("leaf", "old", "young", "stem", "flower", "stalk")
INSIDE = {("rib", "leaf"), ("rib", "old"), ("rib", "young"), ("target-rib", "target"), ("wrong-rib", "wrong")}
"""Ribs that stay in the group of their leaf."""
MARKS = {
    role: key for key in ("target", "either", "wrong") for role in (key, f"{key}-line", f"{key}-stalk") if role in ROLES
}
"""What a role says about a leaf, for labels and counts."""
WIDE = {"target": 5.6, "target-line": 8, "target-stalk": 10, "either": 6, "either-line": 9, "either-stalk": 10.6}
WIDE |= {"wrong": 6, "wrong-line": 9, "wrong-stalk": 10, "cross": 7.4, "band-line": 8}
"""How wide the white edge around what stands out is, so that no line of the plant touches it."""
HALO = {role: f'class="el-halo" stroke="{PAGE}" stroke-width="{wide}"' for role, wide in WIDE.items()}
LINES = ("target-line", "target-stalk", "band-line")
CORE = {k: f'class="el-target-rib" stroke="{PAGE}" stroke-width="1"' for k in LINES}
CORE |= {
    k: f'class="el-core" stroke="{YOUNG}" stroke-width="2.8"' for k in ("either-line", "wrong-line", "wrong-stalk")
}
CORE["either-stalk"] = f'class="el-core" stroke="{YOUNG}" stroke-width="3.6" stroke-dasharray="2.6 4.6"'
"""The pale line inside a stalk that stands out; in dashes where another stalk is as good."""
BANDED = ("band", "band-line", "band-hair")
"""Shapes and lines that a band makes dark."""
NO_INK = ("clip", "clip-end")
FONT = "Hyperlegible, Atkinson Hyperlegible Next, Verdana, sans-serif"
HEAVY = ("wrong", "either", "cross", "band", "cut")
"""Lines that are strong enough as they are on a small picture."""
SMALL, PAD = 1.6, 4
"""How much wider the lines of a small picture are; the edge of a tight view."""
SMALL_LOOKS = {
    role: look
    if role.split("-")[0] in HEAVY and role != "band-rib"
    else re.sub(r'(?<=stroke-width=")[\d.]+', lambda found: number(float(found[0]) * SMALL), look)
    for role, look in ROLES.items()
}
