"""Whether everybody can use what a browser shows: nothing spills, and axe finds nothing serious."""

from axe_playwright_python.base import AXE_SCRIPT
from axe_playwright_python.sync_playwright import DEFAULT_OPTIONS

COLOURS = {**DEFAULT_OPTIONS, "runOnly": ["color-contrast"]}
PHONE, PROJECTOR = {"width": 360, "height": 740}, {"width": 1280, "height": 720}


def violations(page, options=DEFAULT_OPTIONS):
    if page.evaluate("typeof axe") == "undefined":  # half a megabyte, and a page is looked at several times
        page.evaluate(AXE_SCRIPT)
    found = page.evaluate("options => axe.run(options).then(result => result.violations)", options)
    return [
        (violation["id"], [node["html"][:120] for node in violation["nodes"]][:3])
        for violation in found
        if violation["impact"] in ("serious", "critical")
    ]


def assert_sound(page, where=""):
    page.wait_for_load_state()
    assert page.evaluate("document.documentElement.scrollWidth") <= page.viewport_size["width"], (where, page.url)
    assert violations(page) == [], (where, page.url)


def assert_sound_in_every_light(page, where=""):
    """In the dark the same page has other colours, and nothing else."""
    assert_sound(page, where)
    page.emulate_media(color_scheme="dark")
    assert violations(page, COLOURS) == [], ("in the dark", where, page.url)
    page.emulate_media(color_scheme="light")


def assert_sound_at_every_width(page, where="", sizes=(PHONE, PROJECTOR)):
    for size in sizes:
        page.set_viewport_size(size)
        assert_sound(page, (where, size))


def assert_sound_in_every_way(page, where=""):
    page.set_viewport_size(PHONE)
    assert_sound(page, (where, PHONE))
    page.set_viewport_size(PROJECTOR)
    assert_sound_in_every_light(page, (where, PROJECTOR))
