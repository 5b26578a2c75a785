"""The sheet of styles, the templates and the vendored files: contrast, no inline code, sums."""

from __future__ import annotations

import hashlib
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
CSS = re.sub(
    r"/\*.*?\*/", "", (ROOT / "static" / "shopfloor.css").read_text(encoding="utf-8"), flags=re.S
)
COLOURS = dict(re.findall(r"--([\w-]+):\s*(#[0-9a-f]{6})", CSS))
RULES = re.findall(r"([^{}]+)\{([^{}]*)\}", CSS)


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two '#rrggbb' colours, as WCAG 2.2 defines it (1.4.6 asks 7:1)."""
    light, dark = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def _luminance(colour: str) -> float:
    channels = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def _pairs() -> set[tuple[str, str]]:
    """(text, ground) of every rule that sets a colour of text; on plain paper where it sets no ground."""
    pairs = {("ink", "paper")}
    for _, body in RULES:
        text = re.search(r"(?<![\w-])(?:color|fill): var\(--([\w-]+)\)", body)
        ground = re.search(r"background(?:-color)?: var\(--([\w-]+)\)", body)
        is_text = "color: var" in re.sub(r"[\w-]+-color: var", "", body)
        if text and is_text:
            pairs.add((text[1], ground[1] if ground else "paper"))
    return pairs


def test_every_colour_of_text_has_seven_to_one_on_its_ground():
    pairs = _pairs()
    assert (
        ("paper", "ink") in pairs and ("soft-ink", "paper") in pairs and ("ink", "white") in pairs
    )
    poor = {pair: contrast(COLOURS[pair[0]], COLOURS[pair[1]]) for pair in pairs}
    assert {pair: ratio for pair, ratio in poor.items() if ratio < 7} == {}


def test_contrast_agrees_with_the_extremes_of_the_standard():
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#777777") == pytest.approx(1)


def test_no_colour_is_written_outside_the_list_of_them():
    rest = CSS.split("}", 3)[-1]
    stray = set(re.findall(r"#[0-9a-f]{3,8}\b", rest)) - {
        "#75838a"
    }  # the edge of a dark part on a dark board
    assert stray <= set(COLOURS.values())


@pytest.mark.parametrize(
    "file", sorted((ROOT / "templates").rglob("*.html")), ids=lambda file: file.name
)
def test_a_template_holds_no_inline_style_or_script(file):
    text = re.sub(r"\{#.*?#\}", "", file.read_text(encoding="utf-8"), flags=re.S)
    assert not re.search(
        r"""\sstyle\s*=|<style|\son\w+\s*=|hx-on|javascript:|["']js:""", text, flags=re.I
    )
    assert not re.search(r"<script(?![^>]*\bsrc=)", text, flags=re.I)
    assert not re.search(r"""(?:src|href)=["'](?:https?:)?//""", text), (
        "nothing is fetched from elsewhere"
    )


@pytest.mark.parametrize(
    "folder", sorted((ROOT / "static" / "vendor").iterdir()), ids=lambda folder: folder.name
)
def test_vendored_files_are_what_their_readme_says(folder):
    sums = dict(
        re.findall(
            r"\| ([\w.-]+) \| ([0-9a-f]{64}) \|", (folder / "README.md").read_text(encoding="utf-8")
        )
    )
    files = {file.name for file in folder.iterdir()} - {"README.md"}
    licences = {name for name in files if name.upper().startswith("LICENSE")}
    assert licences and sums
    assert files - licences == set(sums)
    for name, expected in sums.items():
        assert hashlib.sha256((folder / name).read_bytes()).hexdigest() == expected
