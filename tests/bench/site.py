"""Everything but the planner: pages, first page, insertion, board, roads, crowd, kills, drying, seasons.

python -m tests.bench.site [pages,first_page,insertion,board,roads,orders_at_once,kill,drying,season]
"""

import subprocess
import sys

from tests.bench.ground import ROOT

SECTIONS = (
    "pages",
    "first_page",
    "insertion",
    "board",
    "roads",
    "orders_at_once",
    "kill",
    "drying",
    "season",
)


def main() -> int:
    """Each section in a process of its own; how many sections missed a bar."""
    wanted = sys.argv[1].split(",") if len(sys.argv) > 1 else SECTIONS
    missed = 0
    for name in wanted:
        print(f"\n== {name}", flush=True)
        command = [sys.executable, "-W", "ignore", "-m", f"tests.bench.{name}"]
        missed += subprocess.run(command, cwd=ROOT, check=False).returncode != 0
    return missed


if __name__ == "__main__":
    sys.exit(main())
