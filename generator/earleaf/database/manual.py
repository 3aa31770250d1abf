"""A manual.yml and all it names: the settings, and the database cut down to them."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path

from ..model.finding import Finding
from ..model.manual import Manual
from ..model.region import Region
from .files import is_folder, read_bytes, real
from .languages import Catalogue, read_language, subtag
from .load import Database, Loader
from .near import near
from .weather import Span, Weather, needed_days, read_weather
from .weather_text import MAX_BYTES
from .yaml_lines import Parsed


@dataclass
class ManualDatabase(Database):
    """The database of one manual, with its regions and languages.

    `weather` is by region, without those that could not be read; `languages` by tag, the same way.
    """

    regions: dict[str, Region] = field(default_factory=dict)
    weather: dict[str, Weather] = field(default_factory=dict)
    languages: dict[str, Catalogue] = field(default_factory=dict)


def shipped_protocols() -> Path:
    """The protocols folder that comes with the program: beside the source tree, or inside the installed package."""
    beside = Path(__file__).resolve().parents[3] / "protocols"
    return beside if beside.is_dir() else Path(__file__).resolve().parents[1] / "protocols"


def load_manual(path: Path) -> tuple[Manual | None, ManualDatabase]:
    """The manual and its database. Faults are in the database's findings; the manual is None if it is unreadable."""
    folder = path.parent
    probe = Loader(common_root(folder, shipped_protocols().parent))
    probe.db = ManualDatabase()
    manual, parsed = probe.read(path, Manual)
    if manual is None:
        return None, probe.db
    chosen = real(folder / manual.protocols_folder) if manual.protocols_folder else shipped_protocols()
    loader = Loader(common_root(folder, chosen.parent))
    loader.db = database = ManualDatabase()
    loader.protocols(chosen)
    if manual.sources_file:
        loader.sources(folder / manual.sources_file)
    labs = folder / manual.labs_folder
    db = loader.db
    if manual.labs and not is_folder(labs):
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
    _regions(manual, path, parsed, loader, database)
    _languages(manual, path, parsed, loader, database, chosen)
    return manual, database


def language_folders(manual: Manual, path: Path, protocols: Path) -> list[Path]:
    """Where translations are looked for: what is shipped, the database in use, the manual's own; each once."""
    wanted = (shipped_protocols() / "languages", protocols / "languages", path.parent / manual.languages_folder)
    return list(dict.fromkeys(real(folder) for folder in wanted))


def _languages(manual: Manual, path: Path, parsed: Parsed, loader: Loader, db: ManualDatabase, protocols: Path) -> None:
    """Every language of the manual; two tags of one language would stand at one address, so that is a fault."""
    folders = language_folders(manual, path, protocols)
    seen: dict[str, str] = {}
    for i, tag in enumerate(manual.languages):
        line = parsed.line(("languages", i))
        if (old := seen.setdefault(subtag(tag), tag)) != tag or tag in db.languages:
            said = f"{tag} is here beside {old}"
            loader.fault(path, line, "duplicate-id", said, "an edition for each language, not for each country")
            continue
        choices = manual.regional_words.get(tag, {})
        found = read_language(loader, folders, subtag(tag), choices, (path, line))
        if found is not None:
            db.languages[tag] = found
    for tag in manual.regional_words:
        if tag not in manual.languages:
            said = f"regional words are given for {tag}, which is no language of this manual"
            line = parsed.line(("regional_words", tag))
            loader.fault(path, line, "unknown-name", said, near(tag, manual.languages))


def _regions(manual: Manual, path: Path, parsed: Parsed, loader: Loader, db: ManualDatabase) -> None:
    """The regions, and the weather of each: every file is read once, with the seasons so far of all its regions."""
    for i, region in enumerate(manual.regions):
        if region.region in db.regions:
            said = f"region {region.region!r} is here twice"
            loader.fault(path, parsed.line(("regions", i, "region")), "duplicate-id", said, "rename one of them")
            continue
        db.regions[region.region] = region
        db.places.put("region", region.region, loader.name(path), parsed, ("regions", i))
    stations: dict[str, tuple[Weather, Path]] = {}
    for file in dict.fromkeys(real(path.parent / region.weather) for region in db.regions.values()):
        users = [r for r in db.regions.values() if real(path.parent / r.weather) == file]
        try:
            data = read_bytes(file, MAX_BYTES)
        except OSError as error:
            said = f"{users[0].weather!r} cannot be read: {error.strerror or error}"
            hint = "`weather` is the station's CSV file, from the manual's own folder"
            at = db.places.at("region", users[0].region, "weather")[1]
            loader.fault(path, at, "missing-file", said, hint)
            continue
        loader.saw(file, data)
        weather, found = _weather(data, loader.name(file), tuple(needed_days(region) for region in users))
        db.findings += found
        if weather is None:
            continue
        if weather.station in stations:
            said = f"station {weather.station!r} is also in {loader.name(stations[weather.station][1])}"
            loader.fault(file, 0, "duplicate-id", said, "give each station a name of its own, and one file")
            continue
        stations[weather.station] = (weather, file)
        db.weather |= {region.region: weather for region in users}


@lru_cache(maxsize=100)
def _weather(data: bytes, name: str, needed: tuple[Span, ...]) -> tuple[Weather | None, list[Finding]]:
    """The station of one file. The same bytes are read once, however often asked."""
    return read_weather(data, name, needed)


def common_root(a: Path, b: Path) -> Path:
    """What file names in findings are relative to: the folder that holds both, if there is a near one."""
    a, b = real(a), real(b)
    for parent in (a, *a.parents[:2]):
        if b == parent or parent in b.parents:
            return parent if len(parent.parts) > 1 else a
    return a
