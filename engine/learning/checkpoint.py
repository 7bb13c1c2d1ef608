"""Where learning stands, in a file: cut off at any moment, it goes on with the numbers of that pass and the chunks counted so far."""

import os
from io import BytesIO
from pathlib import Path
from zipfile import BadZipFile

import msgspec
import numpy as np

from ..inference.potentials import Array
from .counts import Counts


class Checkpoint:
    """A file that says how far a pass went.

    Parameters
    ----------
    path : Path
    of : str
        What is learned from: a digest of the kb and the cases. A file of something else is none.
    """

    def __init__(self, path: Path, of: str) -> None:
        self.path = path
        self.of = of

    def keep(self, vector: Array, upto: int, counts: Counts) -> None:
        """Keep the numbers of a pass, how many chunks were counted, and their counts; in one step, so that no half of it is ever read."""
        about = {"of": self.of, "upto": upto, "log_likelihood": counts.log_likelihood, "asked": counts.asked}
        raw = BytesIO()
        np.savez(
            raw,
            about=np.frombuffer(msgspec.json.encode(about | {"left_out": counts.left_out}), dtype=np.uint8),
            vector=vector,
            yes=counts.yes,
            of=counts.of,
        )
        beside = self.path.with_name(self.path.name + ".new")
        beside.write_bytes(raw.getvalue())
        os.replace(beside, self.path)

    def read(self) -> tuple[Array, int, Counts] | None:
        """Return what was kept, or None where nothing was, or of something else."""
        try:
            with np.load(self.path) as kept:
                about = msgspec.json.decode(kept["about"].tobytes())
                if about["of"] != self.of:
                    return None
                counts = Counts(kept["yes"], kept["of"], about["log_likelihood"], about["asked"], about["left_out"])
                return kept["vector"], int(about["upto"]), counts
        except (OSError, ValueError, KeyError, EOFError, BadZipFile, msgspec.DecodeError):
            return None
