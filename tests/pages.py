"""A page as tests read it: on one line, without the whitespace that a browser does not show."""

import re

BLOCKS = (
    "html|head|title|body|main|header|footer|nav|section|article|aside|div|p|h[1-6]|ul|ol|li|dl|dt|dd|table|caption"
    "|thead|tbody|tfoot|tr|th|td|form|fieldset|legend|details|summary|br|button|select|option|svg"
)


def body(response, status=200):
    assert response.status_code == status, response.content.decode()
    return html_in(response)


def html_in(response):
    return on_one_line(response.content.decode())


def on_one_line(html):
    line = re.sub(r" +(/?>)", r"\1", " ".join(html.split()))
    line = re.sub(r"(<a\b[^>]*>) | (</a>)", r"\1\2", line)
    return re.sub(rf" ?(</?(?:{BLOCKS})\b[^>]*>) ?", r"\1", line).strip()
