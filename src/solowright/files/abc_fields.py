"""The information fields of ABC 2.1 that bear on the music: key, meter, unit length, tempo, voice.

Source: The abc music standard 2.1, sections 3 and 4.6 (clefs and transposition). Each function takes
a field's text without its letter and raises InputError for what it can't read.
"""

from __future__ import annotations

import html
import re
import unicodedata
from dataclasses import dataclass
from fractions import Fraction

from solowright.errors import InputError
from solowright.music.pitch import LETTERS, Interval, Tone, parse_tone
from solowright.music.time import EIGHTH, SIXTEENTH, Meter, Time
from solowright.music.tune import Key

# Sharps that a mode has more than the major key of its tonic, by its first three letters.
_MODES = {"": 0, "maj": 0, "ion": 0, "lyd": 1, "mix": -1, "dor": -2, "min": -3, "m": -3, "aeo": -3,
          "phr": -4, "loc": -5}  # fmt: skip
_MINOR_MODES = (-2, -3, -4, -5)  # the modes with a minor third
_PIPES = 2  # sharps sounding on the Highland pipes: K:HP and K:Hp
_KEY = re.compile(r"([A-G])([#b]?)\s*([A-Za-z]*)")
_ACCIDENTAL = re.compile(r"(\^{1,2}|_{1,2}|=)([A-Ga-g])")
_CLEF = re.compile(r"(?:clef=)?\"?(?:treble|bass|alto|tenor|baritone|mezzo|soprano|perc|none|[CFGP])?\d?"
                   r"(?P<octave>[+-]8)?(?:v[ab])?\"?", re.IGNORECASE)  # fmt: skip
_SETTING = re.compile(r"(?P<name>[A-Za-z]+)=(?P<value>\"[^\"]*\"|\S*)")
_STEPS = (0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6)  # letters that an interval of so many semitones spans


@dataclass(frozen=True, slots=True)
class KeyField:
    """A key field: ``key`` and ``signature`` are None where it only moves the octave or the clef."""

    key: Key | None
    signature: tuple[int, ...] | None  # the alter of the letters C to B
    shift: int | None  # semitones from written to sounding; None where the field doesn't say


