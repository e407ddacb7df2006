"""Pictures drawn as SVG. The colours are those of paper; a style sheet gives a screen its own."""

from __future__ import annotations

from django import template
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from scoring.core.class_picture import ClassPicture, Corner, Layout

INK, SOFT, HAIR, SPOT, PAPER = "#191c19", "#545a53", "#d3d7d0", "#1d5a3c", "#ffffff"
DARK = 0.5
"""From this strength on, what stands on a filled circle is white."""

register = template.Library()


@register.simple_tag
def class_picture(picture: ClassPicture) -> SafeString:
    """`{% class_picture picture %}`: the 24 placings of a class and how many gave each, as a table beside it says."""
    layout = picture.layout
    edges = format_html_join(
        "", '<line x1="{}" y1="{}" x2="{}" y2="{}"/>', ((e.x1, e.y1, e.x2, e.y2) for e in picture.edges)
    )
    boxes = format_html_join(
        "",
        '<rect x="{}" y="{}" width="{}" height="{}"/>',
        ((c.box_x, c.box_y, layout.label_width, layout.type) for c in picture.corners),
    )
    corners = format_html_join(
        "", "{}{}{}", ((_circles(c), _count(c, layout), _label(c, layout)) for c in picture.corners)
    )
    title = _("The 24 placings as a picture; the table has the same in figures")
    return format_html(
        '<svg viewBox="0 0 {} {}" role="img" aria-label="{}"><title>{}</title>'
        '<g class="edges" stroke="{}" stroke-width="2">{}</g><g class="under" fill="{}">{}</g>'
        '<g font-family="Programme" stroke-width="2" text-anchor="{}">{}</g></svg>',
        layout.width,
        layout.height,
        title,
        title,
        HAIR,
        edges,
        PAPER,
        boxes,
        "start" if layout.beside else "middle",
        corners,
    )


def _circles(corner: Corner) -> SafeString:
    where = format_html('cx="{}" cy="{}"', corner.x, corner.y)
    ring = '<circle class="ring" {} r="{}" fill="{}" stroke="{}"/>'
    return format_html(
        '{}<circle class="under" {} r="{}" fill="{}"/>'
        '<circle class="spot" {} r="{}" fill="{}" fill-opacity="{}" stroke="{}"/>',
        format_html(ring, where, corner.ring, PAPER, INK) if corner.official else "",
        *(where, corner.radius, PAPER),
        *(where, corner.radius, SPOT, corner.strength, SPOT),
    )


def _count(corner: Corner, layout: Layout) -> SafeString:
    if layout.beside or not corner.shows_count:  # too small a figure for a projector
        return mark_safe("")
    dark = corner.strength > DARK
    return format_html(
        '<text class="{}" x="{}" y="{}" text-anchor="middle" font-size="22" fill="{}">{}</text>',
        "on-dark" if dark else "on-pale",
        corner.x,
        corner.y + 8,
        PAPER if dark else INK,
        corner.cards,
    )


def _label(corner: Corner, layout: Layout) -> SafeString:
    return format_html(
        '<text x="{}" y="{}" font-size="{}" font-weight="{}" fill="{}">{}</text>',
        corner.label_x,
        corner.label_y,
        layout.type,
        "bold" if corner.official else "normal",
        INK if corner.cards or corner.official else SOFT,
        corner.placing,
    )
