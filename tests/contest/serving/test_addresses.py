"""What `up` works out before it serves."""

import socket
from types import SimpleNamespace

import pytest
from django.core.management import CommandError, call_command

from contest.serving import CannotServe, addresses


def adapter(name, *addresses):
    return SimpleNamespace(nice_name=name, ips=[SimpleNamespace(ip=ip, is_IPv4="." in ip) for ip in addresses])


@pytest.fixture
def network(monkeypatch):
    """This machine with other network cards."""

    def plug(*adapters, usual=""):
        monkeypatch.setattr(addresses.ifaddr, "get_adapters", lambda: adapters)
        monkeypatch.setattr(addresses, "usual_address", lambda: usual)

    return plug


def test_the_likeliest_address_comes_first(network):
    network(
        adapter("lo", "127.0.0.1"),
        adapter("docker0", "172.17.0.1"),
        adapter("eth0", "169.254.3.4", "fe80::1"),
        adapter("eth1", "192.168.1.2"),
        adapter("wlan0", "10.0.0.7"),
        usual="10.0.0.7",
    )
    assert addresses.lan_addresses() == ["10.0.0.7", "192.168.1.2", "169.254.3.4", "172.17.0.1"]


@pytest.mark.parametrize(
    ("https", "names", "said"),
    [
        (True, ["judging.example", "other.example"], "https://judging.example/"),
        (True, [], ""),
        (False, ["judging.example"], ""),
    ],
)
def test_behind_a_proxy_that_serves_https_people_come_by_the_first_name_that_was_told(settings, https, names, said):
    settings.HTTPS, settings.EXTRA_HOSTS = https, names
    assert addresses.by_the_proxy() == said


def test_without_a_network_there_is_no_address_for_others(network):
    network(adapter("lo", "127.0.0.1"))
    assert addresses.urls("0.0.0.0", 8000) == ("http://localhost:8000/", [])


def test_everybody_is_told_the_one_address_it_listens_on(network):
    network(adapter("eth0", "192.168.1.2"), adapter("eth1", "10.0.0.7"))
    assert addresses.urls("10.0.0.7", 80) == ("http://10.0.0.7:80/", ["http://10.0.0.7:80/"])
    assert addresses.urls("127.0.0.1", 80) == ("http://127.0.0.1:80/", [])
    assert addresses.urls("::1", 80) == ("http://[::1]:80/", [])


def test_this_machine_knows_its_own_addresses():
    assert all(socket.inet_aton(address) for address in addresses.lan_addresses())
    assert "127.0.0.1" not in addresses.lan_addresses()


def test_a_host_is_turned_into_the_address_to_listen_on():
    with addresses.bound_socket("localhost", 0) as bound:
        assert bound.getsockname()[0] in {"127.0.0.1", "::1"}


@pytest.mark.parametrize("host", ["192.0.2.200", "no.such.invalid"])
def test_an_address_of_another_machine_is_refused(host):
    with pytest.raises(CannotServe, match=f"{host} is no address of this machine"):
        addresses.bound_socket(host, 8000)


@pytest.mark.parametrize("port", ["0", "65536", "-1", "http"])
def test_a_port_that_cannot_be_is_refused(port):
    with pytest.raises(CommandError, match="from 1 to 65535"):
        call_command("up", f"--port={port}")


def test_a_qr_code_needs_a_terminal_that_can_draw_it():
    assert "█" in addresses.qr_code("http://10.0.0.7:8000/", "utf-8")
    assert addresses.qr_code("http://10.0.0.7:8000/", "ascii") == ""
