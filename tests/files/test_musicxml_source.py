"""What a MusicXML file may be, and what is refused with one line."""

from __future__ import annotations

import re
import tracemalloc

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solowright.errors import FileError
from solowright.files.musicxml_read import read_musicxml
from solowright.files.musicxml_source import MAX_XML
from solowright.files.text import MOST_PROBLEMS
from tests.files.scores import barline, container, harmony, note, pack, played, read, rehearsal, score

WHOLE = note("C4", 16)


def bars_of(*pitches: str) -> list[str]:
    return [note(pitch, 16) for pitch in pitches]


def test_timewise_scores_read_the_same() -> None:
    text = score(*bars_of("C4", "D4")).decode()
    wise = text.replace("partwise", "timewise").replace('<part id="P1">', "").replace("</part>", "")
    for number in (1, 2):
        wise = wise.replace(f'<measure number="{number}">', f'<measure number="{number}"><part id="P1">')
    wise = wise.replace("</measure>", "</part></measure>")
    assert read(wise.encode()) == read(text.encode())


def test_compressed_files_follow_their_container() -> None:
    right, wrong = score(WHOLE), score(note("D4", 16))
    members = {"other.xml": wrong, "scores/tune.xml": right}
    assert read(pack(members, container("scores/tune.xml"))) == read(right)
    assert played(read(pack({"tune.musicxml": right}))) == "C4@0+4"
    broken = "<container><rootfiles><rootfile full-path='It's here.xml'/></rootfiles></container>"
    assert played(read(pack({"It's here.xml": right}, broken))) == "C4@0+4"


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "latin-1"])
def test_encodings(encoding: str) -> None:
    named = {"utf-8-sig": "UTF-8", "utf-16-le": "UTF-16", "latin-1": "ISO-8859-1"}.get(encoding, encoding)
    text = score(WHOLE).decode().replace("UTF-8", named)
    text = text.replace("<part-list>", "<work><work-title>Señor Blå</work-title></work><part-list>")
    assert read(text.encode(encoding)).title == "Señor Blå"


def test_a_doctype_is_accepted_and_never_fetched() -> None:
    doctype = '<!DOCTYPE score-partwise PUBLIC "-//X//DTD" "http://127.0.0.1:9/partwise.dtd">\n<score-partwise'
    assert read(score(WHOLE).replace(b"<score-partwise", doctype.encode(), 1)) == read(score(WHOLE))


@pytest.mark.parametrize(
    ("data", "cause"),
    [
        (b"", "not well-formed XML"),
        (b"<html><body/></html>", "<html> is not a MusicXML score"),
        (b'<score-partwise><part-list/></score-partwise>', "the score holds no bars"),
        (b"not xml at all", "not well-formed XML"),
    ],
)
def test_what_is_no_score_is_refused(data: bytes, cause: str) -> None:
    with pytest.raises(FileError, match=cause):
        read_musicxml(data, "tune.xml")


# Hostile files: each gives one line, nothing is expanded, nothing is fetched


def refused(data: bytes) -> str:
    with pytest.raises(FileError) as caught:
        read_musicxml(data, "bad.mxl")
    assert len(caught.value.problems) == 1
    line = str(caught.value)
    assert line.startswith("bad.mxl") and "\n" not in line
    return line


def declaring(entities: str, used: str) -> bytes:
    doctype = f"<!DOCTYPE score-partwise [{entities}]>\n<score-partwise"
    titled = f"<work><work-title>{used}</work-title></work><part-list>"
    text = score(WHOLE).decode().replace("<score-partwise", doctype, 1).replace("<part-list>", titled)
    return text.encode()


LAUGHS = '<!ENTITY l0 "ha">' + "".join(
    f'<!ENTITY l{n} "{f"&l{n - 1};" * 10}">' for n in range(1, 12)
)  # 10^11 laughs if anyone expanded them


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16"])
@pytest.mark.parametrize(
    ("entities", "used"),
    [
        (LAUGHS, "&l11;"),
        ('<!ENTITY secret SYSTEM "file:///etc/passwd">', "&secret;"),
        ('<!ENTITY secret SYSTEM "http://127.0.0.1:9/">', "&secret;"),
        ('<!ENTITY % outer SYSTEM "http://127.0.0.1:9/more.dtd"> %outer;', "x"),
    ],
)
def test_entities_are_refused(entities: str, used: str, encoding: str) -> None:
    data = declaring(entities, used).decode().replace("UTF-8", encoding).encode(encoding)
    assert "declares entities" in refused(data)


def test_entities_in_a_container_are_never_expanded() -> None:
    bomb = f"<!DOCTYPE container [{LAUGHS}]>" + container("&l11;")
    assert "declares entities" in refused(pack({"tune.xml": score(WHOLE)}, bomb))


def test_an_undeclared_entity_is_refused() -> None:
    assert "not well-formed" in refused(score(WHOLE).replace(b"Guitar", b"Guitar&nbsp;1"))


