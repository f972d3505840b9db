"""What the sets of practice sheets share: animals, heads, keepers, text files and workbooks.

Truth columns and conventions: fixtures/sheets/README.md. Places, animals and results are invented.
Needs openpyxl and pyproj (projection formulas only, no datum shift).
"""
import csv
import datetime as dt
import io
import re
import zipfile
from collections import Counter
from pathlib import Path
from random import Random

from openpyxl import Workbook
from openpyxl.styles import Font
from pyproj import Proj

ROOT = Path(__file__).resolve().parent.parent.parent / "fixtures" / "sheets"
COLUMNS = ("file,sheet,row,occurrenceID,eventDate,latitude,longitude,radius_m,sex,ageMinMonths,"
           "ageMaxMonths,nodePairsExamined,grossLesion,labMethod,labResult").split(",")
RANK = {"positive": 2, "pending": 1, "inconclusive": 1, "negative": 0, "MAC": 0}
NAMES = {"other": "other species", "void": "withdrawn or void", "nodate": "pig without a usable date",
         "nopos": "pig without a whole position"}


class Pig:
    def __init__(self, rng, kind, day, lat, lon):
        self.kind, self.day, self.lat, self.lon = kind, day, lat, lon
        self.sex = rng.choice(["female", "male"]) if rng.random() > 0.04 else ""
        self.age = rng.choice([rng.randint(2, 11), rng.randint(6, 23), rng.randint(12, 40), rng.randint(24, 75)])
        self.noage = rng.random() < 0.05
        self.nodes, self.lesions, self.samples = {}, {}, []

    def dissect(self, rng, glands, methods, most=1, both_only=False, tested=0.22):
        """nodes: gland -> set of sides examined; lesions: (gland, side) -> score."""
        looked = rng.random() > 0.04
        for g in glands:
            sides = {s for s in "LR" if looked and rng.random() > 0.08}
            if both_only or g.endswith("*"):
                sides = {"L", "R"} if looked and rng.random() > 0.06 else set()
            self.nodes[g.rstrip("*")] = sides
        cut = [(g, s) for g, sides in self.nodes.items() for s in sorted(sides)]
        ill = bool(cut) and rng.random() < (0.22 if self.age >= 12 else 0.08)
        if ill:
            for key in rng.sample(cut, min(len(cut), rng.choice([1, 1, 2]))):
                self.lesions[key] = rng.randint(1, 3)
        n = rng.randint(1, most) if ill or rng.random() < tested else 0
        chosen = methods if len(methods) == n else rng.sample(methods, n) if n <= len(methods) else \
            [rng.choice(methods) for _ in range(n)]
        chosen = sorted(chosen, key=methods.index) if most <= len(methods) else chosen
        for m in chosen:
            o = rng.choice(["positive"] * 3 + ["negative", "MAC", "pending", "inconclusive"] if ill
                           else ["negative", "negative", "negative", "MAC", "pending"])
            self.samples.append((m, "negative" if o == "MAC" and m != "culture" else o))

    def examined(self):
        return ";".join(g if len(s) == 2 else f"{g} {'left' if s == {'L'} else 'right'}"
                        for g, s in self.nodes.items() if s)

    def gross(self):
        return "" if not any(self.nodes.values()) else "yes" if self.lesions else "no"

    def lab(self):
        if not self.samples:
            return "", ""
        m, o = max(self.samples, key=lambda s: RANK[s[1]])
        return m, ("negative", "pending", "positive")[RANK[o]]

    def outcome(self, method):
        return next((o for m, o in self.samples if m == method), None)


