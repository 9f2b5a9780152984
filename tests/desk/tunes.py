"""Tunes for the tests of the desk."""

from __future__ import annotations

from functools import cache

from solowright.desk.edits import apply_edit
from solowright.desk.state import Json, State
from solowright.desk.worked import work_out
from solowright.files.sheet import read_sheet

LANTERN = b"""\
title: Lantern Street
key: A
feel: swing
tempo: 132

[Head] x2
| A7 | D7 {hit 1 2.5} | A7 | E7 |
[Out]
| Bm7 E7 | A6 {break} |

line:
bar 1
   1 & 2 & 3 & 4 &   1 & 2 & 3 & 4 &   1 & 2 & 3 & 4 &   1 & 2 & 3 & 4 &
e|---------5-------|-----------------|-----------------|-----------------|
B|-----5-8---8-5---|-8-5-------------|-7-----7-5-------|-----------------|
G|-5h6-----------6-|-----6-5---------|---------7-5-----|-6---------------|
D|-----------------|---------7-------|-------------7---|-----------------|
A|-----------------|-----------------|-----------------|-----------------|
E|-----------------|-----------------|-----------------|-----------------|

bar 5
   1 & 2 & 3 & 4 &   1 & 2 & 3 & 4 &
e|-----------------|-5-------3---2---|
B|-----5-----------|---5-7-----5---3-|
G|---6---6-5-------|-----------------|
D|-7---------7-----|-----------------|
A|-----------------|-----------------|
E|-----------------|-----------------|
"""


@cache
def lantern() -> State:
    """Ten bars, a repeated section, a slur, everything in the line fixed."""
    return State(read_sheet(LANTERN, "lantern.solo"))


def edited(state: State, kind: str, **facts: object) -> State:
    """The state with an edit made."""
    edit: Json = {"kind": kind, **{name.rstrip("_"): fact for name, fact in facts.items()}}
    return apply_edit(state, edit, work_out(state).tune)


@cache
def free_lantern() -> State:
    """The same with nothing fixed."""
    return edited(lantern(), "free", from_=1, to=10)
