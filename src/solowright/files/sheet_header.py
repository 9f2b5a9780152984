"""The header of a sheet: ``key: value`` lines, each with its reader, and a Tune's header written back."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from solowright.errors import InputError
from solowright.files.chart_text import parse_meter
from solowright.files.sheet_hand import FIELDS, HAND_READERS, write_hand
from solowright.files.text import NUMBER, Report, TextLine, nearest, number_text, parse_number
from solowright.music.chart import Chart, Place
from solowright.music.hand import AS_IT_IS, Hand
from solowright.music.pitch import Tone, parse_tone
from solowright.music.time import (
    EIGHTH,
    FASTEST,
    QUARTER,
    SIXTEENTH,
    SLOWEST,
    STRAIGHT,
    ZERO,
    Feel,
    Meter,
    TempoMap,
    Time,
)
from solowright.music.tune import STANDARD_TUNING, Key, Tune
from solowright.music.tuning import parse_capo, parse_tuning, tuning_text

SWUNG = {"quarter": QUARTER, "eighth": EIGHTH, "sixteenth": SIXTEENTH}
C_MAJOR, COMMON_TIME = Key(Tone(0)), Meter()
MOST_SWING = 9  # long to short

_KEY = re.compile(r"(?P<tonic>\S+?)\s*(?P<mode>major|minor|maj|min|m)?", re.IGNORECASE)
_RATIO = re.compile(rf"(?P<long>{NUMBER})(?::(?P<short>{NUMBER}))?", re.ASCII)
_TEMPO = re.compile(r"\d{1,4}(?:\.\d{1,20})?", re.ASCII)
_CHANGE = re.compile(rf"bar\s+(?P<bar>\d{{1,4}})(?:\s+beat\s+(?P<beat>{NUMBER}))?\s+(?P<bpm>\S+)", re.ASCII)


@dataclass(slots=True)
class Header:
    """What the header says; None where the default depends on what else is there."""

    title: str | None = None
    composer: str = ""
    key: Key = C_MAJOR
    meter: Meter = COMMON_TIME
    feel: Feel = STRAIGHT
    tempo: tuple[tuple[Place | None, float], ...] = ((None, 120.0),)
    tuning: tuple[int, ...] | None = None
    capo: int | None = None
    pickup: Time | None = None
    hand: Hand = AS_IT_IS


def read_header(lines: Sequence[TextLine], report: Report) -> Header:
    """The header in ``lines``, each of the form ``key: value``."""
    header, seen = Header(), set[str]()
    for line in lines:
        name, _, value = line.text.partition(":")
        name = name.strip().lower()
        column = line.text.index(":") + 2
        column += len(value) - len(value.lstrip())
        if name not in READERS:
            report.add(
                line.number,
                len(line.text) - len(line.text.lstrip()) + 1,
                f"'{name}' is not a header key{nearest(name, READERS)}; known: {', '.join(READERS)}",
            )
        elif name in seen:
            report.add(line.number, 1, f"'{name}' stands twice in the header; keep one")
        else:
            try:
                found: Any = READERS[name](value.strip())
                if name in FIELDS:
                    header.hand = replace(header.hand, **{FIELDS[name]: found})
                else:
                    setattr(header, name, found)
            except InputError as error:
                report.add(line.number, column, str(error))
        seen.add(name)
    return header


def find_tempo(header: Header, chart: Chart) -> TempoMap:
    """The tempo map, its changes placed in the chart. Raises InputError."""
    changes: list[tuple[Time, float]] = []
    for place, bpm in header.tempo:
        time = ZERO
        if place is not None:
            index = chart.index(place.bar)
            if not 0 <= index < len(chart.bars):
                raise InputError(f"the chart has no bar {place.bar} for this tempo; correct the bar")
            time = chart.time(place)
            if not chart.starts[index] <= time < chart.starts[index + 1]:
                raise InputError(
                    f"bar {place.bar} has no beat {number_text(place.beat)}; correct the tempo's beat"
                )
        if changes and time <= changes[-1][0]:
            raise InputError(
                f"the tempo at bar {place.bar if place else 1} doesn't come after the one before it; "
                "write the changes in order"
            )
        changes.append((time, bpm))
    return TempoMap(tuple(changes))


def write_header(tune: Tune) -> list[str]:
    """The header's lines for a tune."""
    bars = tune.chart.bars
    lines = [f"title: {_one_line(tune.title)}".rstrip()]
    if tune.composer:
        lines.append(f"composer: {_one_line(tune.composer)}")
    lines += [
        f"key: {tune.key.name}",
        f"meter: {bars[0].meter if bars else Meter()}",
        f"feel: {_feel_text(tune.feel)}",
        f"tempo: {_tempo_text(tune)}",
    ]
    if tune.tuning != STANDARD_TUNING:
        lines.append(f"tuning: {tuning_text(tune.tuning)}")
    if tune.capo:
        lines.append(f"capo: {tune.capo}")
    if tune.chart.pickup and bars:
        lines.append(f"pickup: {number_text(bars[0].length)}")
    return lines + write_hand(tune.hand)


