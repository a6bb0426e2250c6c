"""Collections of very many keepers, from their tables to what follows and to bounds in time.

    python tests/bench/closure/many_keepers.py make FOLDER CLAIMS [KEEPERS]
    python tests/bench/closure/many_keepers.py here FOLDER
    python tests/bench/closure/many_keepers.py cluster FOLDER [STEP]

`make` writes the tables. `here` does the rest on this machine; `cluster` on a master of Spark and two
workers of one core each, of which one is killed midway through STEP. Either prints of each step
(claims written as Parquet by keeper, read from it, closed, reckoned in time) the seconds and a sum
that does not hang on who did it, and at the end the processor seconds of all processes together.
`cluster` needs Java and pyspark.
"""

import json
import os
import random
import resource
import shutil
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from hashlib import sha256
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[3]
sys.path.insert(0, str(ROOT / "kg"))
MARK = "GLOST_BENCH"
""""The environment variable by which processes of a run are told from others."""
PORT = "7391"

EACH = 1_000
"""Claims of a collection."""
FORMS = ("plate", "saucer", "tea-cup", "jug", "platter", "teapot")


def tables(claims: int, number: int) -> dict[str, list[str]]:
    """Return the tables of one keeper: a pottery, its shapes, lists, treatments and pieces."""
    chance = random.Random(number)
    sources, shapes = 40, max(4, claims // 25)
    found: dict[str, list[str]] = {
        "sources": ["source,title,kind,date"],
        "potteries": ["pottery,name,begin,source,locator", "one,The Works,1890~,s0,p. 1"],
        "shapes": ["shape,pottery,name,begin,end,source,locator"],
        "flatware": ["shape,with,source,locator"],
        "treatments": ["treatment,pottery,number,name,shape,source,locator"],
        "marks": ["mark,pottery,wording,applied,begin,end,source,locator"],
        "assortments": ["catalogue,shape,form,trade_size,item,source,locator"],
        "pieces": ["piece,shape,form,treatment,mark,number_read,made"],
    }
    for n in range(sources):
        found["sources"].append(f"s{n},Catalogue {n},catalogue,{1890 + n}")
    begun = [1890 + chance.randrange(36) for _ in range(shapes)]
    for n, year in enumerate(begun):
        end = f"{year + 9 + chance.randrange(12)}~" if n % 3 else ""
        found["shapes"].append(f"h{n},one,Shape {n},{year},{end},s{n % sources},p. {n}")
        found["treatments"].append(f"t{n},one,T{n},Line {n},h{n},s{n % sources},p. {n}")
        if n % 4 == 0:
            found["flatware"].append(f"h{n},h{(n + 1) % shapes},s{n % sources},p. {n}")
            found["marks"].append(
                f"m{n},one,WORKS {n},underglaze,{year},{year + 9}~,s{n % sources},p. {n}"
            )
    found["shapes"].append(f"h1,one,Shape 1,{begun[1] + 60},,s1,p. 99")  # both cannot be right
    left = claims - sum(len(rows) - 1 for rows in found.values() if rows)
    for n in range(left):
        h = chance.randrange(shapes)
        if n % 3 == 0:
            size, form = 3 + chance.randrange(12), chance.choice(FORMS)
            list_ = begun[h] + chance.randrange(4) - 1890  # the catalogue of a year of its run
            found["assortments"].append(f"s{list_},h{h},{form},{size},{n},s{list_},p. {n % 90}")
        else:
            made = begun[h] + chance.randrange(4)
            form, mark = chance.choice(FORMS), f"m{h}" if h % 4 == 0 else ""
            found["pieces"].append(f"p{n},h{h},{form},t{h},{mark},T{h},{made}")
    return {name: rows for name, rows in found.items() if len(rows) > 1}


def make(folder: Path, claims: int, keepers: int) -> None:
    """Write the collections of so many keepers, and what lays them side by side."""
    lines = []
    for number in range(keepers):
        place = folder / f"k{number:04}"
        (place / "tables").mkdir(parents=True)
        (place / "collection.toml").write_text(
            f'title = "Shelf {number}"\nbase = "https://k{number:04}.example/"\n', encoding="utf-8"
        )
        for name, rows in tables(claims // keepers, number).items():
            (place / "tables" / f"{name}.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")
        lines.append(f'k{number:04} = "../k{number:04}"\n')
    (folder / "all").mkdir()
    (folder / "all" / "collection.toml").write_text(
        'title = "All"\nbase = "https://all.example/"\n[together]\n' + "".join(lines),
        encoding="utf-8",
    )


# -- one run, in this process and whatever workers the environment names --------------------------


def run(folder: Path) -> None:
    """Go from tables to bounds in time, and print a line for each step."""
    from glost.answer.snapshot import Snapshot
    from glost.record.parquet import write_partitions

    target = folder / "parquet"
    shutil.rmtree(target, ignore_errors=True)
    step("write", lambda: write_partitions(folder / "all", target), lambda w: repr(w.claims))
    snapshot = Snapshot(target)
    step("read", lambda: snapshot.record, lambda r: "".join(r.claims.iris()))
    step("close", lambda: snapshot.closure, of_closure)
    step("time", lambda: snapshot.chronology, lambda c: of_solution(c._solution))


def step(name: str, work: Callable[[], Any], told: Callable[[Any], str]) -> None:
    """Do one step and print what it took and a sum of what came of it."""
    print(json.dumps({"begun": name}), flush=True)
    start = time.perf_counter()
    done = work()
    seconds = time.perf_counter() - start
    sum_ = sha256(told(done).encode()).hexdigest()[:16]
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 2**20
    line = {"step": name, "seconds": round(seconds, 1), "sum": sum_, "gib": round(peak, 2)}
    print(json.dumps(line), flush=True)


def of_closure(closure: Any) -> str:
    """Return count and sums of what follows, over texts: numbers of terms hang on who gave them."""
    import numpy as np
    import polars as pl

    def hashed(terms: list[Any]) -> Any:
        some = (terms[at : at + 100_000] for at in range(0, len(terms), 100_000))
        parts = [pl.Series([t.n3() for t in each], dtype=pl.String).hash(7) for each in some]
        return pl.concat([pl.Series([], dtype=pl.UInt64), *parts]).to_numpy()

    named, said = map(hashed, closure.engine.terms.all)
    of_code = np.concatenate([named, said[::-1]])  # a literal's code counts from the end
    whole = np.uint64(0)
    for each in (of_code[column] for column in closure.inferred.codes()):
        whole = (whole ^ each) * np.uint64(0x9E3779B97F4A7C15)
    return repr((len(whole), int(whole.sum()), int(np.bitwise_xor.reduce(whole))))


def of_solution(solution: Any) -> str:
    """Return all that a solution says of bounds, conflicts and ways out."""
    sides = (solution.recorded, solution.bounds)
    days = b"".join(a.tobytes() for s in sides for a in (s.earliest, s.latest))
    conflicts = [sorted(each.claims) for each in solution.conflicts]
    options = [[sorted(o) for o in c.options] for c in solution.choices]
    return sha256(days).hexdigest() + repr((solution.disputed.tolist(), conflicts, options))


# -- the processes ---------------------------------------------------------------------------------


class Processor(threading.Thread):
    """Adds up the processor seconds of all processes that bear a mark, also of those that ended."""

    def __init__(self, mark: str) -> None:
        super().__init__(daemon=True)
        self._mark = f"{MARK}={mark}".encode()
        self._taken: dict[int, float] = {}
        self._resident: dict[int, int] = {}
        self.most = 0.0
        self._done = threading.Event()

    def run(self) -> None:
        """Look every half second."""
        while not self._done.wait(0.5):
            now = 0
            for path in Path("/proc").glob("[0-9]*"):
                try:
                    if self._mark not in (path / "environ").read_bytes():
                        continue
                    fields = (path / "stat").read_text().rpartition(")")[2].split()
                    now += int((path / "statm").read_text().split()[1])
                except OSError:
                    continue
                ticks = int(fields[11]) + int(fields[12])
                self._taken[int(path.name)] = ticks / os.sysconf("SC_CLK_TCK")
            self.most = max(self.most, now * resource.getpagesize() / 2**30)

    def end(self) -> float:
        """Return the seconds."""
        self._done.set()
        self.join()
        return sum(self._taken.values())


@contextmanager
def workers(folder: Path, environment: dict[str, str]) -> Iterator[list["subprocess.Popen[bytes]"]]:
    """Start a master and two workers of one core and 1 GiB each; those started."""
    import pyspark

    program = str(Path(pyspark.__file__).parent / "bin" / "spark-class")
    place = "org.apache.spark.deploy."
    log = (folder / "log").open("wb")
    plain = {"env": environment, "stdout": log, "stderr": log}
    at = ["--host", "127.0.0.1", "--port", PORT, "--webui-port", "0"]
    started = [subprocess.Popen([program, f"{place}master.Master", *at], **plain)]
    for number in "12":
        words = ["--cores", "1", "--memory", "1g", "--webui-port", "0", "--work-dir"]
        words += [str(folder / f"worker{number}"), f"spark://127.0.0.1:{PORT}"]
        started.append(subprocess.Popen([program, f"{place}worker.Worker", *words], **plain))
    while (folder / "log").read_bytes().count(b"Registering worker") < 2:
        time.sleep(0.2)
    try:
        yield started
    finally:
        for process in started:
            process.send_signal(signal.SIGKILL)
            process.wait()
        log.close()


def settings(folder: Path, mark: str) -> dict[str, str]:
    """Return the environment of a run."""
    found = {**os.environ, MARK: mark, "GLOST_CACHE": "", "PYSPARK_PYTHON": sys.executable}
    found["PYTHONPATH"] = os.pathsep.join([str(ROOT / "kg"), os.environ.get("PYTHONPATH", "")])
    (folder / "conf").mkdir(exist_ok=True)
    (folder / "conf" / "spark-defaults.conf").write_text(
        "spark.executor.memory 768m\nspark.executor.cores 1\nspark.driver.memory 768m\n"
        "spark.sql.shuffle.partitions 4\nspark.driver.host 127.0.0.1\n"
        "spark.driver.bindAddress 127.0.0.1\n",
        encoding="utf-8",
    )
    return {**found, "SPARK_CONF_DIR": str(folder / "conf"), "SPARK_LOCAL_IP": "127.0.0.1"}


def measured(folder: Path, cluster: bool, at: str = "") -> None:
    """Run in a process of its own, and kill a worker half a minute into a step if one is named."""
    mark = f"{os.getpid()}"
    environment = settings(folder, mark)
    processor = Processor(mark)
    processor.start()
    command = [sys.executable, __file__, "run", str(folder)]
    start = time.perf_counter()
    if not cluster:
        subprocess.run(command, env=environment, check=True)
    else:
        (folder / "shared").mkdir(exist_ok=True)
        with workers(folder, environment) as started:
            environment |= {
                "GLOST_SPARK": f"spark://127.0.0.1:{PORT}",
                "GLOST_SPARK_FOLDER": str(folder / "shared"),
            }
            with subprocess.Popen(command, env=environment, stdout=subprocess.PIPE) as running:
                for line in running.stdout or ():
                    print(line.decode(), end="", flush=True)
                    if at and json.loads(line).get("begun") == at:
                        threading.Timer(30, started[1].send_signal, [signal.SIGKILL]).start()
            if running.returncode:
                raise SystemExit(running.returncode)
            if at:
                print(json.dumps({"killed": started[1].wait() == -signal.SIGKILL}))
    seconds = time.perf_counter() - start
    print(json.dumps({"whole": round(seconds, 1), "processor": round(processor.end(), 1),
                      "gib": round(processor.most, 2), "load": os.getloadavg()}), flush=True)  # fmt: skip


def main() -> None:
    """Do what the command line says."""
    what, folder, *rest = sys.argv[1:]
    if what == "make":
        claims = int(rest[0])
        make(Path(folder), claims, int(rest[1]) if len(rest) > 1 else claims // EACH)
    elif what == "run":
        run(Path(folder))
    else:
        measured(Path(folder).resolve(), what == "cluster", *rest)


if __name__ == "__main__":
    main()
