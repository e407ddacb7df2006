"""The fonts that PDFs are set in: python -m tests.make_fonts

A browser takes one file for every weight and size. On paper each weight of it at each size is a font of its own, and
making those of the one file anew took two fifths of the time of a short document. So those that papers use are made
here once, from the files that browsers take and, of the letters that no page of ours links, from those in
`tests/fonts/`. Two cuts are enough for an eye: one for text and one for what is set large.
"""

import re
from io import BytesIO
from pathlib import Path

from fontTools.ttLib import TTFont
from fontTools.varLib.instancer import instantiateVariableFont

CHECKOUT = Path(__file__).resolve().parents[1]
SOURCES = (CHECKOUT / "static" / "fonts", CHECKOUT / "tests" / "fonts")
PAPER = CHECKOUT / "static" / "fonts" / "paper"
CUTS = {"text": 13.33, "large": 36.0}
"""By their names, for which size in pixels of 1/96 inch they are drawn."""
WEIGHTS = {"normal": (400, 600, 700), "italic": (400, 600)}
_NAME = re.compile(r"(?P<font>.+?)-(?:opsz|wght)-(?P<style>normal|italic)\.woff2")


def made(only: str = "") -> dict[str, bytes]:
    """The fonts by the names of their files; only those whose source has this in its name."""
    fonts = {}
    for source in sorted(path for folder in SOURCES for path in folder.glob("*.woff2") if only in path.name):
        name = _NAME.fullmatch(source.name)
        assert name, source
        axes = {axis.axisTag for axis in TTFont(source)["fvar"].axes}
        style = name["style"]
        cuts = CUTS if "opsz" in axes and style == "normal" else {"text": CUTS["text"]}
        for cut, size in cuts.items():
            for weight in WEIGHTS[style]:
                font = TTFont(source, recalcTimestamp=False)
                font.flavor = None
                font = instantiateVariableFont(font, {"wght": weight} | ({"opsz": size} if "opsz" in axes else {}))
                data = BytesIO()
                font.save(data)
                fonts[f"{name['font']}-{cut}-{weight}-{style}.ttf"] = data.getvalue()
    return fonts


def main() -> None:
    PAPER.mkdir(exist_ok=True)
    for name, data in made().items():
        (PAPER / name).write_bytes(data)
        print(name, len(data))


if __name__ == "__main__":
    main()
