#!/usr/bin/env python3
"""Makes the seeds of spec, manifest, shard_file and log_parquet again, and `words.dict`, with a built `agogic`:

    tests/fuzz/make_seeds.py target/debug/agogic

Those of block_file change with the program. The target writes them itself when it is told where:

    BLOCK_SEEDS=$PWD/tests/fuzz/seeds/block_file cargo +nightly fuzz run --fuzz-dir tests/fuzz -s none block_file -- -runs=1

Seeds are small on purpose: what is long is changed slowly. The logs and layouts in the other folders are kept by hand.
"""

import pathlib
import re
import subprocess
import sys
import tempfile

ROOT = pathlib.Path(__file__).resolve().parent
WORKSPACE = ROOT.parents[1]
AGOGIC = pathlib.Path(sys.argv[1]).resolve()

WORDS = "High tide at noon. Ask Ada for the USB log.\n"
CREW = """\
name = "crew"
about = "People of a night shift."
base = "slow"
dwell_family = "gamma"
[traits.dwell_ms]
median = 130
spread = 0.2
[constants]
tempo_persistence = 0.3
[correlations.interval_ms]
dwell_ms = 0.4
"""
OUTCOMES = ["false-hold", "missed-hold", "stray-chord", "lost-chord"]
MODIFIERS = ["Shift", "Control", "Alt", "Meta", "Layer"]
COSTS = "".join(
    f'[[cost]]\noutcome = "{outcome}"\nmodifier = "{modifier}"\nseconds = 2\nlow = 1\nhigh = 3\nbasis = "assumed"\n'
    for outcome in OUTCOMES
    for modifier in MODIFIERS
) + '[[cost]]\noutcome = "stray-chord"\nmodifier = "Control"\nkey = "KeyW"\nseconds = 30\nlow = 5\nhigh = 90\nbasis = "assumed"\n'

HEAD = 'name = "x"\nseed = 1\n[text]\nwords = "The tide turns. Ask Ada."\n'
RULE = '[[policy]]\nrule = "enclosed"\n'
# One table each, so that all of them are reached from the first minute.
TABLES = {
    "population": '[typists]\npopulations = ["slow", "crew"]\nnumber = 3\nkeys_each = 50\n[[population]]\n'
    'name = "crew"\nbase = "trained"\ndwell_family = "gamma"\n[population.traits.dwell_ms]\nmedian = 130\n'
    "[population.constants]\ntempo_persistence = 0.5\n[population.correlations.interval_ms]\ndwell_ms = 0.2\n",
    "assignments": '[keyboard]\nboard = "column-staggered"\n[[assignment]]\nname = "a"\nresting = '
    '["Meta", "Alt", "Control", "Shift"]\n[[assignment]]\nname = "b"\nresting = []\nkeys = { Space = "Shift" }\n',
    "orders": '[keyboard]\norders = "mirrored"\n[clock]\nlike = "browser"\nscan_ms = 4\n',
    "letters": '[keyboard.letters]\nname = "mine"\nsource = "made up"\nstarts_from = "us"\n[keyboard.letters.level_1]\n'
    'BracketLeft = "å"\nMinus = "\\u0301"\nBackslash = ""\n[keyboard.letters.level_2]\nDigit2 = "\\""\n'
    '[keyboard.letters.level_3]\nKeyE = "€"\n',
    "workload": "[workload]\nshortcuts_per_1000_keys = 8\nbare_holds_per_1000_keys = 1\nrepeats_per_1000_keys = 1\n"
    '[[workload.shortcut]]\nmodifier = "Control"\nalso = "Shift"\ntarget = "KeyC"\nweight = 2\n',
    "inference": '[inference]\nlevel = 0.9\nreference = "enclosed"\ninterval = "bca"\nresamples = 500\n'
    "limits = { false_holds = 3 }\nmargins = { wrong_keys = 2 }\n",
    "stop": '[stop]\nestimand = "missed_holds"\nrelative = 0.1\nguarantee = "exact"\nblock = 20\nleast = 40\n'
    'policies = ["enclosed"]\n[rare]\nprecision = 0.2\nbudget_keys = 200000\nbelow_events = 9\n'
    "[floor]\ntypists = 5\nrehearsal_keys = 3000\n",
    "sweep": '[[sweep]]\nrule = "dwell-cutoff"\ndesign = "grid"\nover = { cutoff_ms = { from = 120, to = 240, steps = 3 }, '
    'lull_ms = { from = 50, to = 200, steps = 2 } }\n[[sweep]]\nlabel = "s"\nrule = "overlap-share"\ndesign = "sobol"\n'
    "points = 8\nover = { share = { from = 0.4, to = 1 } }\n[front]\nfalse_holds = 20\n",
    "hypercube": '[[sweep]]\nrule = "overlap-span"\ndesign = "latin-hypercube"\npoints = 9\n'
    "guards = { other_hand = true, retap_ms = 100 }\nover = { span_ms = { from = 20, to = 140 } }\n",
    "sensitivity": '[sensitivity]\nrule = "enclosed"\nrows = 16\ntypists = 5\nover = { lull_ms = { from = 0, to = 200 } }\n'
    "traits = { dwell_ms = { from = 80, to = 130 } }\n",
    "advice": '[advice]\nobjective = "harm"\nleast_gain = 1\nserved = 0.8\nlimits = { missed_holds = 20 }\n'
    "limits_of_all = { tap_delay_p95 = 250 }\nsearch_typists = 40\nconfirm_typists = 60\nrefinements = 1\nshortlist = 3\n"
    '[robust]\ntypists = 30\npoints = 9\nfigures = ["harm"]\n',
}
FILES = (
    'name = "x"\nseed = 1\n[text]\nfile = "words.txt"\nunsupported = "skip"\n[typists]\npopulations = ["crew.toml"]\n'
    f'[harm]\nlevel = "high"\ncosts = "costs.toml"\n{RULE}\0{CREW}\0{COSTS}\0{WORDS}'
)
TINY = """\
name = "tiny"
seed = 5
[text]
file = "words.txt"
[typists]
population = "crew.toml"
number = 4
keys_each = 60
[floor]
typists = 1
rehearsal_keys = 2000
[inference]
resamples = 200
[[policy]]
rule = "enclosed"
[[sweep]]
rule = "dwell-cutoff"
over = { cutoff_ms = { from = 150, to = 250, steps = 3 } }
"""


