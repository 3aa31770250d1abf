"""Commented skeletons: what a new crop, lab, source or manual looks like before it is filled in."""

from __future__ import annotations

import re
import shutil
from datetime import date
from pathlib import Path

from ..database.manual import load_manual, shipped_protocols
from ..model.base import ID_PATTERN
from .publish import put

CROP = """\
# yaml-language-server: $schema=../schema/crop.json
# {name}: fill in what stands between < and >, delete what you do not need, then run `earleaf check`.
# One protocol for each growth window in which a source says which part to take.
crop: {id}
name: {name}
also_called: []                  # other names people search for
latin: <genus species>
group: row-crops                 # one of protocols/groups/: its rules hold here without being repeated
stage_system: corn-leaf-collar   # one of protocols/stages/
form: broadleaf                  # grass, broadleaf, rosette, vine, tree, bush or turf: the small plant on the strip
# thin: One honest sentence, where little is published.
protocols:                       # in order of stage
  - protocol: young-plants       # the address of the page: never change it later, add `aliases:` instead
    title: young plants          # reads after the crop's name
    short_id: <4 letters a-z or digits 2-9>   # printed on cards, never used again
    checked_on: {today}
    window: {{from: VE, to: V5}}   # stage codes of the stage system, both ends included
    see:                         # what the scout sees when this is the right page
      - Plants are small and no one leaf gives enough tissue.
    take:
      - part: whole-tops         # one of protocols/vocabulary/plant-parts.yml; leave out if no source names it
        count: {{min: 20, max: 25, unit: plants}}
        spots: {{number: 5, each: 4}}    # what the scout walks: number x each must lie inside the count
        how:
          - Cut the whole plant just above the ground. No roots.
        basis: [{id}.practice.1]   # rows of evidence/sampling-*.csv that say so
# The basis row goes into protocols/evidence/sampling-row-crops.csv as one line, for instance:
# {id}.practice.1,common-practice,{id},young plants,VE,V5,,whole-tops,20,25,plants,
# gaps:                          # stages between protocols where no source gives one
#   - {{from: V6, to: V8, why: No source we read gives a protocol here.}}
"""

LAB = """\
# yaml-language-server: $schema=../protocols/schema/lab.json
# {name}: say only what this lab wants otherwise. Everything else is inherited. Then run `earleaf check`.
lab: {id}
name: {name}
source: "<id of a source in your sources.yml, such as the lab sheet or your telephone note>"
checked_on: {today}              # the day you asked; `earleaf check` warns after 12 months
receives: {{days: [mon, tue, wed, thu], until: "15:00"}}
# closed:
#   - {{from: {year}-12-24, to: {next}-01-01, why: winter closure}}
# transit: {{days_min: 1, days_max: 3}}
# turnaround: {{days_min: 3, days_max: 5, working_days: true}}
# sample_id: {{max_length: 6}}
# material: {{say: A full handful of leaves.}}
# fee: {{amount: 20, currency: USD}}
# form: {{fields: [sample name, crop, stage, plant part, date]}}
handling: {{}}                     # topics: bag wash dry hold mail hour record soil ... (handling.yml)
#   bag:
#     value: paper
#     say: [Put it in a clean paper bag.]
protocols: []                    # one entry for each crop and stage where the lab differs
#   - crop: corn
#     protocol: tassel-to-silk
#     part: leaf-below-opposite-ear
#     count: {{min: 20, max: 20, unit: leaves}}
#     spots: {{number: 5, each: 4}}
#     say: [Find the top ear. Go one joint down. Take the leaf on the other side.]
"""

SOURCE = """\
  # Cite the publication itself, never a copy of it.
  - id: {id}
    authors: <who wrote it>
    title: <its title>
    publisher: <who published it>
    year: {year}
    # number: <series and number, volume and pages, or DOI>
    # url: <the publication's own address>
    kind: extension               # extension, university, government, journal, handbook, proceedings, standard,
                                  # press-report
    read: original                # original, copy, abstract, part, reported
    family: {id}                  # institution: sources of one family count once
"""

