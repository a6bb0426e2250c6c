"""The command ``glost verify``."""

from pathlib import Path

import click

from glost.publish.editions.edition import ABOUT, FOLDER, SUMS, editions
from glost.publish.editions.proving import CopyProof, prove
from glost.publish.parts import MANIFEST, prove_parts
from glost.words.english import count
from glost_cli.group import SHOW

PART = SHOW


@click.command()
@click.argument(
    "target", metavar="FOLDER", type=click.Path(exists=True, file_okay=False, path_type=Path)
)
@click.option(
    "--signers",
    metavar="FILE",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="Keys you trust, as ssh-keygen -Y verify reads them; each edition must be signed by one.",
)
def verify(target: Path, signers: Path | None) -> int:
    """Prove that a copy of an edition is what was published, to the last octet.

    FOLDER is an edition, a collection or site with all of its editions, or a dataset in parts
    (glost export --as parts), of which the sums are looked at. Of an edition sums, statements and,
    where the edition before is there too, the patch from that one to this are looked at. Ends
    with 1 if anything is not as it should be.

    \b
    Example:
      glost verify site/editions/2026.1
    """
    if (target / MANIFEST).is_file():
        return _parts(target)
    if (target / ABOUT).is_file():
        folders = [target]
    else:
        folders = [target / FOLDER / each.name for each in editions(target)]
    if not folders:
        raise click.UsageError(f"{target} is no edition, and holds none in {FOLDER}/")
    return max([_told(folder, prove(folder, signers)) for folder in folders])


def _parts(folder: Path) -> int:
    total, faults = prove_parts(folder)
    click.echo(f"{folder.name}: {'not as written' if faults else 'as written'}")
    if not faults:
        click.echo(f"  {count(total, 'statement')} in parts that are what {SUMS} says")
    for fault in faults:
        click.echo(f"  Error: {fault}", err=True)
    return 1 if faults else 0


def _told(folder: Path, proof: CopyProof) -> int:
    click.echo(f"{folder.name}: {'not as published' if proof.faults else 'as published'}")
    for line in proof.held:
        click.echo(f"  {line}")
    for fault in proof.faults:
        click.echo(f"  Error: {fault}", err=True)
    return 1 if proof.faults else 0
