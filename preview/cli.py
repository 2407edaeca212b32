"""The command line: parse, call, print."""

from __future__ import annotations

import re
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, nullcontext
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

import click

from preview import __version__

if TYPE_CHECKING:
    from preview.trace.store import AnyStore

MOST_FAULTS = 50
"""Faults that are printed; a file with more has one cause that makes them all."""
PATIENCE = 20.0
"""Seconds after which a run that nobody watches says how far it is."""


def _size(context: click.Context, option: click.Parameter, value: str) -> tuple[int, int | None]:
    """Width, or width and height that the frame must fit in, in pixels: `960`, `960x540`."""
    found = re.fullmatch("([0-9]{2,4})(?:x([0-9]{2,4}))?", str(value).lower())
    sides = [int(side) for side in found.groups() if side] if found else []
    if not sides or not all(16 <= side <= 7680 for side in sides):
        raise click.BadParameter(f"{value!r} is not a width from 16 to 7680 pixels, as 960 or 960x540.")
    return sides[0], sides[1] if len(sides) == 2 else None


SCENE = click.argument("scene", type=click.Path(path_type=Path), metavar="SCENE")
SETUP = click.option("--setup", metavar="NAME", help="A setup of the script; default: its own camera.")
OUT = click.option(
    "--out",
    type=click.Path(path_type=Path),
    metavar="FOLDER",
    help="Where to write; default: renders/SCENE/SETUP.",
)
SEED = click.option(
    "--seed",
    type=click.IntRange(0, 2**20),
    help="Of the sampling: same seed, same picture. Default: the script's, else 1.",
)
OWN_CATALOGUE = click.option(
    "--catalogue",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="A catalogue of your own, shown with the program's.",
)
JSON = click.option("--json", "as_json", is_flag=True, help="Print the report as JSON.")


@click.group(context_settings={"help_option_names": ["-h", "--help"]}, invoke_without_command=True)
@click.version_option(__version__, prog_name="preview")
@click.pass_context
def app(context: click.Context) -> None:
    """Computes the light of a planned night exterior and shows it as the camera would see it."""
    if context.invoked_subcommand is None:
        click.echo(context.get_help())


@app.command()
@SCENE
@click.option(
    "--size",
    callback=_size,
    default="960",
    show_default=True,
    metavar="WIDTH[xHEIGHT]",
    help="Pixels; the frame keeps its delivered aspect within them.",
)
@click.option(
    "--quality",
    type=click.Choice(["draft", "look", "final"]),
    default="look",
    show_default=True,
    help="How little chance may leave in the picture: rough and quick, as usual, or to print.",
)
@click.option(
    "--engine",
    type=click.Choice(["traced", "raster"]),
    default="traced",
    show_default=True,
    help="What computes the light; raster: hard shadows on the graphics card.",
)
@click.option("--grain", is_flag=True, help="Show the sensor's noise at the camera's ISO.")
@click.option("--no-cache", is_flag=True, help="Neither use nor keep what was traced before.")
@SETUP
@click.option("--look", metavar="NAME", help="A look of the script.")
@OUT
@SEED
@JSON
def frame(
    scene: Path,
    size: tuple[int, int | None],
    quality: str,
    engine: Literal["traced", "raster"],
    grain: bool,
    no_cache: bool,
    setup: str | None,
    look: str | None,
    out: Path | None,
    seed: int | None,
    as_json: bool,
) -> None:
    """Light a scene and expose it: picture, stops map, EXR, numbers."""
    from preview.commands.frame import FrameOptions
    from preview.commands.frame import frame as make
    from preview.script.read import read_scene
    from preview.sheets.report import summary, to_json

    ready = read_scene(scene, setup=setup, look=look)
    unusual = [word for word, usual in ((quality, "look"), (engine, "traced")) if word != usual]
    folder = out or _folder(scene, ready.setup, look, *unusual)
    options = FrameOptions(*size, quality, engine, grain, ready.seed if seed is None else seed)
    with _tracing(f"{ready.title}, {ready.setup}", no_cache=no_cache, quiet=as_json) as (store, progress):
        report = make(ready, folder, options, store=store, progress=progress)
    # The files are told below, with their folder.
    words = summary(replace(report, files=()), width=_console().width)
    _answer(to_json(report) if as_json else None, words, folder, report.files)


@app.command()
@SCENE
@SETUP
@OUT
@JSON
def coverage(scene: Path, setup: str | None, out: Path | None, as_json: bool) -> None:
    """Say what the lens sees, and what must not be in shot."""
    from preview.camera.coverage import to_json
    from preview.commands.coverage import FILES
    from preview.commands.coverage import coverage as make
    from preview.script.read import read_scene
    from preview.sheets.coverage_text import coverage_text

    ready = read_scene(scene, setup=setup)
    folder = out or _folder(scene, ready.setup)
    with _progress(f"{ready.title}, {ready.setup}", quiet=as_json) as progress:
        answer = make(ready, folder, progress=progress)
    _answer(to_json(answer) if as_json else None, coverage_text(answer), folder, FILES)


