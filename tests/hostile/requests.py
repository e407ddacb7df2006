"""Hostile requests: what a curious teenager, a broken browser or a scanner may send, made from a seed.

Each is a valid request for an address of the site, spoilt in a way or two. The same seed and index make the same one.
"""

import json
from dataclasses import dataclass, field
from random import Random
from urllib.parse import quote, urlencode
from uuid import UUID

from tests.hostile.materials import (
    FILES,
    FORM,
    HEADERS,
    JSON,
    METHODS,
    MULTIPART,
    PATHS,
    QUERIES,
    RAW_JSON,
    TEXTS,
    TYPES,
    VALUES,
)


@dataclass
class Hostile:
    """One request: whoever sends it, and what stands on the wire. `path` is decoded, as a server hands it on."""

    who: str
    method: str
    path: str
    query: str = ""
    headers: dict = field(default_factory=dict)
    content_type: str | None = None
    body: bytes = b""

    def __str__(self):
        body = self.body[:300] + (b"..." if len(self.body) > 300 else b"")
        return (
            f"{self.who}: {self.method} {self.path[:200]!r} ?{self.query[:200]}\n"
            f"  {self.content_type!r:.200} { {name: value[:100] for name, value in self.headers.items()} }\n  {body!r}"
        )


def hostile(random, site):
    """One request to an address of the `site`, spoilt."""
    who = random.choices(list(site.people), weights=[7 if name == "superintendent" else 1 for name in site.people])[0]
    way = random.random()
    if way < 0.45 and site.forms[who]:
        made = _form(random, random.choice(site.forms[who]), who)
    elif way < 0.6:
        made = _told(random, random.choice(site.json), who)
    else:
        made = Hostile(who, random.choice(["GET", "GET", "GET", "POST"]), random.choice(site.addresses))
        if made.method == "POST":
            made.content_type, made.body = FORM, _urlencoded(_fields(random, [("submission", _uuid(random))]))
    for _ in range(random.choice([0, 0, 0, 1, 1, 2])):
        random.choice([_query, _query, _path, _header, _header, _type, _method, _bytes])(random, made)
    return made


def _form(random, form, who):
    fields = _fields(random, [(name, value) for name, value in form.fields if name != "csrfmiddlewaretoken"])
    fields = [
        (name, _uuid(random) if name == "submission" and value and random.random() < 0.9 else value)
        for name, value in fields
    ]
    address, _, query = form.action.partition("?")
    if form.method.lower() == "get":
        return Hostile(who, "GET", address, urlencode(fields, errors="surrogatepass"))
    if form.files or random.random() < 0.1:
        return Hostile(who, "POST", address, query, {}, MULTIPART, _multipart(random, fields, form.files))
    return Hostile(who, "POST", address, query, {}, FORM, _urlencoded(fields))


def _fields(random, fields):
    fields = list(fields)
    if random.random() < 0.01:
        fields += [(f"a{number}", "") for number in range(random.choice([999, 1100, 10_000]))]
    for _ in range(random.choice([1, 1, 2, 3])):
        at = random.randrange(len(fields) + 1)
        choice = random.random()
        if choice < 0.65 and at < len(fields):
            fields[at] = (fields[at][0], random.choice(TEXTS))
        elif choice < 0.75 and at < len(fields):
            del fields[at]
        elif choice < 0.85 and at < len(fields):
            fields.append((fields[at][0], random.choice(TEXTS)))
        else:
            fields.append((random.choice(TEXTS)[:50], random.choice(TEXTS)))
    return fields


def _told(random, told, who):
    """A script's own message, spoilt in a value or two, or no message at all."""
    address, message = told
    if random.random() < 0.3:
        return Hostile(who, "POST", address, "", {}, JSON, random.choice(RAW_JSON))
    message = {**message, "submission": _uuid(random)}
    for _ in range(random.choice([1, 1, 2])):
        name = random.choice([*message, "odd"])
        if random.random() < 0.2:
            message.pop(name, None)
        else:
            message[name] = random.choice(VALUES)
    return Hostile(
        who,
        "POST",
        address,
        "",
        {},
        JSON,
        json.dumps(message, ensure_ascii=random.random() < 0.5).encode("utf-8", "surrogatepass"),
    )


def _urlencoded(fields):
    return urlencode(fields, errors="surrogatepass").encode()


def _multipart(random, fields, files):
    parts = [
        f'Content-Disposition: form-data; name="{quote(name, safe=" ")}"\r\n\r\n'.encode()
        + value.encode("utf-8", "surrogatepass")
        for name, value in fields
    ]
    names = [
        "a.zip",
        "a.csv",
        "a.xlsx",
        "a.svg",
        "a\0b.csv",
        "../../a",
        ".",
        "",
        "x" * 300 + ".csv",
        "é.csv",
        'a".csv',
        "CON",
        "a/b",
    ]
    for name in files:
        file = random.choice(names)
        parts.append(
            f'Content-Disposition: form-data; name="{name}"; filename="{file}"\r\nContent-Type: x/y\r\n\r\n'.encode()
            + random.choice(FILES)
        )
    spoilt = random.random()
    if spoilt < 0.1:
        parts.append(b'Content-Disposition: form-data; name="a"\r\nContent-Transfer-Encoding: base64\r\n\r\n!!!')
    elif spoilt < 0.2:
        parts.append(
            random.choice(
                [
                    b"",
                    b"\r\n\r\n",
                    b"Content-Disposition: form-data\r\n\r\nx",
                    b"x: y" * 3000,
                    b"Content-Disposition: form-data; name*=utf-16''%FF; filename*=x\r\n\r\n",
                ]
            )
        )
    whole = b"".join(b"--frontier\r\n" + part + b"\r\n" for part in parts) + b"--frontier--\r\n"
    return whole[: random.randrange(len(whole))] if random.random() < 0.1 else whole


def _query(random, made):
    made.query = random.choice(QUERIES) if random.random() < 0.7 else f"{made.query}&{random.choice(QUERIES)}"


def _path(random, made):
    parts = made.path.split("/")
    at = random.randrange(1, len(parts))
    odd = random.choice(PATHS)
    parts[at] = odd if random.random() < 0.7 else parts[at] + odd
    made.path = "/".join(parts)


def _header(random, made):
    name, values = random.choice(HEADERS)
    made.headers[name] = random.choice(values)
    if name.startswith("HX"):
        made.headers.setdefault("HX-Request", "true")


def _type(random, made):
    made.content_type = random.choice(TYPES)


def _method(random, made):
    made.method = random.choice(METHODS)


def _bytes(random, made):
    """The body as noise broke it: some bytes of it are others, or it stops early."""
    if made.body and len(made.body) < 5000:
        spoilt = bytearray(made.body)
        for _ in range(random.choice([1, 3, 20])):
            spoilt[random.randrange(len(spoilt))] = random.randrange(256)
        made.body = bytes(spoilt)
    else:
        made.body = random.randbytes(random.choice([1, 40, 2000]))
        made.method, made.content_type = "POST", made.content_type or random.choice(TYPES)


def _uuid(random):
    return str(UUID(int=random.getrandbits(128), version=4))


def request_of(seed, index, site):
    return hostile(Random(f"{seed}-{index}"), site)
