"""Makes the pictures of docs/form.md from the bundled tune: its arc, and a part for the band."""

from __future__ import annotations

from pathlib import Path

from solowright.demo import bundled_tune
from solowright.form import work_out_arc
from solowright.page.arc_figure import arc_png
from solowright.page.part_score import PARTS
from solowright.page.parts import part_pictures
from solowright.work import work_out

FOLDER = Path(__file__).with_name("pictures")


def main() -> None:
    """Writes ``arc.png`` and ``part.png``."""
    FOLDER.mkdir(exist_ok=True)
    worked = work_out(bundled_tune())
    assert worked.reading is not None, "the reasons are worked out unless they are unwanted"
    arc = work_out_arc(worked.tune, worked.fingering, worked.reading)
    (FOLDER / "arc.png").write_bytes(arc_png(worked.tune, arc))
    part = next(part for part in PARTS if part.name == "b-flat")
    (FOLDER / "part.png").write_bytes(part_pictures(worked.tune, arc, part, 96.0)[0])


if __name__ == "__main__":
    main()
