"""The fingering as the plain data that ``finger --json`` prints."""

from __future__ import annotations

from math import isfinite
from typing import Any

from solowright.music.tune import Tune
from solowright.neck.fingering import Crux, Fingering, Path
from solowright.neck.shapes import Shape
from solowright.neck.tempo import PassageLimit, limit_by_passage


def fingering_json(tune: Tune, fingering: Fingering) -> dict[str, Any]:
    """Bars count from 1, beats are quarters from 1.0, ``midi`` sounds, string 1 is the highest.

    ``limit_tempo`` and ``crux`` are null where nothing in the line asks for speed. ``shapes`` are those
    that the first path moves along the neck, ``passages`` its phrases with the limit tempo of each.
    """
    return {
        "tempo": fingering.tempo,
        "limit_tempo": _tempo(fingering.limit_tempo),
        "crux": _crux(fingering.crux),
        "paths": [_path(tune, path) for path in fingering.paths],
        "shapes": [_shape(shape) for shape in fingering.shapes],
        "passages": [_passage(passage) for passage in limit_by_passage(tune, fingering.paths[0])],
    }


def _passage(passage: PassageLimit) -> dict[str, Any]:
    return {
        "from": {"bar": passage.start.bar, "beat": float(passage.start.beat)},
        "to": {"bar": passage.end.bar, "beat": float(passage.end.beat)},
        "limit_tempo": _tempo(passage.limit_tempo),
    }


def _tempo(limit: float) -> float | None:
    return round(limit, 1) if isfinite(limit) else None


def _crux(crux: Crux | None) -> dict[str, Any] | None:
    if crux is None:
        return None
    return {
        "bar": crux.place.bar, "beat": float(crux.place.beat), "load": round(crux.load, 3), "why": crux.why,
    }


def _shape(shape: Shape) -> dict[str, Any]:
    return {
        "from": {"bar": shape.start.bar, "beat": float(shape.start.beat)},
        "to": {"bar": shape.end.bar, "beat": float(shape.end.beat)},
        "times": shape.times,
        "interval": shape.interval,
        "strings": list(shape.strings),
        "fingers": list(shape.fingers),
        "sentence": shape.sentence,
    }


def _path(tune: Tune, path: Path) -> dict[str, Any]:
    notes = []
    for placed in path.notes:
        place = tune.chart.place(placed.note.onset)
        notes.append(
            {
                "bar": place.bar,
                "beat": float(place.beat),
                "midi": placed.note.pitch.midi,
                "string": placed.string,
                "fret": placed.fret,
                "finger": placed.finger,
                "entry": placed.entry,
                "load": round(placed.load, 3),
                "locked": placed.locked,
            }
        )
    return {"cost": round(path.cost, 3), "limit_tempo": _tempo(path.limit_tempo), "notes": notes}
