#!/usr/bin/env python3
"""Licences of every crate that a build uses, against a list of those that are accepted. Needs no network.

    python3 tests/reference/licences.py

Exit code 1 when a crate has a licence outside of the list, or comes from elsewhere than crates.io.
Advisories need a database that has to be fetched; where one is at hand, `cargo deny check advisories` reads it.
"""

import json
import re
import subprocess
import sys

ACCEPTED = {
    "MIT", "MIT-0", "Apache-2.0", "BSD-2-Clause", "BSD-3-Clause", "0BSD", "ISC", "Zlib", "Unlicense", "CC0-1.0", "BSL-1.0",
    "Unicode-3.0", "Unicode-DFS-2016", "CDLA-Permissive-2.0", "Apache-2.0 WITH LLVM-exception", "MPL-2.0",
}


def accepted(expression):
    """Whether an SPDX expression leaves a choice that is accepted."""
    tokens = re.findall(r"\(|\)|[^\s()]+", expression.replace("/", " OR "))

    def choice():
        good = every()
        while tokens and tokens[0] == "OR":
            tokens.pop(0)
            good = every() or good
        return good

    def every():
        good = one()
        while tokens and tokens[0] == "AND":
            tokens.pop(0)
            good = one() and good
        return good

    def one():
        token = tokens.pop(0)
        if token == "(":
            good = choice()
            tokens.pop(0)
            return good
        if len(tokens) > 1 and tokens[0] == "WITH":
            tokens.pop(0)
            token += " WITH " + tokens.pop(0)
        return token in ACCEPTED

    return choice()


def main():
    command = ["cargo", "metadata", "--format-version", "1", "--offline", "--locked"]
    metadata = json.loads(subprocess.run(command, check=True, capture_output=True).stdout)
    wrong = []
    packages = [package for package in metadata["packages"] if package["source"] is not None]
    for package in packages:
        name = f"{package['name']} {package['version']}"
        if not package["source"].startswith("registry+https://github.com/rust-lang/crates.io-index"):
            wrong.append(f"{name} comes from {package['source']}")
        licence = package["license"]
        if licence is None or not accepted(licence):
            wrong.append(f"{name}: {licence or 'no licence stated'}")
    print("\n".join(wrong))
    print(f"{len(packages)} crates, {len(wrong)} to look at")
    sys.exit(bool(wrong))


main()
