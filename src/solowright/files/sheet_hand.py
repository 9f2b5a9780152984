"""What a sheet's header says of the hand that plays: its lines read, and written back."""

from __future__ import annotations

import re
from collections.abc import Callable

from solowright.errors import InputError
from solowright.files.text import nearest
from solowright.music.hand import LISTS, NUMBERS, WORDS, Hand

FIELDS = {  # header key → field of ``Hand``
    "scale length": "scale", "frets": "frets", "reach": "reach", "pick rate": "pick_rate", "taps": "taps",
    "weak fingers": "weak_fingers", "positions": "positions", "open strings": "open_strings",
    "legato": "legato",
}
SWITCH = {"yes": True, "no": False}
NONE = "none"
_NUMBER = re.compile(r"\d{1,4}(?:\.\d{1,6})?", re.ASCII)
_WHOLE = re.compile(r"\d{1,4}", re.ASCII)


def write_hand(hand: Hand) -> list[str]:
    """The header's lines for what is said of the hand."""
    return [
        f"{key}: {_text(value)}" for key, name in FIELDS.items()
        if (value := getattr(hand, name)) is not None
    ]


def _text(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        return " ".join(map(str, value)) or NONE
    return f"{value:.6f}".rstrip("0").rstrip(".") if isinstance(value, float) else str(value)


def _number(low: float, high: float, form: re.Pattern[str], kind: type) -> Callable[[str], object]:
    def read(text: str) -> object:
        if not form.fullmatch(text) or not low <= float(text) <= high:
            raise InputError(f"'{text}' is no number from {low:g} to {high:g}; correct it")
        return kind(text)

    return read


def _numbers(low: int, high: int) -> Callable[[str], object]:
    def read(text: str) -> object:
        words = [] if text.lower() == NONE else text.replace(",", " ").split() or [text]
        if not all(_WHOLE.fullmatch(word) and low <= int(word) <= high for word in words):
            raise InputError(
                f"'{text}' is no list of numbers from {low} to {high}; write such as {low} {high}, or {NONE}"
            )
        return tuple(map(int, words))

    return read


def _word(known: tuple[str, ...]) -> Callable[[str], object]:
    def read(text: str) -> object:
        if text.lower() not in known:
            raise InputError(f"'{text}' is unknown here{nearest(text, known)}; write {' or '.join(known)}")
        return text.lower()

    return read


def _switch(text: str) -> object:
    if text.lower() not in SWITCH:
        raise InputError(f"'{text}' is neither yes nor no; write one of them")
    return SWITCH[text.lower()]


_BY_FIELD: dict[str, Callable[[str], object]] = {
    **{name: _number(*bounds, _NUMBER, float) for name, bounds in NUMBERS.items()},
    "frets": _number(*NUMBERS["frets"], _WHOLE, int),
    **{name: _numbers(*bounds) for name, bounds in LISTS.items()},
    **{name: _word(known) for name, known in WORDS.items()},
    "taps": _switch,
}
HAND_READERS = {key: _BY_FIELD[name] for key, name in FIELDS.items()}
