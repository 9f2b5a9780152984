"""A tune to MusicXML 4.0: one guitar part, notation over tablature, the chart as ``<harmony>``.

Notes are pitched as they sound. The notation staff has the guitar's treble clef, sounding an octave
lower than it looks, so every reader agrees on what sounds. The tablature staff stands there when any
note has a string. Bars are written as played, sections as rehearsal marks.

What MusicXML, or one voice, can't hold: a note that rings past the next attack is cut off there; notes
struck together end together; picked entries other than by a stroke; how far a slide from or to nowhere
goes, beyond short, medium and long; a key of more than seven sharps or flats; two sections of one name
and content in a row, which come back as one that is played twice.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Sequence
from math import lcm

from lxml import etree

from solowright.files.musicxml_harmony import write_harmony
from solowright.files.musicxml_write_notes import (
    TYPES,
    Accidentals,
    Score,
    Staff,
    find_spans,
    write_symbol,
)
from solowright.music.chart import Bar, Chart, beat_text
from solowright.music.notation import Symbol, notate
from solowright.music.pitch import LETTERS, plain
from solowright.music.time import SIXTEENTH, Feel, Time
from solowright.music.tune import STANDARD_TUNING, Key, Tune

_DOCTYPE = (
    '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" '
    '"http://www.musicxml.org/dtds/partwise.dtd">'
)
# How a beam goes on, by whether it reaches the note before and the note after.
_BEAMS = {(True, True): "continue", (False, True): "begin", (True, False): "end"}
_CONTROL = re.compile(r"[^\t\n\r\x20-\uD7FF\uE000-\uFFFD\U00010000-\U0010FFFF]")
_TAB_VOICE = 5  # voices 1 to 4 are the first staff's by common practice
_Moment = tuple[Time, etree._Element]  # an element and where it stands, in quarters from the tune's start


def write_musicxml(tune: Tune) -> bytes:
    """The tune as a MusicXML 4.0 file, UTF-8.

    Raises InputError, with bar and beat, where a rhythm is too fine to be written.
    """
    bars = notate(tune)
    root = etree.Element("score-partwise", version="4.0")
    _add(_add(root, "work"), "work-title", _printable(tune.title))
    identification = _add(root, "identification")
    if tune.composer:
        _add(identification, "creator", _printable(tune.composer), type="composer")
    _add(_add(identification, "encoding"), "software", "Solowright")
    part = _add(_add(root, "part-list"), "score-part", id="P1")
    _add(part, "part-name", "Guitar")
    _write_part(_add(root, "part", id="P1"), tune, bars)
    etree.indent(root)
    return etree.tostring(root, xml_declaration=True, encoding="UTF-8", doctype=_DOCTYPE)


def _write_part(part: etree._Element, tune: Tune, bars: Sequence[tuple[Symbol, ...]]) -> None:
    chart = tune.chart
    has_tab = any(note.string is not None for note in tune.line.notes)
    staves = [Staff(1, 1, notation=True, playing=not has_tab)]
    if has_tab:
        staves.append(Staff(2, _TAB_VOICE, notation=False, playing=True))
    divisions = _divisions(tune, bars)
    score = Score(divisions, find_spans(tune.line), tuple(midi + tune.capo for midi in tune.tuning))
    moments = _moments(tune)
    for index, (bar, symbols) in enumerate(zip(chart.bars, bars, strict=True)):
        measure = _add(part, "measure", number=str(chart.number(index)))
        if chart.pickup and index == 0:
            measure.set("implicit", "yes")
        before = chart.bars[index - 1] if index else None
        _write_attributes(measure, tune, bar, before, divisions, has_tab)
        for staff in staves:
            if staff.number > 1:
                _add(_add(measure, "backup"), "duration", int(bar.length * divisions))
            here = moments[index] if staff.number == 1 else []
            _write_staff(measure, symbols, staff, score, here, tune.key)


def _write_staff(
    measure: etree._Element,
    symbols: Sequence[Symbol],
    staff: Staff,
    score: Score,
    moments: list[_Moment],
    key: Key,
) -> None:
    """The symbols of one bar, with chords and directions before the symbol they fall on."""
    accidentals = Accidentals(_signature(key))
    beams = _beams(symbols)
    waiting = list(moments)
    for symbol, levels in zip(symbols, beams, strict=True):
        while waiting and waiting[0][0] < symbol.onset + symbol.duration:
            at, element = waiting.pop(0)
            _set_offset(element, int((at - symbol.onset) * score.divisions))
            measure.append(element)
        measure.extend(write_symbol(symbol, staff, score, accidentals, levels))


def _set_offset(element: etree._Element, offset: int) -> None:
    if not offset:
        return
    mark = etree.Element("offset")
    mark.text = str(offset)
    # The schema has the offset before the sound of a direction, and last in a harmony.
    sound = element.find("sound")
    if sound is None:
        element.append(mark)
    else:
        mark.set("sound", "yes")
        sound.addprevious(mark)


def _divisions(tune: Tune, bars: Sequence[tuple[Symbol, ...]]) -> int:
    """Divisions of a quarter that give every time in the tune a whole number."""
    times = {symbol.duration for symbols in bars for symbol in symbols}
    times |= {chord.offset for bar in tune.chart.bars for chord in bar.chords}
    times |= {bar.length for bar in tune.chart.bars} | {time for time, _ in tune.tempo.changes}
    return lcm(1, *(time.denominator for time in times))


def _write_attributes(
    measure: etree._Element, tune: Tune, bar: Bar, before: Bar | None, divisions: int, has_tab: bool
) -> None:
    if before is not None and before.meter == bar.meter:
        return
    attributes = _add(measure, "attributes")
    if before is None:
        _add(attributes, "divisions", divisions)
        key = _add(attributes, "key")
        _add(key, "fifths", _signature(tune.key))
        _add(key, "mode", "minor" if tune.key.minor else "major")
    time = _add(attributes, "time")
    _add(time, "beats", bar.meter.beats)
    _add(time, "beat-type", bar.meter.unit)
    if before is not None:
        return
    if has_tab:
        _add(attributes, "staves", 2)
    clef = _add(attributes, "clef", **({"number": "1"} if has_tab else {}))
    _add(clef, "sign", "G")
    _add(clef, "line", 2)
    _add(clef, "clef-octave-change", -1)
    if has_tab:
        clef = _add(attributes, "clef", number="2")
        _add(clef, "sign", "TAB")
        _add(clef, "line", 5)
    if has_tab or tune.capo or tune.tuning != STANDARD_TUNING:
        _write_strings(attributes, tune, has_tab)


def _signature(key: Key) -> int:
    """Sharps or flats to write; a key of more than seven is written without, its notes with accidentals."""
    return key.fifths if abs(key.fifths) <= 7 else 0


def _write_strings(attributes: etree._Element, tune: Tune, has_tab: bool) -> None:
    details = _add(attributes, "staff-details", **({"number": "2"} if has_tab else {}))
    if has_tab:
        _add(details, "staff-lines", len(tune.tuning))
    for line, midi in enumerate(reversed(tune.tuning), 1):
        pitch = plain(midi, tune.key.fifths < 0)
        string = _add(details, "staff-tuning", line=str(line))
        _add(string, "tuning-step", LETTERS[pitch.tone.letter])
        if pitch.tone.alter:
            _add(string, "tuning-alter", pitch.tone.alter)
        _add(string, "tuning-octave", pitch.octave)
    if tune.capo:
        _add(details, "capo", tune.capo)


def _moments(tune: Tune) -> dict[int, list[_Moment]]:
    """Directions and chords of every bar in order of time, directions first."""
    chart = tune.chart
    moments: dict[int, list[_Moment]] = defaultdict(list)
    for index, name in chart.section_starts:
        if _printable(name):
            moments[index].append((chart.starts[index], _direction("rehearsal", _printable(name))))
    if not tune.feel.straight:
        moments[0].append((chart.starts[0], _swing(tune.feel)))
    for time, bpm in tune.tempo.changes:
        if time < chart.length:
            moments[chart.bar_index(time)].append((time, _tempo(bpm)))
    for index, bar in enumerate(chart.bars):
        start = chart.starts[index]
        moments[index] += [(start, element) for element in _band(chart, index, bar)]
        moments[index] += [(start + change.offset, write_harmony(change.chord)) for change in bar.chords]
        moments[index].sort(key=lambda moment: moment[0])
    return moments


def _band(chart: Chart, index: int, bar: Bar) -> Iterable[etree._Element]:
    """What the band does in a bar, in the sheet's own words: ``hit 1 2.5``, ``break``, ``answer``."""
    shift = 1 + chart.lead_in(index)
    if bar.hits:
        yield _direction("words", _with_beats("hit", bar.hits, shift), "below")
    if bar.pause:
        yield _direction("words", "break", "below")
    if bar.answered or bar.answer:
        yield _direction("words", _with_beats("answer", bar.answer, shift), "below")


