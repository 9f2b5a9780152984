"""Tune to MEI: the notation staff, and a one-line rhythm staff for what the band strikes.

MEI 5 as verovio 6.4 reads it; its ``oct`` is the sounding octave under an octave clef. Identifiers
of heads as in ``score``; ``bar-3``, ``notes-3`` and ``band-3`` belong to the bar at index 3, ``s3.0``
and ``h3.0`` are its symbols in the two staves, rests included.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby, pairwise

from solowright.music.line import Note
from solowright.music.notation import Symbol
from solowright.music.pitch import LETTERS
from solowright.page.passage import printed_fifths
from solowright.page.score import Score, beats, note_id, struck

_SIGNS = {-3: "tf", -2: "ff", -1: "f", 0: "n", 1: "s", 2: "x", 3: "ts"}


def write_mei(score: Score) -> str:
    """The passage as MEI. The bars that are shown are a page of their own."""
    tune = score.tune
    breaks = (score.shown.start, score.shown.stop)
    fifths = printed_fifths(tune)
    key = f"{abs(fifths)}{'s' if fifths > 0 else 'f'}" if fifths else "0"
    meter = tune.chart.bars[0].meter
    count = f'meter.count="{meter.beats}" meter.unit="{meter.unit}"'
    told = f" {count}" if score.passage.opening else ""  # later on only a change of meter is printed
    parts = [
        '<mei xmlns="http://www.music-encoding.org/ns/mei" meiversion="5.0"><music><body><mdiv><score>'
        f'<scoreDef key.sig="{key}"{told}><staffGrp>'
        '<staffDef n="1" lines="1" scale="70%" clef.shape="perc" clef.line="1" clef.visible="false" '
        'keysig.visible="false" meter.visible="false"/>'
        '<staffDef n="2" lines="5" clef.shape="G" clef.line="2" clef.dis="8" clef.dis.place="below"/>'
        "</staffGrp></scoreDef><section>"
    ]
    spanners = _spanners(score)
    for index, bar in enumerate(tune.chart.bars):
        if index in breaks and index:
            parts.append("<pb/>")
        if bar.meter != meter:
            meter = bar.meter
            parts.append(f'<scoreDef meter.count="{meter.beats}" meter.unit="{meter.unit}"/>')
        parts.append(_measure(score, index, spanners.get(index, "")))
    parts.append("</section></score></mdiv></body></music></mei>")
    return "".join(parts)


def _measure(score: Score, index: int, spanners: str) -> str:
    bar = score.tune.chart.bars[index]
    last = score.passage.ending and index == len(score.bars) - 1
    line = "".join(nested(line_symbols(score, index)))
    band = "<mSpace/>"
    if struck(bar):
        band = "".join(nested(_band_symbols(score, index)))
    elif score.bars[index][0].whole_bar:
        band = "".join(f'<space dur="{bar.meter.unit}"/>' for _ in range(beats(bar)))
    end = ' right="end"' if last else ""
    return (
        f'<measure n="{index}" xml:id="bar-{index}" metcon="false"{end}>'
        f'<staff n="1" xml:id="band-{index}"><layer n="1">{band}</layer></staff>'
        f'<staff n="2" xml:id="notes-{index}"><layer n="1">{line}</layer></staff>{spanners}</measure>'
    )


def line_symbols(score: Score, bar: int, cue: bool = False) -> Iterator[tuple[Symbol, str]]:
    """The line's symbols in a bar, each with its MEI; ``cue`` writes them small."""
    for number, symbol in enumerate(score.bars[bar]):
        if symbol.whole_bar:
            yield symbol, f'<mRest xml:id="s{bar}.{number}"/>'
            continue
        length = length_of(symbol) + (' cue="true"' if cue else "")
        if not symbol.notes:
            yield symbol, f'<rest xml:id="s{bar}.{number}" {length}/>'
            continue
        graces, artic = _graces(score, symbol.graces), _articulations(symbol)
        names = [(note_id(score, note, symbol, bar, number), note) for note in symbol.notes]
        if len(names) == 1:
            yield symbol, graces + _head(score, *names[0], length, artic)
            continue
        inner = "".join(_head(score, name, note) for name, note in names)
        yield symbol, f'{graces}<chord xml:id="s{bar}.{number}" {length}>{artic}{inner}</chord>'


def _head(score: Score, name: str, note: Note, length: str = "", inner: str = "", grace: str = "") -> str:
    shape = ' head.shape="x"' if note.dead else ' head.shape="diamond"' if note.entry == "harmonic" else ""
    tone = note.pitch.tone
    pitch = f'pname="{LETTERS[tone.letter].lower()}" oct="{note.pitch.octave}"'
    accidental = f' accid.ges="{_SIGNS[tone.alter]}"' if tone.alter else ""
    if name in score.accidentals:
        accidental = f' accid="{_SIGNS[tone.alter]}"'
    return f'<note xml:id="{name}" {length} {pitch}{accidental}{shape}{grace}>{inner}</note>'


