"""What the page asks for: the answers, and every refusal as a sentence."""

from __future__ import annotations

import asyncio
import time
import zipfile
from collections.abc import AsyncIterator, Iterator
from io import BytesIO

import httpx2
import pytest

from solowright.desk import routes
from solowright.desk.app import make_app
from solowright.files.load import load
from tests.desk.asking import HOME, PORT, TOKEN, Asker, asking
from tests.desk.tunes import LANTERN
from tests.loops import run_apart


@pytest.fixture(scope="module")
def asker(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Asker]:
    with asking(tmp_path_factory.mktemp("tunes")) as asker:
        yield asker


def upload(asker: Asker, name: str, data: bytes, chart: str = ""):
    query = f"?name={name}" + (f"&chart={chart}" if chart else "")
    return asker.client.post(f"/api/upload{query}", content=data, headers={"origin": HOME})


def test_the_list_shows_each_tune_with_its_arc(asker: Asker) -> None:
    card = next(card for card in asker.get("/api/tunes").json() if card["name"] == "lantern")
    assert (card["title"], card["bars"], card["tempo"]) == ("Lantern Street", 10, 132)
    assert len(card["arc"]) == 10 and all(0 <= value <= 1 for value in card["arc"])
    assert [section["name"] for section in card["sections"]] == ["Head", "Head", "Out"]


def test_a_broken_file_is_listed_with_its_problem(asker: Asker) -> None:
    (asker.folder / "broken.solo").write_text("title: Broken\n")
    card = next(card for card in asker.get("/api/tunes").json() if card["name"] == "broken")
    assert "chart" in card["problem"]
    (asker.folder / "broken.solo").unlink()


def test_a_tune_comes_with_its_view(asker: Asker) -> None:
    answer = asker.open()
    view = answer["view"]
    assert (view["title"], len(view["bars"]), len(view["notes"])) == (
        "Lantern Street",
        10,
        len(view["notes"]),
    )
    assert all("svg" in system for system in view["systems"])
    assert set(answer["sound"]) == {"guitar", "bass", "drums", "comping", "click"}
    assert not answer["undo"] and not answer["redo"]
    assert all({"id", "whose"} <= sentence.keys() for sentence in view["sentences"])
    assert all({"id", "chosen"} <= device.keys() for device in view["devices"])


def test_an_edit_answers_with_what_changed_and_can_be_undone(asker: Asker) -> None:
    before = asker.open()
    answer = asker.edit("chord", bar=10, text="A9").json()
    told = [system.get("unchanged", False) for system in answer["view"]["systems"]]
    assert told[0] and not told[-1]
    assert "svg" not in answer["view"]["systems"][0] and "svg" in answer["view"]["systems"][-1]
    assert answer["undo"]
    back = asker.post("/api/tunes/lantern/undo", {"revision": answer["revision"]}).json()
    assert back["redo"] and back["revision"] == answer["revision"] + 1
    assert asker.open()["view"] == before["view"]


def test_an_edit_of_the_line_keeps_the_bands_sound(asker: Asker) -> None:
    before = asker.open()["sound"]
    after = asker.edit("bar_abc", bar=4, text="A4 c4").json()["sound"]
    assert after["guitar"] != before["guitar"]
    assert {k: v for k, v in after.items() if k != "guitar"} == {
        k: v for k, v in before.items() if k != "guitar"
    }
    chords = asker.edit("chord", bar=1, text="A13").json()["sound"]
    assert chords["guitar"] == after["guitar"] and chords["click"] == after["click"]
    assert chords["comping"] != after["comping"]
    fingers = asker.edit("finger", note=0, finger=3).json()["sound"]
    assert fingers == chords  # no finger can be heard


def test_a_stale_revision_is_a_conflict(asker: Asker) -> None:
    asker.open()
    asker.revision -= 1
    answer = asker.edit("tempo", tempo=99)
    assert answer.status_code == 409 and "Another window" in answer.json()["error"]


