"""Settings that make no sense stop the start, each by its name."""

import os
import secrets
import subprocess
import sys

import pytest
from django.conf import settings

from contest import checks
from contest.data_folder import make_secret


def load(tmp_path, **changed):
    environment = {**os.environ, "TANBARK_DATA": str(tmp_path / "data"), **changed}
    environment.pop("DATABASE_URL", None) if "DATABASE_URL" not in changed else None
    return subprocess.run(
        [sys.executable, "-c", "from contest import settings as s; print(s.DATABASES['default'], s.TIME_ZONE)"],
        cwd=settings.BASE_DIR,
        env=environment,
        capture_output=True,
        text=True,
    )


@pytest.mark.parametrize(
    ("name", "value", "said"),
    [
        ("TANBARK_DEBUG", "yes", "TANBARK_DEBUG must be 0 or 1, not 'yes'"),
        ("TANBARK_TIME_ZONE", "Barn/Yard", "TANBARK_TIME_ZONE must be a time zone"),
        ("DATABASE_URL", "nonsense://x", "DATABASE_URL cannot be read"),
        ("TANBARK_DTAA", "/x", "TANBARK_DTAA is not a setting; known are"),
        ("TANBARK_OIDC_ISSUER", "http://sign-on.example", "TANBARK_OIDC_ISSUER must begin with https://"),
        ("TANBARK_DATA", os.path.abspath(__file__), "TANBARK_DATA must be a folder"),
    ],
)
def test_a_bad_setting_is_named(tmp_path, name, value, said):
    done = load(tmp_path, **{name: value})
    assert done.returncode != 0
    assert said in done.stderr


def test_all_bad_settings_are_named_at_once(tmp_path):
    done = load(tmp_path, TANBARK_DEBUG="2", TANBARK_TIME_ZONE="Barn/Yard")
    assert "TANBARK_DEBUG" in done.stderr
    assert "TANBARK_TIME_ZONE" in done.stderr


def test_reading_the_settings_leaves_no_folder_behind(tmp_path):
    done = load(tmp_path)
    assert done.returncode == 0, done.stderr
    assert not (tmp_path / "data").exists()


def test_a_database_url_is_followed(tmp_path):
    done = load(tmp_path, DATABASE_URL="postgres://judge:pw@db.example/fair", TANBARK_TIME_ZONE="America/Chicago")
    assert "'django.db.backends.postgresql'" in done.stdout
    assert "'HOST': 'db.example'" in done.stdout
    assert done.stdout.strip().endswith("America/Chicago")


def named(found):
    return [problem.id for problem in found]


def test_the_settings_as_they_are_raise_no_complaint():
    assert named(checks.check_settings(None)) == []


def test_a_check_names_a_database_that_would_not_do(monkeypatch):
    monkeypatch.setitem(settings.DATABASES, "default", {"ENGINE": "django.db.backends.mysql"})
    assert named(checks.check_settings(None)) == ["contest.E001"]


def test_a_check_names_sqlite_that_would_lock(monkeypatch):
    monkeypatch.setitem(settings.DATABASES, "default", {"ENGINE": "django.db.backends.sqlite3", "OPTIONS": {}})
    assert named(checks.check_settings(None)) == ["contest.E002"]


def test_a_check_names_a_short_key(settings):
    settings.SECRET_KEY = "short"
    assert named(checks.check_settings(None)) == ["contest.E003"]


def deployed(tmp_path, **changed):
    """What Django says of these settings at a deployment, with a secret key as `up` makes it."""
    make_secret(tmp_path / "secret-key", secrets.token_urlsafe(50))
    environment = {name: value for name, value in os.environ.items() if name not in ("DATABASE_URL", "TANBARK_DEBUG")}
    return subprocess.run(
        [sys.executable, "manage.py", "check", "--deploy", "--fail-level", "WARNING"],
        cwd=settings.BASE_DIR,
        env={**environment, "TANBARK_DATA": str(tmp_path), **changed},
        capture_output=True,
        text=True,
    )


@pytest.mark.parametrize("https", ["0", "1"])
def test_a_deployment_is_sound_in_the_hall_and_behind_https(tmp_path, https):
    tmp_path.chmod(0o700)
    done = deployed(tmp_path, TANBARK_HTTPS=https)
    assert (done.returncode, done.stderr) == (0, "")
    assert "no issues" in done.stdout


def test_the_same_check_finds_what_is_not_sound(tmp_path):
    tmp_path.chmod(0o700)
    done = deployed(tmp_path, TANBARK_HTTPS="1", TANBARK_DEBUG="1")
    assert done.returncode == 1
    assert "security.W018" in done.stderr


def test_behind_https_cookies_and_the_way_there_are_secure(tmp_path):
    said = (
        "from contest import settings as s; print(s.SESSION_COOKIE_SECURE, s.CSRF_COOKIE_SECURE, s.SECURE_SSL_REDIRECT)"
    )
    for https, answer in ("0", "False False False"), ("1", "True True True"):
        environment = {**os.environ, "TANBARK_DATA": str(tmp_path), "TANBARK_HTTPS": https}
        done = subprocess.run(
            [sys.executable, "-c", said], cwd=settings.BASE_DIR, env=environment, capture_output=True, text=True
        )
        assert done.stdout.strip() == answer
