"""The player's own file at the desk: set by the panel, read by everything that fingers."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from solowright.neck import read_player
from tests.desk.asking import Asker, asking
from tests.desk.tunes import LANTERN


@pytest.fixture
def asker(tmp_path: Path) -> Any:
    with asking(tmp_path) as asker:
        yield asker


def say(asker: Asker, tune: str | None = None, **said: Any) -> Any:
    return asker.post("/api/player", {"said": said, "tune": tune})


def spots(answer: Any) -> list[tuple[int, int]]:
    return [(note["string"], note["fret"]) for note in answer["view"]["notes"]]


def test_a_change_fingers_the_tune_anew_and_is_the_file_of_the_command_line(asker: Asker) -> None:
    asker.open()
    before = asker.edit("free", from_=1, to=10).json()
    told: list[tuple[str, Any]] = []
    asker.desk.tunes._heard = lambda name, what: told.append((name, what))
    assert say(asker, "lantern", positions=[12], left_handed=True, open_strings="avoid").status_code == 200
    assert ("lantern", {"player": True}) in told
    after = asker.open()
    assert after["revision"] == before["revision"] and after["view"]["left_handed"]
    assert spots(after) != spots(before) and min(fret for _, fret in spots(after)) >= 8
    player = read_player(asker.folder / "player.toml")
    assert player.left_handed and player.effort.home == (12,)
    asker.desk.tunes.wait_saved()
    assert asker.get("/api/tunes/lantern/sheet").content == (asker.folder / "lantern.solo").read_bytes()
    asker.post("/api/player", {"said": dict.fromkeys(("positions", "left_handed", "open_strings"))})
    assert spots(asker.open()) == spots(before)
    asker.desk.tunes.wait_saved()
    assert asker.open()["revision"] == before["revision"], "the file is no other program's"


def test_an_edit_stays_what_it_was_made_as_whoever_plays_later(tmp_path: Path) -> None:
    with asking(tmp_path) as asker:
        asker.open()
        asker.edit("free", from_=1, to=10)
        say(asker, positions=[12])
        locked = asker.edit("lock", from_=1, to=2).json()
        asker.edit("tempo", tempo=90)
        say(asker, positions=None)
        asker.desk.tunes.wait_saved()
    with asking(tmp_path, bring=False) as asker:
        history = asker.desk.tunes.history
        passed = history.head("lantern")  # the state before never got its sheet, as where edits come fast
        assert passed is not None
        history._base.execute("update state set sheet = null, rest = null where id = ?", (passed.undo,))
        asker.open()
        answer = asker.post("/api/tunes/lantern/undo", {"revision": asker.revision}).json()
        kept = [n for n, note in enumerate(locked["view"]["notes"]) if note["bar"] <= 2]
        assert [spots(answer)[n] for n in kept] == [spots(locked)[n] for n in kept]


@pytest.mark.parametrize(
    ("said", "sentence"),
    [
        ({"reach": 5}, "reach = 5 is no number from 60 to 250"),
        ({"pick_rate": True}, "pick_rate = True is no number"),
        ({"frets": {"a": 1}}, "frets"),
        ({"legato": 'a "lot" of\nit'}, "legato"),
        ({"weak_fingers": [5]}, "weak_fingers = [5] is no list of numbers from 1 to 4"),
        ({"timing": {"jump": 1}}, "'timing' can't be set here"),
        ([], "'said' must hold"),
    ],
)
def test_wrong_values_give_one_line_and_change_nothing(asker: Asker, said: Any, sentence: str) -> None:
    answer = asker.post("/api/player", {"said": said})
    assert answer.status_code == 422 and sentence in answer.json()["error"]
    assert "\n" not in answer.json()["error"] and not (asker.folder / "player.toml").exists()


def test_a_hand_that_cannot_play_the_open_tune_is_refused(asker: Asker) -> None:
    high = LANTERN.replace(b"-5-------3---2---|", b"-19------3---2---|")
    assert high != LANTERN
    (asker.folder / "high.solo").write_bytes(high)
    asker.open("high")
    asker.edit("free", "high", from_=1, to=10)
    answer = say(asker, "high", frets=15)
    assert answer.status_code == 422 and "couldn't be played then: bar 6" in answer.json()["error"]
    assert not (asker.folder / "player.toml").exists() and asker.get("/api/tunes/high").status_code == 200


def test_what_the_panel_does_not_show_is_kept_and_another_editors_change_is_seen(asker: Asker) -> None:
    file = asker.folder / "player.toml"
    file.write_text('tuning = "drop d"\nreach = 150\n\n[timing]\njump = 0.1\n')
    assert asker.get("/api/player").json()["said"] == {"reach": 150}
    say(asker, reach=None, taps=True)
    player = read_player(file)
    assert player.taps and player.reach == 135 and player.timing.jump == 0.1 and player.tuning
    made = asker.post("/api/tunes", {"title": "Low", "bars": 2}).json()
    assert made["view"]["tuning"] == list(player.tuning)
    file.write_text("reach = 'wide'\n")
    told = asker.get("/api/player").json()
    assert "reach" in told["problem"] and told["said"] == {}
    assert asker.get("/api/tunes/lantern").status_code == 200, "the usual hand plays meanwhile"


def test_no_link_leads_out_of_the_folder(asker: Asker, tmp_path_factory: pytest.TempPathFactory) -> None:
    other = tmp_path_factory.mktemp("elsewhere") / "other.toml"
    other.write_text("reach = 150\n")
    (asker.folder / "player.toml").symlink_to(other)
    assert "leads out" in asker.get("/api/player").json()["problem"]
    assert say(asker, reach=140).status_code == 422 and other.read_text() == "reach = 150\n"


def test_the_route_is_guarded_like_every_other(tmp_path: Path) -> None:
    with asking(tmp_path, known=False) as asker:
        assert asker.get("/api/player").status_code == 401
        assert say(asker, reach=140).status_code == 401
    with asking(tmp_path) as asker:
        posted = {"said": {"reach": 140}}
        assert asker.post("/api/player", posted, origin="http://evil.example").status_code == 403
        assert asker.post("/api/player", posted, host="evil.example").status_code == 421
        assert asker.post("/api/player", {"said": {"reach": 140}, "x": "x" * 1_100_000}).status_code == 413
        assert not (tmp_path / "player.toml").exists()
