"""How far a hand-over has come, in a file, so that one that broke off goes on where it was."""

import json
from dataclasses import dataclass
from pathlib import Path

from glost.record.files import write_whole


class StateError(Exception):
    """A state file that cannot be used; the message says which and what to do."""


@dataclass
class HandoverState:
    """How far a hand-over has come.

    Attributes
    ----------
    path
        The file.
    of
        What is handed over, where and how: a file that says otherwise belongs to another one.
    done
        How many requests have been answered.
    """

    path: Path
    of: dict[str, str | int]
    done: int = 0

    @classmethod
    def read(cls, path: Path, of: dict[str, str | int]) -> "HandoverState":
        """Read how far a hand-over has come; not at all if there is no file.

        Raises
        ------
        StateError
            If the file belongs to another hand-over, or cannot be read.
        """
        try:
            told = json.loads(path.read_text(encoding="utf-8"))
            done, before = int(told["done"]), dict(told["of"])
        except FileNotFoundError:
            return cls(path, of)
        except (ValueError, KeyError, TypeError) as error:
            raise StateError(f"{path} is no record of a hand-over; move it away") from error
        differs = [name for name in of if before.get(name) != of[name]]
        if differs:
            raise StateError(
                f"{path} belongs to a hand-over with another {' and '.join(differs)}; "
                "move it away to begin again, or name another file"
            )
        return cls(path, of, done)

    def write(self, done: int) -> None:
        """Write down that so many requests have been answered."""
        self.done = done
        text = json.dumps({"of": self.of, "done": done}, indent=2) + "\n"
        write_whole(self.path, text)

    def clear(self) -> None:
        """Take the file away: the hand-over is complete."""
        self.path.unlink(missing_ok=True)
