"""Sample papers of the demo shop, one of each kind, under docs/samples.

    python -m scripts.make_samples [--to FOLDER]

Fills a demo in a folder of its own and issues each paper through `manage.py paper`, as the pages do.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import tempfile
from pathlib import Path

from scripts.environment import PYTHON, ROOT

PAPERS = {  # file -> what is asked of the command; the numbers are those that the demo's seed gives
    "job-sheet": ("job_sheet", "50"),
    "setup-card": ("setup_card", "50-1"),
    "tag": ("tag", "49-1"),
    "label": ("label", "41-2"),
    "label-sheet": ("label", "35-1", "--stock", "A4", "--each"),
    "report": ("report", "35"),
    "report-with-life": ("report", "38"),
    "slip": ("slip", "35/1"),
    "address-label": ("address", "35/1", "--stock", "A6"),
    "quote": ("quote", "48/1"),
    "coater-order": ("coater", "48/K1"),
}


def manage(folder: str, *words: str) -> None:
    environment = os.environ | {"REGRIND_DATA": folder, "REGRIND_DEMO": "1", "REGRIND_DEBUG": "1", "DATABASE_URL": ""}
    subprocess.run([str(PYTHON), "manage.py", *words], cwd=ROOT, env=environment, check=True)


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--to", type=Path, default=ROOT / "docs" / "samples")
    folder = asked.parse_args().to.resolve()
    folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(prefix="regrind-samples-") as data:
        manage(data, "migrate", "-v0")
        manage(data, "demo")
        for name, paper in PAPERS.items():
            manage(data, "paper", *paper, "--by", "Oda", "-o", str(folder / f"{name}.pdf"))


if __name__ == "__main__":
    main()
