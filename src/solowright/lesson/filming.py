"""The filming sheet: take by take what to play, slow and at tempo, and what to say."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import isfinite
from pathlib import Path

from solowright.harmony.words import listed
from solowright.lesson.phrases import Phrase, find_phrases, sentences_in
from solowright.lesson.video import Pass
from solowright.music.line import Line
from solowright.neck import Player, finger
from solowright.neck.hand_path import trace_hand
from solowright.page.crop import crop_bars
from solowright.page.engrave import System, engrave
from solowright.page.typeset import typeset
from solowright.work import Worked

_TEMPLATE = Path(__file__).with_name("filming.typ")
_HARD = 0.7  # load from which the hardest move of a phrase is spoken of


def filming_sheet(
    worked: Worked,
    passes: Sequence[Pass],
    player: Player | None = None,
    systems: Sequence[System] | None = None,
) -> bytes:
    """The sheet as PDF: a block for each phrase. ``passes`` are the tempos that are filmed.

    Raises InputError, with bar and beat, where a rhythm can't be written.
    """
    tune = worked.tune
    systems = engrave(tune) if systems is None else systems
    pictures: dict[str, str] = {}
    takes = []
    for phrase in find_phrases(tune):
        crops: list[dict[str, object]] = []
        for svg, width, _ in crop_bars(systems, phrase.first, phrase.last):
            name = f"bars-{phrase.number}-{len(crops)}.svg"
            pictures[name] = svg
            crops.append({"file": name, "width": width})
        takes.append(_take(worked, phrase, passes, player) | {"pictures": crops})
    data = {
        "title": tune.title or "Untitled",
        "tempos": [{"name": each.name, "tempo": f"{each.tempo:.0f}"} for each in passes],
        "takes": takes,
    }
    return typeset(_TEMPLATE, data, pictures)


def _take(
    worked: Worked, phrase: Phrase, passes: Sequence[Pass], player: Player | None
) -> dict[str, object]:
    reading = worked.reading
    say = [sentence.text for sentence in sentences_in(reading, phrase)] if reading else []
    section = [each.text for each in reading.sections if each.first == phrase.first] if reading else []
    return {
        "number": phrase.number,
        "name": f"{phrase.section}, {phrase.bars}" if phrase.section else phrase.bars.capitalize(),
        "hand": hand_words(worked, phrase, player),
        "say": say,
        "section": section[0] if section else "",
        "play": [_play(worked, phrase, each) for each in passes],
    }


def _play(worked: Worked, phrase: Phrase, each: Pass) -> dict[str, str]:
    """How long the take is, and where it is heard in that pass's audio."""
    tune = worked.tune.at_tempo(each.tempo)
    chart = tune.chart
    start = each.mix.lead + tune.seconds(chart.starts[chart.index(phrase.first)])
    length = each.mix.lead + tune.seconds(phrase.end) - start
    at = f"{int(start // 60)}:{start % 60:04.1f}"
    return {"name": each.name, "tempo": f"{each.tempo:.0f}", "at": at, "length": f"{length:.0f}"}


def hand_words(worked: Worked, phrase: Phrase, player: Player | None = None) -> list[str]:
    """Where a phrase begins, where the hand goes in it, and its hardest move where that is hard."""
    tune, path = worked.tune, worked.fingering.paths[0]
    first = next(path.notes[place] for place in phrase.notes)
    begin = f"Begin on string {first.string}, " + (
        f"fret {first.fret} with finger {first.finger}." if first.finger else "open."
    )
    stays = [stay for stay in trace_hand(tune, path).stays if _meets(phrase, stay.first, stay.last)]
    frets = [str(stay.fret) for stay in stays]
    told = [begin]
    if len(frets) == 1:
        told.append(f"The index finger stays at fret {frets[0]}.")
    elif frets:
        told.append(f"The index finger goes to fret {listed(frets) if len(frets) < 3 else ', '.join(frets)}.")
    notes = tuple(tune.line.notes[place] for place in phrase.notes)
    crux = finger(replace(tune, line=Line(notes)), player)
    if crux.crux and crux.crux.load >= _HARD and isfinite(crux.limit_tempo):
        told.append(f"Hardest at {crux.crux.place}: {crux.crux.why}. Holds up to {crux.limit_tempo:.0f}.")
    return told


def _meets(phrase: Phrase, first: int, last: int) -> bool:
    return first <= phrase.notes[-1] and last >= phrase.notes[0]