def _one_line(text: str) -> str:
    return " ".join(text.split())


def read_key(text: str) -> Key:
    """A key by its name: ``Bb``, ``F#m``, ``A minor``. Raises InputError."""
    match = _KEY.fullmatch(text)
    try:
        tonic = parse_tone(match["tonic"][:1].upper() + match["tonic"][1:]) if match else None
    except InputError:
        tonic = None
    if match is None or tonic is None:
        raise InputError(f"'{text}' is not a key; write one such as Bb, F#m or A minor")
    key = Key(tonic, (match["mode"] or "").lower() in ("m", "minor", "min") and match["mode"] != "M")
    if abs(key.fifths) > 7:
        raise InputError(f"{text} would need {abs(key.fifths)} accidentals; write its simpler name")
    return key


def read_feel(text: str) -> Feel:
    """A feel: ``straight``, ``swing``, ``swing 3:2``, ``swing sixteenths``. Raises InputError."""
    unit, ratio, swung = EIGHTH, Fraction(2), False
    for word in text.lower().replace("-", " ").split():
        match = _RATIO.fullmatch(word)
        if match:
            long, short = parse_number(match["long"]), parse_number(match["short"] or "1")
            if not long or not short or not Fraction(1, MOST_SWING) <= long / short <= MOST_SWING:
                raise InputError(f"'{word}' is not a swing ratio; write long to short, such as 3:2 or 1.5")
            ratio = long / short
        elif word.removesuffix("s") in SWUNG:
            unit = SWUNG[word.removesuffix("s")]
        elif word in ("swing", "swung", "straight"):
            swung = word != "straight"
        else:
            raise InputError(
                f"'{text}' is not a feel{nearest(word, ('straight', 'swing', *SWUNG))}; "
                "write straight, swing, swing 3:2 or swing sixteenths"
            )
    return Feel(ratio, unit) if swung else STRAIGHT


def _feel_text(feel: Feel) -> str:
    if feel.straight:
        return "straight"
    unit = next((name for name, unit in SWUNG.items() if unit == feel.unit), "eighth")
    ratio = "" if feel.ratio == 2 else f" {feel.ratio.numerator}:{feel.ratio.denominator}"
    return f"swing{ratio}" + ("" if unit == "eighth" else f" {unit}s")


def _read_tempo(text: str) -> tuple[tuple[Place | None, float], ...]:
    first, *rest = text.split(";")
    changes: list[tuple[Place | None, float]] = [(None, _read_bpm(first))]
    for part in rest:
        match = _CHANGE.fullmatch(part.strip())
        beat = parse_number(match["beat"] or "1") if match else None
        if match is None or beat is None:
            raise InputError(
                f"'{part.strip()}' is not a change of tempo; write 186; bar 17 120; bar 20 beat 3 90"
            )
        changes.append((Place(int(match["bar"]), beat), _read_bpm(match["bpm"])))
    return tuple(changes)


def _read_bpm(text: str) -> float:
    if not _TEMPO.fullmatch(text.strip()) or not SLOWEST <= float(text) <= FASTEST:
        raise InputError(
            f"'{text.strip()}' is not a tempo; write quarter notes a minute, "
            f"{SLOWEST:g} to {FASTEST:g}, such as 186"
        )
    return float(text)


def _tempo_text(tune: Tune) -> str:
    texts = []
    for time, bpm in tune.tempo.changes:
        place = tune.chart.place(time)
        beat = (
            ""
            if time == tune.chart.starts[tune.chart.bar_index(time)]
            else f"beat {number_text(place.beat)} "
        )
        texts.append((f"bar {place.bar} {beat}" if time else "") + f"{bpm:.10f}".rstrip("0").rstrip("."))
    return "; ".join(texts)


def _read_pickup(text: str) -> Time:
    length = parse_number(text)
    if not length:
        raise InputError(f"'{text}' is not the length of a pickup; write its quarter notes, such as 1 or 1.5")
    return length


READERS: dict[str, Callable[[str], object]] = {
    "title": str,
    "composer": str,
    "key": read_key,
    "meter": parse_meter,
    "feel": read_feel,
    "tempo": _read_tempo,
    "tuning": parse_tuning,
    "capo": parse_capo,
    "pickup": _read_pickup,
    **HAND_READERS,
}
