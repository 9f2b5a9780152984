"""The arc as the plain data that ``arc --json`` prints and the pages show.

Bars are as players number them, beats are quarters from 1.0. Every curve has one value a bar as played,
in the order of ``bars``; null where there is nothing to measure.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from math import isfinite
from typing import Any

from solowright.form.flash import could_be_plainer
from solowright.form.record import Arc, Climax, Contrast, Passage, Plainer, Stretch
from solowright.form.words import tell_arc
from solowright.music.chart import Place
from solowright.music.time import Time
from solowright.music.tune import Tune

UNITS = {
    "density": "attacks a second", "pitch": "MIDI, mean of the top voice", "low": "MIDI", "high": "MIDI",
    "load": "1 is the player's limit", "tension": "0 to 1", "flash": "0 to 1", "level": "dB",
    "intensity": "0 to 1",
}  # fmt: skip
MEANS = ("load", "tension", "flash", "level", "intensity")


def arc_json(tune: Tune, arc: Arc) -> dict[str, Any]:
    """``bars``, ``curves``, ``climax``, ``sections``, ``contrasts``, ``breaks``, ``hits``, ``answers``,
    ``way_back``, ``flash`` and ``sentences`` (each with what it is about and its bars)."""
    numbers = arc.numbers
    return {
        "bars": list(numbers),
        "curves": {name: _rounded(curve) for name, curve in asdict(arc.curves).items()},
        "units": UNITS,
        "level_measured": arc.level_measured,
        "climax": _climax(tune, arc, arc.climax) if arc.climax else None,
        "sections": [
            _stretch(arc, section.stretch)
            | {"notes": section.notes, "density": round(section.density, 2)}
            | {"pitch": None if section.pitch is None else round(section.pitch, 1)}
            | {name: round(getattr(section, name), 3) for name in MEANS}
            for section in arc.sections
        ],
        "contrasts": [_contrast(arc, contrast) for contrast in arc.contrasts],
        "breaks": [
            {"from": numbers[fill.first], "to": numbers[fill.last], "notes": fill.notes}
            | {"density": round(fill.density, 2), "before": round(fill.before, 2)}
            | {"devices": list(fill.devices)}
            | {"silence": float(fill.silence), "enters": None if fill.enters is None else float(fill.enters)}
            for fill in arc.breaks
        ],
        "hits": [
            {"bar": numbers[row.bar], "played": _beats(tune, row.bar, row.played)}
            | {"left": _beats(tune, row.bar, row.left), "between": row.between}
            for row in arc.hits
        ],
        "answers": [
            {"bar": numbers[room.bar], "from": _place(tune.chart.place(room.start))["beat"]}
            | {"quarters": float(room.end - room.start), "free": room.free, "attacks": room.attacks}
            | {"rest": float(room.rest)}
            for room in arc.answers
        ],
        "way_back": _way_back(arc),
        "flash": {
            "budget": round(arc.flash.budget, 2),
            "spent": round(arc.flash.spent, 2),
            "by_section": [round(spent, 2) for spent in arc.flash.by_section],
            "passages": [_passage(tune, arc, passage) for passage in arc.flash.passages],
        },
        "sentences": [
            {"about": told.about, "text": told.text, "from": numbers[told.first], "to": numbers[told.last]}
            for told in tell_arc(tune, arc)
        ],
    }  # fmt: skip


def _rounded(curve: Sequence[float | None]) -> list[float | None]:
    return [value if value is None else round(value, 3) for value in curve]


def _place(place: Place) -> dict[str, Any]:
    return {"bar": place.bar, "beat": float(place.beat)}


def _beats(tune: Tune, bar: int, offsets: Sequence[Time]) -> list[float]:
    return [float(tune.chart.place(tune.chart.starts[bar] + offset).beat) for offset in offsets]


def _stretch(arc: Arc, part: Stretch) -> dict[str, Any]:
    return {"name": part.name, "from": arc.numbers[part.first], "to": arc.numbers[part.stop - 1]}


def _climax(tune: Tune, arc: Arc, climax: Climax) -> dict[str, Any]:
    pitch = tune.line.notes[climax.highest].pitch
    return {
        "bar": arc.numbers[climax.bar],
        "from": arc.numbers[climax.first],
        "to": arc.numbers[climax.last],
        "wanted": _stretch(arc, climax.wanted),
        "where": climax.where,
        "rival": None if climax.rival is None else arc.numbers[climax.rival],
        "highest": _place(climax.highest_at) | {"midi": pitch.midi, "name": pitch.name},
    }


def _contrast(arc: Arc, contrast: Contrast) -> dict[str, Any]:
    return {
        "before": _stretch(arc, arc.sections[contrast.before].stretch),
        "after": _stretch(arc, arc.sections[contrast.after].stretch),
        "faster": round(contrast.faster, 3),
        "higher": round(contrast.higher, 1),
        "louder": round(contrast.louder, 1),
        "tenser": round(contrast.tenser, 3),
        "flashier": round(contrast.flashier, 3),
        "strongest": contrast.strongest,
        "size": round(contrast.size, 2),
    }


def _way_back(arc: Arc) -> dict[str, Any] | None:
    way = arc.way_back
    if way is None:
        return None
    return {
        "last": _place(way.last), "entry": _place(way.entry), "known": way.known,
        "quarters": float(way.quarters),
        "time": round(way.time, 3), "rings": round(way.rings, 3), "hand": round(way.hand, 3),
        "mm": round(way.mm, 1), "needs": round(way.needs, 3), "enough": way.enough,
    }  # fmt: skip


def _passage(tune: Tune, arc: Arc, passage: Passage) -> dict[str, Any]:
    chart = tune.chart
    return {
        "kind": passage.kind,
        "short": passage.short,
        "from": _place(chart.place(passage.start)),
        "to": _place(chart.place(tune.line.notes[passage.notes[-1]].onset)),
        "notes": list(passage.notes),
        "cost": round(passage.cost, 2),
        "pays": list(passage.reasons),
        "cluster": passage.cluster,
        "could_be_plainer": could_be_plainer(passage, arc.flash.spent > arc.flash.budget),
        "plainer": _plainer(tune, passage.plainer) if passage.plainer else None,
    }


def _plainer(tune: Tune, plainer: Plainer) -> dict[str, Any]:
    return {
        "notes": [
            _place(tune.chart.place(note.onset))
            | {"quarters": float(note.duration), "midi": note.pitch.midi, "name": note.pitch.name}
            | {"string": note.string, "fret": note.fret, "finger": note.finger, "entry": note.entry}
            | {"degree": degree}
            for note, degree in zip(plainer.notes, plainer.degrees, strict=True)
        ],
        "replaces": list(plainer.places),
        "kept": list(plainer.kept),
        "limit_tempo": _tempo(plainer.limit_tempo),
        "limit_tempo_before": _tempo(plainer.before),
        "reasons": list(plainer.reasons),
    }


def _tempo(limit: float) -> float | None:
    return round(limit, 1) if isfinite(limit) else None
