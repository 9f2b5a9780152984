"""A worked tune as plain JSON: all that a page shows of it. ``static/types.js`` has the same as types.

Times are seconds at the show tempo, feel applied, count-in left out. Beats are quarters from 1.0 inside
the bar. Frets count from the capo. Lengths on the page are points, those on the neck millimetres.
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from math import isfinite
from typing import TYPE_CHECKING, Any

from solowright.harmony.reading import Device, Reading
from solowright.music.chart import Bar, ChordAt
from solowright.music.chord import chord_parts
from solowright.music.line import EMPTY_LINE
from solowright.music.time import Time
from solowright.music.tune import Tune
from solowright.neck.fingering import Crux
from solowright.neck.geometry import SCALE_MM
from solowright.neck.hand_path import HandPath, HandShift, Stay, trace_hand
from solowright.neck.moments import find_strikes
from solowright.neck.player import Player
from solowright.neck.taste import player_for
from solowright.page.drawing import Box
from solowright.page.engrave import WIDTH, System, engrave
from solowright.page.hand_path import HandFigure, draw_hand_paths
from solowright.page.staff import KEPT
from solowright.work import Worked

if TYPE_CHECKING:
    from solowright.form import Arc

Json = dict[str, Any]
NARROW = 250.0  # points: a system that stays readable across a phone


def view_json(
    worked: Worked,
    arc: Arc | None = None,
    *,
    player: Player | None = None,
    width: float = WIDTH,
    narrow: float | None = None,
) -> Json:
    """Everything a page shows of a tune. ``narrow`` asks for a second set of systems, so many points wide.

    Raises InputError, with bar and beat, where a rhythm can't be written.
    """
    tune, player = worked.tune, player_for(worked.tune, player)
    fingering = worked.fingering
    path = trace_hand(tune, fingering.paths[0])
    return {
        "title": tune.title,
        "composer": tune.composer,
        "key": tune.key.name,
        "tempo": tune.tempo.first,
        "limit_tempo": round(fingering.limit_tempo, 1) if isfinite(fingering.limit_tempo) else None,
        "crux": _crux(fingering.crux),
        "length": _seconds(tune, tune.chart.length),
        "tuning": list(tune.tuning),
        "capo": tune.capo,
        "frets": player.frets,
        "scale_mm": player.scale,
        "left_handed": player.left_handed,
        "bars": bars_json(worked),
        "notes": notes_json(worked),
        **hand_json(path),
        "systems": systems_json(worked, width, player.scale, path),
        "narrow": systems_json(worked, narrow, player.scale, path) if narrow else [],
        **_reading(tune, worked.reading),
        "sections": _sections(worked),
        "arc": _arc(tune, arc),
    }


def bars_json(worked: Worked) -> list[Json]:
    """The bars in order: chart, time, and the highest load among their notes."""
    chart = worked.tune.chart
    loads = [0.0] * len(chart.bars)
    for placed in worked.fingering.paths[0].notes:
        index = chart.bar_index(placed.note.onset)
        loads[index] = max(loads[index], placed.load)
    written = _bars(replace(worked.tune, line=EMPTY_LINE))
    return [{**bar, "load": round(load, 3)} for bar, load in zip(written, loads, strict=True)]


@lru_cache(8)
def _bars(tune: Tune) -> tuple[Json, ...]:
    """What a tune without its line tells of its bars: kept, as most edits are of the line alone."""
    chart = tune.chart
    opened = dict(chart.section_starts)
    return tuple(
        {
            "number": chart.number(index),
            "section": opened.get(index),
            "chords": [_chord(change, chart.lead_in(index)) for change in bar.chords],
            "hits": _beats(bar.hits, chart.lead_in(index)),
            "break": bar.pause,
            "answer": _beats(bar.answer, chart.lead_in(index)) if bar.answered or bar.answer else None,
            "time": _seconds(tune, chart.starts[index]),
            "length": _seconds(tune, chart.starts[index + 1]) - _seconds(tune, chart.starts[index]),
            "quarters": float(bar.length),
            "meter": str(bar.meter),
            "pulses": _pulses(tune, bar, chart.starts[index]),
        }
        for index, bar in enumerate(chart.bars)
    )


def _chord(change: ChordAt, lead_in: Time) -> Json:
    beat = float(1 + change.offset + lead_in)
    if change.chord is None:
        return {"beat": beat, "symbol": "N.C.", "text": "N.C."}
    parts = chord_parts(change.chord)
    bass = f"/{parts.bass}" if parts.bass else ""
    return {
        "beat": beat, "symbol": change.chord.symbol, "text": f"{parts.root}{parts.kind}{parts.raised}{bass}",
    }


def _beats(offsets: tuple[Time, ...], lead_in: Time) -> list[float]:
    return [float(1 + offset + lead_in) for offset in offsets]


def _pulses(tune: Tune, bar: Bar, start: Time) -> list[float]:
    """Seconds of the felt beats in a bar."""
    count = -(-bar.length // bar.meter.pulse)
    return [_seconds(tune, start + beat * bar.meter.pulse) for beat in range(int(count))]


def notes_json(worked: Worked) -> list[Json]:
    """The notes of the line in order: when, where on the neck, and what they are to the chord."""
    tune = worked.tune
    moments = [
        (tune.chart.place(struck[0].onset), second) for struck, second in find_strikes(tune) for _ in struck
    ]
    readings = worked.reading.notes if worked.reading else (None,) * len(moments)
    rows = zip(worked.fingering.paths[0].notes, readings, moments, tune.line.ends, strict=True)
    found = []
    for placed, reading, (place, second), end in rows:
        note = placed.note
        chord = reading.chord if reading else tune.chart.chord_at(note.onset)
        found.append(
            {
                "bar": place.bar,
                "beat": float(place.beat),
                "time": _round(second),
                "length": _round(max(0.0, tune.seconds(end) - second)),
                "midi": note.pitch.midi,
                "name": (reading or note).pitch.name,
                "string": placed.string,
                "fret": placed.fret,
                "finger": placed.finger,
                "position": placed.position,
                "entry": placed.entry,
                "load": round(placed.load, 3),
                "locked": placed.locked,
                "grace": note.grace,
                "dead": note.dead,
                "role": reading.role if reading else None,
                "degree": reading.degree if reading else None,
                "chord": chord.symbol if chord else "N.C.",
            }
        )
    return found


def hand_json(path: HandPath) -> Json:
    """The hand path: ``hand`` holds its stays, ``shifts`` what lies between them."""
    return {
        "hand": [_stay(stay) for stay in path.stays],
        "shifts": [_shift(shift) for shift in path.shifts],
    }


def _stay(stay: Stay) -> Json:
    return {
        "from": _round(stay.start),
        "to": _round(stay.end),
        "fret": stay.fret,
        "reach": [stay.low, stay.high],
        "notes": [stay.first, stay.last],
    }


def _shift(shift: HandShift) -> Json:
    return {
        "leave": _round(shift.leave),
        "time": _round(shift.time),
        "from_fret": shift.from_fret,
        "to_fret": shift.to_fret,
        "mm": round(shift.travel, 1),
        "ms": round(1000 * shift.available),
        "load": round(shift.load, 3),
        "slide": shift.slide,
        "note": shift.note,
    }


def systems_json(
    worked: Worked, width: float = WIDTH, scale: float = SCALE_MM, hand: HandPath | None = None
) -> list[Json]:
    """The engraved systems, ``width`` points wide, with the places of bars and notes in them, each with
    the hand path that stands under it. ``scale`` is the neck's; ``hand`` the path where it is traced."""
    systems = engrave(worked.tune, worked.reading, width)
    figures = draw_hand_paths(worked.tune, worked.fingering.paths[0], systems, scale, hand)
    return [_system(system, figure) for system, figure in zip(systems, figures, strict=True)]


