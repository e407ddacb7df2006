"""The example of a season's server, begun without containers: each service of the compose file as a process of this
machine, in the order and by the checks that the file says, and with its own command and environment."""

import datetime
import getpass
import os
import re
import subprocess
import sys
import time
from contextlib import ExitStack, contextmanager
from pathlib import Path

import yaml
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import NameOID
from django.conf import settings

from contest.bootstrap.needs import server_program
from tests.faults.hall import free_port

EXAMPLE = settings.BASE_DIR / ".containers"
VARIABLE = re.compile(r"\$\{(\w+):([?-])([^}]*)\}")
PATIENCE = 300  # seconds, however busy the machine is
MAIN = """
daemon off;
user {user};
pid {folder}/nginx.pid;
error_log {folder}/error.log;
events {{}}
http {{
    access_log off;
    client_body_temp_path {folder}/body;
    proxy_temp_path {folder}/proxy;
    fastcgi_temp_path {folder}/fastcgi;
    uwsgi_temp_path {folder}/uwsgi;
    scgi_temp_path {folder}/scgi;
    include {folder}/tanbark.conf;
}}
"""


def compose(values):
    """The compose file with these values of its variables; an error where one is missing that has to be set."""

    def value(found):
        name, kind, default = found.groups()
        return values[name] if kind == "?" else values.get(name, default)

    return yaml.safe_load(VARIABLE.sub(value, (EXAMPLE / "compose.yaml").read_text(encoding="utf-8")))


def in_order(services):
    """Names of services, each after those that it waits for."""
    told = []
    while len(told) < len(services):
        ready = [
            name
            for name, service in services.items()
            if name not in told and set(service.get("depends_on", ())) <= set(told)
        ]
        assert ready, f"these wait for each other: {services.keys() - told}"
        told += ready
    return told


class Standing:
    """What runs: the processes by service, and the ports of http and https at the proxy."""

    def __init__(self, services, database_url, folder):
        self.services, self.database_url, self.folder = services, database_url, folder
        self.processes = {}
        self.ports = {name: free_port() for name in services if name.startswith("app")}
        self.http, self.https = free_port(), free_port()
        self.certificate = folder / "chain.pem"

    def begin(self, name):
        (self.folder / name).mkdir(exist_ok=True)
        command, environment = self._proxy() if name == "proxy" else self._tanbark(name)
        with open(self.folder / f"{name}.said", "a") as said:
            self.processes[name] = subprocess.Popen(
                command, cwd=settings.BASE_DIR, env=environment, stdin=subprocess.DEVNULL, stdout=said, stderr=said
            )

    def said(self, name):
        return (self.folder / f"{name}.said").read_text()

    def wait_until_healthy(self, name):
        test = self.services[name]["healthcheck"]["test"]
        assert test[:2] == ["CMD", "python3"]
        command = [sys.executable, *(word.replace(":8000/", f":{self.ports[name]}/") for word in test[2:])]
        self.wait_until(name, lambda: subprocess.run(command, stderr=subprocess.DEVNULL).returncode == 0)

    def wait_until(self, name, done):
        deadline = time.monotonic() + PATIENCE
        while not done():
            assert self.processes[name].poll() is None, self.said(name)
            assert time.monotonic() < deadline, self.said(name)
            time.sleep(0.2)

    def end(self, name):
        self.processes[name].terminate()
        assert self.processes[name].wait(PATIENCE) == 0, self.said(name)

    def end_all(self):
        for process in reversed(self.processes.values()):
            process.terminate()
        for process in self.processes.values():
            process.wait(PATIENCE)

    def _mounted(self, name, text):
        """A path in the container as one of this machine."""
        for volume in self.services[name].get("volumes", ()):
            source, inside, *_ = volume.split(":")
            if text == inside:
                (self.folder / source).mkdir(exist_ok=True)
                return str(self.folder / source)
        return text

    def _tanbark(self, name):
        service = self.services[name]
        told = {key: self._mounted(name, value) for key, value in service["environment"].items()}
        assert "@database/" in told["DATABASE_URL"]
        told |= {"DATABASE_URL": self.database_url, "TANBARK_DATA": self._mounted(name, "/data")}
        here = {"0.0.0.0": "127.0.0.1", "8000": str(self.ports.get(name))}
        command = [sys.executable, "manage.py", *(here.get(word, word) for word in service["command"])]
        return command, {"PATH": os.environ["PATH"], "DJANGO_SETTINGS_MODULE": "contest.settings", **told}

    def _proxy(self):
        folder = self.folder / "proxy"
        key = make_certificate(self.certificate, self.folder / "key.pem")
        text = (EXAMPLE / "nginx.conf").read_text(encoding="utf-8")
        for inside, here in {
            "listen 80;": f"listen 127.0.0.1:{self.http};",
            "listen 443 ssl;": f"listen 127.0.0.1:{self.https} ssl;",
            "/etc/nginx/certificate/chain.pem": str(self.certificate),
            "/etc/nginx/certificate/key.pem": str(key),
            "root /results/": f"root {self._mounted('proxy', '/results')}/",
            "/var/cache/tanbark-shown": str(folder / "shown"),
            **{f"server {name}:8000;": f"server 127.0.0.1:{port};" for name, port in self.ports.items()},
        }.items():
            assert inside in text, f"{inside} is missing"
            text = text.replace(inside, here)
        return nginx(folder, text), {"PATH": ""}


def nginx(folder, text):
    """The command that runs nginx with what `manage.py nginx` says, and nothing outside a folder."""
    (folder / "tanbark.conf").write_text(text, encoding="utf-8")
    (folder / "nginx.conf").write_text(MAIN.format(folder=folder, user=getpass.getuser()), encoding="utf-8")
    return [server_program("nginx"), "-c", folder / "nginx.conf", "-p", folder, "-e", "stderr"]


@contextmanager
def standing(services, database_url, folder: Path):
    """All services but the database, which is there; ended afterwards in turn."""
    all_of_it = Standing(services, database_url, folder)
    with ExitStack() as last:
        last.callback(all_of_it.end_all)
        for name in in_order(services):
            if name == "database":
                continue
            for other, when in services[name].get("depends_on", {}).items():
                if other != "database" and when["condition"] == "service_healthy":
                    all_of_it.wait_until_healthy(other)
            all_of_it.begin(name)
        yield all_of_it


def make_certificate(certificate, key):
    """A certificate of its own for localhost, which its own readers trust alone."""
    private = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "localhost")])
    now = datetime.datetime.now(datetime.UTC)
    made = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(private.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - datetime.timedelta(days=1))
        .not_valid_after(now + datetime.timedelta(days=1))
        .add_extension(x509.SubjectAlternativeName([x509.DNSName("localhost")]), critical=False)
        .sign(private, hashes.SHA256())
    )
    certificate.write_bytes(made.public_bytes(serialization.Encoding.PEM))
    key.write_bytes(
        private.private_bytes(
            serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
        )
    )
    return key
