"""The player's flash: where devices meant to be noticed stand, what they cost, whether they pay.

What counts as flash and how much is common practice, no source; so are the share of a solo that can
carry it and the places where it pays: the climax, a break, the bar that turns into the next section, the
band's hits, the last word.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise
from statistics import median

from solowright.form.climax import find_stretches, find_wanted
from solowright.form.record import Flash, Passage, Reason, Stretch
from solowright.form.strikes import Strike
from solowright.harmony import Reading
from solowright.music.time import ZERO, Time
from solowright.music.tune import Tune

# Kinds of device that are meant to be noticed, with their weight; the last two we find ourselves.
WEIGHTS = {
    "shape-shift": 1.0, "ringing-run": 0.8, "open-string-figure": 0.8, "harmonics": 0.8, "trill": 0.7,
    "double-stop": 0.5, "chord-punch": 0.5, "tapping": 1.0, "burst": 0.8,
}  # fmt: skip
PLAIN_ON_HITS = ("double-stop", "chord-punch")  # there the band's arrangement asks for them
SHARE = 0.125  # of the beats of the bars that the line plays in: what a solo can carry
BURST_NOTES = 6
BURST_RATE = 8.0  # attacks a second
BURST_OVER = 1.4  # times the usual pace of the solo
TAPS = 2
CROWDED = Time(4)  # quarters: flash that follows closer takes the shine off what came before
LONG = Time(1)  # quarters that a held last note counts for


def find_flash(tune: Tune, strikes: Sequence[Strike], reading: Reading) -> tuple[Passage, ...]:
    """Every passage of flash in order of time, none overlapping another, why it pays, what crowds it."""
    if not strikes:
        return ()
    found: list[Passage] = []
    for passage in (*_told(tune, strikes, reading), *_taps(tune, strikes), *_bursts(tune, strikes)):
        if all(passage.end <= other.start or other.end <= passage.start for other in found):
            found.append(passage)
    wanted = find_wanted(tune, strikes)
    found.sort(key=lambda passage: passage.start)
    return _crowd([replace(each, reasons=_reasons(tune, strikes, each, wanted)) for each in found])


def _told(tune: Tune, strikes: Sequence[Strike], reading: Reading) -> Iterator[Passage]:
    """The devices of the reading that are flash, heaviest kind first."""
    hits = find_hits(tune)
    devices = [device for device in reading.devices if device.kind in WEIGHTS]
    for device in sorted(devices, key=lambda device: (-WEIGHTS[device.kind], device.start)):
        held = set(device.notes)
        inside = [strike for strike in strikes if held & set(strike.notes)]
        if not inside:
            continue
        if device.kind in PLAIN_ON_HITS and all(strike.start in hits for strike in inside):
            continue
        yield _passage(device.kind, device.short, inside)


def _taps(tune: Tune, strikes: Sequence[Strike]) -> Iterator[Passage]:
    """Stretches with tapped notes no further apart than a beat."""
    row: list[Strike] = []
    tapped = [strike for strike in strikes if any(tune.line.notes[n].entry == "tap" for n in strike.notes)]
    for strike in tapped:
        if row and strike.start - row[-1].start > LONG:
            yield from _tapping(strikes, row)
            row = []
        row.append(strike)
    yield from _tapping(strikes, row)


def _tapping(strikes: Sequence[Strike], row: Sequence[Strike]) -> Iterator[Passage]:
    if len(row) >= TAPS:
        inside = [strike for strike in strikes if row[0].start <= strike.start <= row[-1].start]
        yield _passage("tapping", "tapping", inside)


def _bursts(tune: Tune, strikes: Sequence[Strike]) -> Iterator[Passage]:
    """Runs faster than the solo's usual bar and fast in themselves."""
    gaps = [after.second - before.second for before, after in pairwise(strikes)]
    longest = 1 / max(BURST_RATE, BURST_OVER * _usual_pace(tune, strikes))
    row = [strikes[0]]
    for strike, gap in zip(strikes[1:], gaps, strict=True):
        if gap > longest:
            if len(row) >= BURST_NOTES:
                yield _passage("burst", "fast run", row)
            row = []
        row.append(strike)
    if len(row) >= BURST_NOTES:
        yield _passage("burst", "fast run", row)


