"""What a plainer line leaves out and keeps, told to the student."""

from __future__ import annotations

from itertools import groupby

from solowright.harmony.record import Reading
from solowright.harmony.words import beat_words, listed, printed
from solowright.lesson.plainer import Left, Plainer
from solowright.music.tune import Tune


def plainer_summary(plainer: Plainer, full: Reading) -> str:
    """How fast the plainer line can go, and how much of the full line's sense it keeps."""
    limit, tempo = plainer.worked.fingering.limit_tempo, plainer.worked.fingering.tempo
    reach = f"The plainer line holds up to {limit:.0f}; the tempo is {tempo:.0f}."
    if not plainer.reached:
        reach += f" {plainer.wanted:.0f} was wished for, but what is left carries the tune and stays."
    kept, targets = plainer.targets
    plain = plainer.worked.reading
    heard = sum(each.stated for each in plain.statements) if plain else 0
    before = sum(each.stated for each in full.statements)
    gone = len(plainer.left)
    left = f"{gone} of {len(full.notes)} notes are left out" if gone else "Nothing is left out"
    return (
        f"{reach} {left}; {kept} of {targets} targets stay, and the line alone lets you hear the changes in "
        f"{heard} bars, where the full line does in {before}."
    )


def change_lines(plainer: Plainer, full: Tune) -> list[str]:
    """A line for each bar that changed: which notes went, what they were, and that the rest is held."""

    def bar_of(left: Left) -> int:
        return full.chart.place(full.line.notes[left.note].onset).bar

    lines = []
    for bar, group in groupby(plainer.left, bar_of):
        told = [_name(full, left) for left in group]
        lines.append(f"Bar {bar}: left out {listed(told)}.")
    for place in plainer.trills:
        note = full.line.notes[place]
        spot = full.chart.place(note.onset)
        lines.append(f"Bar {spot.bar}: {printed(note.pitch.name)} on {beat_words(spot)} without its trill.")
    return lines


def _name(full: Tune, left: Left) -> str:
    note = full.line.notes[left.note]
    return f"{printed(note.pitch.tone.name)} on {beat_words(full.chart.place(note.onset))} ({left.what})"