MANUAL = """\
# yaml-language-server: $schema=protocols/schema/manual.json
# Your manual. `earleaf check` looks it over, `earleaf build` publishes it into site/.
title: {name} sampling manual
team: {name}
site_url: https://manual.example/   # where it will be published; printed addresses use it
edition: {today}                 # printed on every page; change it when you publish
crops: []                        # ids, such as [corn, soybean]; empty means every crop
labs: []                         # ids of the files in labs/, such as [my-lab]; start one: earleaf new lab my-lab
protocols_folder: protocols      # your own copy of the database: edit it freely
labs_folder: labs
sources_file: sources.yml
chapters_folder: docs
# languages: [en, es-US]         # an edition each, the first at the root
# regional_words: {{es-US: {{ear: elote}}}}   # words that regions name differently
# languages_folder: languages    # translations of your own texts; `earleaf catalogue es` writes the files
# units: both                    # of "12 in (30 cm)": us, metric or both
# edit_url: https://example.org/your-repository/   # shows a link to the YAML behind each page
"""

MKDOCS = """\
site_name: {name} sampling manual
site_url: https://manual.example/
docs_dir: docs
strict: true
theme: {{name: material, font: false}}
extra_css: [assets/earleaf.css, assets/skin.css]
extra_javascript: [assets/skin.js]
plugins:
  - search
  - earleaf: {{manual: manual.yml}}
validation:
  nav: {{omitted_files: ignore}}
"""

INDEX = """\
# {name}

Which leaf, how many, when. [Find your crop](crops/), or see [what your lab wants](labs/).
"""


def write_new(kind: str, name: str, manual: Path | None, today: date) -> tuple[str, bool]:
    """Write one skeleton; a message for the user, and whether it was written. Nothing is ever overwritten."""
    ident = Path(name).name
    if not re.match(ID_PATTERN, ident):
        return f"{ident!r} is not an id: small letters, digits and single hyphens, such as dry-bean", False
    values = {
        "id": ident,
        "name": ident.replace("-", " ").capitalize(),
        "today": today.isoformat(),
        "year": today.year,
        "next": today.year + 1,
    }
    if kind == "manual":
        return _new_manual(Path(name), values)
    assert manual is not None
    settings, _ = load_manual(manual)
    if settings is None:
        return f"{manual} cannot be read; run `earleaf check`", False
    folder = manual.parent / settings.protocols_folder if settings.protocols_folder else shipped_protocols()
    if kind == "crop":
        return _write(folder / "crops" / f"{ident}.yml", CROP.format(**values))
    if kind == "lab":
        message, fine = _write(manual.parent / settings.labs_folder / f"{ident}.yml", LAB.format(**values))
        return (f"{message}\nThen add {ident} to `labs:` in {manual}", True) if fine else (message, False)
    path = manual.parent / settings.sources_file if settings.sources_file else folder / "sources.yml"
    text = path.read_text("utf-8") if path.exists() else "sources:\n"
    if re.search(rf"^\s*- (id: |{{id: ){re.escape(ident)}\b", text, re.M):
        return f"source {ident!r} is in {path} already", False
    text = re.sub(r"^sources: \[\]\s*$", "sources:", text, flags=re.M)
    put((text.rstrip("\n") + "\n" + _indented(SOURCE.format(**values), text)).encode("utf-8"), path)
    return f"added to the end of {path}; fill in what stands between < and >", True


def _indented(entry: str, text: str) -> str:
    """The entry with the indent that the list already has."""
    return entry if not re.search(r"^- ", text, re.M) else re.sub(r"^  ", "", entry, flags=re.M)


def _write(path: Path, text: str) -> tuple[str, bool]:
    if path.exists():
        return f"{path} is there already; nothing was written", False
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, "utf-8")
    return f"wrote {path}\nFill in what stands between < and >, then run `earleaf check`", True


def _new_manual(folder: Path, values: dict[str, object]) -> tuple[str, bool]:
    if folder.exists() and any(folder.iterdir()):
        return f"{folder} is not empty; nothing was written", False
    (folder / "labs").mkdir(parents=True, exist_ok=True)
    (folder / "docs").mkdir()
    shutil.copytree(shipped_protocols(), folder / "protocols")
    (folder / "manual.yml").write_text(MANUAL.format(**values), "utf-8")
    (folder / "mkdocs.yml").write_text(MKDOCS.format(**values), "utf-8")
    (folder / "sources.yml").write_text("# Sources of your labs.\nsources: []\n", "utf-8")
    (folder / "docs/index.md").write_text(INDEX.format(**values), "utf-8")
    return (f"wrote {folder}/\nNext: cd {folder}, edit manual.yml, then `earleaf check` and `earleaf build`"), True
