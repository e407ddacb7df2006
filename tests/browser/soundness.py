"""Whether everybody can use what a browser shows: nothing spills, and axe finds nothing serious."""

from axe_playwright_python.base import AXE_SCRIPT
from axe_playwright_python.sync_playwright import DEFAULT_OPTIONS

COLOURS = {**DEFAULT_OPTIONS, "runOnly": ["color-contrast"]}
BUT_COLOURS = {**DEFAULT_OPTIONS, "rules": {"color-contrast": {"enabled": False}}}
PHONE, PROJECTOR = {"width": 360, "height": 740}, {"width": 1280, "height": 720}

# What did not look like this when this was asked last: it was hidden, had other colours, or letters so large that they
# may be paler (24 pixels, or 18.66 where they are bold).
LOOKS_OTHER = """() => {
  const before = window.lookedLike, now = new Map();
  for (const element of document.querySelectorAll("body *")) {
    const look = getComputedStyle(element);
    const large = parseFloat(look.fontSize) >= (look.fontWeight >= 700 ? 18.66 : 24);
    if (element.checkVisibility({ opacityProperty: true, visibilityProperty: true }))
      now.set(element, [
        look.color, look.backgroundColor, look.backgroundImage, look.opacity, look.filter, large,
      ].join());
  }
  window.lookedLike = now;
  return [...now.keys()].filter((element) => before?.get(element) !== now.get(element));
}"""


def violations(page, options=DEFAULT_OPTIONS, elements="document"):
    """What axe finds on a page, or in the `elements` that a script names."""
    if page.evaluate("typeof axe") == "undefined":  # half a megabyte, and a page is looked at several times
        page.evaluate(AXE_SCRIPT)
    found = page.evaluate(
        f"""async options => {{
          const elements = {elements};
          return elements.length === 0 ? [] : (await axe.run(elements, options)).violations;
        }}""",
        options,
    )
    return [
        (violation["id"], [node["html"][:120] for node in violation["nodes"]][:3])
        for violation in found
        if violation["impact"] in ("serious", "critical")
    ]


def assert_sound(page, where="", options=DEFAULT_OPTIONS):
    page.wait_for_load_state()
    assert page.evaluate("document.documentElement.scrollWidth") <= page.viewport_size["width"], (where, page.url)
    assert violations(page, options) == [], (where, page.url)


def assert_sound_in_every_light(page, where=""):
    """In the dark the same page has other colours, and nothing else."""
    assert_sound(page, where)
    assert_sound_in_the_dark(page, where)


def assert_sound_in_the_dark(page, where):
    page.emulate_media(color_scheme="dark")
    assert violations(page, COLOURS) == [], ("in the dark", where, page.url)
    page.emulate_media(color_scheme="light")


def assert_sound_at_every_width(page, where="", sizes=(PHONE, PROJECTOR)):
    """At another width most of a page has the colours it had; asking for them is most of axe's work."""
    first, *others = sizes
    page.set_viewport_size(first)
    assert_sound(page, (where, first))
    page.evaluate(f"void ({LOOKS_OTHER})()")
    for size in others:
        page.set_viewport_size(size)
        assert_sound(page, (where, size), BUT_COLOURS)
        assert violations(page, COLOURS, f"({LOOKS_OTHER})()") == [], (where, size, page.url)


def assert_sound_in_every_way(page, where=""):
    assert_sound_at_every_width(page, where, (PHONE, PROJECTOR))
    assert_sound_in_the_dark(page, (where, PROJECTOR))
