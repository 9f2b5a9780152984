"""ABC as the line notation of a sheet: the bars are the chart's, only the notes are read.

Strict where a file reader is forgiving: what a sheet's line says must fit its chart, and a mark that
is not known is an error, because the player typed it here and meant something by it.
"""

from __future__ import annotations

from solowright.errors import InputError
from solowright.files.abc_bars import VoiceReader
from solowright.files.abc_fields import key_signature
from solowright.files.abc_strikes import Piece, VoiceBar, cut_at, join_ties, lay_out
from solowright.files.abc_tokens import Token, scan_lines
from solowright.files.text import Report
from solowright.music.chart import Chart
from solowright.music.chord import NO_CHORD, parse_chord
from solowright.music.line import Line, make_line
from solowright.music.time import EIGHTH, ZERO, Meter, Time
from solowright.music.tune import Key


def read_abc_body(
    text: str, *, file: str, first_line: int, chart: Chart, key: Key, unit: Time = EIGHTH
) -> Line:
    """The line that ``text`` writes over the bars of ``chart``; it may end before the chart does.

    ``first_line`` is the line of ``file`` on which ``text`` begins; ``unit`` the length in quarters
    of a note without a number. Raises FileError with every problem found.
    """
    report = Report(file)
    bars = chart.bars
    meters = [bar.meter for bar in bars] or [Meter()]

    def full_bar(index: int) -> Time:
        return bars[index].length if index < len(bars) else meters[-1].length

    reader = VoiceReader(report, report.add, unit, key_signature(key.fifths), full_bar, meters[0])
    for token in scan_lines(text.splitlines(), first_line):
        if token.kind == "field":
            report.add(token.line, token.column, "a field has no place in a sheet's line; its header decides")
        else:
            reader.take(token)
    written = reader.finish()
    pieces: list[Piece] = []
    for index, bar in enumerate(written[: len(bars)]):
        _check_bar(report, bar, index, chart)
        pieces += lay_out(bar, chart.starts[index])
    if len(written) > len(bars):
        after = written[len(bars)]
        text = f"the line goes on after the chart's {len(bars)} bars; lengthen the chart or cut the line"
        report.add(after.line, after.column, text)
    report.stop()
    notes, untied = join_ties(pieces)
    for note in untied:
        report.add(first_line, 1, f"the tie at {chart.place(note.onset)} leads to no note of its pitch")
    for note in cut_at(notes, chart.length)[1]:
        text = f"{note.pitch.name} at {chart.place(note.onset)} rings over the chart's end; shorten it"
        report.add(first_line, 1, text)
    report.stop()
    return make_line(notes)


def _check_bar(report: Report, bar: VoiceBar, index: int, chart: Chart) -> None:
    """Reports what doesn't fit the chart in the bar at ``index``."""
    number, length = chart.number(index), chart.bars[index].length
    for strikes in bar.layers:
        total = sum((strike.length for strike in strikes), ZERO)
        if total != length:
            text = f"bar {number} holds {_quarters(total)} where the chart has {_quarters(length)}"
            report.add(bar.line, bar.column, f"{text}; write as much as the bar holds, rests as z")
    if bar.opens or bar.closes or bar.ending:
        text = f"bar {number}: repeats stand in the chart ('[Name] x2'); write the line out"
        report.add(bar.line, bar.column, text)
    for strikes_before, token in bar.signs:
        text = _check_chord(token, chart, chart.starts[index] + bar.offset(strikes_before))
        if text:
            report.add(token.line, token.column, text)


def _check_chord(token: Token, chart: Chart, time: Time) -> str:
    """A chord symbol in the line must be the chart's; annotations (``"^text"``) are free."""
    symbol = token.part("quoted").strip()
    if not symbol or symbol[0] in "^_<>@":
        return ""
    try:
        chord = None if symbol in NO_CHORD else parse_chord(symbol)
    except InputError as error:
        return str(error)
    there = chart.chord_at(time)
    if chord == there:
        return ""
    return f"the line says {symbol}, the chart {there.symbol if there else 'N.C.'}; make one of them right"


def _quarters(length: Time) -> str:
    whole, rest = divmod(length, 1)
    number = f"{whole} {rest}" if whole and rest else str(rest or whole)
    return f"{number} quarter{'' if length == 1 else 's'}"
