"""The booklet for teaching: the printed booklet's front page, then the solo section by section, its devices
explained once, its hard spots, a page on sound, and the plainer line.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from solowright.errors import InputError
from solowright.form import work_out_arc
from solowright.harmony.reading import Device
from solowright.harmony.words import listed, printed
from solowright.lesson.device_texts import DEVICE_TEXTS
from solowright.lesson.plainer import Plainer
from solowright.lesson.plainer_words import change_lines, plainer_summary
from solowright.lesson.shapes import ChordShape, find_shapes
from solowright.neck import Player
from solowright.page.arc_figure import draw_arc
from solowright.page.booklet import FRONT, front_page
from solowright.page.crop import crop_bars
from solowright.page.drawing import Mark, write_svg
from solowright.page.engrave import WIDTH, System, engrave
from solowright.page.hand_path import draw_hand_paths
from solowright.page.neck_figure import Dot, draw_neck, fit_neck
from solowright.page.over import chord_mark
from solowright.page.typeset import typeset
from solowright.practice import find_loops
from solowright.practice.ladder import CLEAN_TO_RISE, MISSES_TO_FALL, build_ladder
from solowright.sound.speak import SpeakReport, speak_report
from solowright.sound.speak_words import ASSUMPTIONS, speak_svg
from solowright.work import Worked

_TEMPLATE = Path(__file__).with_name("booklet.typ")
_SHAPE = 94.0  # width of a chord shape, points
_DEVICE = 190.0  # width of a device's neck
_SYMBOL = 11.0

Block = dict[str, Any]


class _Body:
    """The blocks of the booklet and their pictures, as they are gathered."""

    def __init__(self) -> None:
        self.blocks: list[Block] = []
        self.pictures: dict[str, str] = {}

    def add(self, kind: str, **facts: Any) -> None:
        self.blocks.append({"kind": kind, **facts})

    def picture(self, svg: str) -> str:
        """The file name of a picture."""
        name = f"picture-{len(self.pictures)}.svg"
        self.pictures[name] = svg
        return name


def teaching_booklet(worked: Worked, plainer: Plainer | None = None, player: Player | None = None) -> bytes:
    """The booklet as PDF (A4). Raises InputError, with bar and beat, where a rhythm can't be written."""
    tune, reading = worked.tune, worked.reading
    systems = engrave(tune, reading)
    body = _Body()
    if reading is not None:
        arc = work_out_arc(tune, worked.fingering, reading)
        body.add("chapter", title="How it builds", new=False)
        body.add("picture", file=body.picture(draw_arc(tune, arc, WIDTH)), width=WIDTH)
    _add_sections(body, worked, systems, player)
    _add_devices(body, worked)
    _add_hard_spots(body, worked, engrave(tune), player)
    _add_sound(body, worked)
    if plainer is not None and reading is not None:
        body.add("chapter", title="A plainer line", new=False)
        body.add("text", text=plainer_summary(plainer, reading))
        body.add("list", items=change_lines(plainer, tune))
        body.add("small", text="It is in this folder as notation, MusicXML, MIDI and audio of its own.")
    front, pictures = front_page(tune, reading, worked.fingering)
    data = {**front, "systems": [], "above": 0, "blocks": body.blocks}
    files = pictures | body.pictures | {"front.typ": FRONT.read_text("utf-8")}
    return typeset(_TEMPLATE, data, files)


def _add_sections(body: _Body, worked: Worked, systems: Sequence[System], player: Player | None) -> None:
    """Each section: its paragraph, the chords under the line, its systems with their reasons."""
    tune, chart = worked.tune, worked.tune.chart
    path = worked.fingering.paths[0]
    hands = draw_hand_paths(tune, path, systems)
    starts = [index for index, _ in chart.section_starts]
    texts = {each.first: each.text for each in worked.reading.sections} if worked.reading else {}
    for (index, name), stop in zip(chart.section_starts, [*starts[1:], len(chart.bars)], strict=True):
        first, last = chart.number(index), chart.number(stop - 1)
        bars = f"bars {first}–{last}" if last > first else f"bar {first}"
        body.add("chapter", title=name or "The tune", sub=bars, new=False)
        if text := texts.get(first):
            body.add("text", text=text)
        shapes = find_shapes(tune, path, chart.starts[index], chart.starts[stop], player)
        if shapes:
            body.add("small", text="The chords, where your hand is: hold them to hear what the line says.")
            body.add("row", cells=[_shape_cell(body, each, len(tune.tuning)) for each in shapes])
        for system, hand in zip(systems, hands, strict=True):
            if first <= system.first <= last:
                files = [body.picture(system.svg), body.picture(hand.svg)]
                body.add("system", files=files, width=system.width)


