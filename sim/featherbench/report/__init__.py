"""Text, tables, figures and the page; each is loaded when first used, so that a short command stays short."""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING

_HOMES = {
    "Forms": "outputs",
    "OutputExists": "files",
    "OutputRefused": "files",
    "Outputs": "outputs",
    "check_target": "files",
    "comparison_csv_text": "table_csv",
    "comparison_document": "document",
    "comparison_pictures": "pictures",
    "comparison_page": "pages.bench_page",
    "course_figure": "course",
    "csv_text": "table_csv",
    "force_figure": "figures",
    "json_text": "document",
    "moments_figure": "figures",
    "print_background": "text",
    "print_check": "text",
    "print_comparison": "text",
    "print_run": "text",
    "release_figure": "figures",
    "run_document": "document",
    "run_pictures": "pictures",
    "run_page": "pages.bench_page",
    "write_csv": "table_csv",
    "write_json": "document",
    "write_whole": "files",
}

__all__ = [
    "Forms",
    "OutputExists",
    "OutputRefused",
    "Outputs",
    "check_target",
    "comparison_csv_text",
    "comparison_document",
    "comparison_page",
    "comparison_pictures",
    "course_figure",
    "csv_text",
    "force_figure",
    "json_text",
    "moments_figure",
    "print_background",
    "print_check",
    "print_comparison",
    "print_run",
    "release_figure",
    "run_document",
    "run_page",
    "run_pictures",
    "write_csv",
    "write_json",
    "write_whole",
]

if TYPE_CHECKING:
    from featherbench.report.course import course_figure
    from featherbench.report.document import comparison_document, json_text, run_document, write_json
    from featherbench.report.figures import force_figure, moments_figure, release_figure
    from featherbench.report.files import OutputExists, OutputRefused, check_target, write_whole
    from featherbench.report.outputs import Forms, Outputs
    from featherbench.report.pages.bench_page import comparison_page, run_page
    from featherbench.report.pictures import comparison_pictures, run_pictures
    from featherbench.report.table_csv import comparison_csv_text, csv_text, write_csv
    from featherbench.report.text import print_background, print_check, print_comparison, print_run


def __getattr__(name: str) -> object:
    """Load a public name from the module it lives in."""
    if name not in _HOMES:
        raise AttributeError(f"featherbench.report has no {name!r}")
    return getattr(importlib.import_module(f"featherbench.report.{_HOMES[name]}"), name)
