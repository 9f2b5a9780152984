"""ABC out: a tune as a file, and a line as the music code of a sheet.

Reading it back gives the same notes with all they carry, and of a file the same bars and chords too.
ABC has no swing and no signs for the band's hits: a file loses those.

Notes that overlap are written as overlaid voices (``&``), lengths that the unit can't halve its way to
as tuplets, notes over a barline as ties. Accidentals are written wherever readers could differ.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import groupby, pairwise

from solowright.errors import InputError
from solowright.files.abc_fields import fitting_meter, key_signature
from solowright.files.abc_marks import marks_of
from solowright.files.abc_tokens import write_length
from solowright.music.chart import Chart
from solowright.music.line import Note
from solowright.music.pitch import LETTERS, Tone
from solowright.music.time import EIGHTH, ZERO, Meter, TempoMap, Time
from solowright.music.tune import Key, Tune

_SIGNS = {-3: "___", -2: "__", -1: "_", 0: "=", 1: "^", 2: "^^", 3: "^^^"}
_BARS_A_ROW = 4


@dataclass(slots=True)
class _Item:
    """A chord, single note, grace note or rest (no notes) of one layer, cut at barlines.

    ``opens`` and ``closes`` slurs; ``held`` items go on a note from before, ``tied`` ones go on.
    """

    onset: Time
    end: Time
    notes: tuple[Note, ...] = ()
    slurred: bool = False
    opens: bool = False
    closes: bool = False
    held: bool = False
    tied: bool = False

    @property
    def grace(self) -> bool:
        return bool(self.notes) and self.onset == self.end


def write_abc_body(tune: Tune, unit: Time = EIGHTH) -> str:
    """The tune's line as ABC music code, four bars to a row; empty for an empty line.

    ``unit`` is the length in quarters of a note without a number. Raises InputError for a note
    before the chart's start or after its end.
    """
    if not tune.line.notes:
        return ""
    chart = tune.chart
    bars = _write_bars(tune, unit, {})
    begun = (bisect_left(chart.starts, note.end) for note in tune.line.notes)
    return _rows(bars[: max(*begun, *(chart.bar_index(note.onset) + 1 for note in tune.line.notes))])


def write_abc(tune: Tune) -> bytes:
    """The tune as a file of ABC 2.1 with its chords, sections, meters and tempo.

    Raises InputError for a note before the chart's start or after its end.
    """
    key = tune.key if abs(tune.key.fifths) <= 7 else Key(Tone(0))
    meter = tune.chart.bars[0].meter if tune.chart.bars else Meter()
    head = ["X:1", f"T:{_field_text(tune.title) or 'Untitled'}"]
    head += [f"C:{_field_text(tune.composer)}"] if tune.composer else []
    head += [f"M:{meter}", "L:1/8", f"Q:1/4={tune.tempo.first:g}", f"K:{key.name}"]
    bars = _write_bars(replace(tune, key=key), EIGHTH, _signs(tune.chart, tune.tempo))
    return "\n".join(["%abc-2.1", *head, _rows(bars), ""]).encode()


def _field_text(text: str) -> str:
    return " ".join(text.split()).replace("\\", "\\\\").replace("%", "\\%").replace("&", "&amp;")


def _signs(chart: Chart, tempo: TempoMap) -> dict[Time, str]:
    """What stands before the note at a time: section, meter, tempo and chord symbol."""
    signs: dict[Time, str] = {}
    for index, name in chart.section_starts:
        if name:
            signs[chart.starts[index]] = f"[P:{_field_text(name).replace(']', ')')}]"
    before = chart.bars[0].meter if chart.bars else Meter()
    for index, (start, bar) in enumerate(zip(chart.starts, chart.bars, strict=False)):
        cut = bar.short is not None and not (chart.pickup and index == 0)
        meter = fitting_meter(bar.length) if cut else bar.meter
        if meter != before:
            signs[start] = signs.get(start, "") + f"[M:{meter}]"
            before = meter
    for time, bpm in tempo.changes[1:]:
        signs[time] = signs.get(time, "") + f"[Q:1/4={bpm:g}]"
    for start, bar in zip(chart.starts, chart.bars, strict=False):
        for change in bar.chords:
            time = start + change.offset
            symbol = change.chord.symbol if change.chord else "N.C."
            signs[time] = signs.get(time, "") + f'"{symbol}"'
    return signs


def _rows(bars: list[str]) -> str:
    rows = [bars[first : first + _BARS_A_ROW] for first in range(0, len(bars), _BARS_A_ROW)]
    return "\n".join("| " + " | ".join(row) + " |" for row in rows)


def _write_bars(tune: Tune, unit: Time, signs: dict[Time, str]) -> list[str]:
    """Every bar of the chart; ``signs`` stand before what sounds at their times."""
    for note in tune.line.notes:
        if note.onset < 0 or note.end > tune.chart.length:
            place = tune.chart.place(note.onset)
            raise InputError(f"the note {note.pitch.name} at {place} lies outside the chart; lengthen it")
    starts = tune.chart.starts
    cuts = sorted({*starts, *(time for time in signs if time < starts[-1])})
    layers = _split_layers(tune.line.notes) or [[]]
    filled = [_fill(layer, starts if place else cuts) for place, layer in enumerate(layers)]
    signature = key_signature(tune.key.fifths)
    by_bar: dict[int, dict[Time, str]] = defaultdict(dict)
    for time, sign in signs.items():
        if time < starts[-1]:
            by_bar[tune.chart.bar_index(time)][time] = sign
    return [
        _write_bar(filled, tune.chart, index, signature, unit, by_bar[index])
        for index in range(len(tune.chart.bars))
    ]


def _split_layers(notes: tuple[Note, ...]) -> list[list[_Item]]:
    """Notes into as few voices without overlap as it takes; what sounds alike together is one chord."""
    layers: list[list[_Item]] = []
    for (onset, end), group in groupby(notes, key=lambda note: (note.onset, note.end)):
        together = tuple(group)
        for chord in [(note,) for note in together] if onset == end else [together]:
            layer = next((layer for layer in layers if layer[-1].end <= onset), None)
            if layer is None:
                layers.append(layer := [])
            slurred = all(note.slurred for note in chord) and bool(layer)
            if slurred:
                layer[-1].opens, layer[-1].closes = not layer[-1].slurred, False
            layer.append(_Item(onset, end, chord, slurred, closes=slurred))
    return layers


def _fill(items: list[_Item], starts: Sequence[Time]) -> list[_Item]:
    """The same items with rests in the gaps, all cut at the barlines (and where signs stand)."""
    filled, now = [], ZERO
    for item in [*items, _Item(starts[-1], starts[-1])]:
        if item.onset > now:
            filled += _cut(_Item(now, item.onset), starts)
        filled += _cut(item, starts)
        now = item.end
    return filled[:-1]  # the last only told where the tune ends


def _cut(item: _Item, starts: Sequence[Time]) -> list[_Item]:
    inner = starts[bisect_right(starts, item.onset) : bisect_left(starts, item.end)]
    edges = [item.onset, *inner, item.end]
    pieces = [_Item(a, b, item.notes, item.slurred) for a, b in pairwise(edges)]
    for piece in pieces:
        piece.held = piece is not pieces[0]
        piece.tied = bool(item.notes) and piece is not pieces[-1]
    pieces[0].opens, pieces[-1].closes = item.opens, item.closes
    return pieces


def _onset(item: _Item) -> Time:
    return item.onset


def _bar_end(layer: list[_Item], chart: Chart, end: Time) -> int:
    """Where a bar's items end in a layer; grace notes on the tune's end belong to its last bar."""
    return len(layer) if end == chart.length else bisect_left(layer, end, key=_onset)


def _write_bar(
    layers: list[list[_Item]],
    chart: Chart,
    index: int,
    signature: tuple[int, ...],
    unit: Time,
    signs: dict[Time, str],
) -> str:
    start, end = chart.starts[index], chart.starts[index + 1]
    speller = _Speller(signature)
    voices: list[str] = []
    within = [layer[bisect_left(layer, start, key=_onset) : _bar_end(layer, chart, end)] for layer in layers]
    while len(within) > 1 and not any(item.notes for item in within[-1]):
        within.pop()
    for place, items in enumerate(within):
        here = {} if place else signs
        voices.append(_write_items(items, chart.bars[index].meter, start, speller, unit, here))
        speller.forget()
    return " & ".join(voices)


def _write_items(
    items: list[_Item], meter: Meter, start: Time, speller: _Speller, unit: Time, signs: dict[Time, str]
) -> str:
    if len(items) == 1 and not items[0].notes and items[0].end - items[0].onset == meter.length:
        return signs.get(start, "") + "Z"
    written: list[str] = []
    graces = ""
    tuplets = _find_tuplets(items, start, unit)
    for item, (opening, factor) in zip(items, tuplets, strict=True):
        before, after = "(" * item.opens, ")" * item.closes
        sign = signs.pop(item.onset, "")
        if item.grace:
            inside = speller.write(item, unit, Fraction(0))
            # A slur from the first grace note stands outside the braces, where readers expect it.
            graces += (before + inside if graces else sign + before + "{" + inside) + after
            continue
        gap = " " if written and not (item.onset - start) % meter.pulse else ""
        body = speller.write(item, unit, factor)
        grace = graces + "}" if graces else ""
        written.append(f"{gap}{sign}{opening}{grace}{before}{body}{after}")
        graces = ""
    return "".join(written) + (graces + "}" if graces else "")


def _find_tuplets(items: list[_Item], start: Time, unit: Time) -> list[tuple[str, Fraction]]:
    """For each item the tuplet sign that opens before it, and the factor that lengthens its written value.

    Neighbours of one tuplet kind share a sign until they are back on a plain division of the bar.
    """
    found: list[tuple[str, Fraction]] = []
    run: list[int] = []
    odd_of_run = 1

    def close() -> None:
        if run:
            p, q = odd_of_run, _power_below(odd_of_run)
            sign = "(3" if len(run) == p == 3 else f"({p}:{q}:{len(run)}"
            found[run[0]] = (sign, found[run[0]][1])
            run.clear()

    for place, item in enumerate(items):
        length = (item.end - item.onset) / unit
        odd = _odd_part(length.denominator)
        found.append(("", Fraction(odd, _power_below(odd))))
        if item.grace:
            continue
        if odd != odd_of_run:
            close()
            odd_of_run = odd
        if odd > 1:
            run.append(place)
            if _odd_part(((item.end - start) / unit).denominator) % odd:
                close()
    close()
    return found


def _power_below(number: int) -> int:
    """The highest power of two that is not over ``number``."""
    return 1 << number.bit_length() - 1


def _odd_part(number: int) -> int:
    while number % 2 == 0:
        number //= 2
    return number


class _Speller:
    """Writes notes of one bar, with the accidentals that every reader of ABC needs.

    Readers differ on whether an accidental holds in other octaves, after a grace note and in overlaid
    voices; so it is repeated wherever any of them could read another pitch.
    """

    def __init__(self, signature: tuple[int, ...]) -> None:
        self.signature = signature
        self._latest: dict[int, int] = {}  # letter → last alter written in this bar
        self._in_octave: dict[tuple[int, int], int] = {}
        self._doubtful: set[int] = set()

    def forget(self) -> None:
        """Another voice begins: every letter with an accidental so far is doubtful."""
        self._doubtful |= self._latest.keys()

    def write(self, item: _Item, unit: Time, factor: Fraction) -> str:
        """A note, chord or rest with its marks; its length is ``factor`` times as long as it sounds."""
        length = "" if item.grace else write_length((item.end - item.onset) / unit * factor)
        if not item.notes:
            return "z" + length
        names = []
        places = {(note.pitch.tone.letter, note.pitch.octave) for note in item.notes}
        if len(places) < len(item.notes):  # C and C sharp together: each needs its sign, tied ones too
            self._doubtful |= {letter for letter, _ in places}
        for note in item.notes:
            marks = [] if item.held else marks_of(note, self.signature, item.slurred)
            names.append("".join(marks) + self._name(note))
        if item.grace:
            self.forget()
        name = names[0] if len(names) == 1 else f"[{''.join(names)}]"
        return name + length + "-" * item.tied

    def _name(self, note: Note) -> str:
        letter, alter, octave = note.pitch.tone.letter, note.pitch.tone.alter, note.pitch.octave
        by_key = self.signature[letter]
        latest = self._latest.get(letter, by_key)
        in_octave = self._in_octave.get((letter, octave), by_key)
        sign = ""
        if letter in self._doubtful or not latest == in_octave == alter:
            sign = _SIGNS[alter]
            self._latest[letter] = self._in_octave[letter, octave] = alter
        name = LETTERS[letter]
        return sign + (name.lower() + "'" * (octave - 5) if octave > 4 else name + "," * (4 - octave))
