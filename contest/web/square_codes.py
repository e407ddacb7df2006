"""Square codes that a phone's camera reads."""

import io
from functools import lru_cache

import segno


@lru_cache(maxsize=300)
def svg_of(address: str) -> str:
    """An address as a square code: a drawing, as a data URI."""
    return segno.make(address, micro=False).svg_data_uri(border=4, light="#fff", omitsize=True)


@lru_cache(maxsize=16)
def png_of(address: str) -> bytes:
    """An address as a square code: a picture, dark on light in every colour scheme."""
    drawn = io.BytesIO()
    segno.make(address, micro=False).save(drawn, kind="png", scale=16, border=3)
    return drawn.getvalue()
