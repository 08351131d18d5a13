"""The commands; each imports what it needs when it runs, so that ``--help`` stays light."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import click

from drumwright import __version__

PLACE = click.Path(path_type=Path, exists=True)
FILE_OR_FOLDER = click.Path(path_type=Path)
CASE = click.argument("case", type=click.Path(path_type=Path))
SETTING = click.option(
    "--set", "settings", multiple=True, metavar="FIELD=VALUE", help="Override a field; nothing is written."
)
AT = click.option(
    "--at", metavar="SEASON|TEMPERATURE", help="winter, norm, summer, or a temperature such as 10C."
)
JSON = click.option("--json", "as_json", is_flag=True, help="Print JSON.")
GATE = click.option("--gate", is_flag=True, help="Exit 1 where the verdict is ask first or refuse.")
STOCK = click.option(
    "--stock",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Parts stock instead of that of the case.",
)
SAMPLES = click.option("--samples", type=int, help="Samples, a power of two; 16384 where nothing is said.")


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="drumwright")
def group() -> None:
    """From an enquiry about drums of thick product to a verdict, its figures and a proposal.

    A calculation aid: it does not replace a competent engineer. Exit 0 done, 2 bad input.
    """


@group.command()
@click.argument("path", type=click.Path(path_type=Path))
def new(path: Path) -> None:
    """Write an annotated case file to PATH."""
    from drumwright.cli import work

    work.new(path)


@group.command()
@CASE
@SETTING
@STOCK
@JSON
def check(case: Path, settings: tuple[str, ...], stock: Path | None, as_json: bool) -> None:
    """Read CASE, name every problem, list the assumptions."""
    from drumwright.cli import work

    work.check(case, settings, stock, as_json)


@group.command()
@CASE
@SETTING
@AT
@click.option("--why", metavar="FIGURE", help="Explain a figure: equation, source, values put in.")
@JSON
@GATE
@SAMPLES
@STOCK
def assess(case: Path, **options: Any) -> None:
    """Give the verdict on CASE and its figures."""
    from drumwright.cli import work

    sys.exit(work.assess(case, **options))


@group.command()
@CASE
@click.argument("figure")
@SETTING
@AT
@JSON
@SAMPLES
@STOCK
def get(case: Path, figure: str, **options: Any) -> None:
    """Print one FIGURE of CASE by its key."""
    from drumwright.cli import work

    work.get(case, figure, **options)


@group.command()
@CASE
@SETTING
@STOCK
@JSON
@click.option("--form", type=click.Path(path_type=Path), metavar="OUT", help="Write a form, .xlsx or .docx.")
@click.option("--answers", type=click.Path(path_type=Path), metavar="IN", help="Read that form back.")
@click.option(
    "-o", "--output", type=click.Path(path_type=Path), metavar="CASE", help="New case of --answers."
)
def questions(case: Path, **options: Any) -> None:
    """List what to ask about CASE, most decisive first, with what each answer can change."""
    from drumwright.cli import questions as work

    work.run(case, **options)


OUTPUT = click.option(
    "-o",
    "--output",
    type=click.Path(path_type=Path),
    metavar="DIR",
    help="Folder; out/<case> where not given.",
)


@group.command()
@CASE
@OUTPUT
@SETTING
@SAMPLES
@STOCK
def report(case: Path, **options: Any) -> None:
    """Write proposal, calculation note and result of CASE."""
    from drumwright.cli import work

    work.report(case, **options)


@group.command("run-case")
@CASE
@OUTPUT
@SETTING
@GATE
@SAMPLES
@STOCK
def run_case(case: Path, **options: Any) -> None:
    """Assess CASE and write its documents: the whole job."""
    from drumwright.cli import work

    sys.exit(work.run_case(case, **options))


@group.command()
@CASE
@SETTING
@AT
@JSON
@SAMPLES
@STOCK
@click.option("--svg", type=click.Path(path_type=Path, dir_okay=False), help="Write the ladder as a picture.")
def control(case: Path, **options: Any) -> None:
    """Show set points, control logic and cause and effect of CASE."""
    from drumwright.cli import control as work

    work.run(case, **options)


MODELS = ("newton", "power_law", "bingham", "casson", "herschel_bulkley")
FILE = click.Path(path_type=Path, dir_okay=False)


@group.command()
@click.argument("source", required=False, metavar="FILE|-")
@click.option("--case", type=click.Path(path_type=Path), help="Case whose machine says what is needed.")
@click.option("--product", metavar="NAME", help="Name for the card.")
@click.option("--model", type=click.Choice(MODELS), help="Take this law instead of the best one.")
@click.option("--sweep", type=click.Choice(("up", "down")), help="Fit this sweep; down where both stand.")
@click.option("--robust", is_flag=True, help="Leave out points far off the curve.")
@click.option("--seed", type=click.IntRange(0), default=1, help="Seed of the resamples.")
@click.option("--shear-rate-unit", metavar="UNIT", help="Where the file does not say it.")
@click.option("--stress-unit", metavar="UNIT", help="Where the file does not say it.")
@click.option("--viscosity-unit", metavar="UNIT", help="Where the file does not say it.")
@click.option("--temperature-unit", metavar="UNIT", help="Where the file does not say it.")
@click.option("--temperature", metavar="T", help="Of curves without one, such as 22C.")
@click.option(
    "--columns", metavar="A,B,...", help="Names from the left: shear_rate,stress; - leaves one out."
)
@click.option("--decimal", type=click.Choice(("point", "comma")), help="Decimal mark of the file.")
@click.option("--library", is_flag=True, help="List published products that can be a prior.")
@click.option("--svg", type=FILE, help="Write the picture.")
@click.option("--card", type=FILE, help="Write a product card.")
@JSON
def fit(source: str | None, **options: Any) -> None:
    """Fit the flow curves in FILE, or of a table pasted to - (standard input)."""
    from drumwright.cli import fit as work

    sys.exit(work.run(source, **options))


@group.command()
@CASE
@SETTING
@STOCK
@click.option("--shifts", type=click.IntRange(1, 1_000_000), default=200, help="Shifts to simulate.")
@click.option("--seed", type=click.IntRange(0), help="Seed of the simulation; that of the case if left out.")
@click.option("--buffer", metavar="VOLUME", help="Hopper in place of that of the case, such as '60 L'.")
@click.option("--svg", type=FILE, help="Write the chart of one shift.")
@JSON
def shift(case: Path, **options: Any) -> None:
    """Simulate shifts of CASE as asked: stations, people, hopper and stops, beside the formulas."""
    from drumwright.cli import shift as work

    sys.exit(work.run(case, **options))


@group.command("run")
@CASE
@SETTING
@STOCK
@click.option("--fault", metavar="NAME", help="With one single fault; a wrong name lists them all.")
@click.option("--faults", is_flag=True, help="The normal run and every single fault, as a table.")
@click.option("--worst", is_flag=True, help="Search for the highest pressure.")
@click.option("--again", metavar="RUN", help="A run of the search again, as it printed it.")
@click.option("--drums", type=int, metavar="N", help="So many whole containers, with the changes.")
@click.option("--season", metavar="SEASON", help="winter, norm or summer; the coldest if left out.")
@click.option("--duration", metavar="TIME", help="Of a run, such as '2 min'.")
@click.option("--runs", type=click.IntRange(10, 10_000_000), default=10_000, help="Runs of the search.")
@click.option("--seed", type=click.IntRange(0), default=1, help="Seed of the search.")
@click.option("--workers", type=int, help="Processes of the search; all processors if left out.")
@click.option("--samples", type=int, help="Samples, a power of two; 1024 where nothing is said.")
@click.option("-o", "--output", type=click.Path(path_type=Path), metavar="DIR", help="Write the runs there.")
@JSON
def run_command(case: Path, **options: Any) -> None:
    """Run CASE in time with its own control: normal, with a fault, or search for the worst."""
    from drumwright.cli import run as work

    sys.exit(work.run(case, **options))


@group.command()
@click.argument("before", type=FILE)
@click.argument("after", type=FILE)
@SETTING
@STOCK
@click.option("--samples", type=int, help="Samples, a power of two; 1024 where nothing is said.")
@JSON
def diff(before: Path, after: Path, **options: Any) -> None:
    """Compare two cases: inputs that changed, figures that moved and why, verdicts."""
    from drumwright.cli import diff as work

    work.run(before, after, **options)


@group.command()
@click.argument("machines", type=PLACE)
@click.argument("products", type=PLACE, nargs=-1, required=True)
@SETTING
@STOCK
@click.option("--workers", type=click.IntRange(1, 64), help="Processes; all processors if left out.")
@click.option("--samples", type=int, help="Samples, a power of two; 1024 where nothing is said.")
@JSON
def matrix(machines: Path, products: tuple[Path, ...], **options: Any) -> None:
    """Judge each of MACHINES (a case file or a folder) for each of PRODUCTS (cards, cases, folders)."""
    from drumwright.cli import matrix as work

    work.run(machines, products, **options)


@group.command()
@CASE
@SETTING
@STOCK
@click.option("--prices", type=FILE, metavar="FILE", help="Prices instead of those the case names.")
@SAMPLES
@click.option("--svg", type=FILE, help="Write the picture of what moves the money most.")
@JSON
def money(case: Path, **options: Any) -> None:
    """Count what CASE saves and costs, with its prices: payback, present value, other ways, answers."""
    from drumwright.cli import money as work

    sys.exit(work.run(case, **options))


@group.command()
@click.argument("places", type=FILE_OR_FOLDER, nargs=-1, required=True)
@SETTING
@click.option("--stock", type=FILE, help="Judge every case with this parts stock too, and say what moves.")
@click.option("--workers", type=click.IntRange(1, 64), help="Processes; all processors if left out.")
@click.option("--cluster", metavar="ADDRESS", help="Dask scheduler, or local; needs the extra cluster.")
@click.option("--samples", type=int, help="Samples, a power of two; 1024 where nothing is said.")
@JSON
def sweep(places: tuple[Path, ...], **options: Any) -> None:
    """Judge all cases in PLACES (case files, folders of them)."""
    from drumwright.cli import sweep as work

    work.run(places, **options)


@group.command()
@CASE
@SETTING
@STOCK
@click.option("--workers", type=click.IntRange(1, 64), help="Threads; all processors if left out.")
@click.option("--samples", type=int, help="Samples, a power of two; 1024 where nothing is said.")
@JSON
def shortlist(case: Path, **options: Any) -> None:
    """Search everything the stock offers for CASE: a handful of different arrangements with reasons."""
    from drumwright.cli import shortlist as work

    work.run(case, **options)


@group.command("would-pass")
@CASE
@SETTING
@STOCK
@click.option("--pairs/--singles", default=True, help="Whether pairs of changes are looked at too.")
@click.option("--samples", type=int, help="Samples, a power of two; 256 where nothing is said.")
@JSON
def would_pass(case: Path, **options: Any) -> None:
    """Say what would make CASE pass: smallest changes, one alone and two together, with their price."""
    from drumwright.cli import would_pass as work

    work.run(case, **options)


@group.group()
def stock() -> None:
    """Look at a stock of parts."""


@stock.command("check")
@click.argument("file", required=False, type=click.Path(path_type=Path))
@click.option("--skip-bad", is_flag=True, help="Leave out rows that cannot be used; they are listed.")
@JSON
def stock_check(file: Path | None, **options: Any) -> None:
    """Read the parts in FILE, a TOML file or workbook; the generic stock where none is named."""
    from drumwright.cli import stock as work

    sys.exit(work.check(file, **options))


def main() -> None:
    """Run the command line; a character that a terminal lacks is replaced, not fatal."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="replace")
    group(prog_name="drumwright")
