"""Where a site's data sheets and kits may lie beside its own."""

from __future__ import annotations

from pathlib import Path

ABOVE = 3  # folders over a site in which data sheets are looked for


def shared_folder(folder: Path) -> Path:
    """The nearest folder above the site's that has `devices/`: there, sites that lie together share data sheets and kits."""
    above = folder
    for _ in range(ABOVE):
        above = above / ".." if above.name in ("", "..") else above.parent  # "." has no parent in its name
        if (above / "devices").is_dir():
            break
    return above
