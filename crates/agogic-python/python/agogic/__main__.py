"""`python -m agogic` is the command `agogic`."""

from ._command import main

main()