class Keeper:
    def __init__(self, name, who, language, seed):
        self.name, self.who, self.language = name, who, language
        self.dir = ROOT / name
        self.dir.mkdir(parents=True, exist_ok=True)
        self.rng, self.lines, self.counts = Random(seed), [], Counter()

    def animals(self, usable, first, last, centre, glands, methods, most=1, spread=0.06, both_only=False,
                tested=0.22, **others):
        kinds = ["pig"] * usable + [k for k, n in others.items() for _ in range(n)]
        self.rng.shuffle(kinds)
        self.counts.update(others)
        a, b = dt.date.fromisoformat(first), dt.date.fromisoformat(last)
        days = sorted(a + dt.timedelta(self.rng.randrange((b - a).days + 1)) for _ in kinds)
        out = []
        for i, (kind, day) in enumerate(zip(kinds, days), 1):
            p = Pig(self.rng, kind, day, self.rng.gauss(centre[0], spread), self.rng.gauss(centre[1], spread * 1.2))
            p.dissect(self.rng, glands, methods, most, both_only, tested)
            if kind == "other":
                p.samples, p.lesions = [], {}
            if kind == "void":
                p.samples = []
            out.append((i, p))
        return out

    def one(self, *words):
        return self.rng.choice(words)

    def sex(self, p, f, m, unknown=("?",)):
        return self.rng.choice({"female": f, "male": m, "": unknown}[p.sex])

    def truth(self, file, sheet, row, tag, date, place, radius, p, age):
        low, high = age
        self.lines.append([file, sheet, row, tag, date, f"{place[0]:.6f}", f"{place[1]:.6f}", radius, p.sex,
                           low, high, p.examined(), p.gross(), *p.lab()])

    def finish(self, facts, messes, settings=()):
        """Writes truth.csv and keeper.md; `settings`: the facts once more as short lines."""
        assert len(facts) <= 10, self.name
        with open(self.dir / "truth.csv", "w", newline="", encoding="utf-8") as out:
            csv.writer(out, lineterminator="\n").writerows([COLUMNS, *self.lines])
        text = f"# {self.name}\n\nKept by {self.who}. Language: {self.language}. Animals in truth.csv: " \
               f"{len(self.lines)}.\n"
        skipped = [f"{NAMES[k]}: {n}" for k, n in sorted(self.counts.items())]
        for title, items in (("What an informed user knows", facts),
                             ("The same as key/value lines", [f"`{s}`" for s in settings]),
                             ("Messy in it", messes), ("Not in truth.csv (animals or tags)", skipped)):
            if not items:
                continue
            text += f"\n{title}:\n\n" + "".join(f"- {x}\n" for x in items)
        (self.dir / "keeper.md").write_text(text, encoding="utf-8")
        rows = len(self.lines) + sum(self.counts.values())
        assert 40 <= rows <= 90, (self.name, rows)
        print(self.name, len(self.lines), rows)


class Text:
    def __init__(self, separator, end="\r\n", raw=False):
        self.out = io.StringIO(newline="")
        self.sep, self.end, self.raw = separator, end, raw
        self.w = csv.writer(self.out, delimiter=separator, lineterminator=end)

    def add(self, *cells):
        line = self.out.getvalue().count("\n") + 1
        if self.raw:
            self.out.write(self.sep.join(str(c) for c in cells) + self.end)
        else:
            self.w.writerow(cells)
        return line

    def save(self, path, encoding="utf-8"):
        path.write_bytes(self.out.getvalue().encode(encoding))


class Page:
    def __init__(self, book, name, datefmt="dd/mm/yyyy"):
        self.sheet, self.row, self.fmt = book.create_sheet(name), 0, datefmt

    def add(self, *cells, merge=(), bold=False, strike=False):
        self.row += 1
        for c, v in enumerate(cells, 1):
            if v != "" and v is not None:
                cell = self.sheet.cell(self.row, c, v)
                cell.font = Font(bold=bold, strike=strike)
                if isinstance(v, dt.date):
                    cell.number_format = self.fmt
        for a, b in merge:
            self.sheet.merge_cells(start_row=self.row, end_row=self.row, start_column=a, end_column=b)
        return self.row


def workbook():
    book = Workbook()
    book.remove(book.active)
    return book


def save_book(book, path):
    raw = io.BytesIO()
    book.save(raw)
    with zipfile.ZipFile(raw) as old, zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as new:
        for n in old.namelist():
            d = old.read(n)
            if n == "docProps/core.xml":
                d = re.sub(rb"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ", b"2022-01-01T00:00:00Z", d)
            new.writestr(zipfile.ZipInfo(n, (2022, 1, 1, 0, 0, 0)), d, zipfile.ZIP_DEFLATED)


def grid(code, p):
    proj = Proj(f"EPSG:{code}")
    e, n = (round(v) for v in proj(p.lon, p.lat))
    lon, lat = proj(e, n, inverse=True)
    return e, n, (lat, lon)


def banded(age, bands):
    """bands: (word, low, high); high "" is open."""
    return next((w, (lo, hi)) for w, lo, hi in bands if hi == "" or age < hi)


MAND, PAR, RETRO = "mandibular", "parotid", "retropharyngeal"


def side(s, both, left, right, none):
    return both if len(s) == 2 else none if not s else left if s == {"L"} else right
