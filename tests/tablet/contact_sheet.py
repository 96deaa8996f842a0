"""Every screen of the tablet side by side: by day, the same in grey, at night, and in Spanish.

pytest tests/journeys/test_gloves_and_sun.py tests/journeys/test_in_spanish.py -k across --pictures=FOLDER
python -m tests.tablet.contact_sheet FOLDER OUT.jpg
"""

import sys
from pathlib import Path

from PIL import Image, ImageDraw, ImageOps

WIDE, HIGH, EDGE, TITLE = 320, 223, 8, 22  # a tablet is 1180 by 820
DAY, NIGHT, SPANISH = "across_by_day-", "across_at_night-", "every_page_is_said_and_fits-across-"
COLUMNS = (("day", DAY), ("grey", DAY), ("night", NIGHT), ("Spanish", SPANISH))
ROWS_ON_A_SHEET = 12


def pictures(folder: Path, prefix: str) -> dict[str, Path]:
    """Pictures by the name of their screen, in the order in which they were taken."""
    found = sorted(folder.glob(f"{prefix}*.png"), key=lambda path: path.stat().st_mtime)
    return {path.stem.removeprefix(prefix): path for path in found}


def sheets(folder: Path, out: Path) -> list[Path]:
    """Writes as many sheets as it takes; refuses a column that has no picture at all."""
    columns = [(name, pictures(folder, prefix)) for name, prefix in COLUMNS]
    missing = [name for name, found in columns if not found]
    if missing:
        raise SystemExit(f"no pictures of: {', '.join(missing)} in {folder}")
    screens = list(dict.fromkeys(screen for _, found in columns for screen in found))
    written = []
    for place in range(0, len(screens), ROWS_ON_A_SHEET):
        path = out.with_stem(f"{out.stem}-{len(written) + 1}")
        _sheet(screens[place : place + ROWS_ON_A_SHEET], columns).save(path, quality=72, optimize=True)
        written.append(path)
    return written


def _sheet(screens: list[str], columns: list[tuple[str, dict[str, Path]]]) -> Image.Image:
    size = (len(columns) * (WIDE + EDGE) + EDGE, len(screens) * (HIGH + TITLE + EDGE) + EDGE)
    sheet = Image.new("RGB", size, "white")
    pen = ImageDraw.Draw(sheet)
    for row, screen in enumerate(screens):
        for column, (name, found) in enumerate(columns):
            x, y = EDGE + column * (WIDE + EDGE), EDGE + row * (HIGH + TITLE + EDGE)
            pen.text(
                (x, y + 4), f"{screen}, {name}" if screen in found else f"{screen}, {name}: no picture", fill="black"
            )
            if screen in found:
                picture = Image.open(found[screen]).convert("RGB")
                picture = ImageOps.grayscale(picture).convert("RGB") if name == "grey" else picture
                picture = picture.crop((0, 0, picture.width, min(picture.height, picture.width * HIGH // WIDE)))
                sheet.paste(ImageOps.pad(picture, (WIDE, HIGH), color="white", centering=(0, 0)), (x, y + TITLE))
    return sheet


if __name__ == "__main__":
    for made in sheets(Path(sys.argv[1]), Path(sys.argv[2])):
        print(made)
