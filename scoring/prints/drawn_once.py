"""Pictures that a document draws but once, however often they stand on its pages.

WeasyPrint draws an SVG anew wherever it stands. A form object is drawn once and referred to.
"""

from __future__ import annotations

from typing import Any

from weasyprint.images import SVGImage


class DrawnOnce:
    """Draws what a picture draws, in every document the first time at each size."""

    def __init__(self, picture: SVGImage) -> None:
        self._picture = picture
        self._resources: Any = None
        self._forms: dict[tuple[float, float], str] = {}

    def draw(self, stream: Any, width: float, height: float, style: Any) -> None:
        """What a replaced box asks of its picture; the size is in pixels."""
        if stream._resources is not self._resources:  # another document's
            self._resources, self._forms = stream._resources, {}
        if (width, height) not in self._forms:
            form = stream.add_group(0, 0, width, height)
            self._picture.draw(form, width, height, style)
            self._forms[width, height] = form.id
        stream.draw_x_object(self._forms[width, height])

    def __getattr__(self, name: str) -> Any:
        return getattr(self._picture, name)


def draw_once(box: Any, known: dict[str, DrawnOnce]) -> None:
    """Have every SVG in a box drawn but once a document. `known` are those of other boxes, by their address."""
    for one in box.descendants():
        picture = getattr(one, "replacement", None)
        if isinstance(picture, SVGImage):
            one.replacement = known.setdefault(picture._base_url, DrawnOnce(picture))
