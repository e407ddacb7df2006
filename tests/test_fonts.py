"""The fonts that PDFs are set in are those that the script makes, and all of them are linked."""

import re

from fontTools.ttLib import TTFont

from tests.make_fonts import CHECKOUT, PAPER, SOURCES, made

LINKED = re.compile(r'url\("../../fonts/paper/([^"]+)"\)')


def test_fonts_are_made_again_to_the_byte():
    fonts = made("hebrew")
    assert len(fonts) == 3
    assert {name: (PAPER / name).read_bytes() for name in fonts} == fonts


def test_each_is_linked_and_is_of_one_weight_and_size_with_every_letter_of_its_source():
    sheets = (CHECKOUT / "static" / "css" / "prints").glob("faces*.css")
    linked = [name for sheet in sheets for name in LINKED.findall(sheet.read_text(encoding="utf-8"))]
    assert sorted(linked) == sorted(path.name for path in PAPER.glob("*.ttf"))
    letters = {path.name: TTFont(path).getBestCmap().keys() for folder in SOURCES for path in folder.glob("*.woff2")}
    for name in linked:
        font = TTFont(PAPER / name)
        assert "fvar" not in font
        for source, of in letters.items():
            before, _, style = re.split("-(opsz|wght)", source.removesuffix(".woff2"))
            if name.startswith((f"{before}-text", f"{before}-large")) and name.removesuffix(".ttf").endswith(style):
                assert font.getBestCmap().keys() == of
