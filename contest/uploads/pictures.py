"""A picture that somebody brings: written anew without anything but what is seen, or refused."""

from __future__ import annotations

import io
import re
import time
from base64 import b64encode
from dataclasses import dataclass
from typing import TYPE_CHECKING
from xml.etree import ElementTree

from scoring.core.points import in_thousands
from scoring.core.texts import gettext as _
from scoring.core.texts import ngettext

if TYPE_CHECKING:
    from PIL.Image import Image as Picture

MOST_BYTES = 4_000_000
MOST_PIXELS = 40_000_000
LARGEST = 1600
"""Pixels of the longer side; 1600 are sharp at any size that a sheet has room for."""

PHOTOGRAPH_SIDE = 1200
MOST_OF_PHOTOGRAPH = 15_000_000
"""Bytes; a phone's own photographs have 3 to 8 million."""

DEEPEST = 100
"""Elements within each other in a drawing."""
SLOWEST = 1
"""Seconds of processor time that drawing it once may take: every award sheet draws it again."""

_SVG = "{http://www.w3.org/2000/svg}"
_DRAWN = frozenset(
    [
        "svg",
        "g",
        "path",
        "rect",
        "circle",
        "ellipse",
        "line",
        "polyline",
        "polygon",
        "text",
        "tspan",
        "defs",
        "use",
        "symbol",
        "title",
        "desc",
        "clipPath",
        "mask",
        "linearGradient",
        "radialGradient",
        "stop",
        "pattern",
    ]
)
_LOCAL = re.compile(r"#[\w.-]+")
_URL = re.compile(r"url\(\s*['\"]?([^)'\"]*)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Shape:
    """How a photograph is turned, in quarters to the right, and then cropped: per cent cut off at each edge."""

    quarters: int = 0
    top: int = 0
    right: int = 0
    bottom: int = 0
    left: int = 0


class NotAPicture(ValueError):
    """Raised for a file that cannot be used, in words for whoever brought it."""


def checked(data: bytes) -> tuple[str, bytes]:
    """What to keep of an uploaded picture, with the ending of its name. Raises NotAPicture.

    A photograph is written anew, without what a camera notes in it, such as where it was taken. Call it in a process
    of its own, as `readers.py` does.
    """
    if len(data) > MOST_BYTES:
        told = _("the picture has {size} bytes; {most} is the most")
        raise NotAPicture(told.format(size=in_thousands(len(data)), most=in_thousands(MOST_BYTES)))
    if data.startswith((b"\x89PNG", b"\xff\xd8\xff")):
        return ".png", _raster(data)
    if b"<svg" in data[:4000]:
        return ".svg", _drawing(data)
    raise NotAPicture(_("that is no PNG, JPEG or SVG picture"))


def photograph(data: bytes, side: int) -> bytes:
    """A photograph as JPEG: upright, its longer side at most so many pixels, and without what a camera notes in it,
    such as where it was taken. Raises NotAPicture. Call it in a process of its own, as `checked`."""
    if not data.startswith((b"\x89PNG", b"\xff\xd8\xff")):
        raise NotAPicture(_("that is no PNG or JPEG photograph"))
    from PIL import Image

    seen, written = _seen(data, side), io.BytesIO()
    on_white = Image.new("RGB", seen.size, "white")
    on_white.paste(seen, mask=seen)
    on_white.save(written, "JPEG", quality=82, optimize=True)
    return written.getvalue()


def shaped(jpeg: bytes, shape: Shape) -> bytes:
    """A photograph that was written by `photograph`, turned, then cropped."""
    from PIL import Image

    with Image.open(io.BytesIO(jpeg), formats=("JPEG",)) as image:
        turned = image.rotate(-90 * shape.quarters, expand=True)
    across, down = turned.width / 100, turned.height / 100
    left, top = round(shape.left * across), round(shape.top * down)
    right, bottom = turned.width - round(shape.right * across), turned.height - round(shape.bottom * down)
    cropped, written = turned.crop((left, top, max(right, left + 1), max(bottom, top + 1))), io.BytesIO()
    cropped.save(written, "JPEG", quality=90, optimize=True)
    return written.getvalue()


def _raster(data: bytes) -> bytes:
    written = io.BytesIO()
    _seen(data, LARGEST).save(written, "PNG", optimize=True)
    return written.getvalue()


def _seen(data: bytes, side: int) -> Picture:
    """What is seen of a picture, upright, its longer side at most so many pixels."""
    from PIL import Image, ImageOps  # loads slowly, and only an upload needs it

    try:
        with Image.open(io.BytesIO(data), formats=("PNG", "JPEG")) as image:
            if image.width * image.height > MOST_PIXELS:
                told = _("the picture has {width} × {height} pixels; save it smaller")
                raise NotAPicture(told.format(width=image.width, height=image.height))
            upright = ImageOps.exif_transpose(image)
            upright.thumbnail((side, side))
            clean = Image.new("RGBA", upright.size)
            clean.paste(upright.convert("RGBA"))
    except NotAPicture:
        raise
    except Exception:  # a damaged file fails in as many ways as there are bytes in it
        raise NotAPicture(_("the picture is damaged; save it again as PNG or JPEG")) from None
    return clean


def _drawing(data: bytes) -> bytes:
    """An SVG that draws and does nothing else: no scripts, no styles from elsewhere, no other files."""
    if b"<!ENTITY" in data or (b"<!DOCTYPE" in data and b"[" in data.split(b"<svg", 1)[0]):
        raise NotAPicture(_("the drawing defines entities; save it as “plain SVG” or as PNG"))
    try:
        root = ElementTree.fromstring(data)  # noqa: S314 -- entities, what makes this unsafe, are refused above
    except (ElementTree.ParseError, ValueError, LookupError):  # damaged, or in letters that nobody knows
        raise NotAPicture(_("the drawing is damaged; save it again as SVG or PNG")) from None
    if root.tag != f"{_SVG}svg":
        raise NotAPicture(_("that is no SVG drawing"))
    _not_deep(root)
    _only_drawn(root)
    ElementTree.register_namespace("", _SVG[1:-1])
    return bytes(ElementTree.tostring(root, encoding="utf-8"))


def draw(clean: bytes) -> None:
    """Draw an SVG once as the prints would; where that takes too long or too much, this process ends at its limits.

    Raises NotAPicture, also for one that would hold up every award sheet. Without the library for PDF there is nothing
    that could hang on it.
    """
    try:
        from weasyprint import HTML
    except (ImportError, OSError):
        return
    HTML(string="1").write_pdf()  # what is only made once is no drawing's fault
    held = b64encode(clean).decode()
    page = HTML(string=f'<img src="data:image/svg+xml;base64,{held}" alt="" style="width: 9cm; max-height: 9cm">')
    before = time.process_time()
    try:
        page.write_pdf()
    except RecursionError:
        raise NotAPicture(_("the drawing is nested too deep; save it as PNG")) from None
    if time.process_time() - before > SLOWEST:
        raise NotAPicture(
            ngettext(
                "the drawing takes more than {count} second to draw, on every sheet; save it simpler, or as PNG",
                "the drawing takes more than {count} seconds to draw, on every sheet; save it simpler, or as PNG",
                SLOWEST,
            ).format(count=SLOWEST)
        )


def _not_deep(root: ElementTree.Element) -> None:
    """Refuse what is nested so deep that whoever draws it would run out of stack. Without recursion itself."""
    level, depth = [root], 0
    while level:
        depth += 1
        if depth > DEEPEST:
            raise NotAPicture(_("the drawing is nested more than {most} deep; save it as PNG").format(most=DEEPEST))
        level = [child for element in level for child in element]


def _only_drawn(element: ElementTree.Element) -> None:
    for child in list(element):
        if not isinstance(child.tag, str) or not child.tag.startswith(_SVG):
            element.remove(child)  # what a drawing program notes for itself
        elif child.tag.removeprefix(_SVG) not in _DRAWN:
            told = _("the drawing holds <{element}>; save it as PNG instead")
            raise NotAPicture(told.format(element=child.tag.removeprefix(_SVG)))
        else:
            _only_drawn(child)
    for name, value in list(element.attrib.items()):
        bare = name.rpartition("}")[2]
        if bare.lower().startswith("on"):
            raise NotAPicture(_("the drawing holds a script; save it as PNG instead"))
        links = [value] if bare == "href" else _URL.findall(value)
        if not all(_LOCAL.fullmatch(link.strip()) for link in links):
            raise NotAPicture(_("the drawing uses another file; save it as PNG instead"))