def learns(table):
    return any(word in table for word in ["evidence", "personal"])


def save(target, name, data):
    folder = ROOT / "seeds" / target
    folder.mkdir(parents=True, exist_ok=True)
    (folder / name).write_bytes(data if isinstance(data, bytes) else data.encode())


def specs():
    for path in sorted((WORKSPACE / "experiments").glob("*.toml")):
        text = re.sub(r"(?m)^#.*\n", "", path.read_text())
        if "orders" in text:
            # A long text on each of two dozen keyboards would slow down all that is made of it.
            text = text.replace('built_in = "tide-station"', 'words = "High tide at noon."')
        tables = re.split(r"(?m)^(?=\[(?!policy\.))", text)
        save("spec", path.stem, "".join(table for table in tables if not learns(table)))
    for name, tables in TABLES.items():
        save("spec", f"table-{name}", HEAD + tables + RULE)
    save("spec", "files", FILES)


def folders():
    with tempfile.TemporaryDirectory() as work:
        work = pathlib.Path(work)
        for name, text in {"words.txt": WORDS, "crew.toml": CREW, "tiny.toml": TINY}.items():
            (work / name).write_text(text)

        def agogic(*words):
            subprocess.run([AGOGIC, *words], cwd=work, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)

        for command in ["run", "sweep"]:
            agogic(command, "tiny.toml", "--out", command)
            text = (work / command / "manifest.json").read_text()
            # The names of the files that the target lays beside the manifest.
            text = text.replace("input-1-crew.toml", "input-2-crew.toml").replace("input-2-words.txt", "input-1-words.txt")
            save("manifest", f"{command}.json", text)
        for shard in ["1/1", "2/3"]:
            out = "shard-" + shard.replace("/", "-")
            agogic("shard", "tiny.toml", shard, "--out", out)
            text = (work / out / "shard.json").read_text()
            text = text.replace(str(work), "/studies").replace("crew.toml", "input-2-crew.toml")
            save("shard_file", f"{out}.json", text.replace("words.txt", "input-1-words.txt"))
        for name, options in [("intents", []), ("plain", ["--without-intents"])]:
            agogic("simulate", "tiny.toml", "--out", "log.parquet", *options)
            # The first byte chooses the layout, and this one is that of events.
            save("log_parquet", name, b"\0" + (work / "log.parquet").read_bytes())


def sources(folder):
    """The files of a folder of sources; one that is not there any more would go unnoticed."""
    files = sorted(folder.glob("*.rs"))
    if not files:
        sys.exit(f"{folder} holds no sources: it has moved, name the new place")
    return files


def words():
    """Keys that the reader of specs asks for, and names that may stand as values."""
    crates = WORKSPACE / "crates"
    asked = r'\b(?:[a-z]*texts?|numbers?|number_list|whole\w*|flag|\w*sections?|positive|count|rate|set|span|lines|choice|contains)\(&?\w*,?\s*"(\w+)"'
    found = set()
    for path in sources(crates / "agogic-study/src/spec"):
        found.update(re.findall(asked, path.read_text()))
        found.update(re.findall(r'"([a-z]+(?:[-_][a-z0-9]+)*)" =>', path.read_text()))
    for room in ["policy/src/rules", "policy/src", "typist/src", "study/src", "study/src/plans", "score/src", "keys/src"]:
        for path in sources(crates / f"agogic-{room}"):
            found.update(re.findall(r'(?:name: |[A-Z]\w*, )"([a-z][\w-]*)"', path.read_text()))
            found.update(re.findall(r'\("([a-z][\w-]*)", Self::', path.read_text()))
    found.update(MODIFIERS + ["from", "to", "KeyA", "Space", "ShiftLeft", "median", "spread", "base", "seconds", "because"])
    found.update(path.stem for path in (crates / "agogic-study/data/texts").glob("*.txt"))
    found.update(["crew.toml", "costs.toml", "words.txt", "input-1-words.txt", "input-2-crew.toml", "files_sha256"])
    lines = ["# Made by make_seeds.py."] + [f'"{word}"' for word in sorted(found) if not learns(word)]
    signs = ["[[", "]]", " = ", "= true", "= []", "= {}", "\\x0a", "nan", "inf", "-1", "1e308", "0x7fffffffffffffff"]
    (ROOT / "words.dict").write_text("\n".join(lines + [f'"{sign}"' for sign in signs]) + "\n")


specs()
folders()
words()
