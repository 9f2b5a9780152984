"""Written bars of ABC to bars as played: order, chords, sections, tempo, and bars that don't add up.

A bar that is shorter than the meter is taken as it is where music breaks bars on purpose: first and
last in the tune, and at repeats, endings and double barlines; two such parts of one bar that follow
each other are joined. Anywhere else it is an error. Text over the staff that begins like a chord symbol
must be one; other words there ("Fine") are read past with a remark.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from itertools import pairwise

from solowright.errors import InputError
from solowright.files.abc_fields import fitting_meter, parse_tempo, shift_interval
from solowright.files.abc_strikes import Piece, VoiceBar, lay_out
from solowright.files.abc_tokens import Token
from solowright.files.abc_tunes import Header, Remark
from solowright.files.repeats import MAX_BARS, Signs, play_order
from solowright.files.text import Report
from solowright.music.chart import Bar, Chart, ChordAt, Section
from solowright.music.chord import NO_CHORD, Chord, parse_chord, transpose_chord
from solowright.music.pitch import Interval
from solowright.music.time import ZERO, Time

_DEFAULT_TEMPO = 120.0
_CHORD_LIKE = re.compile(r"[A-G](?:[#b♯♭]|m|M|dim|aug|sus|add|ø|°|Δ|[+-]|\d|/[A-Ga-g]|$)")
_ALTERNATIVE = re.compile(r"\s*\([A-G][^()]*\)")  # "G(Em)": play G, or Em
_PARTS = re.compile(r"([A-Z])(\d*)|(\()|\)(\d*)")


@dataclass(frozen=True, slots=True)
class PlayedBar:
    """A bar of the chart as played; ``label`` names the section that begins with it."""

    bar: Bar
    written: VoiceBar
    label: str | None = None


@dataclass(slots=True)
class Played:
    """A tune played out: its bars, the notes and tied parts of notes, and the tempo by time."""

    bars: list[PlayedBar] = field(default_factory=list)
    pieces: list[Piece] = field(default_factory=list)
    tempos: dict[Time, float] = field(default_factory=dict)


def play_out(
    written: Sequence[VoiceBar], header: Header, barred: bool, report: Report, remark: Remark
) -> Played:
    """The bars in the order in which they are played; what is wrong with them goes to ``report``.

    ``barred`` tells that the music has barlines; without any, bars are cut as the meter says.
    """
    _check_lengths(written, barred, report)
    read_chord = partial(_read_chord, shift=shift_interval(header.shift), report=report, remark=remark)
    bars = [_read_bar(bar, read_chord) for bar in written]
    labels = [_label(bar) for bar in written]
    played = Played(tempos={ZERO: header.tempo or _DEFAULT_TEMPO})
    start = ZERO
    waiting: str | None = None  # a section that began within a bar, and is named from the next
    for index in _order(written, labels, header.order, report, remark):
        label = labels[index] if labels[index] is not None else waiting
        _read_tempos(written[index], start, header, played, report)
        played.pieces += lay_out(written[index], start)
        start += bars[index].length
        for bar in [bars[index]] if barred else _cut_bars(bars[index]):
            joined = _join(played.bars[-1].bar, bar) if played.bars else None
            waiting = label if joined else None
            if joined:
                played.bars[-1] = replace(played.bars[-1], bar=joined)
            else:
                played.bars.append(PlayedBar(bar, written[index], label))
                label = None
    return played


def build_chart(played: Sequence[PlayedBar]) -> Chart:
    """The chart of bars as played, a section for each label."""
    begun = [index for index, bar in enumerate(played) if bar.label is not None or not index]
    sections = tuple(
        Section(played[first].label or "", tuple(bar.bar for bar in played[first:end]))
        for first, end in pairwise([*begun, len(played)])
    )
    return Chart(sections, _has_pickup(played))


def fit_chart(chart: Chart, own: Chart, played: Sequence[PlayedBar], report: Report) -> Chart:
    """``chart`` for the bars played; a pickup that it lacks is put before it.

    Bars of other lengths than the chart's, and bars after its end, go to ``report``.
    """
    if own.pickup and not chart.pickup:
        upbeat = Section("", (replace(own.bars[0], chords=()),))
        chart = Chart((upbeat, *chart.sections), pickup=True)
    for index, bar in enumerate(played):
        line, column = bar.written.line, bar.written.column
        if index >= len(chart.bars):
            text = f"the tune has {len(played)} bars as played, the chart {len(chart.bars)}"
            report.add(line, column, f"{text}; make them the same")
            break
        theirs, ours = chart.bars[index].length, bar.bar.length
        if ours != theirs and not (index == len(played) - 1 and ours < theirs):
            text = f"bar {chart.number(index)} as played lasts {ours} quarters, the chart's {theirs}"
            report.add(line, column, f"{text}; make them the same")
    return chart


def _has_pickup(played: Sequence[PlayedBar]) -> bool:
    return len(played) > 1 and played[0].bar.length < played[0].bar.meter.length


def _join(before: Bar, bar: Bar) -> Bar | None:
    """One bar of two parts that a repeat or double barline cut it into; None for bars of their own."""
    if before.meter != bar.meter or before.length + bar.length != bar.meter.length:
        return None
    moved = tuple(replace(change, offset=change.offset + before.length) for change in bar.chords)
    return Bar(bar.meter, (*before.chords, *moved))


def _cut_bars(long: Bar) -> Iterator[Bar]:
    """Bars of the meter's length out of music that has no barlines."""
    start = ZERO
    while start < long.length:
        length = min(long.meter.length, long.length - start)
        inside = (change for change in long.chords if start <= change.offset < start + length)
        chords = tuple(replace(change, offset=change.offset - start) for change in inside)
        yield Bar(long.meter, chords, short=None if length == long.meter.length else length)
        start += length


