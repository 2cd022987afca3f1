"""Write the reference of all public names, from their docstrings, as pages of a folder: `.reference`, or the one named.

It needs the program with its extra `docs`. Public names are loaded when first used, so each is used here before pdoc
lists them.
"""

import sys
from pathlib import Path

try:
    import pdoc
except ModuleNotFoundError:
    sys.exit('pages from docstrings need pdoc, which is not installed: pip install ".[docs]"')

import featherbench as fb

BESIDE = {
    "featherbench.pictures.results": "`fb.figures`, the pictures",
    "featherbench.quantities": "units and how texts with units are read",
}
"""Modules with a page of their own, and what they hold."""


def main() -> None:
    """Pages of the package and of what stands beside it; the folder need not be there."""
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parents[1] / ".reference"
    for name in fb.__all__:
        setattr(fb, name, getattr(fb, name))
    links = ", ".join(f"[{words}]({name.replace('.', '/')}.html)" for name, words in BESIDE.items())
    fb.__doc__ = f"{fb.__doc__}\nPages of their own: {links}.\n"
    pdoc.render.configure(docformat="markdown", search=False, show_source=False)
    pdoc.pdoc("featherbench", *BESIDE, output_directory=folder)
    print(f"written: {folder / 'featherbench.html'}")


main()
