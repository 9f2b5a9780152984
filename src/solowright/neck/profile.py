"""The player's own file: instrument, hand and taste, in TOML. What it doesn't name stays as it is.

    frets = 24
    scale = 628.65            # mm
    reach = 140               # mm from index to little finger at full stretch
    pick_rate = 11            # notes a second
    tuning = "drop d"         # or strings from the low one up; files that state their own win
    capo = 2                  # likewise
    left_handed = true        # pictures of the neck are mirrored
    taps = true               # may tap where nothing is written
    weak_fingers = [4]        # 1 index to 4 little
    positions = [5, 12]       # where the hand likes to be
    open_strings = "avoid"    # "like", "neutral", "avoid"
    legato = "much"           # "little", "some", "much"

    [timing]                  # seconds, see Timing
    jump = 0.10

    [effort]                  # see Effort
    thick = 0.1
"""

from __future__ import annotations

import json
import tomllib
from collections.abc import Mapping
from dataclasses import fields, replace
from pathlib import Path
from typing import Any

from solowright.errors import InputError
from solowright.music.hand import AS_IT_IS, LISTS, NUMBERS, WORDS, Hand
from solowright.music.tuning import MOST_CAPO, parse_tuning
from solowright.neck.player import Effort, Player, Timing
from solowright.neck.taste import suit

SWITCHES = ("left_handed", "taps")
KEYS = (*NUMBERS, "tuning", "capo", *SWITCHES, *LISTS, *WORDS, "timing", "effort")


def read_player(path: Path, player: Player | None = None) -> Player:
    """A player (the usual one, or the one given) with what the file says. Raises InputError."""
    try:
        text = path.read_text(encoding="utf-8")
    except OSError as error:
        raise InputError(f"{path}: {error.strerror or 'cannot be read'}; give another file") from None
    except UnicodeDecodeError:
        raise InputError(f"{path}: no text in UTF-8; save it as UTF-8") from None
    return parse_player(text, str(path), player)


def parse_player(text: str, file: str = "player", player: Player | None = None) -> Player:
    """The same from the text of a file; ``file`` is its name in errors."""
    try:
        said = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise InputError(f"{file}: no TOML: {error}; correct that line") from None
    for key in said:
        if key not in KEYS:
            raise InputError(f"{file}: {key} is unknown; known are {', '.join(KEYS)}")
    player = player or Player()
    strung: dict[str, Any] = {}
    if "left_handed" in said:
        strung["left_handed"] = _switch(file, "left_handed", said["left_handed"])
    if "tuning" in said:
        strung["tuning"] = _read_tuning(file, said["tuning"])
    if "capo" in said:
        strung["capo"] = int(_number(file, "capo", said["capo"], 0, MOST_CAPO))
    timing = replace(player.timing, **_table(file, "timing", said, Timing, 0.001))
    changed = _table(file, "effort", said, Effort, 0.0)
    effort = replace(player.untouched or player.effort, **changed)
    hand = _read_hand(file, said).over(player.said)
    player = replace(player, **strung, timing=timing, effort=effort, said=AS_IT_IS, untouched=None)
    return suit(player, hand)


def _read_hand(file: str, said: dict[str, Any]) -> Hand:
    found: dict[str, Any] = {
        key: _number(file, key, said[key], *bounds) for key, bounds in NUMBERS.items() if key in said
    }
    if "frets" in found:
        found["frets"] = int(found["frets"])
    if "taps" in said:
        found["taps"] = _switch(file, "taps", said["taps"])
    found |= {key: _list(file, key, said[key], *bounds) for key, bounds in LISTS.items() if key in said}
    found |= {key: _word(file, key, said[key], known) for key, known in WORDS.items() if key in said}
    return Hand(**found)


def write_player(said: Mapping[str, Any]) -> str:
    """The text of a file that says just this, tables last. Values of kinds that no key takes are written
    as text, which ``parse_player`` refuses by name."""
    plain = {key: value for key, value in said.items() if not isinstance(value, dict)}
    lines = [f"{key} = {_toml(value)}" for key, value in plain.items()]
    for name, table in said.items():
        if name not in plain:
            lines += ["", f"[{name}]", *(f"{key} = {_toml(value)}" for key, value in table.items())]
    return "\n".join(lines) + "\n"


def _toml(value: Any) -> str:
    if isinstance(value, bool | int | float):
        return str(value).lower()  # nan and inf are TOML's words, too
    if isinstance(value, list):
        return f"[{', '.join(map(_toml, value))}]"
    return json.dumps(str(value), ensure_ascii=True)


def _number(file: str, key: str, value: Any, low: float, high: float) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not low <= value <= high:
        raise InputError(f"{file}: {key} = {value!r} is no number from {low:g} to {high:g}; correct it")
    return value


def _switch(file: str, key: str, value: Any) -> bool:
    if not isinstance(value, bool):
        raise InputError(f"{file}: {key} = {value!r} is neither true nor false; correct it")
    return value


def _read_tuning(file: str, value: Any) -> tuple[int, ...]:
    if not isinstance(value, str):
        raise InputError(f'{file}: tuning = {value!r} is no text; write "drop d" or "D2 A2 D3 G3 B3 E4"')
    try:
        return parse_tuning(value)
    except InputError as error:
        raise InputError(f"{file}: tuning: {error}") from None


def _table(file: str, name: str, said: dict[str, Any], kind: type, low: float) -> dict[str, Any]:
    """Single numbers of a table, by the names of a record's fields."""
    table = said.get(name, {})
    known = [field.name for field in fields(kind) if field.type == "float"]
    if not isinstance(table, dict):
        raise InputError(f"{file}: {name} is no table; write [{name}] and its numbers below")
    for key in table:
        if key not in known:
            raise InputError(f"{file}: {name}.{key} is unknown; known are {', '.join(known)}")
    return {key: _number(file, f"{name}.{key}", value, low, 1000.0) for key, value in table.items()}


def _word(file: str, key: str, word: Any, known: tuple[str, ...]) -> str:
    if word not in known:
        raise InputError(f"{file}: {key} = {word!r} is unknown; known are {', '.join(known)}")
    return str(word)


def _list(file: str, key: str, values: Any, low: int, high: int) -> tuple[int, ...]:
    if not isinstance(values, list) or not all(type(v) is int and low <= v <= high for v in values):
        raise InputError(f"{file}: {key} = {values!r} is no list of numbers from {low} to {high}; correct it")
    return tuple(values)
