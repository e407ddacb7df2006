"""The example of a season's server: what its files say, and that what they say works."""

import json
import re
import urllib.error
import urllib.request
from io import StringIO
from ipaddress import ip_address, ip_network

import pytest
from django.conf import settings
from django.core.management import call_command, get_commands, load_command_class

from contest.settings import ENVIRONMENT
from tests.containers.browser import Browser, answers
from tests.containers.steps import EXAMPLE, compose, in_order, standing
from tests.postgres import private_server

VALUES = {"POSTGRES_PASSWORD": "invented", "TANBARK_SECRET_KEY": "a secret key of this test alone, " * 2}


@pytest.fixture(scope="module")
def services():
    return compose(VALUES)["services"]


def test_without_its_secrets_it_is_refused():
    with pytest.raises(KeyError):
        compose({"POSTGRES_PASSWORD": "invented"})


def test_it_has_two_that_serve_two_that_work_a_database_and_a_proxy(services):
    assert sorted(services) == ["app1", "app2", "database", "proxy", "worker1", "worker2"]
    assert in_order(services)[-1] == "proxy"


@pytest.mark.parametrize("name", ["app1", "app2", "worker1", "worker2"])
def test_what_it_tells_tanbark_is_what_tanbark_knows(services, name):
    command, *options = services[name]["command"]
    load_command_class(get_commands()[command], command).create_parser("manage.py", command).parse_args(options)
    told = services[name]["environment"]
    assert {key for key in told if key != "DATABASE_URL"} <= ENVIRONMENT.keys()
    assert told["TANBARK_SEVERAL"] == "1", "a command beside them would leave alone what they share, such as papers"


def test_each_has_a_data_folder_of_its_own_and_nothing_is_mounted_that_is_not_declared(services):
    told = compose(VALUES)
    named = [volume.split(":") for service in services.values() for volume in service.get("volumes", ())]
    assert {source for source, *_ in named if not source.startswith(".")} == told["volumes"].keys()
    data = [source for source, inside, *_ in named if inside == "/data"]
    assert len(set(data)) == len(data) == 4


def test_the_proxy_knows_where_those_that_serve_are_before_they_are_there(services):
    told = dict(name.split(":") for name in services["proxy"]["extra_hosts"])
    assert told == {name: services[name]["networks"]["default"]["ipv4_address"] for name in ("app1", "app2")}
    (network,) = compose(VALUES)["networks"]["default"]["ipam"]["config"]
    for address in map(ip_address, told.values()):
        assert address in ip_network(network["subnet"])
        assert address not in ip_network(network["ip_range"]), "another container may be given it"


def test_images_are_named_in_full_as_not_every_engine_guesses_whose_they_are(services):
    assert {service["image"] for service in services.values()} - {"tanbark"} == {
        "docker.io/library/postgres:15",
        "docker.io/library/nginx:1.26",
    }


def test_the_image_is_begun_by_the_door_and_by_nobody_with_power():
    text = (EXAMPLE / "Containerfile").read_text(encoding="utf-8")
    said = dict(line.split(maxsplit=1) for line in text.splitlines() if re.match("[A-Z]+ ", line))
    assert (said["ENTRYPOINT"], said["USER"]) == ('["python3", "manage.py"]', "tanbark")
    assert "useradd --system --uid 999" in text, "the next image would not own the files of this one's volumes"


@pytest.mark.parametrize("name", ["app1", "app2", "worker1", "worker2"])
def test_no_volume_of_the_image_is_left_without_a_name(services, name):
    text = (EXAMPLE / "Containerfile").read_text(encoding="utf-8")
    declared = json.loads(re.search("^VOLUME (.*)$", text, re.MULTILINE)[1])
    assert set(declared) <= {volume.split(":")[1] for volume in services[name]["volumes"]}


def test_no_secret_comes_into_the_image():
    left_out = (settings.BASE_DIR / ".dockerignore").read_text(encoding="utf-8").splitlines()
    assert {".containers", ".data", ".git"} <= set(left_out)


def test_its_proxy_is_configured_as_the_command_says(settings):
    settings.WEB_COPY_FOLDER = "/results"
    certificate = [f"/etc/nginx/certificate/{name}.pem" for name in ("chain", "key")]
    apps = [word for name in ("app1", "app2") for word in ("--tanbark", f"http://{name}:8000")]
    said = StringIO()
    call_command("nginx", "--elsewhere", "--certificate", *certificate, *apps, stdout=said)
    assert said.getvalue() == (EXAMPLE / "nginx.conf").read_text(encoding="utf-8")


def test_its_steps_serve_by_https_whichever_process_is_taken_away(services, tmp_path):
    with private_server() as url, standing(services, url, tmp_path) as stand:
        browser = Browser(stand.https, stand.certificate)
        stand.wait_until("proxy", lambda: answers(browser))
        password = re.search(r"Password +(\S+)  \(shown", stand.said("app1") + stand.said("app2"))[1]
        name = re.search(r"Sign in +https://judging.example/sign-in/ as (\S+)", stand.said("app1"))[1]
        answer, page = browser.send("sign-in/", name=name, password=password)
        assert "<h1>Contests</h1>" in page
        assert answer.headers["Strict-Transport-Security"]
        assert browser.cookies
        assert all(cookie.secure for cookie in browser.cookies)
        with pytest.raises(urllib.error.HTTPError) as moved:
            NotFollowing().open(f"http://localhost:{stand.http}/sign-in/")
        with moved.value as refusal:
            assert refusal.headers["Location"] == "https://localhost/sign-in/"
        for worker in ("worker1", "worker2"):
            stand.wait_until(worker, lambda worker=worker: "Works on what is ordered" in stand.said(worker))
        stand.end("app1")
        for _ in range(4):
            assert "<h1>Contests</h1>" in browser.get("")[1]


class NotFollowing(urllib.request.HTTPRedirectHandler):
    def open(self, address):
        urllib.request.build_opener(type(self)).open(address)

    def redirect_request(self, *_args):
        return None
