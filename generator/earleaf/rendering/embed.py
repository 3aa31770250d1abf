"""Embeds as whole pages: no theme, no file beside them but the picture of a card, and nothing that could do harm.

The page asks nothing from anywhere, and says so in its own policy, for many hosts can set no headers. `frame-ancestors`
cannot be said in a page: who may show an embed is for the host to say, in a header.
"""

from __future__ import annotations

from base64 import b64encode
from hashlib import sha256
from pathlib import Path
from typing import Any

from markupsafe import Markup

from ..views.embed import Frame
from .pages import Pages

TEMPLATES = Path(__file__).parent / "templates"
STYLE = Markup((TEMPLATES / "embed.css").read_text("utf-8").strip())
SCRIPT = Markup((TEMPLATES / "embed_frame.js").read_text("utf-8").strip())
"""Tells whoever shows the page how tall it is, and nothing else. It listens to nobody."""
POLICY = "default-src 'none'; style-src 'unsafe-inline'; img-src 'self' data:; base-uri 'none'; form-action 'none'"
GROWING_POLICY = f"{POLICY}; script-src 'sha256-{b64encode(sha256(SCRIPT.encode()).digest()).decode()}'"


def embed_page(pages: Pages, template: str, frame: Frame, site: str, *, grows: bool = False, **view: Any) -> str:
    """One whole HTML page. `site` is the address of the edition, with a slash at its end.

    A page that `grows` holds the one script that the policy lets run; any other page holds none.
    """
    words = pages.words
    return pages.body(
        template,
        frame.address,
        f=frame,
        site=site,
        policy=GROWING_POLICY if grows else POLICY,
        script=SCRIPT if grows else "",
        style=STYLE,
        language=words.language,
        direction=words.about.direction,
        **view,
    )
