"""A sheet printed to PDF, and where each of its words came to stand."""

import re
import subprocess
from html import unescape
from pathlib import Path
from typing import NamedTuple

from tests.sheets.browser import program

PAGE = re.compile(r'<page width="([\d.]+)" height="([\d.]+)">(.*?)</page>', re.DOTALL)
WORD = re.compile(r'<word xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)">(.*?)</word>')


class Word(NamedTuple):
    """A word on paper: its text and its edges, in points."""

    text: str
    left: float
    top: float
    right: float
    bottom: float


class Sheet(NamedTuple):
    """One page of paper: its size in points, and its words."""

    width: float
    height: float
    words: tuple[Word, ...]


def pages(pdf: bytes, folder: Path) -> list[Sheet]:
    """The pages of a PDF, read by poppler's pdftotext."""
    path = folder / "printed.pdf"
    path.write_bytes(pdf)
    told = subprocess.run(
        [program("pdftotext"), "-bbox", str(path), "-"], capture_output=True, text=True, check=True
    ).stdout
    return [
        Sheet(float(width), float(height), tuple(_word(found) for found in WORD.findall(inside)))
        for width, height, inside in PAGE.findall(told)
    ]


def _word(found: tuple[str, str, str, str, str]) -> Word:
    left, top, right, bottom, text = found
    return Word(unescape(text), float(left), float(top), float(right), float(bottom))