@lru_cache(KEPT)
def _system(system: System, hand: HandFigure) -> Json:
    """Kept: most systems are the same after an edit. Not to be changed."""
    return {
        "svg": system.svg,
        "width": round(system.width, 2),
        "height": round(system.height, 2),
        "first": system.first,
        "last": system.last,
        "bars": [[number, round(left, 2), round(right, 2)] for number, left, right in system.bars],
        "notes": [
            {"note": place.index, "head": _box(place.head), "fret": _box(place.fret) if place.fret else None}
            for place in system.notes
        ],
        "clock": [[_round(second), round(x, 2)] for second, x in hand.clock],
        "hand": {
            "svg": hand.svg,
            "height": round(hand.height, 2),
            "dots": [[note, round(x, 2), round(y, 2)] for note, x, y in hand.dots],
        },
    }


def _box(box: Box) -> list[float]:
    return [round(edge, 2) for edge in (box.left, box.top, box.right, box.bottom)]


def _reading(tune: Tune, reading: Reading | None) -> Json:
    if reading is None:
        return {"devices": [], "sentences": [], "targets": [], "summary": ""}
    return {
        "devices": [_device(tune, device) for device in reading.devices],
        "sentences": [
            {
                "text": sentence.text,
                "from": _place(tune, sentence.start),
                "to": _place(tune, sentence.end),
                "start": _seconds(tune, sentence.start),
                "end": _seconds(tune, sentence.end),
            }
            for sentence in reading.sentences
        ],
        "targets": [{"note": target.note, "approach": target.approach} for target in reading.targets],
        "summary": reading.summary,
    }


def _device(tune: Tune, device: Device) -> Json:
    """``end`` is where its last note ends, so that a loop over it holds the whole of it."""
    end = max([tune.line.ends[place] for place in device.notes], default=device.end)
    return {
        "kind": device.kind,
        "short": device.short,
        "sentence": device.sentence,
        "from": _place(tune, device.start),
        "to": _place(tune, device.end),
        "start": _seconds(tune, device.start),
        "end": _seconds(tune, end),
        "notes": list(device.notes),
        "runner_up": [
            {"kind": other.kind, "short": other.short, "sentence": other.sentence}
            for other in device.runner_up
        ],
    }


def _sections(worked: Worked) -> list[Json]:
    """The sections as played, with the reading's paragraph where there is one."""
    chart = worked.tune.chart
    if not chart.bars:
        return []
    starts = chart.section_starts
    texts = {section.first: section.text for section in worked.reading.sections} if worked.reading else {}
    ends = [index for index, _ in starts[1:]] + [len(chart.bars)]
    return [
        {
            "name": name,
            "first": chart.number(index),
            "last": chart.number(end - 1),
            "text": texts.get(chart.number(index), ""),
        }
        for (index, name), end in zip(starts, ends, strict=True)
    ]


def _arc(tune: Tune, arc: Arc | None) -> Json | None:
    if arc is None:
        return None
    from solowright.form import arc_json

    found: Json = arc_json(tune, arc)
    return found


def _crux(crux: Crux | None) -> Json | None:
    if crux is None:
        return None
    return {
        "bar": crux.place.bar, "beat": float(crux.place.beat), "load": round(crux.load, 3), "why": crux.why,
    }


def _place(tune: Tune, time: Time) -> Json:
    place = tune.chart.place(time)
    return {"bar": place.bar, "beat": float(place.beat)}


def _seconds(tune: Tune, time: Time) -> float:
    return _round(tune.seconds(time))


def _round(seconds: float) -> float:
    return round(seconds, 6)
