"""ABC 2.1 in: one tune of a file as chart and line, repeats and parts played out."""

from __future__ import annotations

from solowright.errors import InputError, Problem
from solowright.files.abc_bars import VoiceReader
from solowright.files.abc_chart import Played, build_chart, fit_chart, play_out
from solowright.files.abc_fields import parse_key, parse_meter, parse_shift, parse_unit, shift_interval
from solowright.files.abc_strikes import VoiceBar, cut_at, join_ties
from solowright.files.abc_tokens import Token
from solowright.files.abc_tunes import (
    Header,
    Remark,
    Source,
    body_signs,
    choose_tune,
    choose_voice,
    decode_abc,
    read_header,
    read_symbol,
)  # fmt: skip
from solowright.files.text import Report
from solowright.music.chart import Chart
from solowright.music.line import make_line
from solowright.music.pitch import Interval
from solowright.music.time import Meter, TempoMap, Time
from solowright.music.tune import Key, Tune


def read_abc(
    data: bytes,
    file: str,
    chart: Chart | None = None,
    part: str | None = None,
    remarks: list[Problem] | None = None,
) -> Tune:
    """The tune in an ABC file, on the chart given or on the chart of its own chord symbols.

    ``part`` is a tune's X: number or title where the file holds several tunes, else a voice's name
    or number; ``3/2`` is voice 2 of tune 3. ``remarks`` is filled with what was read past. Raises
    FileError with every problem found.
    """
    report = Report(file)
    found = [] if remarks is None else remarks

    def remark(line: int, column: int, text: str) -> None:
        found.append(Problem(file, line, column, text))

    lines = decode_abc(data, file, remark)
    several = sum(line.text.startswith("X:") for line in lines) > 1
    wanted_tune, _, wanted_voice = (part or "").partition("/") if several else ("", "", part or "")
    source = choose_tune(file, lines, wanted_tune or None)
    header = read_header(source, report, remark)
    report.stop()
    bars, barred = _read_voice(source, header, wanted_voice or None, report, remark)
    report.stop()
    if not any(strike.notes for bar in bars for strikes in bar.layers for strike in strikes):
        report.add(source.head[-1].number, 1, "the tune has no notes; write some under its K: field")
    played = play_out(bars, header, barred, report, remark)
    report.stop()
    return _build_tune(header, played, chart, report, remark)


def _read_voice(
    source: Source, header: Header, wanted: str | None, report: Report, remark: Remark
) -> tuple[list[VoiceBar], bool]:
    """The bars of the voice that is wanted, and whether it has barlines."""
    end_of_head = source.head[-1].number
    try:
        settings, signs = choose_voice(header, list(body_signs(source)), wanted)
        header.shift += parse_shift(settings)
    except InputError as error:
        report.add(end_of_head, 1, str(error))
        return [], True

    def full_bar(_: int) -> Time:
        return (reader.meter or Meter()).length

    barred = any(sign.kind == "bar" and sign.text != "|]" for sign in signs)
    if not barred:
        remark(end_of_head, 1, "the music has no barlines; bars are cut as the meter says")
    reader = VoiceReader(
        report, remark, header.unit, header.signature, full_bar,
        header.meter, header.symbols, header.propagate,
    )  # fmt: skip
    reader.shift = shift_interval(header.shift)
    reader.lines_end_bars = True
    for sign in signs:
        if sign.kind != "field":
            reader.take(sign)
            continue
        try:
            _read_field(reader, sign)
        except InputError as error:
            report.add(sign.line, sign.column, str(error))
    return reader.finish(), barred


def _read_field(reader: VoiceReader, sign: Token) -> None:
    """A field among the music. Words, lyrics and what doesn't sound are read past."""
    letter, value = sign.part("letter"), sign.part("value")
    if letter == "K":
        found = parse_key(value)
        if found.signature is not None:
            reader.signature = found.signature
        if found.shift is not None:
            reader.shift = shift_interval(found.shift)
    elif letter == "M":
        reader.set_meter(parse_meter(value))
    elif letter == "L":
        reader.unit = parse_unit(value)
    elif letter == "U":
        reader.symbols |= read_symbol(value)
    elif letter == "%":
        reader.propagate = value
    elif letter in "PQ":
        reader.take(sign)


def _build_tune(
    header: Header, played: Played, chart: Chart | None, report: Report, remark: Remark
) -> Tune:
    own = build_chart(played.bars)
    if chart is None:
        chart = own
    else:
        chart = fit_chart(chart, own, played.bars, report)
        report.stop()
    notes, untied = join_ties(played.pieces)
    for note in untied:
        remark(0, 0, f"the tie at {own.place(note.onset)} leads to no note of its pitch and is left out")
    notes, cut = cut_at(notes, chart.length)
    for note in cut:
        place = own.place(note.onset)
        remark(0, 0, f"{note.pitch.name} at {place} rings over the tune's end and is cut there")
    shift = shift_interval(header.shift)
    return Tune(
        title=header.titles[0] if header.titles else "",
        chart=chart,
        line=make_line(notes),
        composer=header.composer,
        key=_sounding_key(header.key, shift),
        tempo=TempoMap(tuple(played.tempos.items())),
    )


def _sounding_key(key: Key, shift: Interval) -> Key:
    return Key(key.tonic.up(shift), key.minor) if shift.semitones % 12 else key
