"""Start Copyroom from a plain copy of this folder: nothing to install beforehand but Python.

    python3 scripts/start.py                      for the local network
    python3 scripts/start.py --with-learners 12   with a simulated class
    python3 scripts/start.py backup FILE          all rooms in one file
    python3 scripts/start.py --database postgresql://NAME@HOST/DATABASE

Every argument is passed on to `copyroom`, which serves unless another command is named; --help lists them.
The first start fetches the libraries into .venv; later ones do not touch the network. Standard library only.
"""

import os
import sys

if sys.version_info < (3, 11):  # noqa: UP036
    # Old grammar until here, so that an old Python gets as far as this line.
    sys.exit("Copyroom needs Python 3.11 or newer; this is Python %d.%d." % sys.version_info[:2])  # noqa: UP031

import itertools
import subprocess

import environment


def _extras(argv: list[str]) -> list[str]:
    """What the arguments ask for beside the ordinary libraries: another database's driver."""
    values = [value for option, value in itertools.pairwise(argv) if option == "--database"]
    values += [option.partition("=")[2] for option in argv if option.startswith("--database=")]
    return ["postgresql"] if any(value.startswith("postgres") for value in values) else []


def main(argv: list[str]) -> int:
    try:
        python = environment.make(*_extras(argv))
    except environment.Trouble as trouble:
        print(trouble, file=sys.stderr)
        return 2
    if not argv or argv[0].startswith("-"):
        argv = ["serve", *argv]
    command = [str(python), "-m", "copyroom", *argv]
    if os.name == "posix":
        # The server takes this process's place, so that every signal reaches it.
        os.execve(command[0], command, environment.variables())
    server = subprocess.Popen(command, env=environment.variables())
    while True:
        try:
            return server.wait()
        except KeyboardInterrupt:
            continue  # The server got it too, and is closing.


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
