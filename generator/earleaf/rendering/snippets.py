"""Texts that somebody pastes into a page of their own, and the same as data for programs that ask (oEmbed 1.0)."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

CALM = "allow-popups allow-popups-to-escape-sandbox"
"""What a frame may do in the page of somebody else: open its links in a new tab."""
GROWING = f"allow-scripts {CALM}"
WIDEST = 640
"""CSS pixels; no embed is wider."""
CACHE_S = 86_400


@dataclass(frozen=True)
class Height:
    """How tall a frame must be, in CSS pixels: `narrow` at 320 wide, `wide` at 640; between, it falls evenly."""

    narrow: int
    wide: int

    @property
    def css(self) -> str:
        """The height by the width of the column that the frame stands in, as a CSS length."""
        if self.narrow <= self.wide:
            return f"{self.wide}px"
        fall = (self.narrow - self.wide) / (WIDEST / 2)
        return f"max({self.wide}px,calc({2 * self.narrow - self.wide}px - {100 * fall:.4g}cqw))"


@dataclass(frozen=True)
class Thumbnail:
    """A picture from the root of the site; its width and height in pixels of the file."""

    address: str
    width: int
    height: int


def framed(address: str, title: str, height: Height, *, grows: bool = False, asked: bool = False) -> str:
    """A frame in a column. A browser or an editor that drops the styles still has the height of a narrow phone.

    Programs that have `asked` are told a width as well, and the height for it. The markup is well-formed XML too.
    """
    width, tall = (str(WIDEST), height.wide) if asked else ("100%", height.narrow)
    return Markup(
        '<div style="container-type:inline-size;max-width:{}px"><iframe src="{}" title="{}" width="{}" height="{}" '
        'style="border:0;width:100%;height:{}" sandbox="{}" referrerpolicy="no-referrer" loading="lazy"{}>'
        "</iframe></div>"
    ).format(
        WIDEST,
        address,
        title,
        width,
        tall,
        height.css,
        GROWING if grows else CALM,
        Markup(' data-earleaf=""') if grows else "",
    )


def growing(address: str, title: str, height: Height, script: str) -> str:
    """A frame that grows, with the script beside it that listens."""
    frame = framed(address, title, height, grows=True)
    return Markup('{}<script async="async" src="{}"></script>').format(Markup(frame), script)


def picture_link(address: str, site: str, picture: Thumbnail, text: str, title: str) -> str:
    """A picture that is a link, and the same link in words."""
    return Markup(
        '<p><a href="{}"><img src="{}{}" width="{}" height="{}" alt="{}" '
        'style="max-width:100%;height:auto" /></a><br /><a href="{}">{}</a></p>'
    ).format(address, site, picture.address, picture.width, picture.height, text, address, title)


def text_link(address: str, title: str) -> str:
    return Markup('<p><a href="{}">{}</a></p>').format(address, title)


def oembed(
    title: str, address: str, height: Height, *, provider: str, site: str, picture: Thumbnail | None
) -> dict[str, object]:
    """The answer of oEmbed 1.0, type `rich`, for one embed. All three thumbnail keys are there, or none."""
    out: dict[str, object] = {
        "type": "rich",
        "version": "1.0",
        "title": title,
        "provider_name": provider,
        "provider_url": site,
        "cache_age": CACHE_S,
        "width": WIDEST,
        "height": height.wide,
        "html": str(framed(address, title, height, asked=True)),
    }
    if picture:
        out["thumbnail_url"] = site + picture.address
        out |= {"thumbnail_width": picture.width, "thumbnail_height": picture.height}
    return out