def _spots(context: click.Context, option: click.Parameter, values: tuple[str, ...]) -> tuple[Any, ...]:
    """Places of the frame: `480,270` in pixels of one 960 wide, or `50%,40%` from its left and top."""
    answer = []
    for value in values:
        found = re.fullmatch(r"\s*([0-9.]{1,8})(%?)\s*,\s*([0-9.]{1,8})(%?)\s*", value)
        try:
            x, y = (float(found[1]), float(found[3])) if found and found[2] == found[4] else (None, None)
        except ValueError:
            x = y = None
        if found is None or x is None or y is None:
            raise click.BadParameter(
                f"{value!r} is no place of the frame: write 480,270 in pixels of a frame 960 wide, or 50%,40%."
            )
        answer.append((x, y, bool(found[2])))
    return tuple(answer)


@app.command()
@SCENE
@click.argument("marks", nargs=-1, metavar="[MARK]...")
@click.option(
    "--spot",
    "spots",
    multiple=True,
    callback=_spots,
    metavar="X,Y",
    help="Read the luminance at a place of the frame, in pixels of one 960 wide or as 50%,40%; may be repeated.",
)
@click.option("--no-cache", is_flag=True, help="Neither use nor keep what was traced before.")
@SETUP
@click.option("--look", metavar="NAME", help="A look of the script.")
@OUT
@SEED
@JSON
def meter(
    scene: Path,
    marks: tuple[str, ...],
    spots: tuple[tuple[float, float, bool], ...],
    no_cache: bool,
    setup: str | None,
    look: str | None,
    out: Path | None,
    seed: int | None,
    as_json: bool,
) -> None:
    """Read the light at MARKs, or at all of them: stop, ratios, colour, eye light; a card to hold on set."""
    from preview.commands.meter import MeterOptions, spot_places
    from preview.commands.meter import meter as make
    from preview.script.read import read_scene
    from preview.sheets.meter_report import to_json
    from preview.sheets.meter_text import meter_text

    ready = read_scene(scene, setup=setup, look=look)
    folder = out or _folder(scene, ready.setup, look)
    options = MeterOptions(marks, spot_places(ready, spots), ready.seed if seed is None else seed)
    with _tracing(f"{ready.title}, {ready.setup}", no_cache=no_cache, quiet=as_json) as (store, progress):
        report = make(ready, folder, options, store=store, progress=progress)
    if as_json:
        from preview.sheets.data import json_text

        print(json_text(to_json(report)))
        return
    print(meter_text(report))
    if report.frames:
        from preview.sheets.frames_text import frames_table

        print()
        _console().print(frames_table(report.frames))
    print(f"\nWrote {', '.join(report.files)} in {folder}")


@app.command()
@SCENE
@click.option("--explain", is_flag=True, help="Show every value that was filled in by default.")
def check(scene: Path, explain: bool) -> None:
    """Validate every setup and look, and say what is in a scene."""
    from preview.commands.check import check as make

    parts = make(scene, explain=explain)
    console = _console()
    for part in parts:
        console.print(part)


@app.command()
@click.argument("words", nargs=-1, metavar="[WORDS]...")
@OWN_CATALOGUE
@JSON
def heads(words: tuple[str, ...], catalogue: Path | None, as_json: bool) -> None:
    """List lamp heads, or those that WORDS fit: name, kind of lamp, watts; one alone with all that is known of it."""
    from preview.commands.heads import heads as find
    from preview.commands.heads import to_json
    from preview.sheets.data import json_text
    from preview.sheets.heads_text import heads_text

    rows = find(words, file=catalogue)
    if as_json:
        print(json_text(to_json(rows)))
        return
    console = _console()
    for part in heads_text(rows):
        console.print(part)


@app.command()
@click.argument("words", nargs=-1, metavar="[WORDS]...")
@click.option(
    "--from",
    "start",
    metavar="LIGHT",
    help="With --to: find the stacks of gels that take one light to another. A kelvin, a spectrum's name, or x,y.",
)
@click.option("--to", "wanted", metavar="LIGHT", help="The light to reach.")
@OWN_CATALOGUE
@JSON
def gels(
    words: tuple[str, ...], start: str | None, wanted: str | None, catalogue: Path | None, as_json: bool
) -> None:
    """List gels, or those that WORDS fit, with shift and loss; or find what takes one light to another."""
    from preview.commands.gels import gels as find
    from preview.commands.gels import search, to_json
    from preview.sheets.data import json_text
    from preview.sheets.gels_text import gels_text

    if (start is None) != (wanted is None):
        raise click.UsageError("--from and --to go together, as --from 5600 --to sodium.")
    lists = start is None or wanted is None
    found = find(words, file=catalogue) if lists else search(str(start), str(wanted), words, file=catalogue)
    if as_json:
        print(json_text(to_json(found)))
        return
    console = _console()
    for part in gels_text(found):
        console.print(part)


