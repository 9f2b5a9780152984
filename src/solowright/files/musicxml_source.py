"""From the bytes of a MusicXML file to its parts and measures, trusting nothing in them.

``.mxl`` archives are unpacked in memory up to ``MAX_XML`` bytes, whatever sizes they claim, and names
inside them are only ever looked up, never written. A DOCTYPE is accepted and never fetched; a file that
declares entities of its own is refused, so nothing can be expanded. ``score-timewise`` is turned into
parts here, so that the rest of the reader sees one shape.
"""

from __future__ import annotations

import io
import re
import zipfile
import zlib
from dataclasses import dataclass
from itertools import takewhile

from lxml import etree

from solowright.errors import FileError, Problem

MAX_XML = 64 * 2**20  # bytes of XML in one score; the largest orchestral scores are about half of it
_CONTAINER = "META-INF/container.xml"
_MAX_CONTAINER = 2**16
_PLAIN_METHODS = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)

_BOMS = ((b"\xef\xbb\xbf", "utf-8-sig"), (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"))
_DECLARED = re.compile(rb"""^\s*<\?xml[^>]*?encoding\s*=\s*["']([A-Za-z0-9._-]+)["']""")
_DECLARATION = re.compile(r"^\s*<\?xml[^>]*\?>")
_ENCODINGS = {
    "utf-8": "utf-8", "utf8": "utf-8", "us-ascii": "ascii", "ascii": "ascii", "utf-16": "utf-16",
    "iso-8859-1": "latin-1", "latin-1": "latin-1", "windows-1252": "cp1252", "cp1252": "cp1252",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Measure:
    """One bar of one part: ``number`` as printed, the element that holds its content."""

    number: str
    implicit: bool
    element: etree._Element


@dataclass(frozen=True, slots=True)
class Part:
    """One part of the score, ``number`` counting from 1 in the order of the part list."""

    number: int
    id: str
    name: str
    header: etree._Element | None
    measures: tuple[Measure, ...]


@dataclass(frozen=True, slots=True)
class Source:
    """A parsed file: enough to read it, and to say where in it something stands."""

    file: str
    text: str
    root: etree._Element
    parts: tuple[Part, ...]

    def locate(self, element: etree._Element) -> tuple[int, int]:
        """The line of an element and the column where its tag opens, from 1; (0, 0) where unknown."""
        line = element.sourceline
        if not isinstance(line, int) or line < 1:
            return 0, 0
        same = (other for other in self.root.iter(str(element.tag)) if other.sourceline == line)
        before = sum(1 for _ in takewhile(lambda other: other is not element, same))
        rows = self.text.split("\n")
        row = rows[line - 1] if line <= len(rows) else ""
        opened = list(re.finditer(rf"<{re.escape(str(element.tag))}\b", row))
        return line, opened[before].start() + 1 if before < len(opened) else 1


def open_source(data: bytes, file: str) -> Source:
    """Parses MusicXML, compressed or not. Raises FileError with one problem where it can't."""
    if data[:2] == b"PK":
        data = _unpack(data, file)
    if len(data) > MAX_XML:
        raise _refuse(file, f"the score is larger than {MAX_XML >> 20} MB; split it")
    text = _decode(data, file)
    root = _parse(text, file)
    if root.tag not in ("score-partwise", "score-timewise"):
        raise _refuse(file, f"<{root.tag}> is not a MusicXML score; export the score as MusicXML", 1, 1)
    return Source(file, text, root, _parts(root))


def one_line(text: str) -> str:
    """Text that may quote the file, fit for one line on a terminal."""
    return " ".join("".join(letter if letter.isprintable() else " " for letter in text).split())


def _refuse(file: str, text: str, line: int = 0, column: int = 0) -> FileError:
    return FileError((Problem(file, line, column, one_line(text)),))


def _unpack(data: bytes, file: str) -> bytes:
    """The score inside an ``.mxl`` archive: the first root file that its container names."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            name = _score_name(archive, file)
            return _read_member(archive, name, MAX_XML, file)
    except (zipfile.BadZipFile, zlib.error, EOFError, OSError, RuntimeError, ValueError) as error:
        if isinstance(error, FileError):
            raise
        raise _refuse(file, "the compressed file is damaged; export it again") from None


def _score_name(archive: zipfile.ZipFile, file: str) -> str:
    names = archive.namelist()
    if _CONTAINER in names:
        container = _decode(_read_member(archive, _CONTAINER, _MAX_CONTAINER, file), file)
        for path in _root_files(container)[:1]:
            if path not in names:
                raise _refuse(file, f"the archive lacks its score '{path[:200]}'; export it again")
            return path
    for name in names:
        if name.endswith((".musicxml", ".xml")) and not name.startswith("META-INF/"):
            return name
    raise _refuse(file, "the archive holds no score; export it again")


def _root_files(container: str) -> list[str]:
    """What the container names; nothing where it is broken, as it is in real files whose title has quotes."""
    try:
        root = _parse(container, _CONTAINER)
    except FileError:
        return []
    paths = (element.get("full-path") for element in root.iterfind(".//{*}rootfile"))
    return [path for path in paths if path is not None]


def _read_member(archive: zipfile.ZipFile, name: str, limit: int, file: str) -> bytes:
    """Unpacks one member, stopping at ``limit`` bytes whatever size the archive claims."""
    info = archive.getinfo(name)
    if info.compress_type not in _PLAIN_METHODS or info.flag_bits & 1:
        raise _refuse(file, "the archive is encrypted or packed in an unusual way; export it again")
    with archive.open(info) as member:
        content = member.read(limit + 1)
    if len(content) > limit:
        raise _refuse(file, f"'{name}' unpacks to more than {limit >> 10} kB; split the score")
    return content


def _decode(data: bytes, file: str) -> str:
    """The text of an XML file, if it declares no entities."""
    encoding = next((name for bom, name in _BOMS if data.startswith(bom)), None)
    if encoding is None and data[:4] in (b"<\0?\0", b"\0<\0?"):
        encoding = "utf-16-le" if data[0] else "utf-16-be"
    if encoding is None:
        declared = _DECLARED.match(data[:200])
        name = declared[1].decode("ascii").lower() if declared else "utf-8"
        if name not in _ENCODINGS:
            raise _refuse(file, f"encoding '{name}' is not read; save the file as UTF-8", 1, 1)
        encoding = _ENCODINGS[name]
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        column = error.start - (data.rfind(b"\n", 0, error.start) + 1) + 1
        what = f"the text is not {encoding.upper()}; save the file as UTF-8"
        raise _refuse(file, what, line, column) from None
    if "<!ENTITY" in text:
        raise _refuse(file, "the file declares entities, which no score needs; remove its <!ENTITY lines")
    return text.lstrip("\ufeff")


def _parse(text: str, file: str) -> etree._Element:
    parser = etree.XMLParser(
        encoding="utf-8", resolve_entities=False, no_network=True, load_dtd=False, dtd_validation=False,
        huge_tree=False, remove_comments=True, remove_pis=True,
    )  # fmt: skip
    # The declaration names the file's old encoding; what is parsed is UTF-8.
    body = _DECLARATION.sub(lambda match: "\n" * match[0].count("\n"), text)
    try:
        return etree.fromstring(body.encode("utf-8", "surrogatepass"), parser)
    except etree.XMLSyntaxError as error:
        line, column = error.position
        reason = (error.msg or "not XML").split(", line ")[0].strip()
        what = f"the file is not well-formed XML ({reason}); export it again"
        raise _refuse(file, what, max(line, 1), max(column, 1)) from None


def _parts(root: etree._Element) -> tuple[Part, ...]:
    """The parts in the order of the file, with names from the part list."""
    headers = {header.get("id", ""): header for header in root.iterfind("part-list/score-part")}
    measures: dict[str, list[Measure]] = {}
    if root.tag == "score-partwise":
        for part in root.iterfind("part"):
            bars = measures.setdefault(part.get("id", ""), [])
            bars += [_measure(measure, measure) for measure in part.iterfind("measure")]
    else:
        for measure in root.iterfind("measure"):
            for part in measure.iterfind("part"):
                measures.setdefault(part.get("id", ""), []).append(_measure(measure, part))
    return tuple(
        Part(number, name_id, _name(headers.get(name_id)), headers.get(name_id), tuple(bars))
        for number, (name_id, bars) in enumerate(measures.items(), 1)
    )


def _measure(measure: etree._Element, content: etree._Element) -> Measure:
    return Measure(measure.get("number", ""), measure.get("implicit") == "yes", content)


def _name(header: etree._Element | None) -> str:
    return " ".join((header.findtext("part-name") or "").split()) if header is not None else ""
