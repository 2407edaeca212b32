"""The command line: parse, call, print."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import click

from preview import __version__


class Width(click.ParamType):
    """Width in pixels from `960` or `960x540`; the height follows the delivered frame."""

    name = "width"

    def convert(self, value: Any, param: Any, ctx: Any) -> int:
        digits = str(value).lower().partition("x")[0]
        if not digits.isdigit() or not 16 <= int(digits) <= 7680:
            self.fail("a width in pixels from 16 to 7680, as 960 or 960x540", param, ctx)
        return int(digits)


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
    default=1,
    show_default=True,
    help="Of the sampling: same seed, same picture.",
)
JSON = click.option("--json", "as_json", is_flag=True, help="Print the report as JSON.")


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="preview")
def app() -> None:
    """Computes the light of a planned night exterior and shows it as the camera would see it."""


@app.command()
@SCENE
@click.option(
    "--size",
    type=Width(),
    default=960,
    show_default=True,
    metavar="WIDTH",
    help="Width in pixels; the height follows the delivered frame.",
)
@click.option("--draft", is_flag=True, help="Fewer samples: rough, quick.")
@SETUP
@click.option("--look", metavar="NAME", help="A look of the script.")
@OUT
@SEED
@JSON
def frame(
    scene: Path,
    size: int,
    draft: bool,
    setup: str | None,
    look: str | None,
    out: Path | None,
    seed: int,
    as_json: bool,
) -> None:
    """Light a scene and expose it: picture, stops map, EXR and numbers."""
    from preview.commands.frame import FrameOptions
    from preview.commands.frame import frame as make
    from preview.script.read import read_scene
    from preview.sheets.report import summary, to_json

    ready = read_scene(scene, setup=setup, look=look)
    folder = out or _folder(scene, ready.setup, look)
    with _progress(f"{ready.title}, {ready.setup}", quiet=as_json) as progress:
        report = make(ready, folder, FrameOptions(size, draft, seed), progress=progress)
    _answer(to_json(report) if as_json else None, summary(report), folder, report.files)


@app.command()
@SCENE
@SETUP
@OUT
@SEED
@JSON
def coverage(scene: Path, setup: str | None, out: Path | None, seed: int, as_json: bool) -> None:
    """Say what the lens sees on the format, and what must not be in shot."""
    from preview.camera.coverage import to_json
    from preview.commands.coverage import FILES
    from preview.commands.coverage import coverage as make
    from preview.script.read import read_scene
    from preview.sheets.coverage_text import coverage_text

    ready = read_scene(scene, setup=setup)
    folder = out or _folder(scene, ready.setup, None)
    answer = make(ready, folder, seed=seed)
    _answer(to_json(answer) if as_json else None, coverage_text(answer), folder, FILES)


@app.command()
@SCENE
@click.option("--explain", is_flag=True, help="Show every value that was filled in by default.")
def check(scene: Path, explain: bool) -> None:
    """Validate a scene in every setup and look, and say what is in it."""
    from preview.commands.check import check as make

    console = _console()
    for part in make(scene, explain=explain):
        console.print(part)


@app.command()
def schema() -> None:
    """Print the JSON Schema of scene scripts, for editors."""
    import json

    from preview.script.schema import schema as make

    print(json.dumps(make(), indent=2, ensure_ascii=False))


@app.command()
@click.argument("name")
def new(name: str) -> None:
    """Write NAME.yaml, a small commented scene to start from."""
    from preview.commands.new import new as make

    path = make(name)
    print(f"Wrote {path}. Next: preview frame {path} --draft")


def _folder(scene: Path, setup: str, look: str | None) -> Path:
    return Path("renders") / scene.stem / (f"{setup} {look}" if look else setup)


def _answer(data: Any, words: Any, folder: Path, files: tuple[str, ...]) -> None:
    """The report as JSON, or in words with the files that were written."""
    if data is not None:
        import json

        print(json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False))
        return
    _console().print(words)
    print(f"Wrote {', '.join(files)} in {folder}")


def _console() -> Any:
    from rich.console import Console

    return Console(highlight=False)


@contextmanager
def _progress(title: str, *, quiet: bool) -> Iterator[Callable[[float], None]]:
    """A bar on standard error for anything over a second, where somebody watches."""
    if quiet or not sys.stderr.isatty():
        yield lambda share: None
        return
    import time

    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn

    bar = Progress(
        TextColumn("{task.description}"),
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


def main() -> None:
    """Entry point: a user's mistake is a line on standard error for each fault and exit status 2."""
    from preview.faults import UserError

    try:
        app(standalone_mode=False)
    except click.ClickException as error:
        error.show()
        sys.exit(error.exit_code)
    except UserError as error:
        for fault in error.faults:
            print(fault, file=sys.stderr)
        sys.exit(2)
    except click.Abort as stop:
        print(str(stop.__cause__ or "") or "Stopped. Nothing was written.", file=sys.stderr)
        sys.exit(130)
    except MemoryError:
        print("This machine's memory cannot hold the frame: ask for a smaller --size.", file=sys.stderr)
        sys.exit(2)


if __name__ == "__main__":
    main()
