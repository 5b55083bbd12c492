"""Progress where somebody looks on."""

import contextlib
import io
import sys
import types
import unittest

from common import SPEC

import agogic


class Shell:
    """A notebook's shell."""

    kernel = object()


class Progress(unittest.TestCase):
    def test_a_terminal_gets_one_line_that_is_taken_away(self):
        said = io.StringIO()
        with contextlib.redirect_stderr(said):
            agogic.run(SPEC, progress=True)
        self.assertIn("\r", said.getvalue())
        self.assertTrue(said.getvalue().endswith("\r\x1b[K"), said.getvalue()[-40:])

    def test_where_nobody_looks_on_nothing_is_said(self):
        said = io.StringIO()
        with contextlib.redirect_stderr(said), contextlib.redirect_stdout(said):
            agogic.run(SPEC)
            agogic.run(SPEC, progress=False)
        self.assertEqual(said.getvalue(), "")

    def test_a_notebook_gets_a_bar_that_is_taken_away(self):
        shown = []

        class Handle:
            def update(self, html):
                shown.append(html)

        display = types.SimpleNamespace(HTML=str, display=lambda html, display_id: Handle())
        fake = types.ModuleType("IPython")
        fake.get_ipython = Shell
        fake.display = display
        sys.modules["IPython"] = fake
        try:
            agogic.run(SPEC)
        finally:
            del sys.modules["IPython"]
        self.assertTrue(shown)
        self.assertEqual(shown[-1], "")
        for html in shown[:-1]:
            self.assertIn('<progress max="56"', html)