def _usual_pace(tune: Tune, strikes: Sequence[Strike]) -> float:
    """Attacks a second in the middle one of the bars that have any."""
    starts = tune.chart.starts
    return median(
        count / (tune.seconds(starts[bar + 1]) - tune.seconds(starts[bar]))
        for bar, count in Counter(strike.bar for strike in strikes).items()
    )


def _passage(kind: str, short: str, inside: Sequence[Strike]) -> Passage:
    last = inside[-1]
    end = last.start + min(last.end - last.start, LONG)
    notes = tuple(sorted(place for strike in inside for place in strike.notes))
    return Passage(kind, short, inside[0].start, end, notes, WEIGHTS[kind] * float(end - inside[0].start), ())


def find_hits(tune: Tune) -> frozenset[Time]:
    """The times of all the band's hits."""
    rows = zip(tune.chart.starts, tune.chart.bars, strict=False)
    return frozenset(start + hit for start, bar in rows for hit in bar.hits)


def _reasons(
    tune: Tune, strikes: Sequence[Strike], passage: Passage, wanted: Stretch
) -> tuple[Reason, ...]:
    """Why a passage pays where it stands."""
    chart = tune.chart
    bar, last = chart.bar_index(passage.start), chart.bar_index(tune.line.notes[passage.notes[-1]].onset)
    turns = {part.stop - 1 for part in find_stretches(tune) if part.stop - part.first > 1}
    held = set(passage.notes)
    onsets = [strike.start for strike in strikes if held & set(strike.notes)]
    reasons: list[Reason] = []
    if wanted.first <= bar < wanted.stop:
        reasons.append("climax")
    if chart.bars[bar].pause:
        reasons.append("break")
    if last == strikes[-1].bar:
        reasons.append("end")
    elif last in turns and not reasons:
        reasons.append("turn")
    hits = find_hits(tune)
    if sum(onset in hits for onset in onsets) > len(onsets) / 2:
        reasons.append("hits")
    return tuple(reasons)


def _crowd(passages: Sequence[Passage]) -> tuple[Passage, ...]:
    """Numbers the crowds: passages less than a bar apart."""
    crowded: list[Passage] = []
    crowd = 0
    for place, passage in enumerate(passages):
        near_before = place > 0 and passage.start - passages[place - 1].end < CROWDED
        near_after = place + 1 < len(passages) and passages[place + 1].start - passage.end < CROWDED
        if not near_before and near_after:
            crowd += 1
        crowded.append(replace(passage, cluster=crowd if near_before or near_after else None))
    return tuple(crowded)


def budget_flash(tune: Tune, strikes: Sequence[Strike], passages: tuple[Passage, ...]) -> Flash:
    """What the solo can carry and what it spends."""
    chart = tune.chart
    beats = sum((chart.bars[bar].length for bar in {strike.bar for strike in strikes}), ZERO)
    edges = [(chart.starts[part.first], chart.starts[part.stop]) for part in find_stretches(tune)]
    spent = [sum(each.cost for each in passages if first <= each.start < stop) for first, stop in edges]
    return Flash(SHARE * float(beats), sum(each.cost for each in passages), passages, tuple(spent))


def could_be_plainer(passage: Passage, over: bool) -> bool:
    """Whether the budget asks for less here: nothing makes it pay, or it is crowded or too much is spent.

    What stands at the climax or fills a break is left alone: it is what the rest is saved for.
    """
    if not passage.reasons:
        return True
    return (over or passage.cluster is not None) and not set(passage.reasons) & {"climax", "break"}