def _graces(score: Score, graces: tuple[Note, ...]) -> str:
    if not graces:
        return ""
    length = 'dur="8"' if len(graces) == 1 else 'dur="16"'
    kind = ' grace="unacc"' if len(graces) == 1 else ' grace="acc"'
    heads = "".join(_head(score, f"n{score.indices[id(note)]}", note, length, "", kind) for note in graces)
    beamed = f"<beam>{heads}</beam>" if len(graces) > 1 else heads
    return f'<graceGrp attach="post">{beamed}</graceGrp>'


def _articulations(symbol: Symbol) -> str:
    if symbol.tie_from:
        return ""
    names = [
        name
        for name, wanted in (
            ("stacc", any(note.staccato for note in symbol.notes)),
            ("acc", any(note.accent for note in symbol.notes)),
        )
        if wanted
    ]
    return "".join(f'<artic artic="{name}" place="above"/>' for name in names)


def _band_symbols(score: Score, bar: int) -> Iterator[tuple[Symbol, str]]:
    for number, symbol in enumerate(score.band[bar]):
        name = f'xml:id="h{bar}.{number}"'
        length = length_of(symbol)
        if symbol.notes:
            yield symbol, f'<note {name} {length} loc="0" head.shape="slash" stem.dir="up"/>'
        else:
            yield symbol, f'<rest {name} {length} loc="0"/>'


def length_of(symbol: Symbol) -> str:
    """The attributes that tell a symbol's written value."""
    return f'dur="{symbol.value}"' + (f' dots="{symbol.dots}"' if symbol.dots else "")


def nested(symbols: Iterator[tuple[Symbol, str]]) -> Iterator[str]:
    """The symbols' MEI in order, with beams and tuplets around it."""
    written = list(symbols)
    groups = _groups([symbol for symbol, _ in written])
    for at, (_, text) in enumerate(written):
        yield from (group.opening for group in groups if group.first == at)
        yield text
        yield from (group.closing for group in reversed(groups) if group.stop == at + 1)


@dataclass(frozen=True, slots=True)
class _Group:
    """Symbols from ``first`` up to ``stop`` (not with it) inside one element."""

    first: int
    stop: int
    opening: str
    closing: str


def _groups(symbols: list[Symbol]) -> list[_Group]:
    """Tuplets and beams, outer ones first; a beam over the edge of a tuplet is cut there."""
    tuplets, groups = [], []
    for first, symbol in enumerate(symbols):
        if symbol.tuplet and symbol.tuplet_start:
            stop = next(at for at in range(first, len(symbols)) if symbols[at].tuplet_stop) + 1
            tuplets.append((first, stop))
            number, normal = symbol.tuplet
            beams = {inner.beam for inner in symbols[first:stop]}
            bracket = "false" if len(beams) == 1 and None not in beams else "true"
            opening = f'<tuplet num="{number}" numbase="{normal}" bracket.visible="{bracket}">'
            groups.append(_Group(first, stop, opening, "</tuplet>"))
    for first, stop in _runs([symbol.beam for symbol in symbols]):
        cuts = {first, stop}
        for begin, end in tuplets:
            within = first <= begin and end <= stop
            cuts |= set() if within else {edge for edge in (begin, end) if first < edge < stop}
        pieces = [piece for piece in pairwise(sorted(cuts)) if piece[1] - piece[0] > 1]
        groups += [_Group(*piece, "<beam>", "</beam>") for piece in pieces]
    return sorted(groups, key=lambda group: (group.first, -group.stop))


def _runs(beams: list[int | None]) -> Iterator[tuple[int, int]]:
    first = 0
    for number, same in groupby(beams):
        stop = first + len(list(same))
        if number is not None:
            yield first, stop
        first = stop


def _spanners(score: Score) -> dict[int, str]:
    """Ties, slurs and slide lines by the bar in which they begin."""
    found: dict[int, list[str]] = {}
    heads: dict[int, tuple[int, str]] = {}
    for bar, symbols in enumerate(score.bars):
        for number, symbol in enumerate(symbols):
            for note in (*symbol.graces, *symbol.notes):
                index = score.indices[id(note)]
                grace = note in symbol.graces
                name = f"n{index}" if grace else note_id(score, note, symbol, bar, number)
                if symbol.tie_from and not grace and index in heads:
                    begun, before = heads[index]
                    found.setdefault(begun, []).append(f'<tie startid="#{before}" endid="#{name}"/>')
                heads[index] = (bar, name)
    first_bar = dict(_first_bars(score))
    for first, last in score.slurs:
        if first in first_bar and last in first_bar:
            slur = f'<slur startid="#n{first}" endid="#n{last}"/>'
            found.setdefault(first_bar[first], []).append(slur)
    for end, start in score.joins.items():
        if score.tune.line.notes[end].entry == "slide" and start in first_bar and end in first_bar:
            begun, name = heads[start]
            found.setdefault(begun, []).append(f'<gliss startid="#{name}" endid="#n{end}"/>')
    return {bar: "".join(lines) for bar, lines in found.items()}


def _first_bars(score: Score) -> Iterator[tuple[int, int]]:
    """(note by index, bar in which it is struck)."""
    for bar, symbols in enumerate(score.bars):
        for symbol in symbols:
            for note in symbol.graces if symbol.tie_from else (*symbol.graces, *symbol.notes):
                yield score.indices[id(note)], bar
