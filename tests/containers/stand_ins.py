"""Images under the names that the example of a season's server uses, made of Debian's packages.

What a build needs of this machine to reach its registries (certificates, pip's configuration) is laid into the bases.
"""

import shutil
import subprocess
from pathlib import Path

HERE = Path(__file__).parent / "stand_ins"
BASES = {"docker.io/library/debian:12-slim": "bookworm", "docker.io/library/debian:13-slim": "trixie"}
BUILT = {"docker.io/library/postgres:15": "postgres", "docker.io/library/nginx:1.26": "nginx"}
NAMES = [*BASES, *BUILT]
OF_THIS_MACHINE = ("usr/local/share/ca-certificates", "etc/pip.conf")


def make_stand_ins(engine: str, folder: Path) -> None:
    """Make those that the engine (`docker` or `podman`) has not yet."""
    for name, suite in BASES.items():
        if not is_there(engine, name):
            _import_base(engine, name, suite, folder)
    for name, source in BUILT.items():
        if not is_there(engine, name):
            build = [engine, "build", "--network", "host", "--tag", name, "--file", HERE / source / "Containerfile"]
            subprocess.run([*build, HERE / source], check=True)


def is_there(engine: str, name: str) -> bool:
    return subprocess.run([engine, "image", "inspect", name], capture_output=True).returncode == 0


def _import_base(engine: str, name: str, suite: str, folder: Path) -> None:
    base = folder / suite
    bootstrap = ["debootstrap", "--variant=minbase", suite, base, "http://deb.debian.org/debian"]
    subprocess.run(bootstrap, check=True, stdout=subprocess.DEVNULL)
    for path in OF_THIS_MACHINE:
        if Path("/", path).is_dir():
            shutil.copytree(Path("/", path), base / path, dirs_exist_ok=True)
        elif Path("/", path).exists():
            shutil.copy(Path("/", path), base / path)
    packed = subprocess.Popen(["tar", "--create", "--directory", base, "."], stdout=subprocess.PIPE)
    subprocess.run([engine, "import", "--change", 'CMD ["bash"]', "-", name], stdin=packed.stdout, check=True)
    assert packed.wait() == 0
    shutil.rmtree(base)
