"""Very many codes read, against one regular expression at a time in the same run.

    python tests/bench/codes/bench_codes.py [SIZE...]

The codes are drawn from the schemes of the larger example: treatment numbers and date codes of two
potteries, a few with worn characters, a few that fit nothing. The peer is what one would write in an
afternoon: for each code, each scheme's regular expression, a dictionary for each part, and the days
by `datetime`. It reads no worn character, knows no exception and gives the first reading only.
"""

import random
import re
import resource
import sys
import time
from calendar import monthrange
from datetime import date
from pathlib import Path

from glost.record.record import read
from glost.trade.codes import CodePart, CodeScheme, decode_many
from glost.trade.codes.schemes import schemes

EXAMPLE = Path(__file__).resolve().parents[3] / "examples" / "wend-valley"


def draw(known: tuple[CodeScheme, ...], size: int, seed: int = 11) -> list[str]:
    """Draw codes: one in twenty has a worn character, one in fifty fits nothing."""
    rng = random.Random(seed)
    values = {
        (scheme.pattern, part.name): sorted(part.table) for scheme in known for part in scheme.parts
    }
    codes = []
    for _ in range(size):
        scheme = rng.choice(known)
        chosen = {}
        for part in scheme.parts:
            table = values[scheme.pattern, part.name]
            digits = part.counted[0].digits if part.counted else None
            if table:
                chosen[part.name] = rng.choice(table)
            elif digits is not None and digits.most:
                chosen[part.name] = str(rng.randrange(10**digits.most)).zfill(digits.least)
            else:
                chosen[part.name] = str(rng.randrange(100, 1_000_000))
        code = scheme.write(chosen)
        if rng.random() < 0.05:
            at = rng.randrange(len(code))
            code = f"{code[:at]}?{code[at + 1 :]}"
        codes.append(code if rng.random() > 0.02 else f"{code}*")
    return codes


def naive(codes: list[str], known: tuple[CodeScheme, ...]) -> int:
    """Read one code after another by the regular expression of each scheme."""
    read_by = []
    for scheme in known:
        pattern = "".join(
            re.escape(token) if isinstance(token, str) else f"(?P<{token.name}>{_group(token)})"
            for token in scheme.tokens
        )
        tables = {
            part.name: {value: meanings[0] for value, meanings in part.table.items()}
            for part in scheme.parts
        }
        base = {part.name: part.counted[0].year or 0 for part in scheme.parts if part.counted}
        read_by.append((re.compile(pattern), tables, base))
    found = 0
    for code in codes:
        for pattern, tables, base in read_by:
            match = pattern.fullmatch(code)
            if match is None:
                continue
            year = month = None
            things = []
            for name, text in match.groupdict().items():
                meaning = tables[name].get(text)
                if meaning is None:
                    if name == "year":
                        year = base[name] + int(text)
                    continue
                year, month = meaning.year or year, meaning.month or month
                things.append(meaning.thing)
            if year:
                first = date(year, month or 1, 1)
                last = date(year, month or 12, monthrange(year, month or 12)[1])
                things += [first, last]
            found += 1
            break
    return found


def _group(part: CodePart) -> str:
    return "|".join(map(re.escape, sorted(part.table))) or "[0-9]+"


def main() -> None:
    """Print a line for each size."""
    known = schemes(read(EXAMPLE).believed())
    print("codes      readings   many s    naive s   naive/many   peak GiB")
    for size in [int(word) for word in sys.argv[1:]] or [10_000, 100_000, 1_000_000]:
        codes = draw(known, size)
        start = time.perf_counter()
        readings = decode_many(codes, known).readings.height
        between = time.perf_counter()
        naive(codes, known)
        end = time.perf_counter()
        fast, slow = between - start, end - between
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 2**20
        print(
            f"{size:<10} {readings:<10} {fast:<9.2f} {slow:<9.2f} {slow / fast:<13.2f} {peak:.2f}"
        )


if __name__ == "__main__":
    main()
