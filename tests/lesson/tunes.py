"""A tune of four bars with all that a lesson tells of: slurs, a hit, triplets, two sections."""

from __future__ import annotations

from solowright.files.sheet import read_sheet
from solowright.music.tune import Tune

SHEET = """\
title: Four <Small> Steps
composer: S. Wright
key: A
meter: 4/4
feel: swing
tempo: 210

[Head]
| A7 | D7 {hit 1 2.5} |
[Tail]
| Bm7 E7 | A7 |

line:

   1 & 2 & 3 & 4 &   1 & 2 & 3 & 4 &   1 t l 2 t l 3 t l 4 t l   1 2 3 4
e|---------5-------|-----------------|-------5-----------------|---------|
B|-----5-8---8-5---|-7---,-7---------|-----7---8p7-------------|---------|
G|-5h6-----------6-|-5---,-5---7p5---|-7h9---------9p7---------|-6-------|
D|-----------------|-------------7---|-----------------9-7-6-9-|-7~------|
A|-----------------|-----------------|-------------------------|---------|
E|-----------------|-----------------|-------------------------|---------|
"""


def steps_tune() -> Tune:
    return read_sheet(SHEET.encode(), "steps.solo")
