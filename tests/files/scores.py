"""Small MusicXML scores for the tests, typed in the short form that a test can be read with."""

from __future__ import annotations

import io
import zipfile

from solowright.files.musicxml_read import read_musicxml
from solowright.music.tune import Tune

CLEF = "<clef><sign>G</sign><line>2</line></clef>"
TIME = "<time><beats>4</beats><beat-type>4</beat-type></time>"
START = f"<attributes><divisions>4</divisions>{TIME}{CLEF}</attributes>"


def note(pitch: str, duration: int, *marks: str, before: str = "", after: str = "") -> str:
    """``note("Bb4", 4, "<tap/>")``: marks go to ``technical``; the rest where it is named."""
    alter = {"#": 1, "b": -1}.get(pitch[1], 0)
    alters = f"<alter>{alter}</alter>" if alter else ""
    written = f"<pitch><step>{pitch[0]}</step>{alters}<octave>{pitch[-1]}</octave></pitch>"
    length = f"<duration>{duration}</duration>" if duration else ""
    technical = f"<notations><technical>{''.join(marks)}</technical></notations>" if marks else ""
    return f"<note>{before}{written}{length}{after}{technical}</note>"


def rest(duration: int) -> str:
    return f"<note><rest/><duration>{duration}</duration></note>"


def words(text: str, sound: str = "") -> str:
    return f"<direction><direction-type><words>{text}</words></direction-type>{sound}</direction>"


def rehearsal(name: str) -> str:
    return f"<direction><direction-type><rehearsal>{name}</rehearsal></direction-type></direction>"


def sign(name: str) -> str:
    return f"<direction><direction-type><{name}/></direction-type></direction>"


def barline(inside: str) -> str:
    return f"<barline>{inside}</barline>"


def harmony(
    root: str, kind: str, *degrees: tuple[int, int, str], text: str | None = None, more: str = ""
) -> str:
    alter = {"#": 1, "b": -1}.get(root[1:], 0)
    spelled = "".join(
        f"<degree><degree-value>{value}</degree-value><degree-alter>{how_much}</degree-alter>"
        f"<degree-type>{how}</degree-type></degree>"
        for value, how_much, how in degrees
    )
    printed = "" if text is None else f' text="{text}"'
    return (
        f"<harmony><root><root-step>{root[0]}</root-step><root-alter>{alter}</root-alter></root>"
        f"<kind{printed}>{kind}</kind>{more}{spelled}</harmony>"
    )


def part(*measures: str, id_: str = "P1", start: str = START) -> str:
    """A part of these measures; the first gets the attributes. A measure may bring its own tag."""
    bars = []
    for number, content in enumerate(measures, 1):
        inside = (start if number == 1 else "") + content
        bars.append(f'<measure number="{number}">{inside}</measure>')
    return f'<part id="{id_}">{"".join(bars)}</part>'


def score(*measures: str, start: str = START, names: tuple[str, ...] = ("Guitar",), more: str = "") -> bytes:
    """A score whose first part holds these measures; ``more`` holds further parts."""
    listed = "".join(
        f'<score-part id="P{number}"><part-name>{name}</part-name></score-part>'
        for number, name in enumerate(names, 1)
    )
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n<score-partwise version="4.0">\n'
        f"<part-list>{listed}</part-list>\n{part(*measures, start=start)}\n{more}</score-partwise>\n"
    ).encode()


def read(data: bytes, part: str | None = None) -> Tune:
    return read_musicxml(data, "tune.musicxml", part)


def played(tune: Tune) -> str:
    """The line as ``C4@0+1 …``: pitch, onset, duration in quarters."""
    return " ".join(f"{note.pitch.name}@{note.onset}+{note.duration}" for note in tune.line.notes)


def bar_line(tune: Tune) -> str:
    """Pitch names bar by bar: ``C4 D4 | E4``."""
    bars: list[list[str]] = [[] for _ in tune.chart.bars]
    for sounding in tune.line.notes:
        bars[tune.chart.bar_index(sounding.onset)].append(sounding.pitch.name)
    return " | ".join(" ".join(names) for names in bars)


def sections(tune: Tune) -> list[tuple[str, int, int]]:
    """(name, bars, times) of every section."""
    return [(section.name, len(section.bars), section.times) for section in tune.chart.sections]


def symbols(tune: Tune) -> str:
    """Chords as played: ``C@0 G7@2``, times from the start of the tune."""
    return " ".join(
        f"{change.chord.symbol if change.chord else 'N.C.'}@{start + change.offset}"
        for start, bar in zip(tune.chart.starts, tune.chart.bars, strict=False)
        for change in bar.chords
    )


def pack(members: dict[str, bytes], container: str | None = None) -> bytes:
    """An ``.mxl`` archive."""
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as archive:
        if container is not None:
            archive.writestr("META-INF/container.xml", container)
        for name, content in members.items():
            archive.writestr(name, content)
    return held.getvalue()


def container(path: str) -> str:
    return f'<container><rootfiles><rootfile full-path="{path}"/></rootfiles></container>'