# Lengths


def _check_lengths(bars: Sequence[VoiceBar], barred: bool, report: Report) -> None:
    for index, bar in enumerate(bars):
        for strikes in bar.layers[1:]:
            length = sum((strike.length for strike in strikes), ZERO)
            if length > bar.length:
                text = f"an overlaid voice lasts {length} quarters in a bar of {bar.length}"
                report.add(bar.line, bar.column, f"{text}; make them the same")
        if bar.meter is None or bar.length == bar.meter.length or not barred:
            continue
        if bar.length > bar.meter.length or not _may_be_cut(bars, index):
            text = f"bar {index + 1} of the notation lasts {bar.length} quarters, "
            text += f"{bar.meter} asks for {bar.meter.length}; correct its notes"
            report.add(bar.line, bar.column, text)


def _may_be_cut(bars: Sequence[VoiceBar], index: int) -> bool:
    bar = bars[index]
    if index == 0 or index == len(bars) - 1 or bar.opens or bar.closes or bar.ending or bar.double:
        return True
    before, after = bars[index - 1], bars[index + 1]
    return bool(before.closes or before.double or after.opens or after.ending or after.meter != bar.meter)


# Order


def _order(
    bars: Sequence[VoiceBar], labels: Sequence[str | None], order: str, report: Report, remark: Remark
) -> list[int]:
    """Indices of the written bars as played."""
    parts: dict[str, list[int]] = {"": []}
    current = ""
    for index, label in enumerate(labels):
        current = current if label is None else label
        parts.setdefault(current, []).append(index)
    wanted = list(_spell_out(order))
    if not set(wanted) <= parts.keys():
        remark(0, 0, f"the order 'P:{order}' names a part that isn't there; the music is played as written")
        wanted = []
    runs = [parts[""], *(parts[name] for name in wanted)] if wanted else [list(range(len(bars)))]
    signs = _signs(bars)
    played: list[int] = []
    for run in runs:
        try:
            played += [run[turn.index] for turn in play_order(tuple(signs[index] for index in run))]
        except InputError as error:
            report.add(bars[run[0]].line, bars[run[0]].column, str(error))
        if len(played) > MAX_BARS:
            report.add(0, 0, f"played out, the parts make more than {MAX_BARS} bars; check their numbers")
            break
    return played