def _with_beats(word: str, offsets: Iterable[Time], shift: Time) -> str:
    return " ".join([word, *(beat_text(offset + shift) for offset in offsets)])


def _direction(kind: str, text: str, placement: str = "above") -> etree._Element:
    direction = etree.Element("direction", placement=placement)
    _add(_add(direction, "direction-type"), kind, text)
    return direction


def _swing(feel: Feel) -> etree._Element:
    direction = _direction("words", "Swing")
    swing = _add(_add(direction, "sound"), "swing")
    _add(swing, "first", feel.ratio.numerator)
    _add(swing, "second", feel.ratio.denominator)
    _add(swing, "swing-type", "16th" if feel.unit == SIXTEENTH else "eighth")
    return direction


def _tempo(bpm: float) -> etree._Element:
    direction = etree.Element("direction", placement="above")
    metronome = _add(_add(direction, "direction-type"), "metronome")
    _add(metronome, "beat-unit", "quarter")
    _add(metronome, "per-minute", f"{bpm:g}")
    _add(direction, "sound", tempo=f"{bpm:.14f}".rstrip("0").rstrip("."))
    return direction


def _beams(symbols: Sequence[Symbol]) -> list[list[tuple[int, str]]]:
    """For every symbol its beams as (level, how), from the groups that notation made."""
    levels = [list(TYPES).index(symbol.value) - 2 if symbol.beam is not None else 0 for symbol in symbols]
    found: list[list[tuple[int, str]]] = []
    for index, symbol in enumerate(symbols):
        left = index > 0 and symbols[index - 1].beam == symbol.beam
        right = index + 1 < len(symbols) and symbols[index + 1].beam == symbol.beam
        beams = []
        for level in range(1, levels[index] + 1):
            before = left and levels[index - 1] >= level
            after = right and levels[index + 1] >= level
            alone = "backward hook" if left else "forward hook"
            beams.append((level, _BEAMS.get((before, after), alone)))
        found.append(beams)
    return found


def _printable(text: str) -> str:
    """Text without the control characters that XML can't hold."""
    return _CONTROL.sub("", text)


def _add(parent: etree._Element, tag: str, text: object = None, **attributes: str) -> etree._Element:
    element = etree.SubElement(parent, tag, attributes)
    if text is not None:
        element.text = str(text)
    return element
