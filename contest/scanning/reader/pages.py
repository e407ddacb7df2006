"""Pictures of pages: those of a PDF of any length, one in memory at a time, or a photograph the right way up."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from PIL.Image import Image

DPI = 200
MOST_PIXELS = 50_000_000
"""Of a picture: 8 000 by 6 000. A page that would be larger is drawn smaller; a photograph beyond it is refused."""

AN_OPENING = 20
"""Pages that are drawn before the file is opened anew: an open one holds on to whatever was drawn of it, which comes to
all of the file."""


class CannotOpen(Exception):
    """Raised for a file that is neither a PDF nor a picture, or a damaged one. `code` says which, `page` from which
    page on."""

    def __init__(self, code: str, page: int = 1) -> None:
        super().__init__(f"{code} at page {page}")
        self.code, self.page = code, page


def pages_of(path: Path, dpi: int = DPI, first: int = 1) -> Iterator[Image]:
    """The pages of a PDF from the `first` one on, drawn grey at so many dots an inch, or one picture as a camera held
    it. Raises CannotOpen with a code: `damaged`, `locked`, `too_large`, `unknown`."""
    with path.open("rb") as file:
        starts = file.read(1024)
    if b"%PDF-" in starts:
        yield from _of_pdf(path, dpi, first)
    elif first == 1:
        yield _picture(path)


def page_count(path: Path) -> int:
    """How many pages a file has; 1 of a picture. Raises CannotOpen."""
    with path.open("rb") as file:
        starts = file.read(1024)
    if b"%PDF-" not in starts:
        return 1
    document = _opened(path)
    try:
        return len(document)
    finally:
        document.close()


def _opened(path: Path):  # type: ignore[no-untyped-def]  # pypdfium2 says nothing of its types
    import pypdfium2

    try:
        return pypdfium2.PdfDocument(path)
    except pypdfium2.PdfiumError as error:
        raise CannotOpen("locked" if "password" in str(error).lower() else "damaged") from None


def _of_pdf(path: Path, dpi: int, first: int) -> Iterator[Image]:
    count = page_count(path)
    for begins in range(first, count + 1, AN_OPENING):
        document = _opened(path)
        try:
            for number in range(begins, min(begins + AN_OPENING, count + 1)):
                yield _drawn(document, number, dpi)
        finally:
            document.close()


def _drawn(document, number: int, dpi: int) -> Image:  # type: ignore[no-untyped-def]  # the same
    import pypdfium2

    try:
        page = document[number - 1]
        width, height = (side * dpi / 72 for side in page.get_size())
        scale = dpi / 72 * min(1, (MOST_PIXELS / max(1, width * height)) ** 0.5)
        bitmap = page.render(scale=scale, no_smoothtext=False)  # in colours, as grey takes it twice the time
    except pypdfium2.PdfiumError:
        raise CannotOpen("damaged", number) from None
    picture: Image = bitmap.to_pil().convert("L")
    bitmap.close()
    page.close()
    return picture


def _picture(path: Path) -> Image:
    from PIL import Image, ImageOps, UnidentifiedImageError

    try:
        with Image.open(path) as picture:
            if picture.width * picture.height > MOST_PIXELS:
                raise CannotOpen("too_large")
            picture.draft("L", picture.size)  # a JPEG's colours are not even worked out
            return ImageOps.exif_transpose(picture).convert("L")
    except UnidentifiedImageError:
        raise CannotOpen("unknown") from None
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError):
        raise CannotOpen("damaged") from None
