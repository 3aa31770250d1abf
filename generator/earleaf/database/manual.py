"""A manual.yml and all it names: the settings, and the database cut down to them."""

from __future__ import annotations

from pathlib import Path

from ..model.manual import Manual
from .load import Database, Loader
from .near import near


def shipped_protocols() -> Path:
    """The protocols folder that comes with the program: beside the source tree, or inside the installed package."""
    beside = Path(__file__).resolve().parents[3] / "protocols"
    return beside if beside.is_dir() else Path(__file__).resolve().parents[1] / "protocols"


def load_manual(path: Path) -> tuple[Manual | None, Database]:
    """The manual and its database. Faults are in the database's findings; the manual is None if it is unreadable."""
    folder = path.parent
    probe = Loader(common_root(folder, shipped_protocols().parent))
    manual, parsed = probe.read(path, Manual)
    if manual is None:
        return None, probe.db
    chosen = (folder / manual.protocols_folder).resolve() if manual.protocols_folder else shipped_protocols()
    loader = Loader(common_root(folder, chosen.parent))
    loader.protocols(chosen)
    if manual.sources_file:
        loader.sources(folder / manual.sources_file)
    labs = folder / manual.labs_folder
    db = loader.db
    if manual.labs and not labs.is_dir():
        loader.fault(
            path,
            parsed.line(("labs_folder",)),
            "missing-file",
            f"there is no folder {manual.labs_folder!r}",
            "labs_folder is the folder of your lab files, from the manual's own folder",
        )
        db.unread.add(("lab", ""))
    loader.labs(labs)
    for kind, wanted, have in (("crop", manual.crops, db.crops), ("lab", manual.labs, db.labs)):
        for i, name in enumerate(wanted):
            if db.is_missing(kind, name, have):
                loader.fault(
                    path, parsed.line((f"{kind}s", i)), "unknown-name", f"there is no {kind} {name!r}", near(name, have)
                )
    if manual.crops:
        every = db.crops
        db.crops = {name: every[name] for name in sorted(manual.crops) if name in every}
        db.left_out = {name: crop for name, crop in every.items() if name not in db.crops}
    db.labs = {name: db.labs[name] for name in manual.labs if name in db.labs}
    return manual, db


def common_root(a: Path, b: Path) -> Path:
    """What file names in findings are relative to: the folder that holds both, if there is a near one."""
    a, b = a.resolve(), b.resolve()
    for parent in (a, *a.parents[:2]):
        if b == parent or parent in b.parents:
            return parent if len(parent.parts) > 1 else a
    return a
