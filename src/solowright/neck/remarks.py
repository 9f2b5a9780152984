"""What there is to say of a fingering: whether it goes at the tempo, what shapes it moves along, and what
the line writes that can't be played just so, and how it was read instead. A sentence each."""

from __future__ import annotations

from solowright.music.tune import Tune
from solowright.neck.fingering import Fingering, Path, apply_path
from solowright.neck.taste import tell_hand

READ_AS = {"hammer": "a hammer-on", "pull": "a pull-off"}


def tell_fingering(tune: Tune, fingering: Fingering) -> tuple[str, ...]:
    """What there is to say about the first path of a fingering beside its tempo: what the sheet has its own
    way, shapes moved along the neck, and what was read otherwise than it is written."""
    hand = tell_hand(tune.hand)
    shapes = (shape.sentence for shape in fingering.shapes)
    remarks = (f"{remark[0].upper()}{remark[1:]}." for remark in find_remarks(tune, fingering.paths[0]))
    return (*((hand,) if hand else ()), *shapes, *remarks)


def find_remarks(tune: Tune, path: Path) -> tuple[str, ...]:
    """Slides from, to and through open strings, which no finger can do: a slide needs a stopped string at
    both ends."""
    said = []
    played = apply_path(tune, path).line.notes
    for note, now in zip(tune.line.notes, played, strict=True):
        place, name = tune.chart.place(note.onset), note.pitch.name
        if note.entry == "slide" and now.entry in READ_AS:
            way = "from" if now.entry == "hammer" else "to"
            said.append(f"{place}: no finger slides {way} an open string; the slide into {name} is read as "
                        f"{READ_AS[now.entry]}")
        if note.slide_from and now.slide_from != note.slide_from:
            how = f"begins at fret {(now.fret or 0) + now.slide_from}" if now.slide_from else "is left out"
            said.append(f"{place}: no finger slides from an open string; the slide in to {name} {how}")
        if note.slide_to and not now.slide_to:
            said.append(f"{place}: {name} is an open string here, so the slide off is left out")
    return tuple(said)