def _shape_cell(body: _Body, shape: ChordShape, strings: int) -> Block:
    neck = fit_neck([(string, fret) for string, fret, _ in shape.places], strings, _SHAPE, 7.5)
    dots = [Dot(string, fret, str(used)) for string, fret, used in shape.places]
    symbol: Mark = chord_mark(shape.chord, _SYMBOL)
    box = symbol.box
    name = write_svg([symbol], box.right + 1.0, box.top - 1.0, box.bottom + 1.0, "c-", shape.chord.symbol)
    return {
        "name": body.picture(name),
        "name_width": box.right + 1.0,
        "label": f"bar {shape.bar}",
        "file": body.picture(draw_neck(neck, dots, f"{shape.chord.symbol} held")),
        "width": _SHAPE,
    }


def _add_devices(body: _Body, worked: Worked) -> None:
    """Every way of making notes that the solo has, once: what it is, where it stands, the neck under it."""
    devices = worked.reading.devices if worked.reading else ()
    kinds = [kind for kind in DEVICE_TEXTS if any(device.kind == kind for device in devices)]
    if not kinds:
        return
    body.add("chapter", title="Ways of making notes", new=True)
    for kind in kinds:
        found = [device for device in devices if device.kind == kind]
        text = DEVICE_TEXTS[kind]
        bars = sorted({worked.tune.chart.place(device.start).bar for device in found})
        shown = max(found, key=lambda device: device.saved)
        body.add(
            "device",
            title=text.title,
            where=f"bar{'s' if len(bars) > 1 else ''} {listed([str(bar) for bar in bars])}",
            what=text.what,
            practise=text.practise,
            sentence=shown.sentence,
            **_device_neck(body, worked, shown),
        )


def _device_neck(body: _Body, worked: Worked, device: Device) -> Block:
    """The places of a device on the neck, each with its degree; the first one played stands out."""
    reading = worked.reading
    assert reading is not None, "a device is part of a reading"
    places: dict[tuple[int, int], str] = {}
    for place in device.notes:
        placed = worked.fingering.paths[0].notes[place]
        degree = reading.notes[place].degree or ""
        places.setdefault((placed.string, placed.fret), degree.replace("b", "♭").replace("#", "♯"))
    if not places:
        return {"file": None, "width": 0}
    neck = fit_neck(places, len(worked.tune.tuning), _DEVICE, 8.5)
    dots = [Dot(s, f, degree, n == 0) for n, ((s, f), degree) in enumerate(places.items())]
    return {"file": body.picture(draw_neck(neck, dots, "the neck under it")), "width": _DEVICE}


def _add_hard_spots(
    body: _Body, worked: Worked, systems: Sequence[System], player: Player | None
) -> None:
    """The loops that are worth practising, each with its bars, why it is hard, and a ladder."""
    tune = worked.tune
    try:
        loops = find_loops(tune, worked.fingering.paths[0], player)
    except InputError:
        return  # nothing in the line is hard
    show = tune.tempo.first
    body.add("chapter", title="Hard spots", new=True)
    body.add(
        "text",
        text=f"Loop each of these. Go up a step after {CLEAN_TO_RISE} clean times in a row, back one after "
        f"{MISSES_TO_FALL} misses, and play the hardest beats alone at {show:.0f} now and then. Four minutes "
        "at one spot are enough; show it again the next day before you go on.",
    )
    for loop in loops:
        body.add("spot", title=loop.name.capitalize().replace("-", "–"), why=f"{loop.crux}: {loop.why}.")
        for svg, width, _ in crop_bars(systems, *loop.bars):
            body.add("picture", file=body.picture(svg), width=width)
        steps = build_ladder(show, loop.limit_tempo).tempos
        body.add("small", text="Steps: " + " · ".join(f"{tempo:.0f}" for tempo in steps))
        if loop.ease:
            body.add("small", text=f"To ease it: {printed(loop.ease)}.")


def _add_sound(body: _Body, worked: Worked) -> None:
    """How much gain the line asks for, measured; or that it asks for none."""
    body.add("chapter", title="Sound", new=True)
    try:
        report = speak_report(worked.tune, compare=False)
    except InputError:  # nothing is slurred
        body.add("text", text="Every note of this line is picked, so a clean sound carries it.")
        return
    body.add("list", items=list(sound_words(worked, report)))
    body.add("picture", file=body.picture(speak_svg(report)), width=400)
    body.add("small", text="Assumed: " + "; ".join(ASSUMPTIONS) + ".")


def sound_words(worked: Worked, report: SpeakReport) -> Iterator[str]:
    """What to set before playing, in a teacher's words."""
    slurred = sum(note.entry in ("hammer", "pull", "slide") for note in worked.tune.line.notes)
    count = len(worked.tune.line.notes)
    yield (
        f"{slurred} of {count} notes ({100 * slurred / count:.0f} %) are slurred: they are softer than "
        "picked ones until gain evens them out."
    )
    if report.least_gain is None:
        yield "Even full gain leaves them behind: slur with more strength, or pick more."
    elif not report.least_gain:
        yield "Here they are loud enough without any gain."
    else:
        yield (
            f"From about {report.least_gain:.0f} dB of gain they speak as loud as picked ones. Take no more: "
            f"gain makes two notes together rough ({report.double_stop}) and brings up the hiss."
        )
    yield "Set it with your own hands: play the hardest slurs, and turn up until they speak."
    yield "Begin quietly. A file carries no loudness, so measure the level where you sit."
