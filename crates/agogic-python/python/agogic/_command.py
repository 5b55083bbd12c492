"""The command `agogic`."""

from __future__ import annotations

import signal
import sys

from . import _agogic


def main() -> None:
    """Runs the command with the arguments of the process."""
    # The command ends at once on Ctrl-C and cleans up at its next start, as the binary does.
    signal.signal(signal.SIGINT, signal.SIG_DFL)
    sys.exit(_agogic.main(["agogic", *sys.argv[1:]]))


if __name__ == "__main__":
    main()
