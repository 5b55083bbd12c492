//! Programs for small processors: compiled, measured, and run on an emulated one.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use agogic_export::{Case, Line, Machine, sources};
use tempfile::TempDir;

/// Flags of the program for the emulated board.
const FLAGS: [&str; 8] =
    ["-mcpu=cortex-m0", "-mthumb", "-Os", "-std=gnu99", "-Wall", "--specs=rdimon.specs", "-nostartfiles", "-I."];

/// A machine on an emulated Cortex-M0.
pub struct Emulator {
    folder: TempDir,
}

/// What a run says.
pub struct Run {
    /// Answers, as the runner writes them.
    pub answers: String,
    /// Instructions of the worst call: of an event, of time that has passed, of the next deadline, of a decision.
    pub worst: [u32; 4],
}

fn support(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cortex-m0").join(name)
}

fn run(command: &mut Command) -> String {
    let output = command.output().unwrap();
    assert!(output.status.success(), "{command:?}:\n{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

fn written(machine: &Machine) -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    for (name, text) in sources(machine) {
        fs::write(folder.path().join(name), text).unwrap();
    }
    folder
}

impl Emulator {
    /// Compiles the sources for it.
    pub fn new(machine: &Machine) -> Self {
        let folder = written(machine);
        let gcc = || {
            let mut gcc = Command::new("arm-none-eabi-gcc");
            gcc.current_dir(folder.path()).args(FLAGS);
            gcc
        };
        run(gcc().args(["-c", "agogic.c"]));
        run(gcc().arg("-include").arg(support("counted.h")).args(["-c", "conform.c"]));
        let (start, counted) = (support("start.c"), support("counted.c"));
        run(gcc().arg("-T").arg(support("link.ld")).args([start, counted]).args([
            "agogic.o",
            "conform.o",
            "-o",
            "run.elf",
        ]));
        Self { folder }
    }

    /// Runs cases on it. Time is counted in instructions, so what it says is the same on every machine.
    pub fn run(&self, cases: &[Case]) -> Run {
        let at = |name: &str| self.folder.path().join(name);
        let mut text = String::new();
        cases.iter().for_each(|case| case.write_lines(&mut text));
        fs::write(at("cases.txt"), text).unwrap();
        let board = ["-M", "microbit", "-nographic", "-monitor", "none", "-serial", "none"];
        let counted = ["-icount", "shift=8,align=off,sleep=off"];
        let hosted = ["-semihosting-config", "enable=on,target=native", "-kernel", "run.elf"];
        let mut qemu = Command::new("qemu-system-arm");
        run(qemu.current_dir(self.folder.path()).args(board).args(counted).args(hosted));
        let counts = fs::read_to_string(at("counts.txt")).unwrap();
        let numbers =
            |line: &str| -> Vec<u64> { line.split(' ').skip(1).map(|number| number.parse().unwrap()).collect() };
        let mut lines = counts.lines().map(numbers);
        let ticks = lines.next().unwrap();
        // Ticks of 900 instructions that do nothing, and of a count around nothing.
        let instructions = |worst: u64| ((worst - ticks[1]) * 900).div_ceil(ticks[0]) as u32;
        let worst: Vec<u32> = lines.map(|own| instructions(own[0])).collect();
        Run { answers: fs::read_to_string(at("answers.txt")).unwrap(), worst: worst.try_into().unwrap() }
    }
}

/// Runs as many of the cases as fit into its flash on an emulated ATmega1284P; what it answers, and how many they were.
pub fn run_on_8_bits(machine: &Machine, cases: &[Case]) -> (String, usize) {
    let folder = written(machine);
    let mut packed: Vec<u8> = Vec::new();
    let mut fitting = 0;
    for case in cases {
        // An array has at most 32767 bytes there.
        if packed.len() + 6 * (case.lines.len() + 2) > 32_000 {
            break;
        }
        fitting += 1;
        packed.extend([4, 0, 0, 0, 0, 0]);
        for line in &case.lines {
            let (what, key) = match *line {
                Line::Down { key, .. } => (1, key),
                Line::Up { key, .. } => (2, key),
                Line::Wait { .. } => (3, 0),
            };
            packed.extend([what, key]);
            packed.extend((line.when() as u32).to_le_bytes());
        }
    }
    packed.extend([0; 6]);
    let bytes: Vec<String> = packed.iter().map(u8::to_string).collect();
    let text = format!("static const uint8_t cases[] PROGMEM = {{{}}};\n", bytes.join(","));
    fs::write(folder.path().join("cases.h"), text).unwrap();
    let runner = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/avr/run.c");
    let flags = ["-mmcu=atmega1284p", "-DF_CPU=16000000UL", "-Os", "-std=gnu99", "-Wall", "-I.", "agogic.c"];
    let mut gcc = Command::new("avr-gcc");
    run(gcc.current_dir(folder.path()).args(flags).arg(runner).args(["-o", "run.elf"]));
    let mut simavr = Command::new("simavr");
    simavr.current_dir(folder.path()).args(["-m", "atmega1284p", "-f", "16000000", "run.elf"]);
    let output = simavr.output().unwrap();
    // It shows what the serial line says in colour, with a full stop for the end of a line.
    let said = [output.stdout, output.stderr].concat();
    let lines = String::from_utf8_lossy(&said).replace("\u{1b}[32m", "").replace("\u{1b}[0m", "");
    let is_answer = |line: &&str| ["tap ", "hold ", "end"].iter().any(|word| line.starts_with(word));
    let answers: Vec<&str> = lines.lines().map(|line| line.trim_end_matches('.')).filter(is_answer).collect();
    (answers.join("\n") + "\n", fitting)
}

/// What a compiler makes of the source, in bytes.
#[derive(Debug)]
pub struct Measured {
    /// Code and constants.
    pub flash: usize,
    /// Constants among them: an 8-bit processor that reads them like memory keeps them there too.
    pub constants: usize,
    /// Memory that the source has of itself, beside what the caller gives it.
    pub data: usize,
    /// The whole structure.
    pub machine: usize,
    /// What one slot takes.
    pub slot: usize,
    /// Names of functions that it does not bring along.
    pub undefined: String,
}

/// Compiles the source for size and measures it.
pub fn memory_of(machine: &Machine, compiler: &str, flags: &[&str]) -> Measured {
    let folder = written(machine);
    let probe = "#include \"agogic.h\"\nstruct agogic whole;\nstruct agogic_press slot;\n";
    fs::write(folder.path().join("probe.c"), probe).unwrap();
    let tool = |name: &str| {
        let mut tool = Command::new(compiler.replace("gcc", name));
        tool.current_dir(folder.path());
        tool
    };
    for file in ["agogic.c", "probe.c"] {
        run(Command::new(compiler).current_dir(folder.path()).args(flags).args(["-Os", "-std=c99", "-c", file]));
    }
    let sizes = run(tool("size").arg("agogic.o"));
    let sizes: Vec<usize> =
        sizes.lines().nth(1).unwrap().split_whitespace().take(3).map(|size| size.parse().unwrap()).collect();
    let sections = run(tool("size").args(["-A", "agogic.o"]));
    let constants = sections.lines().filter(|line| line.starts_with(".rodata"));
    let constants = constants.map(|line| line.split_whitespace().nth(1).unwrap().parse::<usize>().unwrap()).sum();
    let symbols = run(tool("nm").args(["-S", "probe.o"]));
    let size_of = |name: &str| {
        let line = symbols.lines().find(|line| line.ends_with(&format!(" {name}"))).unwrap();
        usize::from_str_radix(line.split_whitespace().nth(1).unwrap(), 16).unwrap()
    };
    let undefined = run(tool("nm").args(["-u", "agogic.o"]));
    let undefined: Vec<&str> = undefined.split_whitespace().filter(|word| *word != "U").collect();
    Measured {
        flash: sizes[0],
        constants,
        data: sizes[1] + sizes[2],
        machine: size_of("whole"),
        slot: size_of("slot"),
        undefined: undefined.join(" "),
    }
}
