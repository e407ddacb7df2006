"""Pages that come in pieces, now to one process and now to another, and are read by a third."""

import hashlib
import http.client
import json
from contextlib import closing
from io import BytesIO
from uuid import uuid4

import psycopg
import pytest
from PIL import Image

from tests.contest.processes.test_prints import working
from tests.faults.hall import CSRF
from tests.waiting import eventually

RULES = {"on": "on", "most_wrong": "10", "confidence": "95", "keep_days": "0"}

pytestmark = pytest.mark.postgresql


def page(shade):
    data = BytesIO()
    Image.new("L", (600, 800), shade).save(data, "PNG")
    return data.getvalue()


def asked(server, made, address, body, content="application/x-www-form-urlencoded"):
    """What a helper is answered, as JSON."""
    headers = {"Cookie": f"{made['cookies']['Ann']}; csrftoken={CSRF}", "X-CSRFToken": CSRF, "Content-Type": content}
    with closing(http.client.HTTPConnection("127.0.0.1", server.port, timeout=60)) as connection:
        connection.request("POST", f"/contests/{made['contest']}/scanning/{address}", body, headers)
        answer = connection.getresponse()
        said = answer.read()
        assert answer.status == 200, said[:300]
        return json.loads(said)


def test_pages_that_came_to_two_processes_are_read_by_a_third(servers, sue, made, database, tmp_path):
    a, b = servers
    sue.send(a, f"contests/{made['contest']}/scanning/rules/", submission=str(uuid4()), **RULES)
    pages = [page(shade) for shade in (250, 240, 230)]
    declared = json.dumps([[f"{place}.png", len(one), 17] for place, one in enumerate(pages)])
    key = asked(a, made, "send/", f"told={declared}")["key"]
    for place, one in enumerate(pages):
        server = servers[place % 2]
        said = asked(server, made, f"send/{key}/?file={place}&at=0", one, "application/octet-stream")
    assert said["wanted"] is None
    digests = "+".join(hashlib.sha256(one).hexdigest() for one in pages)
    with working(database, tmp_path / "w"):
        asked(b, made, f"send/{key}/sent/", f"digests={digests}&submission={uuid4()}")
        with psycopg.connect(database, autocommit=True) as found:
            states = found.execute
            eventually(lambda: states("SELECT state FROM contest_scan").fetchone()[0] not in ("waiting", "reading"))
            rows = found.execute("SELECT state, page, pages, trouble FROM contest_scan").fetchall()
    assert rows == [("done", 3, 3, "")]
    for server in servers:
        assert "0.png" in sue.get(server, f"contests/{made['contest']}/scanning/")[1]
