"""Makes the pictures of ``docs/lesson.md`` from the demo tune: ``python docs/make_lesson_pictures.py``."""

from __future__ import annotations

import os
import shutil
import tempfile
from pathlib import Path

import av
from playwright.sync_api import sync_playwright

from solowright.demo import bundled_tune
from solowright.lesson.plainer import make_plainer
from solowright.lesson.raster import Frame
from solowright.lesson.scene import HEIGHT, WIDTH, Scene, words
from solowright.lesson.sounds import SHARES, SMALL, code, percent, play_at, switched
from solowright.lesson.web_page import web_page
from solowright.work import Worked, work_out

PICTURES = Path(__file__).parent / "pictures"
MOMENT = 19.7  # seconds into the tune: bar 16, triads moved by minor thirds


def save_frame(frame: Frame, path: Path) -> None:
    """Writes a film's picture as PNG."""
    with av.open(str(path), "w", format="image2") as file:
        stream = file.add_stream("png", rate=1)
        stream.width, stream.height, stream.pix_fmt = WIDTH, HEIGHT, "rgb24"
        picture = av.VideoFrame.from_ndarray(frame.data, format="yuv420p")
        file.mux(stream.encode(picture.reformat(format="rgb24", src_colorspace="ITU709")))
        file.mux(stream.encode(None))


def save_page(worked: Worked, path: Path) -> None:
    """Writes a screenshot of the students' page, standing at ``MOMENT``."""
    assert worked.reading is not None
    plainer = make_plainer(worked.tune, worked.reading)
    sounds = {}
    for share in SHARES:
        played, plain = (switched(play_at(each.tune, share)) for each in (worked, plainer.worked))
        for name, sound in {**played, "plainer": plain["guitar"]}.items():
            sounds[f"{percent(share)}-{name}"] = code(sound, SMALL)
    text = web_page(worked, plainer, sounds, [percent(share) for share in SHARES])
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as play:
        page_file = Path(folder) / "lesson.html"
        page_file.write_text(text, "utf-8")
        chromium = os.environ.get("SOLOWRIGHT_CHROMIUM") or shutil.which("chromium")
        browser = play.chromium.launch(executable_path=chromium, args=["--no-sandbox", "--disable-quic"])
        page = browser.new_page(viewport={"width": 1280, "height": 860})
        page.goto(page_file.as_uri())
        page.wait_for_selector("html[data-ready]")
        for _ in range(3):  # systems are built as they come near, so the way there changes
            page.evaluate("document.querySelector('sw-pages').parts[4].element.scrollIntoView()")
            page.wait_for_timeout(500)
        page.evaluate(f"document.querySelector('sw-player').seek({MOMENT})")
        page.wait_for_timeout(200)
        page.screenshot(path=str(path))
        browser.close()


if __name__ == "__main__":
    demo = work_out(bundled_tune())
    heading = words("At tempo: 186 quarter notes a minute", 16.0)
    save_frame(Scene(demo).draw(MOMENT, heading), PICTURES / "film.png")
    save_page(demo, PICTURES / "students-page.png")
