"""Tablature as guitarists type it, under a count row, read into a Line.

A note lasts until the next attack on any string, a ``,``, or the end of the tablature (a label that
leaves bars out ends what sounds too). Signs of the rows: tab_marks.py; of the count: tab_count.py.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from itertools import groupby

from solowright.errors import InputError
from solowright.files.tab_attack import Attack, read_attacks
from solowright.files.tab_marks import HARMONIC_NODES, SHORT_SLIDE
from solowright.files.tab_system import read_systems
from solowright.files.tab_under import read_under_rows
from solowright.files.text import Report, TextLine
from solowright.music.chart import Chart
from solowright.music.line import Line, Note, make_line
from solowright.music.pitch import Pitch, at_midi
from solowright.music.spelling import spell_note
from solowright.music.time import Time
from solowright.music.tune import Key


def read_tab(
    lines: Sequence[TextLine], chart: Chart, key: Key, tuning: tuple[int, ...], capo: int, report: Report
) -> Line:
    """The line that tablature writes over ``chart``. Problems go into ``report``."""
    systems = read_systems(lines, chart, tuning, report)
    attacks, stops = read_attacks(systems, chart, report)
    events = _order(attacks)
    for system in systems:
        read_under_rows(system, events, report)
    _end_notes(events, stops)
    _join(events, report)
    notes = []
    for attack in (attack for event in events for attack in event):
        try:
            notes.append(_make_note(attack, chart, key, tuning[attack.string - 1] + capo))
        except InputError as error:
            report.add(attack.line, attack.left + 1, str(error))
    return make_line(notes)


def _order(attacks: list[Attack]) -> list[list[Attack]]:
    """What is struck together, in order; every grace note is struck alone."""

    def moment(attack: Attack) -> tuple[Time, int, int, int]:
        return (attack.time, 0, attack.left, attack.string) if attack.grace else (attack.time, 1, 0, 0)

    events = [list(group) for _, group in groupby(sorted(attacks, key=moment), key=moment)]
    for number, event in enumerate(events):
        for attack in event:
            attack.event = number
    return events


def _end_notes(events: list[list[Attack]], stops: list[tuple[Time, int]]) -> None:
    """Ends every note at the next attack, at the end of its run of bars, or where a comma says."""
    struck = [event for event in events if not event[0].grace]
    times = [event[0].time for event in struck]
    for number, event in enumerate(struck, start=1):
        for attack in event:
            attack.end = min([attack.run_end, *times[number : number + 1]])
    for time, string in stops:
        index = bisect_left(times, time) - 1
        if index < 0:
            continue
        sounding = struck[index]
        for attack in [attack for attack in sounding if attack.string == string] or sounding:
            if time < attack.end:
                attack.end, attack.stopped = time, True


def _join(events: list[list[Attack]], report: Report) -> None:
    """Settles what leads into each note from the note before on its string, if that rings up to it."""
    for attack in (attack for event in events for attack in event):
        before = attack.before
        if before and (
            before.event != attack.event - 1 or before.stopped or before.run_end != attack.run_end
        ):
            before = None
        if attack.slide:
            _settle_slide(attack, before, report)
        if before is None or attack.fret is None or before.fret is None:
            continue
        if attack.entry == "hammer" and attack.fret <= before.fret:
            report.add(
                attack.line,
                attack.left + 1,
                f"a hammer-on goes up, this one from fret {before.fret} to {attack.fret}; write p or /",
            )
        elif attack.entry == "pull" and attack.fret >= before.fret:
            report.add(
                attack.line,
                attack.left + 1,
                f"a pull-off goes down, this one from fret {before.fret} to {attack.fret}; write h or /",
            )


def _settle_slide(attack: Attack, before: Attack | None, report: Report) -> None:
    """A bare ``/``: a slide from the note before, else in from nowhere, else off the note it touches."""
    away = SHORT_SLIDE if attack.slide == "/" else -SHORT_SLIDE
    if before is not None:
        attack.entry = "slide"
    elif attack.slide_touches:
        attack.slide_from = max(-away, -attack.fret)
        if not attack.fret and away > 0:
            report.add(
                attack.line, attack.left + 1, "an open string can't be slid into from below; drop the slide"
            )
    elif attack.slide_leaves and attack.before:
        attack.before.slide_to = max(away, -attack.before.fret)
    else:
        report.add(
            attack.line,
            attack.left + 1,
            f"the slide '{attack.slide}' before this note touches no note; write it next to one",
        )


def _make_note(attack: Attack, chart: Chart, key: Key, open_string: int) -> Note:
    """The written note. Raises InputError."""
    if attack.lasts is not None:
        attack.end = attack.time + attack.lasts
    if attack.end > chart.length:
        raise InputError("this note lasts beyond the end of the chart; shorten it, or lengthen the chart")
    return Note(
        pitch=_sounding(attack, chart, key, open_string),
        onset=attack.time,
        duration=Time(0) if attack.grace else attack.end - attack.time,
        string=attack.string,
        fret=attack.fret,
        finger=attack.finger,
        entry=attack.entry,
        slurred=attack.slurred,
        stroke=attack.stroke,
        bends=tuple(attack.bends),
        slide_from=attack.slide_from,
        slide_to=attack.slide_to,
        vibrato=attack.vibrato,
        trill=attack.trill,
        dead=attack.dead,
        palm_mute=attack.palm_mute,
        let_ring=attack.let_ring,
        accent=attack.accent,
        staccato=attack.staccato,
        spelled=attack.name is not None,
    )


def _sounding(attack: Attack, chart: Chart, key: Key, open_string: int) -> Pitch:
    harmonic = attack.entry == "harmonic"
    name = attack.name
    if harmonic and isinstance(name, Pitch):
        return name
    if harmonic and attack.fret not in HARMONIC_NODES:
        raise InputError(
            f"no natural harmonic is known at fret {attack.fret} (there are "
            f"{', '.join(map(str, sorted(HARMONIC_NODES)))}); give its pitch in a 'names' row, as E5"
        )
    midi = open_string + (HARMONIC_NODES[attack.fret] if harmonic else attack.fret)
    if midi > 127:
        raise InputError(f"fret {attack.fret} is too high to sound here; correct it")
    if name is None:
        return spell_note(midi, key, chart.chord_at(attack.time))
    tone = name.tone if isinstance(name, Pitch) else name
    pitch = at_midi(tone, midi) if tone.pitch_class == midi % 12 else None
    if pitch is None or (isinstance(name, Pitch) and name != pitch):
        sounds = spell_note(midi, key, chart.chord_at(attack.time)).name
        raise InputError(
            f"the 'names' row says {name.name}, string {attack.string} fret {attack.fret} sounds {sounds}; "
            "correct one of them"
        )
    return pitch
