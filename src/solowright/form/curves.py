"""The curves of a solo over its bars: pace, register, load, tension, flash, level, and all together.

The weights are our judgement (common practice, no source); every curve that goes into the intensity is
first set to 0–1 within the solo, since a solo builds against itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import exp, log10

from solowright.errors import InputError
from solowright.form.record import Curves, Passage
from solowright.form.strikes import Strike
from solowright.harmony import NoteReading, Reading
from solowright.music.tune import Tune

SILENT = -30.0  # dB of a bar in which nothing sounds
DECAY = 0.5  # seconds in which a string's power falls to 1/e, assumed
BUILD = 32  # bars with notes for each bar to either side that a listener hears together
WEIGHTS = {"high": 0.30, "density": 0.20, "level": 0.15, "flash": 0.15, "tension": 0.10, "together": 0.10}
# How far a degree outside the chord rubs: what the chord takes gladly, what alters it, the rest is 1.
MILD = {"9": 0.4, "13": 0.4, "6": 0.4}
MILD_11 = ("minor", "half-diminished", "suspended", "minor-major")
SHARP_11 = ("major", "dominant")
ALTERED = {"b9": 0.7, "#9": 0.7, "#11": 0.7, "b13": 0.7}


def draw_curves(
    tune: Tune,
    strikes: Sequence[Strike],
    reading: Reading,
    passages: Sequence[Passage],
    levels: Sequence[float] | None,
) -> Curves:
    """All curves, one value a bar. ``levels``: dB a bar, measured, in place of the estimate.

    Raises InputError where there is not one level a bar.
    """
    chart = tune.chart
    count = len(chart.bars)
    if levels is not None and len(levels) != count:
        raise InputError(f"{len(levels)} sound levels for {count} bars; give one for each bar as played")
    seconds = [tune.seconds(start) for start in chart.starts]
    lengths = [stop - start for start, stop in pairwise(seconds)]
    struck: list[list[Strike]] = [[] for _ in range(count)]
    for strike in strikes:
        struck[strike.bar].append(strike)
    sounding = _sounding(strikes, seconds)
    density = [len(row) / length for row, length in zip(struck, lengths, strict=True)]
    low = [min((midi for strike, _ in row for midi in strike.midis), default=None) for row in sounding]
    high = [max((strike.top for strike, _ in row), default=None) for row in sounding]
    level = list(levels) if levels is not None else _levels(strikes, seconds)
    flash = _flash(tune, passages)
    tension = [_tension(row, reading.notes) for row in sounding]
    together = _together(tune, strikes)
    intensity = _intensity(density, high, level, flash, tension, together, [bool(row) for row in sounding])
    return Curves(
        tuple(density),
        tuple(_mean([(strike.top, time) for strike, time in row]) for row in sounding),
        tuple(low),
        tuple(high),
        tuple(max((strike.load for strike in row), default=0.0) for row in struck),
        tuple(tension),
        tuple(flash),
        tuple(level),
        tuple(intensity),
    )


def _sounding(strikes: Sequence[Strike], seconds: Sequence[float]) -> list[list[tuple[Strike, float]]]:
    """For every bar what sounds in it, and for how many seconds of it."""
    rows: list[list[tuple[Strike, float]]] = [[] for _ in seconds[1:]]
    for strike in strikes:
        bar = strike.bar
        while bar < len(rows) and (seconds[bar] < strike.stop or bar == strike.bar):
            time = min(strike.stop, seconds[bar + 1]) - max(strike.second, seconds[bar])
            rows[bar].append((strike, time))
            bar += 1
    return rows


def _mean(rows: Sequence[tuple[float, float]]) -> float | None:
    whole = sum(weight for _, weight in rows)
    return sum(value * weight for value, weight in rows) / whole if whole else None


def _tension(row: Sequence[tuple[Strike, float]], notes: Sequence[NoteReading]) -> float:
    """The share of the sounding time that rubs against the chord of its moment."""
    weighed = [
        (sum(rub(notes[place]) for place in strike.notes) / len(strike.notes), time) for strike, time in row
    ]
    return _mean(weighed) or 0.0


def rub(note: NoteReading) -> float:
    """0 for a tone of the chord's symbol, then the more the further a note lies from it, up to 1."""
    if note.chord is None or note.degree is None or note.degree in note.chord.degrees:
        return 0.0
    if note.degree == "11" and note.chord.family in MILD_11:
        return MILD["9"]
    if note.degree == "#11" and note.chord.family in SHARP_11:
        return MILD["9"]
    return MILD.get(note.degree, ALTERED.get(note.degree, 1.0) if note.chord.family == "dominant" else 1.0)


