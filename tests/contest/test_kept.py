"""Files in a folder, and in a bucket of a server on the loopback that speaks as object stores do."""

from io import BytesIO

import boto3
import pytest
from moto.server import ThreadedMotoServer

from contest import kept
from contest.scanning.arriving import Arrived
from contest.settings import _bucket

pytestmark = pytest.mark.any_database


@pytest.fixture(scope="module")
def endpoint():
    server = ThreadedMotoServer(ip_address="127.0.0.1", port=0, verbose=False)
    server.start()
    host, port = server.get_host_and_port()
    yield f"http://{host}:{port}"
    server.stop()


@pytest.fixture
def bucket(endpoint, settings, monkeypatch, tmp_path):
    """A bucket as TANBARK_FILES names it, whose keys and address are told as to any program."""
    told = {"ENDPOINT_URL": endpoint, "ACCESS_KEY_ID": "invented", "SECRET_ACCESS_KEY": "invented"}
    for name, value in {**told, "DEFAULT_REGION": "us-east-1"}.items():
        monkeypatch.setenv(f"AWS_{name}", value)
    client = boto3.client("s3")
    client.create_bucket(Bucket="fair")
    client.close()
    settings.STORAGES = {**settings.STORAGES, "kept": _bucket("s3://fair/files")}
    settings.DATA_FOLDER = tmp_path


@pytest.fixture
def folder(settings, tmp_path):
    settings.KEPT_FOLDER = tmp_path / "files"
    settings.DATA_FOLDER = tmp_path / "data"


@pytest.mark.parametrize("store", ["bucket", "folder"])
def test_files_are_kept_by_name(store, request):
    request.getfixturevalue(store)
    assert kept.names_in("prints") == kept.folders_in("scans") == []
    for content in (b"first", b"second"):  # in place of the one before
        kept.keep("prints/7.pdf", BytesIO(content))
    kept.keep("scans/1-ab/00000", BytesIO(b"a page"))
    assert kept.is_there("prints/7.pdf") and not kept.is_there("prints/8.pdf")
    assert kept.names_in("prints") == ["prints/7.pdf"]
    assert kept.folders_in("scans") == ["scans/1-ab"]
    assert abs(kept.age_of("prints/7.pdf")) < 3600
    with kept.local(["prints/7.pdf", "scans/1-ab/00000"]) as paths:
        assert [path.read_bytes() for path in paths] == [b"second", b"a page"]
    assert kept.at("prints/7.pdf").read_bytes() == b"second"
    with pytest.raises(FileNotFoundError):
        kept.opened("prints/8.pdf")
    kept.drop_folder("scans/1-ab")
    kept.drop("prints/7.pdf")
    kept.drop("prints/7.pdf")
    assert kept.names_in("prints") == kept.folders_in("scans") == []
    assert kept.identity() == kept.identity()


@pytest.mark.parametrize("store", ["bucket", "folder"])
def test_pieces_are_put_together(store, request):
    request.getfixturevalue(store)
    pieces = [b"a" * 70_000, b"b" * 3, b"c" * 70_000]
    for place, piece in enumerate(pieces):
        kept.keep(f"arriving/x/{place}", BytesIO(piece))
    file = Arrived(kept.names_in("arriving/x"))
    file.keep_as("scans/x/00000")
    with kept.opened("scans/x/00000") as together:
        assert together.read() == b"".join(pieces)
    assert kept.names_in("arriving/x") == []


def test_a_bucket_that_is_not_there_is_an_error_of_the_disk(bucket, settings):
    settings.STORAGES = {**settings.STORAGES, "kept": _bucket("s3://nowhere/files")}
    with pytest.raises(OSError, match="NoSuchBucket"):
        kept.keep("prints/7.pdf", BytesIO(b"first"))
