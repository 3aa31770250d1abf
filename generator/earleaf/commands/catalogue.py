"""`earleaf catalogue`: the sentences of a language, written into its files; what is there is kept."""

from __future__ import annotations

from argparse import Namespace

from ..database.languages import subtag
from .common import FINE, Today, find_manual, many, sound, usage, writing


def run(args: Namespace, today: Today) -> int:
    """Write the files anew, and tell what is still to be translated."""
    from ..site.catalogue import update
    from ..site.mkdocs_shell import texts_beside

    path = find_manual(args.manual)
    prepared, manual = sound(path, today)
    tag = next((t for t in manual.languages[1:] if args.language in (t, subtag(t))), None)
    if tag is None:
        said = f"{args.language} is no second language of this manual; it has {', '.join(manual.languages)}"
        raise usage(f"{said}. Add it to `languages:` in {path}")
    with writing("written", path.parent, prepared.db):
        covered = update(prepared, tag, path, texts_beside(path))
    for one in covered:
        share = f"{one.translated} of {one.sentences}" + (f", {one.doubtful} doubtful" if one.doubtful else "")
        print(f"{one.file}: {share}")
    lacking = sum(one.sentences - one.translated for one in covered)
    print(f"{many(lacking, 'sentence')} to translate")
    return FINE