def key_signature(fifths: int) -> tuple[int, ...]:
    """The alter of the letters C to B under a signature of ``fifths`` sharps (negative: flats)."""
    return tuple((fifths - Tone(letter).fifths + 5) // 7 for letter in range(7))


def parse_key(text: str) -> KeyField:
    """Reads ``Dmix``, ``F#m``, ``D exp _b ^f``, ``none``, ``G clef=treble-8``.

    A mode is kept as its signature: D dorian becomes the minor key without sharps or flats, because
    a key here is a signature's name.
    """
    rest = text.strip()
    shift, rest = _read_shift(rest)
    fifths, minor, named = 0, False, True
    match = _KEY.match(rest)
    if rest[:2] in ("HP", "Hp"):
        fifths, rest = _PIPES, rest[2:]
    elif rest[:4].lower() == "none":
        rest = rest[4:]
    elif match and (mode := _find_mode(match[3])) is not None:
        fifths = parse_tone(match[1] + match[2]).fifths + mode
        minor = mode in _MINOR_MODES
        rest = rest[match.end() :] if match[3][:3].lower() != "exp" else "exp" + rest[match.end() :]
    elif match:
        raise InputError(f"the mode in 'K:{text}' is not known; write such as K:Dm, K:Dmix or K:Ddor")
    else:
        named = False
    words = rest.split()
    explicit = [word for word in words if word.lower() != "exp"]
    if not all(_ACCIDENTAL.fullmatch(word) for word in explicit):
        raise InputError(f"'K:{text}' is not a key; write such as K:G, K:Dm or K:Amix")
    if not named and not words and text.strip():
        return KeyField(None, None, shift)
    alters = list(key_signature(0 if len(explicit) < len(words) else fifths))
    for word in explicit:
        alter = 0 if word[0] == "=" else (len(word) - 1) * (1 if word[0] == "^" else -1)
        alters[LETTERS.index(word[-1].upper())] = alter
    signature = tuple(alters)
    known = next((f for f in (fifths, *range(-7, 8)) if key_signature(f) == signature), fifths)
    return KeyField(Key(_tone(known + 3 if minor else known), minor), signature, shift)


def _find_mode(word: str) -> int | None:
    name = word if word in ("m", "M") else word[:3].lower()
    return 0 if name in ("M", "exp") else _MODES.get(name)


def _tone(fifths: int) -> Tone:
    """The tone so many fifths above C."""
    octave, place = divmod(fifths + 1, 7)
    return Tone(LETTERS.index("FCGDAEB"[place]), octave)


def _read_shift(text: str) -> tuple[int | None, str]:
    """Semitones from written to sounding that a K: or V: field's clef settings ask for, and the rest."""
    shift: int | None = None

    def setting(match: re.Match[str]) -> str:
        nonlocal shift
        name, value = match["name"].lower(), match["value"].strip('"')
        if name in ("octave", "transpose"):
            if not re.fullmatch(r"[+-]?\d{1,2}", value):
                raise InputError(f"'{match[0]}' needs a whole number, such as {name}=-1")
            shift = (shift or 0) + int(value) * (12 if name == "octave" else 1)
        elif name == "clef":
            clef(match[0])
        return ""

    def clef(word: str) -> bool:
        nonlocal shift
        match = _CLEF.fullmatch(word)
        if match:
            shift = (shift or 0) + {"+8": 12, "-8": -12}.get(match["octave"] or "", 0)
        return match is not None

    rest = _SETTING.sub(setting, text).split()
    # A bare clef name may stand anywhere but first, where C, F and G are keys.
    kept = [
        word for place, word in enumerate(rest)
        if (not place and (len(word) < 4 or word.lower() == "none")) or not clef(word)
    ]  # fmt: skip
    return shift, " ".join(kept)


def parse_shift(text: str) -> int:
    """Semitones from written to sounding in a V: field's settings; 0 where it says nothing."""
    return _read_shift(text)[0] or 0


def shift_interval(semitones: int) -> Interval:
    """The plainest interval of so many semitones."""
    octaves, rest = divmod(semitones, 12)
    return Interval(7 * octaves + _STEPS[rest], semitones)


def parse_meter(text: str) -> Meter | None:
    """Reads ``4/4``, ``C``, ``C|``, ``2+3/8``; None for ``none``, free meter."""
    text = text.strip()
    if text in ("C", "c"):
        return Meter()
    if text in ("C|", "c|"):
        return Meter(2, 2)
    if text.lower() in ("none", ""):
        return None
    match = re.fullmatch(r"\(?(\d{1,2}(?:\s*\+\s*\d{1,2})*)\)?\s*/\s*(1|2|4|8|16|32|64)", text)
    beats = sum(int(part) for part in match[1].split("+")) if match else 0
    if not match or not beats:
        raise InputError(f"'M:{text}' is not a meter; write such as M:4/4, M:C| or M:none")
    return Meter(beats, int(match[2]))


def fitting_meter(length: Time) -> Meter:
    """The meter that a bar of that length fills; 4/4 where there is none."""
    if length.denominator & (length.denominator - 1) or length.denominator > 8:
        return Meter()
    return Meter(length.numerator, 4 * length.denominator)


def parse_unit(text: str) -> Time:
    """Reads ``1/8`` as quarters."""
    match = re.fullmatch(r"\s*(\d{1,3})(?:\s*/\s*(\d{1,3}))?\s*", text)
    if not match or not int(match[1]) or not int(match[2] or 1):
        raise InputError(f"'L:{text}' is not a note length; write such as L:1/8")
    return Fraction(4 * int(match[1]), int(match[2] or 1))


def default_unit(meter: Meter | None) -> Time:
    """The unit note length where no L: field stands: an eighth, in meters under 3/4 a sixteenth."""
    return SIXTEENTH if meter is not None and meter.length < 3 else EIGHTH


def parse_tempo(text: str, unit: Time) -> float | None:
    """Quarters a minute in ``1/4=120``, ``3/8=80 "Lively"``, and the older ``120`` and ``C=120``,
    which count units. None where only words stand."""
    plain = re.sub(r'"[^"]*"', " ", text).strip()
    if not plain:
        return None
    match = re.fullmatch(r"(?:((?:\d+/\d+\s*)+)=|C(\d*)\s*=)?\s*(\d{1,4}(?:\.\d+)?)", plain)
    if match and match[1]:
        tops_bottoms = [tuple(map(int, beat.split("/"))) for beat in match[1].split()]
        beat = sum(Fraction(4 * top, bottom) for top, bottom in tops_bottoms if bottom)
    else:
        beat = unit * int(match[2] or 1) if match else Fraction(0)
    tempo = float(match[3]) * float(beat) if match else 0.0
    if not 1 <= tempo <= 2000:
        raise InputError(f"'Q:{text.strip()}' is not a tempo; write such as Q:1/4=120")
    return tempo


_MNEMONICS = {"'": "\u0301", "`": "\u0300", "^": "\u0302", "~": "\u0303", '"': "\u0308", ",": "\u0327"}


def plain_text(text: str) -> str:
    """A title or name with the standard's letters spelled out: ``\\'e`` and ``&eacute;`` are é."""

    def letter(match: re.Match[str]) -> str:
        return match[1] or unicodedata.normalize("NFC", match[3] + _MNEMONICS[match[2]])

    return html.unescape(re.sub(r"\\(?:([%\\])|(['`^~\",])([A-Za-z]))", letter, text)).strip()
