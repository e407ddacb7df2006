"""Files that people might bring, and readers that do what no reader should."""

import io
import subprocess
import sys
import zipfile
from dataclasses import replace
from uuid import uuid4

from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from openpyxl import Workbook

from contest.background import give_order
from contest.demo import DEMO_BOOK
from contest.other_apps import OTHER_APPS, OtherApp
from contest.uploads import brought, working
from contest.uploads.purposes import Purpose
from contest.uploads.readers import READERS

SHEET = "xl/worksheets/sheet1.xml"
MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"


def zipped(files):
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in files.items():
            archive.writestr(name, content)
    return data.getvalue()


def demo_files():
    return {path.name: path.read_bytes() for path in DEMO_BOOK.iterdir()}


def svg(inside):
    return f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9">{inside}</svg>'.encode()


def spreadsheet(**parts):
    """A spreadsheet with some of its parts put in place of the sound ones."""
    made, data = Workbook(), io.BytesIO()
    made.active.append(["Number", "Name"])
    made.save(data)
    with zipfile.ZipFile(data) as archive:
        files = {name: archive.read(name) for name in archive.namelist()}
    return zipped(files | parts)


def sheet(rows, before=""):
    return f'{before}<worksheet xmlns="{MAIN}"><sheetData>{rows}</sheetData></worksheet>'


def limited(monkeypatch, kind, **limits):
    """Let a kind of file have less of the machine than it usually has."""
    usual = READERS[kind]
    monkeypatch.setitem(READERS, kind, replace(usual, limits=replace(usual.limits, **limits)))


KEEP = Purpose("tests keep what was read")
READ = {}
"""What was read of files that were brought for nothing else, by key."""


def keep(made):
    READ[made.key] = list(made.lines())
    made.end_with(lambda: None, lambda _: "/done/")


OTHER_APPS.append(OtherApp(purposes={KEEP.name: keep}))


def bring(kind, data, name="file", key=None, content=None, purpose=KEEP):
    """Bring a file, and wait for what becomes of it; what was read of it is found in READ."""
    return brought.bring(key or uuid4(), kind, SimpleUploadedFile(name, data), content, "/back/", purpose)


def files_there():
    return list((settings.DATA_FOLDER / "uploads").glob("*"))


def read_by(monkeypatch, script):
    """Have files read by another program, which may misbehave as it likes."""
    started = []

    def start(_module, order):
        child = subprocess.Popen(
            [sys.executable, "-c", script], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, encoding="utf-8"
        )
        give_order(child, order)
        started.append(child)
        return child

    monkeypatch.setattr(working, "start_child", start)
    return started


STUCK = """
import json, sys
sys.stdin.readline()
print(json.dumps({"at": "reading cards.csv, row 12,000 of 30,000"}), flush=True)
sys.stdin.read()
"""
"""Says how far it is, and never comes to an end."""