def _spell_out(order: str) -> Iterator[str]:
    """The parts in ``A2(BC)3`` one by one: A A B C B C B C."""
    stack: list[list[str]] = [[]]
    for match in _PARTS.finditer(order):
        if match[1]:
            stack[-1] += [match[1]] * min(int(match[2] or 1), 99)
        elif match[3]:
            stack.append([])
        elif len(stack) > 1:
            group = stack.pop()
            stack[-1] += group * min(int(match[4] or 1), 99)
        if sum(map(len, stack)) > MAX_BARS:
            break
    for group in stack:
        yield from group


def _signs(bars: Sequence[VoiceBar]) -> list[Signs]:
    """What each written bar says about the way: barlines, endings, and the marks for jumps."""
    names = [{token.part("name") for _, token in bar.signs if token.kind == "jump"} for bar in bars]
    codas = [index for index, found in enumerate(names) if "coda" in found]
    jumps = any(found & {"D.C.", "dacapo", "D.S.", "dacoda"} for found in names)
    to_coda, coda = codas if len(codas) == 2 and jumps else (-1, -1)
    return [
        Signs(
            bar=str(index + 1),
            forward=bar.opens,
            backward=bar.closes + 1 if bar.closes else 0,
            ending=tuple(sorted(bar.ending)),
            ending_stop=bar.double or bool(bar.closes),
            segno="" if "segno" in found else None,
            coda="" if index == coda else None,
            to_segno="" if "D.S." in found else None,
            to_coda="" if index == to_coda else None,
            to_start=bool(found & {"D.C.", "dacapo"}),
            fine="fine" in found,
        )
        for index, (bar, found) in enumerate(zip(bars, names, strict=True))
    ]


# Chords, sections, tempo


def _read_bar(written: VoiceBar, read_chord: partial[tuple[bool, Chord | None]]) -> Bar:
    length = written.length
    chords: dict[Time, Chord | None] = {}
    for index, token in written.signs:
        if token.kind == "text" and (offset := written.offset(index)) < length:
            understood, chord = read_chord(token)
            if understood:
                chords[offset] = chord
    meter = written.meter or fitting_meter(length)
    changes = tuple(ChordAt(offset, chord) for offset, chord in sorted(chords.items()))
    return Bar(meter, changes, short=None if length == meter.length else length)


def _read_chord(token: Token, shift: Interval, report: Report, remark: Remark) -> tuple[bool, Chord | None]:
    """Whether a text over the staff is a chord symbol, and the chord (None for no chord)."""
    text = token.part("quoted").strip()
    if not text or text[0] in "^_<>@":
        return False, None
    if text in NO_CHORD:
        return True, None
    symbol = re.sub(r"/([a-g])(?=[#b♯♭]?$)", lambda bass: bass[0].upper(), _ALTERNATIVE.sub("", text))
    try:
        chord = parse_chord(symbol)
    except InputError as error:
        if _CHORD_LIKE.match(text):
            report.add(token.line, token.column, str(error))
        else:
            remark(token.line, token.column, f"'{text}' is no chord symbol and is left out")
        return False, None
    return True, transpose_chord(chord, shift) if shift.semitones % 12 else chord


def _label(bar: VoiceBar) -> str | None:
    """The part or section that a P: field names at the bar."""
    names = [token.part("value").strip() for _, token in bar.signs if token.part("letter") == "P"]
    return names[-1] if names else None


def _read_tempos(bar: VoiceBar, start: Time, header: Header, played: Played, report: Report) -> None:
    for index, token in bar.signs:
        if token.part("letter") == "Q":
            try:
                tempo = parse_tempo(token.part("value"), header.unit)
            except InputError as error:
                report.add(token.line, token.column, str(error))
                continue
            if tempo:
                played.tempos[start + bar.offset(index)] = tempo