def _levels(strikes: Sequence[Strike], seconds: Sequence[float]) -> list[float]:
    """Mean power of each bar in dB, every note dying away until it ends; one picked note after another,
    each short against the decay, is about 0."""
    energy = [0.0] * (len(seconds) - 1)
    for strike in strikes:
        bar, power = strike.bar, 10 ** (strike.level / 10)
        while bar < len(energy) and (seconds[bar] < strike.stop or bar == strike.bar):
            begin = max(0.0, seconds[bar] - strike.second)
            end = min(strike.stop, seconds[bar + 1]) - strike.second
            energy[bar] += power * DECAY * (exp(-begin / DECAY) - exp(-end / DECAY))
            bar += 1
    means = (row / (stop - start) for row, (start, stop) in zip(energy, pairwise(seconds), strict=True))
    return [max(SILENT, 10 * log10(mean)) if mean > 0 else SILENT for mean in means]


def _flash(tune: Tune, passages: Sequence[Passage]) -> list[float]:
    """The share of each bar that flash takes, by weight."""
    chart = tune.chart
    spent = [0.0] * len(chart.bars)
    for passage in passages:
        share = passage.cost / float(passage.end - passage.start)
        for bar in range(chart.bar_index(passage.start), len(spent)):
            over = min(passage.end, chart.starts[bar + 1]) - max(passage.start, chart.starts[bar])
            if over <= 0:
                break
            spent[bar] += share * float(over)
    return [min(1.0, beats / float(bar.length)) for beats, bar in zip(spent, chart.bars, strict=True)]


def _together(tune: Tune, strikes: Sequence[Strike]) -> list[float]:
    """The hits that line and band strike together, for each quarter of a bar."""
    onsets = {strike.start for strike in strikes}
    rows = zip(tune.chart.starts, tune.chart.bars, strict=False)
    return [sum(start + hit in onsets for hit in bar.hits) / float(bar.length) for start, bar in rows]


def _intensity(
    density: Sequence[float],
    high: Sequence[int | None],
    level: Sequence[float],
    flash: Sequence[float],
    tension: Sequence[float],
    together: Sequence[float],
    sounds: Sequence[bool],
) -> list[float]:
    """The weighted sum, smoothed over the neighbouring bars (a listener feels a build, not a bar)."""
    heights = _within([float(midi) if midi is not None else None for midi in high])
    loudness = _within([db if sounded else None for db, sounded in zip(level, sounds, strict=True)])
    rows = (("high", heights), ("density", _share(density)), ("level", loudness),
            ("flash", _share(flash)), ("tension", _share(tension)), ("together", _share(together)))
    raw = [
        sum(WEIGHTS[name] * curve[bar] for name, curve in rows) if sounded else 0.0
        for bar, sounded in enumerate(sounds)
    ]
    reach = max(1, round(sum(sounds) / BUILD))
    return [_smoothed(raw, bar, reach) for bar in range(len(raw))]


def _share(curve: Sequence[float]) -> list[float]:
    top = max(curve, default=0.0)
    return [value / top if top > 0 else 0.0 for value in curve]


def _within(curve: Sequence[float | None]) -> list[float]:
    """The curve between its lowest (0) and highest (1) value; 0 where there is none."""
    values = [value for value in curve if value is not None]
    low, high = min(values, default=0.0), max(values, default=0.0)
    if high <= low:
        return [0.0] * len(curve)
    return [(value - low) / (high - low) if value is not None else 0.0 for value in curve]


def _smoothed(curve: Sequence[float], bar: int, reach: int) -> float:
    """The mean around a bar, neighbours counting less the further they are, up to ``reach`` bars away."""
    near = range(max(0, bar - reach), min(len(curve), bar + reach + 1))
    weights = [reach + 1 - abs(place - bar) for place in near]
    return sum(curve[place] * weight for place, weight in zip(near, weights, strict=True)) / sum(weights)
