"""Ctrl-C ends a study within a second, and other threads run meanwhile."""

import os
import signal
import subprocess
import sys
import threading
import time
import unittest

from common import SPEC

import agogic

LONG = SPEC.replace("number = 24", "number = 100000").replace("keys_each = 600", "keys_each = 3000")

CHILD = f"""
import sys, agogic
print("begun", flush=True)
try:
    agogic.run('''{LONG}''', progress=False)
except KeyboardInterrupt:
    print("interrupted", flush=True)
"""


class Interrupt(unittest.TestCase):
    def test_an_interrupt_ends_a_study_within_a_second(self):
        with subprocess.Popen([sys.executable, "-c", CHILD], stdout=subprocess.PIPE, text=True) as child:
            self.assertEqual(child.stdout.readline(), "begun\n")
            time.sleep(1.0)
            began = time.monotonic()
            child.send_signal(signal.SIGINT)
            self.assertEqual(child.stdout.readline(), "interrupted\n")
            took = time.monotonic() - began
        self.assertLess(took, 1.0)

    def test_the_interpreter_is_free_meanwhile(self):
        ticks = []
        over = threading.Event()

        def tick():
            while not over.wait(0.005):
                ticks.append(time.monotonic())

        thread = threading.Thread(target=tick)
        thread.start()
        agogic.run(SPEC.replace("number = 24", "number = 400"), progress=False)
        over.set()
        thread.join()
        self.assertGreater(len(ticks), 5)

    def test_an_exception_in_progress_stops_the_study(self):
        def stop(done, total):
            raise RuntimeError("enough")

        with self.assertRaisesRegex(RuntimeError, "enough"):
            agogic.run(LONG, progress=stop)


if os.name == "nt":
    del Interrupt