def test_what_cannot_be_done_is_a_sentence(asker: Asker) -> None:
    asker.open()
    answer = asker.edit("chord", bar=99, text="A")
    assert (
        answer.status_code == 422
        and answer.json()["error"] == "'bar' must be a whole number from 1 to 10, not 99"
    )


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"{",
        b"[]",
        b"3",
        b'{"revision": 1}',
        b'{"edit": {}}',
        b"[" * 100_000,
        b'{"revision": true, "edit": {"kind": "tempo"}}',
        b"\xff",
    ],
)
def test_nonsense_is_refused_in_a_sentence(asker: Asker, body: bytes) -> None:
    answer = asker.client.post(
        "/api/tunes/lantern/edits", content=body, headers={"origin": HOME, "content-type": "application/json"}
    )
    assert answer.status_code in (409, 422)
    assert answer.json()["error"] and "Traceback" not in answer.text


def test_a_fault_of_ours_shows_no_traceback(asker: Asker, monkeypatch: pytest.MonkeyPatch) -> None:
    def burst(*args: object) -> None:
        raise RuntimeError("secret place /home/someone")

    monkeypatch.setattr(routes, "list_cards", burst)
    answer = asker.get("/api/tunes")
    assert answer.status_code == 500
    assert "RuntimeError" in answer.json()["error"] and "secret" not in answer.text


def test_a_width_for_a_phone(asker: Asker) -> None:
    systems = asker.get("/api/tunes/lantern?width=300").json()["view"]["systems"]
    assert {system["width"] for system in systems} == {300.0}
    for wrong in ("20", "9999", "wide", "nan"):
        assert asker.get(f"/api/tunes/lantern?width={wrong}").status_code == 422


def test_bars_to_retype_come_back_as_they_were(asker: Asker) -> None:
    before = asker.open()["view"]["notes"]
    texts = asker.get("/api/tunes/lantern/bar?bar=2&to=3").json()
    answer = asker.edit("bar_tab", from_=2, to=3, text=texts["tab"])
    assert answer.status_code == 200
    assert [(n["midi"], n["string"], n["fret"], n["time"]) for n in answer.json()["view"]["notes"]] == [
        (n["midi"], n["string"], n["fret"], n["time"]) for n in before
    ]
    answer = asker.edit("bar_abc", from_=2, to=3, text=texts["abc"])
    assert [(n["midi"], n["time"]) for n in answer.json()["view"]["notes"]] == [
        (n["midi"], n["time"]) for n in before
    ]
    assert texts["chords"].count("|") == 3


def test_other_places_of_a_note(asker: Asker) -> None:
    notes = asker.open()["view"]["notes"]
    places = asker.get("/api/tunes/lantern/places?note=3").json()
    assert places[0]["here"] and (places[0]["string"], places[0]["fret"]) == (
        notes[3]["string"],
        notes[3]["fret"],
    )
    assert sum(place["here"] for place in places) == 1 and len(places) > 1
    assert all(place["change"] for place in places)


def test_fingerings_side_by_side(asker: Asker) -> None:
    asker.open()
    asker.edit("free", from_=1, to=4)
    ways = asker.get("/api/tunes/lantern/fingerings?from=1&to=2").json()
    assert ways[0]["here"] and len(ways) > 1
    answer = asker.edit("fingering", notes=ways[1]["notes"]).json()
    played = {n["note"]: (n["string"], n["fret"]) for n in ways[1]["notes"]}
    assert {
        i: (answer["view"]["notes"][i]["string"], answer["view"]["notes"][i]["fret"]) for i in played
    } == played


# --- ways in ---------------------------------------------------------------------------------------------


def test_a_new_tune(asker: Asker) -> None:
    wishes = {
        "title": "Corner Table",
        "key": "Bb",
        "meter": "3/4",
        "tempo": 96,
        "chart": "[A]\n| Bb | F7 | Bb |",
    }
    answer = asker.post("/api/tunes", wishes).json()
    assert (answer["name"], answer["view"]["key"], len(answer["view"]["bars"])) == ("corner-table", "Bb", 3)
    assert load(asker.folder / "corner-table.solo").title == "Corner Table"
    empty = asker.post("/api/tunes", {"title": "Corner Table", "bars": 12}).json()
    assert (empty["name"], len(empty["view"]["bars"])) == ("corner-table-2", 12)


