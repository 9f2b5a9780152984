"""How an instrument is strung, as players write it: a tuning's name, or its strings from the low one up."""

from __future__ import annotations

import re
from difflib import get_close_matches

from solowright.errors import InputError
from solowright.music.pitch import Tone, parse_pitch, parse_tone, plain
from solowright.music.tune import STANDARD_TUNING

# Tunings that have a name in the trade, from the low string up.
TUNINGS = {
    "standard": "E2 A2 D3 G3 B3 E4",
    "drop d": "D2 A2 D3 G3 B3 E4",
    "double drop d": "D2 A2 D3 G3 B3 D4",
    "dadgad": "D2 A2 D3 G3 A3 D4",
    "open g": "D2 G2 D3 G3 B3 D4",
    "open d": "D2 A2 D3 F#3 A3 D4",
    "open e": "E2 B2 E3 G#3 B3 E4",
    "open a": "E2 A2 E3 A3 C#4 E4",
    "half step down": "Eb2 Ab2 Db3 Gb3 Bb3 Eb4",
    "whole step down": "D2 G2 C3 F3 A3 D4",
    "seven strings": "B1 E2 A2 D3 G3 B3 E4",
}
MOST_STRINGS = 12
MOST_CAPO = 12


def parse_tuning(text: str) -> tuple[int, ...]:
    """MIDI numbers of the open strings, the highest first, of a name or of strings from the low one up
    (``D2 A2 D3 G3 B3 E4``; six without octaves are near the standard ones). Raises InputError."""
    words = TUNINGS.get(text.lower(), text).split()
    if len(words) == 1 and len(text) == len(STANDARD_TUNING):
        words = list(text)
    close = get_close_matches(text.lower(), list(TUNINGS), 1, 0.6) if text.lower() not in TUNINGS else []
    named = len(words) < len(STANDARD_TUNING) and not any(map(str.isdecimal, text))
    if not 1 <= len(words) <= MOST_STRINGS or (close and named):
        hint = f" (did you mean '{close[0]}'?)" if close else ""
        raise InputError(
            f"'{text}' is not a tuning{hint}; name the strings from the low one up, "
            "such as D2 A2 D3 G3 B3 E4"
        )
    if len(words) == len(STANDARD_TUNING) and not any(word[-1].isdecimal() for word in words):
        low_up = [
            _near(parse_tone(word), midi) for word, midi in zip(words, reversed(STANDARD_TUNING), strict=True)
        ]
    else:
        low_up = [parse_pitch(word).midi for word in words]
    if any(not 0 <= midi <= 127 for midi in low_up):
        raise InputError(f"'{text}' has a string that can't sound; correct its octave")
    if low_up[0] > low_up[-1]:
        raise InputError("name the strings from the low one up, such as E2 A2 D3 G3 B3 E4")
    return tuple(reversed(low_up))


def _near(tone: Tone, midi: int) -> int:
    """The MIDI number of ``tone`` nearest to ``midi``: strings are retuned by a few frets."""
    return midi + (tone.pitch_class - midi + 6) % 12 - 6


def parse_capo(text: str) -> int:
    """The fret of a capo, 0 for none. Raises InputError."""
    if not re.fullmatch(r"\d{1,2}", text, re.ASCII) or int(text) > MOST_CAPO:
        raise InputError(f"'{text}' is not a fret for the capo; write 0 to {MOST_CAPO}")
    return int(text)


def tuning_text(tuning: tuple[int, ...]) -> str:
    """The strings from the low one up: ``D2 A2 D3 G3 B3 E4``."""
    return " ".join(plain(midi, True).name for midi in reversed(tuning))
