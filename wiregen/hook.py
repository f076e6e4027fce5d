"""What a commit hook runs: `wiregen check` for every site that one of the files given belongs to."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator
from pathlib import Path

from wiregen.cli import run
from wiregen.reading.folders import ABOVE

SHARED = ("devices", "kits")  # folders that the sites below the one that holds them take from


def sites_of(files: Iterable[Path]) -> list[Path]:
    """The folders of the sites that these files are specs of, or share with others; none for files of other kinds."""
    return sorted({site for file in files for site in _sites_of(file)})


def _sites_of(file: Path) -> Iterator[Path]:
    own = next((folder for folder in file.parents if (folder / "site.yaml").is_file()), None)
    if own is not None:
        yield own
    elif file.parent.name in SHARED:
        for depth in range(1, ABOVE + 1):
            yield from (found.parent for found in file.parent.parent.glob("/".join(["*"] * depth + ["site.yaml"])))


def main() -> None:
    """Exit status: the worst of all sites."""
    sys.exit(max((run(["check", "--quiet", str(site)]) for site in sites_of(map(Path, sys.argv[1:]))), default=0))


if __name__ == "__main__":
    main()