@pytest.mark.parametrize(
    ("wishes", "told"),
    [
        ({}, "'title'"),
        ({"title": " "}, "a title"),
        ({"title": "x", "key": "H#"}, "not a key"),
        ({"title": "x", "tempo": "fast"}, "not a tempo"),
        ({"title": "x", "chart": "| Q7 |"}, "Q7"),
        ({"title": "x", "bars": 5000}, "'bars'"),
        ({"title": "x", "chart": "| A |\nline: /etc/passwd"}, "chords only"),
    ],
)
def test_a_new_tune_that_cannot_be(asker: Asker, wishes: dict, told: str) -> None:
    answer = asker.post("/api/tunes", wishes)
    assert answer.status_code == 422 and told in answer.json()["error"]


def test_files_of_every_kind_come_in(asker: Asker) -> None:
    abc = b'X:1\nT:Quay\nM:4/4\nL:1/8\nK:C\n"C"c2d2e2f2|"G7"g2f2e2d2|\n'
    assert upload(asker, "quay.abc", abc).json()["name"] == "quay"
    tune = load(asker.folder / "quay.solo")
    for suffix in (".musicxml", ".mid", ".solo"):
        from solowright.files.load import save

        save(tune, asker.folder / f"out{suffix}")
        data = (asker.folder / f"out{suffix}").read_bytes()
        (asker.folder / f"out{suffix}").unlink()
        answer = upload(asker, f"again{suffix}", data, "| C | G7 |" if suffix == ".mid" else "")
        assert answer.status_code == 200, answer.text[:200]
        assert [n["midi"] for n in answer.json()["view"]["notes"]] == [n.pitch.midi for n in tune.line.notes]


def test_a_sheet_keeps_its_letters(asker: Asker) -> None:
    sheet = b"# my remark\n" + LANTERN
    name = upload(asker, "kept.solo", sheet).json()["name"]
    assert (asker.folder / f"{name}.solo").read_bytes() == sheet


def test_the_demo_is_a_copy(asker: Asker) -> None:
    first, second = (
        asker.client.post("/api/demo", headers={"origin": HOME}).json()["name"] for _ in range(2)
    )
    assert first != second


LAUGHS = b"""<?xml version="1.0"?><!DOCTYPE s [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">
<!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;">]>
<score-partwise><work><work-title>&c;</work-title></work></score-partwise>"""
READS = b"""<?xml version="1.0"?><!DOCTYPE s [<!ENTITY x SYSTEM "file:///etc/passwd">]>
<score-partwise><work><work-title>&x;</work-title></work></score-partwise>"""


def packed(inner: bytes, name: str = "score.xml", root: str = "score.xml") -> bytes:
    data = BytesIO()
    with zipfile.ZipFile(data, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(
            "META-INF/container.xml",
            f'<container><rootfiles><rootfile full-path="{root}"/></rootfiles></container>',
        )
        archive.writestr(name, inner)
    return data.getvalue()


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("x.musicxml", LAUGHS),
        ("x.musicxml", READS),
        ("x.mxl", packed(LAUGHS)),
        ("x.mxl", packed(READS)),
        ("x.mxl", packed(b"x" * 60_000_000)),
        ("x.mxl", packed(b"<a/>", root="../../etc/passwd")),
        ("x.mxl", b"PK"),
        ("x.mid", b"MThd\0\0\0\6\0\1\xff\xff\0\x60" + b"\xff" * 40),
        ("x.abc", b"\xff\xfe"),
        ("x.solo", b"\0" * 100),
        ("x.solo", b"title: x\n| A7 |\nline: /etc/passwd\n"),
        ("x.solo", b"title: x\n| A7 |\nline: ../secret.abc\n"),
        ("x.exe", b"MZ"),
        ("", b""),
        ("../../x.solo", b"title"),
        ("noname", b"x"),
    ],
)
def test_hostile_files_are_refused_in_a_sentence(asker: Asker, name: str, data: bytes) -> None:
    before = sorted(asker.folder.iterdir())
    began = time.monotonic()
    answer = upload(asker, name, data)
    assert answer.status_code == 422, answer.text[:300]
    assert answer.json()["error"] and "root:" not in answer.text and "Traceback" not in answer.text
    assert "/tmp" not in answer.text
    assert time.monotonic() - began < 10
    assert sorted(asker.folder.iterdir()) == before