def test_a_zip_bomb_is_refused_without_unpacking_it() -> None:
    bomb = pack({"tune.xml": b" " * (3 * MAX_XML)}, container("tune.xml"))
    tracemalloc.start()
    try:
        assert "unpacks to more than" in refused(bomb)
        assert tracemalloc.get_traced_memory()[1] < 2.5 * MAX_XML
    finally:
        tracemalloc.stop()
    assert "unpacks to more than" in refused(pack({"tune.xml": score(WHOLE)}, " " * (2**16 + 1)))


def test_a_zip_that_lies_about_its_size_is_refused() -> None:
    honest = pack({"tune.xml": score(WHOLE) + b" " * 100_000}, container("tune.xml"))
    size = len(score(WHOLE)) + 100_000
    lying = honest.replace(size.to_bytes(4, "little"), (100).to_bytes(4, "little"))
    assert lying != honest
    assert "damaged" in refused(lying) or "well-formed" in refused(lying)


@pytest.mark.parametrize("path", ["../../etc/passwd", "/etc/passwd", "C:\\tune.xml", "missing.xml"])
def test_a_container_can_only_name_what_is_in_the_archive(path: str) -> None:
    assert "the archive lacks its score" in refused(pack({"tune.xml": score(WHOLE)}, container(path)))


def test_archives_without_a_score_are_refused() -> None:
    assert "holds no score" in refused(pack({"picture.png": b"x"}))
    assert "damaged" in refused(b"PK\x03\x04 and no more")


def test_an_encrypted_member_is_refused() -> None:
    data = bytearray(pack({"tune.xml": score(WHOLE)}, container("tune.xml")))
    entry = data.rindex(b"PK\x01\x02")
    data[entry + 8] |= 1
    assert "encrypted" in refused(bytes(data))


def test_text_in_the_wrong_encoding_is_refused_where_it_breaks() -> None:
    broken = score(WHOLE).replace(b"Guitar", b"Gu\xefitar")
    assert refused(broken).startswith("bad.mxl:3:")
    assert "the text is not UTF-8" in refused(broken)
    assert "encoding 'utf-7' is not read" in refused(score(WHOLE).replace(b'"UTF-8"', b'"UTF-7"'))


def test_what_the_file_says_is_quoted_on_one_line() -> None:
    odd = "a&#10;b&#x9b;31m"
    line = refused(score(harmony("C", odd) + WHOLE))
    assert "chord kind 'a b 31m' is not known" in line and line.isprintable()
    line = refused(pack({"tune.xml": score(WHOLE)}, container(f"{odd}.xml")))
    assert "its score 'a b 31m.xml'" in line and line.isprintable()


def test_deep_nesting_is_refused() -> None:
    assert "not well-formed" in refused(b"<score-partwise>" + b"<part>" * 100_000)


def test_a_file_of_problems_is_given_up_early() -> None:
    bad = note("C4", 1, "<string>0</string>") * 400
    with pytest.raises(FileError) as caught:
        read_musicxml(score(bad), "bad.xml")
    assert len(caught.value.problems) == MOST_PROBLEMS


SMALL = score(
    rehearsal("A") + harmony("C", "major", (9, 0, "add")),
    note("C4", 8, "<string>5</string>") + note("Bb3", 8),
    barline('<repeat direction="backward" times="2"/>') + note("D4", 16),
)


def test_truncated_files_give_file_errors_only() -> None:
    for length in range(len(SMALL) - len("</score-partwise>\n")):
        with pytest.raises(FileError):
            read_musicxml(SMALL[:length], "cut.xml")


def test_truncated_archives_give_file_errors_only() -> None:
    packed = pack({"tune.xml": SMALL}, container("tune.xml"))
    for length in range(len(packed)):
        with pytest.raises(FileError):
            read_musicxml(packed[:length], "cut.mxl")


@settings(max_examples=300, deadline=None)
@given(st.lists(st.tuples(st.integers(0, len(SMALL) - 1), st.integers(0, 255)), min_size=1, max_size=4))
def test_damaged_bytes_give_a_tune_or_a_file_error(damage: list[tuple[int, int]]) -> None:
    data = bytearray(SMALL)
    for place, value in damage:
        data[place] = value
    try:
        read_musicxml(bytes(data), "bad.xml")
    except FileError as error:
        assert "\n" not in str(error)


TEXTS = st.sampled_from(["", " ", "0", "-1", "1e9", "nan", "9" * 20, "½", "C", "yes", "\x85", "9" * 5000])
PLACES = [match.span(1) for match in re.finditer(r'[>"]([^<>"\n]+)[<"]', SMALL.decode())][3:]


@settings(max_examples=300, deadline=None)
@given(st.dictionaries(st.sampled_from(PLACES), TEXTS, min_size=1, max_size=3))
def test_wrong_values_give_a_tune_or_a_file_error(wrong: dict[tuple[int, int], str]) -> None:
    text = SMALL.decode()
    for (start, end), value in sorted(wrong.items(), reverse=True):
        text = text[:start] + value + text[end:]
    try:
        read_musicxml(text.encode(), "bad.xml")
    except FileError as error:
        assert "\n" not in str(error)
