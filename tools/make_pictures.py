"""Write docs/pictures: first pages of the documents of the demo case and one run, as the README shows them.

Usage: python tools/make_pictures.py

Needs pdftoppm (Debian package poppler-utils). The pictures are not compared by a test: they depend on the
version of the program that draws them. Make them anew when the look of the documents changes.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

from drumwright.report.charts import Charts
from drumwright.report.files import write
from drumwright.report.run_charts import run_picture
from drumwright.report.words import Words
from drumwright.station.casefile import load
from drumwright.study.assess import assess
from drumwright.study.run_study import run

ROOT = Path(__file__).resolve().parent.parent
PICTURES = ROOT / "docs" / "pictures"
PAGES = {"proposal": (1, 2), "note": (1,)}
DOTS_PER_INCH, MOST_BYTES = 70, 300_000


def blocked() -> bytes:
    """Return the picture of the demo case whose outlet is blocked."""
    import vl_convert

    study = run(load(ROOT / "cases" / "demo.toml"), fault="blocked_outlet")
    svg = run_picture(study, study.outcomes[0], Charts(Words())).svg
    return bytes(vl_convert.svg_to_png(svg.decode(), scale=1.2))


def main() -> int:
    """Write the pictures; refuse a file too large to keep."""
    PICTURES.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        write(assess(load(ROOT / "cases" / "demo.toml"), in_time=True), Path(folder))
        for name, pages in PAGES.items():
            for page in pages:
                target = PICTURES / f"{name}-{page}"
                call = ["pdftoppm", "-png", "-singlefile", "-r", str(DOTS_PER_INCH), "-f", str(page)]
                subprocess.run([*call, f"{folder}/{name}.pdf", str(target)], check=True)
    (PICTURES / "run.png").write_bytes(blocked())
    large = [file.name for file in PICTURES.glob("*.png") if file.stat().st_size > MOST_BYTES]
    print(f"too large: {', '.join(large)}" if large else "wrote docs/pictures")
    return 1 if large else 0


if __name__ == "__main__":
    sys.exit(main())
