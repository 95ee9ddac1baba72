"""Check and test everything, from nothing: a fresh Debian machine, or any machine that has the programs.

    python3 scripts/test.py            every check and every test
    python3 scripts/test.py ARGS       only pytest, which gets the arguments

On Debian and its kin the programs that are missing are installed with apt-get. Standard library only.
"""

from __future__ import annotations

import glob
import importlib.util
import os
import shutil
import subprocess
import sys

import dev
import environment

PROGRAMS = {
    "node": ("nodejs", ("node",)),
    "npm": ("npm", ("npm",)),
    "pulseaudio": ("pulseaudio", ("pulseaudio",)),
    "parec": ("pulseaudio-utils", ("parec",)),
    "PostgreSQL": ("postgresql", ("initdb",)),
    "Chromium": ("chromium", ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")),
}
"""What the tests run beside Python -> its Debian package, and the commands it goes by."""


ALSO_IN = "/usr/lib/postgresql/*/bin"
"""Debian keeps a database's programs outside the search path."""


def missing_packages() -> list[str]:
    """The Debian packages of what is not found."""
    folders = os.pathsep.join([os.environ.get("PATH", ""), *glob.glob(ALSO_IN)])
    packages = [
        package
        for package, names in PROGRAMS.values()
        if not any(shutil.which(name, path=folders) for name in names)
    ]
    if importlib.util.find_spec("ensurepip") is None:
        packages.append("python3-venv")
    return packages


def install(packages: list[str]) -> None:
    """Install Debian packages. Raises Trouble, naming them, where that cannot be done."""
    if not packages:
        return
    names = ", ".join(packages)
    trouble = environment.Trouble(f"The tests need {names} (Debian's names), which could not be installed.")
    if shutil.which("apt-get") is None:
        raise trouble
    as_root = [] if os.getuid() == 0 else ["sudo", "-n"]
    if as_root and shutil.which("sudo") is None:
        raise trouble
    print(f"Installing {names}.", flush=True)
    apt = [*as_root, "env", "DEBIAN_FRONTEND=noninteractive", "apt-get", "-qq"]
    for command in (["update"], ["install", "-y", "--no-install-recommends", *packages]):
        if subprocess.run([*apt, *command], stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL).returncode:
            raise trouble


def main(argv: list[str]) -> int:
    try:
        install(missing_packages())
        python = environment.make("test")
        npm = environment.node_packages()
    except environment.Trouble as trouble:
        print(trouble, file=sys.stderr)
        return 2
    if argv:
        return subprocess.call([str(python), "-m", "pytest", *argv], cwd=environment.ROOT)
    return 1 if dev.run_steps(dev.checks(python, npm) + dev.tests(python, npm)) else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