def test_too_big_is_refused_before_it_is_read(asker: Asker) -> None:
    answer = upload(asker, "big.abc", b"x" * (routes.MOST_UPLOAD + 1))
    assert answer.status_code == 413 and "bring a smaller file" in answer.json()["error"]
    answer = asker.post("/api/tunes/lantern/edits", {"edit": "x" * routes.MOST_JSON})
    assert answer.status_code == 413


def test_a_tune_that_would_keep_the_desk_busy_is_refused(asker: Asker) -> None:
    bars = b"X:1\nT:Long\nM:4/4\nL:1/8\nK:C\n" + b'"C"cdefgfed|\n' * 1100
    answer = upload(asker, "long.abc", bars)
    assert answer.status_code == 422 and "1100 bars" in answer.json()["error"]


def test_a_huge_file_in_the_folder_is_no_tune(asker: Asker) -> None:
    (asker.folder / "huge.solo").write_bytes(b"x" * 5_000_001)
    card = next(card for card in asker.get("/api/tunes").json() if card["name"] == "huge")
    assert "no sheet" in card["problem"]
    (asker.folder / "huge.solo").unlink()


def test_a_body_that_does_not_come_is_let_go(asker: Asker, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(routes, "LONGEST_UPLOAD", 0.05)

    class Waiting(httpx2.AsyncByteStream):
        async def __aiter__(self) -> AsyncIterator[bytes]:
            yield b"X:1"
            await asyncio.sleep(30)

    async def post() -> httpx2.Response:
        app = httpx2.ASGITransport(make_app(asker.desk, TOKEN, PORT))
        cookies = {f"solowright-{PORT}": TOKEN}
        async with httpx2.AsyncClient(transport=app, base_url=HOME, cookies=cookies) as client:
            return await client.post("/api/upload?name=x.abc", content=Waiting(), headers={"origin": HOME})

    answer = run_apart(asyncio.wait_for(post(), 10))
    assert answer.status_code == 408 and "too long" in answer.json()["error"]


# --- handing on ------------------------------------------------------------------------------------------


def finished(asker: Asker, kind: str):
    job = asker.post("/api/tunes/lantern/exports", {"kind": kind}).json()["job"]
    until = time.monotonic() + 60
    while time.monotonic() < until:
        news = asker.desk.jobs.news(job)
        assert "error" not in news, news
        if news.get("done"):
            return asker.get(f"/api/jobs/{job}/file")
        time.sleep(0.05)
    raise AssertionError("the export never ended")


def test_files_to_hand_on(asker: Asker) -> None:
    kinds = [export["kind"] for export in asker.get("/api/exports").json()]
    assert {"booklet", "audio", "musicxml", "midi", "sheet"} <= set(kinds)
    begins = {
        "booklet": b"%PDF",
        "midi": b"MThd",
        "musicxml": b"<?xml",
        "sheet": b"title:",
        "page": b"\x89PNG",
    }
    for kind, begin in begins.items():
        answer = finished(asker, kind)
        assert answer.content.startswith(begin), kind
        assert "attachment" in answer.headers["content-disposition"]
    assert "choose among" in asker.post("/api/tunes/lantern/exports", {"kind": "hologram"}).json()["error"]
    assert asker.get("/api/jobs/none/file").status_code == 404


def test_a_stem_as_a_file(asker: Asker) -> None:
    import soundfile

    sound = asker.open()["sound"]
    lengths = set()
    for stem in ("guitar", "click"):
        answer = asker.get(f"/api/tunes/lantern/sound/{stem}?percent=110&key={sound[stem]}")
        assert answer.status_code == 200 and "immutable" in answer.headers["cache-control"]
        samples, rate = soundfile.read(BytesIO(answer.content))
        assert rate == 48_000 and abs(samples).max() > 0.05 and abs(samples).max() < 1
        lengths.add(len(samples))
        assert float(answer.headers["x-lead"]) == pytest.approx(4 * 60 / (132 * 1.1))
    assert len(lengths) == 1
    assert asker.get("/api/tunes/lantern/sound/zither").status_code == 404
    for wish in ("percent=5", "percent=x", "gain=99", "gain=x", "gain=nan"):
        assert asker.get(f"/api/tunes/lantern/sound/guitar?{wish}").status_code == 422, wish
