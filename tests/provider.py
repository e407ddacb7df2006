"""A small provider of single sign-on on the loopback: real keys and signatures, and every lie that a test asks for."""

import base64
import hashlib
import json
import threading
import time
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from urllib.parse import parse_qs, urlsplit

from joserfc import jwt
from joserfc.jwk import RSAKey

CLIENT, SECRET = "tanbark", "hay-and-oats"
KEYS = {name: RSAKey.generate_key(2048, {"kid": "first", "use": "sig"}) for name in ("own", "another")}


class Provider:
    """`claims` are those of the next token, besides what is right; None takes one away. `signed_by` names the key."""

    def __init__(self):
        self.claims, self.signed_by, self.algorithm, self.asked = {}, "own", "RS256", {}
        self.issuer = ""

    def metadata(self):
        at = self.issuer
        return {
            "issuer": at,
            "authorization_endpoint": f"{at}/authorize",
            "token_endpoint": f"{at}/token",
            "jwks_uri": f"{at}/keys",
            "id_token_signing_alg_values_supported": ["RS256", "HS256", "none"],
        }

    def keys(self):
        return {"keys": [KEYS["own"].as_dict(private=False)]}

    def token(self, form, authorization):
        """What the code of the last question is exchanged for, by whoever asked it."""
        given = base64.b64encode(f"{CLIENT}:{SECRET}".encode()).decode()
        digest = hashlib.sha256(form["code_verifier"][0].encode()).digest()
        challenge = base64.urlsafe_b64encode(digest).decode().rstrip("=")
        if authorization != f"Basic {given}" or challenge != self.asked["code_challenge"] or form["code"] != ["good"]:
            return {"error": "invalid_grant"}
        now = int(time.time())
        right = {"iss": self.issuer, "aud": CLIENT, "sub": "s-17", "exp": now + 300, "iat": now, "name": "Ada B."}
        claims = right | {"nonce": self.asked["nonce"]} | self.claims
        claims = {name: value for name, value in claims.items() if value is not None}
        header = {"alg": self.algorithm, "kid": "first"}
        if self.algorithm == "none":
            parts = (json.dumps(part).encode() for part in (header, claims))
            signed = ".".join(base64.urlsafe_b64encode(part).decode().rstrip("=") for part in parts) + "."
        else:
            signed = jwt.encode(header, claims, KEYS[self.signed_by])
        return {"access_token": "x", "token_type": "Bearer", "id_token": signed}


@contextmanager
def serving():
    provider = Provider()

    class Answers(BaseHTTPRequestHandler):
        def do_GET(self):
            self.say(provider.keys() if self.path == "/keys" else provider.metadata())

        def do_POST(self):
            form = parse_qs(self.rfile.read(int(self.headers["Content-Length"])).decode())
            told = provider.token(form, self.headers.get("Authorization"))
            self.say(told, 400 if "error" in told else 200)

        def say(self, what, status=200):
            body = json.dumps(what).encode()
            self.send_response(status)
            self.send_header("Content-Type", "application/json")
            self.send_header("Content-Length", str(len(body)))
            self.end_headers()
            self.wfile.write(body)

        def log_message(self, *_):
            pass

    server = ThreadingHTTPServer(("127.0.0.1", 0), Answers)
    provider.issuer = f"http://127.0.0.1:{server.server_address[1]}"
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.01})
    thread.start()
    try:
        yield provider
    finally:
        server.shutdown()
        thread.join()
        server.server_close()


def asked_by(redirect):
    """What an answer that leads to the provider asks it."""
    return {name: values[0] for name, values in parse_qs(urlsplit(redirect.url).query).items()}
