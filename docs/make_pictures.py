"""Makes docs/pictures from the bundled tune, with the program itself (``scripts/pictures``)."""

from __future__ import annotations

from pathlib import Path

import typst

from solowright.demo import bundled_tune
from solowright.page.engrave import engrave
from solowright.practice import make_course
from solowright.practice.sheet import practice_sheet_pictures
from solowright.work import work_out

FOLDER = Path(__file__).with_name("pictures")
SHOWN = {"bridge": 9, "shapes": 16}  # picture: a bar that its system holds


def main() -> None:
    """Writes the system of each bar in SHOWN and the first page of the practice sheet as PNG."""
    FOLDER.mkdir(exist_ok=True)
    worked = work_out(bundled_tune())
    systems = engrave(worked.tune, worked.reading)
    for name, bar in SHOWN.items():
        system = next(system for system in systems if system.first <= bar <= system.last)
        page = f'#set page(width: {system.width + 24}pt, height: auto, margin: 12pt)\n#image("system.svg")'
        files = {"main.typ": page.encode(), "system.svg": system.svg.encode()}
        picture = typst.compile(files, format="png", ppi=150)
        (FOLDER / f"{name}.png").write_bytes(picture)
    course = make_course(bundled_tune(), worked.fingering.paths[0])
    sheet = practice_sheet_pictures(worked.tune, course)
    (FOLDER / "practice-sheet.png").write_bytes(sheet[0])


if __name__ == "__main__":
    main()