@app.command()
@click.argument("words", nargs=-1, metavar="[WORDS]...")
@click.option("--no-cache", is_flag=True, help="Neither use nor keep pictures that were drawn before.")
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    default=Path("renders/catalogue"),
    show_default=True,
    metavar="FOLDER",
    help="Where to write.",
)
def catalogue(words: tuple[str, ...], no_cache: bool, out: Path) -> None:
    """Draw all there is as contact sheets, or what WORDS fit: set pieces, cast, materials, heads."""
    from preview.commands.catalogue import catalogue as make

    with _tracing("The catalogue", no_cache=no_cache, quiet=False) as (store, progress):
        book = make(words, out, store=store, progress=progress)
    pictures = "1 picture" if book.cells == 1 else f"{book.cells} pictures"
    print(f"Wrote {', '.join(book.files)}, {pictures}, in {out}")


@app.command()
def schema() -> None:
    """Print the JSON Schema of scene scripts, for editors."""
    from preview.script.schema import schema as make
    from preview.sheets.data import json_text

    print(json_text(make()))


@app.command()
@click.option("--clear", is_flag=True, help="Empty it, and say how much room that gives.")
@JSON
def cache(clear: bool, as_json: bool) -> None:
    """Show the cache of traced layers: its place, size and scenes."""
    from preview.commands.cache import cache as look_into
    from preview.commands.cache import to_json, words
    from preview.sheets.data import json_text
    from preview.trace.store_place import usual_store

    report = look_into(usual_store(), clear=clear)
    if as_json:
        print(json_text(to_json(report)))
        return
    console = _console()
    for part in words(report):
        console.print(part)


@app.command()
@click.argument("name")
def new(name: str) -> None:
    """Write NAME.yaml, a small commented scene to start from."""
    import shlex

    from preview.commands.new import new as make

    path = make(name)
    print(f"Wrote {path}. Next: preview frame {shlex.quote(str(path))}")


def _folder(scene: Path, setup: str, *more: str | None) -> Path:
    """renders/SCENE/SETUP, with a look or a draft beside it: renders/SCENE/SETUP.LOOK.draft."""
    return Path("renders") / scene.stem / ".".join([setup, *(part for part in more if part)])


def _answer(data: Any, words: Any, folder: Path, files: tuple[str, ...]) -> None:
    """The report as JSON, or in words with the files that were written."""
    if data is not None:
        from preview.sheets.data import json_text

        print(json_text(data))
        return
    _console().print(words)
    print(f"Wrote {', '.join(files)} in {folder}")


def _console() -> Any:
    from rich.console import Console

    return Console(highlight=False)


@contextmanager
def _tracing(
    title: str, *, no_cache: bool, quiet: bool
) -> Iterator[tuple[AnyStore, Callable[[float], None]]]:
    """The store and the progress of a command that traces; what the store has to say is said last."""
    from preview.trace.store_place import passing_store, usual_store

    with (
        passing_store() if no_cache else nullcontext(usual_store()) as store,
        _progress(title, quiet=quiet) as progress,
    ):
        yield store, progress
    if store.warning:
        print(store.warning, file=sys.stderr)


@contextmanager
def _progress(title: str, *, quiet: bool) -> Iterator[Callable[[float], None]]:
    """A bar on standard error for anything over a second, where somebody watches; else a line now and then."""
    if quiet or not sys.stderr.isatty():
        yield _lines(title)
        return
    import time

    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn

    bar = Progress(
        TextColumn("{task.description}", markup=False),
        BarColumn(),
        TextColumn("{task.percentage:>3.0f} %"),
        TimeRemainingColumn(),
        console=Console(stderr=True),
        transient=True,
    )
    task = bar.add_task(title, total=1.0)
    started, shown = time.monotonic(), False

    def tell(share: float) -> None:
        nonlocal shown
        if not shown and time.monotonic() - started > 1.0:
            bar.start()
            shown = True
        if shown:
            bar.update(task, completed=share)

    try:
        yield tell
    finally:
        if shown:
            bar.stop()


def _lines(title: str) -> Callable[[float], None]:
    """Tells progress in lines on standard error, one for each tenth, of what takes longer than `PATIENCE`."""
    import time

    started, told = time.monotonic(), 0

    def tell(share: float) -> None:
        nonlocal told
        tenth = int(10.0 * share + 1e-6)
        if told < tenth < 10 and time.monotonic() - started > PATIENCE:
            told = tenth
            print(f"{title}: {10 * tenth} %", file=sys.stderr, flush=True)

    return tell


def run(arguments: list[str]) -> int:
    """Runs the command and returns its exit status; a user's mistakes are told on standard error, a line each."""
    from preview.faults import UserError

    try:
        # Not app(): that prints an empty line at ctrl-C and hides what the interrupt says.
        with app.make_context("preview", arguments) as context:
            app.invoke(context)
    except click.exceptions.Exit as done:
        return done.exit_code
    except click.ClickException as error:
        print(error.format_message(), file=sys.stderr)
        return error.exit_code
    except UserError as error:
        for fault in error.faults[:MOST_FAULTS]:
            print(fault, file=sys.stderr)
        more = len(error.faults) - MOST_FAULTS
        if more > 0:
            print(f"… and {more} more.", file=sys.stderr)
        return 2
    except MemoryError:
        print("This machine's memory cannot hold the frame: ask for a smaller --size.", file=sys.stderr)
        return 2
    return 0
