"""Coverage-guided fuzzing of what reads strangers' files: `python -m tests.strangers.fuzz READER INPUTS SEED FOLDER`.

Inputs are made by mutating good examples and whatever else reached a line or branch that none had reached before. It
ends with an exception where a reader does not refuse in our own words, where one input takes longer than
`SECONDS`, or where memory passes `MEGABYTES`; otherwise with one line of JSON that says how many inputs there were.
"""

import re
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Final, NamedTuple

ROOT: Final = Path(__file__).parents[2]
SECONDS: Final = 10
MEGABYTES: Final = 400
BETWEEN: Final = ("sh", "-c", '"$@"; exit $?', "sh")
"""A small process between: the kernel counts what a parent took at most as its child's, however small that one is."""
STATISTICS: Final = re.compile(r"stat::(number_of_executed_units|peak_rss_mb): *([0-9]+)")


class Fuzzed(NamedTuple):
    """What a run went through.

    Attributes:
        reader: whose inputs they were.
        inputs: how many.
        megabytes: the most memory it took, the fuzzer's own included.
    """

    reader: str
    inputs: int
    megabytes: int

    def __str__(self) -> str:
        return f"{self.inputs} inputs for {self.reader}, {self.megabytes} MB at most"


def fuzzed(reader: str, inputs: int, *, seed: int = 5) -> Fuzzed:
    """Fuzz a reader in a process of its own.

    Raises:
        AssertionError: it stumbled, hung or grew; with the input and what was told of it.
    """
    with tempfile.TemporaryDirectory() as folder:
        done = subprocess.run(
            [*BETWEEN, sys.executable, "-m", "tests.strangers.fuzz", reader, str(inputs), str(seed), folder],
            cwd=ROOT, capture_output=True, text=True, errors="replace", check=False,
        )  # fmt: skip
        statistics = dict(STATISTICS.findall(done.stderr))
        if done.returncode != 0 or len(statistics) != 2:
            found = [path.read_bytes() for path in Path(folder).glob("found-*")]
            raise AssertionError(
                f"{reader}, seed {seed}: {found!r}\n{done.stdout[-4000:]}\n{done.stderr[-4000:]}"
            )
    return Fuzzed(reader, int(statistics["number_of_executed_units"]), int(statistics["peak_rss_mb"]))


def main() -> None:
    """Fuzz until the inputs are done or one is found that does not go well."""
    import atheris

    name, inputs, seed, folder = sys.argv[1:]
    with atheris.instrument_imports(include=["torquelog", "tomllib"]):
        from tests.strangers.readers import BY_NAME
    reader = BY_NAME[name]
    place = Path(folder)
    examples = place / "examples"
    examples.mkdir()
    for number, seed_of in enumerate(reader.seeds):
        (examples / str(number)).write_bytes(seed_of)
    words = place / "words"
    words.write_text("".join(f'"{quoted(word)}"\n' for word in reader.words), encoding="ascii")
    atheris.Setup(
        [
            sys.argv[0], f"-runs={inputs}", f"-seed={seed}", f"-max_len={reader.longest}", f"-dict={words}",
            f"-timeout={SECONDS}", f"-rss_limit_mb={MEGABYTES}", f"-artifact_prefix={place}/found-",
            "-print_final_stats=1", "-verbosity=0", str(examples),
        ],
        reader.read,
    )  # fmt: skip
    atheris.Fuzz()


def quoted(word: str) -> str:
    """A word as the fuzzer's list of words has it: every byte by its number."""
    return "".join(f"\\x{byte:02x}" for byte in word.encode("utf-8", "surrogateescape"))


if __name__ == "__main__":
    main()
