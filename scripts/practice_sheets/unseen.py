"""Five sheets made when the reader was finished."""
import datetime as dt

from tools import *


def keeper(name, who, language):
    seed = "third holdout " + name + {"community-spanish": "4", "park-french": "6"}.get(name, "")
    return Keeper(name, who, language, seed)


def finish(k, facts, messes, note=""):
    k.finish(facts, messes)


# 1 ------------------------------------------------------------------------------------------------
def government_australian():
    k = keeper("government-australian", "a state biosecurity department", "English (Australia)")
    rng, book, file = k.rng, workbook(), "Feral pig TB surveillance 2022.xlsx"
    first, second, lab = Page(book, "2022 Jan-Jun"), Page(book, "2022 Jul-Dec"), Page(book, "Lab results 2022")
    heads = {first: ("Tag no.", "Date destroyed", "Species", "Lat (GDA2020)", "Long (GDA2020)", "Accuracy (m)", "Sex", "Age class",
                     "Nodes sectioned", "Gross path", "Spec. sent", "Officer", "Comments"),
             second: ("Tag no.", "Species", "Date destroyed", "Sex", "Age class", "Long (GDA2020)", "Lat (GDA2020)", "Accuracy (m)",
                      "Nodes sectioned", "Gross path", "Spec. sent", "Officer", "Comments")}
    for page, half in ((first, "January to June"), (second, "July to December")):
        page.add(f"Feral pig TB surveillance - Wirrabilla district - {half} 2022", bold=True, merge=[(1, 8)])
        page.add("Age class: W weaner <6 mo, J juvenile 6-12 mo, SA sub-adult 12-24 mo, A adult >24 mo. NAD = no abnormality detected.")
        page.add()
        page.add(*heads[page], bold=True)
    lab.add("Accession", "Client ref", "Test", "Result", "Reported", bold=True)
    bands = (("W", 0, 6), ("J", 6, 12), ("SA", 12, 24), ("A", 24, ""))
    short = {MAND: "SM", RETRO: "RP", PAR: "Par"}
    tests = {"pcr": "MTC qPCR", "culture": "Mycobacterial culture", "histology": "Histopath (ZN)"}
    words = {"pcr": {"positive": ("Detected", "DETECTED"), "negative": ("Not detected",), "pending": ("Awaiting",), "inconclusive": ("Indeterminate",)},
             "culture": {"positive": ("M. bovis isolated",), "negative": ("No growth 8 wk", "No mycobacteria isolated"),
                         "MAC": ("M. intracellulare isolated", "M. avium isolated"), "pending": ("In progress",), "inconclusive": ("Overgrown",)},
             "histology": {"positive": ("Positive - AFB seen",), "negative": ("Negative", "Negative - parasitic granuloma"), "pending": ("Awaiting",),
                           "inconclusive": ("Inconclusive",)}}
    queue, last = [], None
    for i, p in k.animals(46, "2022-01-10", "2022-12-12", (-14.2, 139.3), [MAND, RETRO, PAR], ["histology", "pcr", "culture"], 3,
                          other=3, void=3, nodate=2, nopos=2, tested=0.3):
        page = first if p.day.month < 7 else second
        if page is second and last is first:
            first.add()
            first.add("Total tags Jan-Jun", i - 1)
            first.add("Compiled R.B. 4/7/22")
        last = page
        tag = f"WD22-{i:03d}"
        lat, lon = round(p.lat, 5), round(p.lon, 5)
        acc = k.one(5, 8, 10, 10, "±15", "", "unk")
        word, age = banded(p.age, bands)
        word = k.one(word, word, word, word.lower())
        if p.noage:
            word, age = k.one("", "U"), ("", "")
        cut = [f"{short[g]} {side(s, 'bilat', 'L', 'R', '')}" for g, s in p.nodes.items() if s]
        nodes = ", ".join(cut) or k.one("nil", "nil - head damaged")
        found = {"yes": k.one("Granuloma ", "Abscess ", "Caseous lesion ") + " & ".join(f"{short[g]} ({s})" for g, s in p.lesions),
                 "no": k.one("NAD", "NAD", "NAD", "NAD (lungworm)"), "": k.one("", "not examined")}[p.gross()]
        sex = k.sex(p, ("F", "F", "f", "Sow"), ("M", "M", "m", "Boar"), ("U", ""))
        date = p.day if rng.random() > 0.2 else f"{p.day.day}-{p.day:%b-%y}"
        species = k.one("Feral pig", "Feral pig", "Sus scrofa", "pig")
        note = k.one("", "", "", "", "trap 6", "aerial", "tissue frozen", "GPS borrowed")
        if p.kind == "nodate":
            date = k.one("", "not recorded")
        if p.kind == "other":
            species, nodes, found = k.one("Chital", "Wild dog", "Feral cattle"), "nil", ""
        if p.kind == "void":
            note = k.one("VOID tag lost", "VOID - entered twice")
        sent = k.one("Y", "Yes") if p.samples else k.one("N", "N", "")
        if p.kind == "nopos":
            lat, lon = k.one((lat, ""), ("", lon))
        off = k.one("RB", "TK", "JW")
        cells = (tag, date, species, lat, lon, acc, sex, word, nodes, found, sent, off, note) if page is first else \
            (tag, species, date, sex, word, lon, lat, acc, nodes, found, sent, off, note)
        row = page.add(*cells, strike=p.kind == "void")
        for m, o in p.samples:
            queue.append((k.one(tag, tag, f"WD22/{i:03d}", f"22-{i:03d}", f"wd22-{i}"), tests[m], k.one(*words[m][o]),
                          "" if o == "pending" else p.day + dt.timedelta(rng.randint(9, 80))))
        if p.kind == "pig":
            k.truth(file, page.sheet.title, row, tag, p.day.isoformat(), (lat, lon), str(acc).strip("±").replace("unk", ""), p, age)
    second.add()
    second.add("Total tags Jul-Dec", "", "see lab sheet")
    second.add("Compiled R.B. 9/1/23")
    for n, q in enumerate(queue):
        lab.add(f"V22-{30511 + n * 3}", *q)
        if n == 7:
            lab.add("V22-30534", "WD21-088", "Mycobacterial culture", "M. bovis isolated", dt.date(2022, 3, 2))
    save_book(book, k.dir / file)
    finish(k, ["both half-year sheets are field records; their columns stand in another order; Lab results 2022 belongs to both",
              "the laboratory writes WD22-007 as WD22/007, 22-007 or wd22-7 under Client ref; WD21-088 belongs to last year",
              "the samples of an animal were taken in the order of their rows in the lab sheet", "dates are day first; the day is Date destroyed",
              "SM = submandibular (mandibular), RP = retropharyngeal, Par = parotid; bilat = both sides, L left, R right",
              "W under 6 months, J 6 to 12, SA 12 to 24, A over 24 months; U = unknown",
              "granuloma, abscess and caseous lesion are lesions; NAD is none; nil under Nodes = nothing examined",
              "Detected, M. bovis isolated and AFB seen are positive; another mycobacterium (M. avium, M. intracellulare) is negative",
              "Awaiting and In progress = pending; Indeterminate, Overgrown and Inconclusive = inconclusive",
              "Histopath (ZN) is histology; accuracy is in metres; GDA2020 is taken as WGS 84; VOID rows do not count"],
             ["two field sheets a year with columns in another order, one lab sheet", "title, legend and blank row above the header",
              "tags spelt otherwise by the laboratory, one of another year", "some dates as text", "struck-through void rows, other species, totals, signatures"],
             "EPSG:32754")


# 2 ------------------------------------------------------------------------------------------------
def community_spanish():
    k = keeper("community-spanish", "the wildlife health plan of an autonomous community", "Spanish (Spain)")
    rng, t, file = k.rng, Text(";"), "vigilancia_jabali_2021-22.csv"
    t.add("Plan de vigilancia sanitaria de la fauna - tuberculosis en jabalí", *[""] * 13)
    t.add("Comarca de Valdejarosa. Coordenadas geográficas ETRS89", *[""] * 13)
    header = ("Nº crotal", "Fecha", "Especie", "Latitud", "Longitud", "Error (m)", "Sexo", "Edad (meses)", "Regiones inspeccionadas",
              "Lesiones por región", "Prueba", "Resultado", "Fecha result.", "Observaciones")
    t.add(*header)
    full = {MAND: "submandibular", RETRO: "retrofaríngeo", PAR: "parotídeo"}
    lab = {"positive": ("Positivo", "POSITIVO", "Positivo a M. bovis", "Complejo M. tuberculosis"), "negative": ("Negativo", "negativo", "NEGATIVO"),
           "MAC": ("M. avium subsp. hominissuis", "Micobacteria no tuberculosa"), "pending": ("Pendiente", "En curso"), "inconclusive": ("No concluyente", "Dudoso")}
    test = {"pcr": ("PCR",), "culture": ("Cultivo", "cultivo")}
    for i, p in k.animals(47, "2021-10-09", "2022-02-20", (36.3, -7.3), [MAND, RETRO, PAR], ["culture", "pcr"], 1,
                          other=3, void=2, nodate=2, nopos=2, tested=0.35):
        tag = f"VJ{2100 + i * 3}"
        lat, lon = round(p.lat, 5), round(p.lon, 5)
        acc = k.one("5", "10", "12,5", "7,5", "", "desc.")
        a = p.age
        low = a - a % 6
        word, age = k.one((str(a), (a, a)), (f"{low}-{low + 6}", (low, low + 6)), (f"{low} a {low + 6}", (low, low + 6)))
        if a < 6:
            word, age = k.one(("<6", (0, 6)), ("0-6", (0, 6)))
        if a > 36:
            word, age = k.one((">36", (36, "")), ("más de 36", (36, "")), ("36-48", (36, 48)) if a <= 48 else (">48", (48, "")))
        if p.noage:
            word, age = k.one("", "s/d"), ("", "")
        cut = [full[g] + side(s, "", " izq.", " dcho.", "") for g, s in p.nodes.items() if s]
        regions = "Cabeza: " + ", ".join(cut) if cut else k.one("ninguna", "No (canal retirada)")
        if len(cut) == 3 and " " not in p.examined().replace(";", "") and rng.random() < 0.5:
            regions = "Cabeza completa"
        where = " y ".join(f"{full[g]} {dict(L='izq.', R='dcho.')[s]}" for g, s in p.lesions)
        found = {"yes": k.one("Cabeza: ", "Cabeza, ") + where + k.one("", "", " (caseosa)", "; tórax: pulmón"),
                 "no": k.one("Sin lesiones", "sin lesiones", "Ninguna", "Sin lesiones (sarna en oreja)"), "": k.one("No inspeccionado", "")}[p.gross()]
        sex = k.sex(p, ("Hembra", "H", "hembra"), ("Macho", "M", "macho"), ("Indet.", ""))
        d = p.day
        date = k.one(f"{d:%d/%m/%Y}", f"{d:%d/%m/%Y}", f"{d.day}/{d.month}/{d:%y}")
        species, note = k.one("Jabalí", "Jabalí", "JABALI"), k.one("", "", "", "montería", "batida; lluvia", "aguardo")
        m, o = p.samples[0] if p.samples else ("", "")
        prueba, res = (k.one(*test[m]), k.one(*lab[o])) if m else k.one(("", ""), ("-", "No muestreado"))
        got = f"{d + dt.timedelta(rng.randint(14, 70)):%d/%m/%Y}" if m and o != "pending" else ""
        if p.kind == "nodate":
            date = k.one("", "sin fecha")
        if p.kind == "other":
            species, regions, found = k.one("Ciervo", "Gamo", "Corzo"), "Cabeza: retrofaríngeo", "Sin lesiones"
        if p.kind == "void":
            note = k.one("ANULADO", "Anulado, crotal repetido")
        la, lo = f"{lat:.5f}".replace(".", ","), f"{lon:.5f}".replace(".", ",")
        if p.kind == "nopos":
            la, lo = k.one((la, ""), ("", ""))
        row = t.add(tag, date, species, la, lo, acc, sex, word, regions, found, prueba, res, got, note)
        if p.kind == "pig":
            k.truth(file, "", row, tag, d.isoformat(), (lat, lon), acc.replace(",", ".").replace("desc.", ""), p, age)
        if i == 27:
            t.add(*[""] * 14)
            t.add(*header)
    t.add("TOTAL ANIMALES", str(i), *[""] * 12)
    t.add("Fdo.: la técnica de la comarca", *[""] * 13)
    t.save(k.dir / file, "cp1252")
    finish(k, ["dates are day first; the day is Fecha, not Fecha result.", "the coordinates have a decimal comma; ETRS89 is taken as WGS 84",
              "ages are months; <6 is 0 to 6, >36 and más de 36 have no upper limit; s/d and desc. = not recorded, Indet. = unknown",
              "Cabeza completa = submandibular, retrofaríngeo and parotídeo, both sides", "izq. left, dcho. right; a gland without a side is both sides",
              "under Lesiones any region named with a gland is a lesion; Sin lesiones and Ninguna are none, whatever else is remarked",
              "ninguna and No (canal retirada) under Regiones = nothing inspected",
              "M. avium and Micobacteria no tuberculosa are negative; Complejo M. tuberculosis is positive",
              "Pendiente and En curso = pending; Dudoso and No concluyente = inconclusive; No muestreado = not tested", "the error is in metres; ANULADO = withdrawn"],
             ["Windows-1252, semicolons, decimal commas", "two title lines padded with separators", "age in months, single, ranges and open",
              "regions and lesions as text", "a second date column", "header again in the middle, blank row, total, signature"], "EPSG:32629")


# 3 ------------------------------------------------------------------------------------------------
def park_french():
    k = keeper("park-french", "a regional nature park", "French")
    rng, t, file = k.rng, Text("\t", "\n"), "sangliers_parc_2020.tsv"
    t.add("Parc de la Sauvelongue - suivi tuberculose du sanglier 2020 - coordonnées UTM zone 31N (WGS 84)")
    t.add("MA marcassin (< 6 mois), BR bête rousse (6 à 12 mois), RA ragot (12 à 24 mois), AD adulte (24 mois et plus)")
    t.add("Bracelet", "Date", "X", "Y", "± m", "Espèce", "Sexe/classe", "NL sous-mand.", "NL rétroph.", "Lésions", "1re analyse", "2e analyse", "Agent", "Remarques")
    bands = (("MA", 0, 6), ("BR", 6, 12), ("RA", 12, 24), ("AD", 24, ""))
    kind = {"pcr": "PCR", "culture": "culture"}
    lab = {"positive": ("+", "positive"), "negative": ("-", "négative"), "MAC": ("M. avium", "MAC"), "pending": ("en cours", "attendue"),
           "inconclusive": ("douteuse", "ininterprétable")}
    for i, p in k.animals(45, "2020-02-03", "2020-12-18", (42.5, 4.3), [MAND, RETRO], ["pcr", "culture"], 2,
                          other=3, void=2, nodate=2, nopos=2, tested=0.3):
        e, n, place = grid(32631, p)
        tag = f"SL-20-{i:03d}"
        acc = k.one("5", "10", "20", "env. 50", "", "?")
        word, age = banded(p.age, bands)
        if p.noage:
            word, age = "?", ("", "")
        sex = {"female": "F", "male": "M", "": "I"}[p.sex]
        both = k.one(f"{sex} {word}", f"{sex}/{word}", f"{sex}-{word}", f"{sex}{word}")
        if word == "?" and sex == "I":
            both = ""
        marks = [side(p.nodes[g], k.one("G+D", "G+D", "les 2"), "G", "D", k.one("non", "")) for g in (MAND, RETRO)]
        found = {"yes": k.one("O", "oui", "O (abcès caséeux)", "oui, nodules"), "no": k.one("N", "non", "N", "N (gale)"), "": k.one("", "NE")}[p.gross()]
        res = [f"{kind[m]} {k.one(*lab[o])}" for m, o in p.samples] + ["", ""]
        d = p.day
        date = k.one(f"{d:%d.%m.%Y}", f"{d:%d.%m.%Y}", f"{d:%d.%m.%y}")
        note, species = k.one("", "", "", "battue", "tir de nuit", "cage n° 3", "vue brève \"boiteux\""), k.one("sanglier", "Sanglier", "S. scrofa")
        if p.kind == "nodate":
            date = k.one("", "??.04.2020", "hiver ?")
        if p.kind == "other":
            species, both, marks, found = k.one("chevreuil", "cerf", "renard"), "M AD", ["non", "G+D"], "N"
        if p.kind == "void":
            note = k.one("ANNULÉ", "annulé - doublon")
        x, y = str(e), k.one(str(n), f"{n:,}".replace(",", " "))
        if p.kind == "nopos":
            x, y = k.one((x, ""), ("", y))
        row = t.add(tag, date, x, y, acc, species, both, *marks, found, *res[:2], k.one("A.V.", "M.D.", "L.R."), note)
        if p.kind == "pig":
            k.truth(file, "", row, tag, d.isoformat(), place, acc.replace("env. ", "").replace("?", ""), p, age)
        if i in (17, 36):
            t.add(*[""] * 14)
            t.add(f"sous-total\t{i}".split("\t")[0], str(i), *[""] * 12)
    t.add("TOTAL", str(i))
    t.add("Vu, le garde-chef, 11.01.2021")
    t.save(k.dir / file)
    finish(k, ["the zone is in the title: UTM 31N, WGS 84 (EPSG:32631), X easting, Y northing", "dates are day first",
              "Sexe/classe holds both, however joined: F = female, M = male, I = unknown; MA, BR, RA, AD as in the second line, ? = unknown age",
              "AD has no upper limit", "sous-mand. = mandibular, rétroph. = retropharyngeal; G = left, D = right, G+D and les 2 = both sides; non or empty = not examined",
              "O and oui under Lésions are a lesion, N and non none, NE not examined", "the first analysis was done before the second",
              "+ is positive, - is negative; M. avium and MAC are other mycobacteria, negative",
              "en cours and attendue = pending; douteuse and ininterprétable = inconclusive", "env. = about; annulé = withdrawn"],
             ["tabs, LF", "zone only in the title", "sex and age class in one cell, joined in four ways", "spaces between thousands in some northings",
              "method and result in one cell, two analyses", "subtotals, blank rows, total, signature"], "EPSG:32631")


# 4 ------------------------------------------------------------------------------------------------
def state_us():
    k = keeper("state-us", "a state wildlife agency", "English (US)")
    rng, t, file = k.rng, Text(","), "FeralSwine_bTB_2019.csv"
    t.add("Kill ID", "Date Killed", "Animal", "Lat", "Long (W)", "GPS Acc (ft)", "Elev (ft)", "Sex", "Age (yr)", "Mand LN", "RP LN", "Parotid LN",
          "Histo", "PCR", "Culture", "Date Reported", "County Unit", "Remarks")
    lab = {"positive": ("POS", "Pos", "pos"), "negative": ("NEG", "Neg", "neg"), "pending": ("PEND", "Pending"), "inconclusive": ("INC", "Inconcl")}
    for i, p in k.animals(48, "2019-01-14", "2019-11-25", (27.5, -94.6), [MAND, RETRO, PAR], ["histology", "pcr", "culture"], 3,
                          other=3, void=2, nodate=2, nopos=2, tested=0.3):
        tag = f"19-{i:04d}"
        lat, lon = round(p.lat, 5), round(p.lon, 5)
        acc = k.one("10", "15", "33", "~50", "16", "", "UNK")
        if p.age < 6:
            word, age = "<0.5", (0, 6)
        elif p.age < 12:
            word, age = k.one(("0.5-1", (6, 12)), ("<1", (0, 12)))
        elif p.age < 24:
            word, age = k.one(("1-2", (12, 24)), ("1.5", (18, 18)), ("1 1/2", (18, 18)))
        elif p.age < 36:
            word, age = k.one(("2-3", (24, 36)), ("2+", (24, "")), ("2.5", (30, 30)))
        else:
            word, age = k.one(("3+", (36, "")), (">3", (36, "")), ("3-5", (36, 60)) if p.age <= 60 else ("5+", (60, "")))
        if p.noage:
            word, age = k.one("", "UNK"), ("", "")
        marks = []
        for g in (MAND, RETRO, PAR):
            hit = any(x == g for x, _ in p.lesions)
            s = side(p.nodes[g], "B", "L", "R", "")
            marks.append(f"{s} {k.one('GL', 'GL', 'GL 5mm') if hit else 'NVL'}" if s else k.one("NE", "NE", ""))
        res = [k.one(k.one("NT", "NT", ""))] * 3
        for j, m in enumerate(("histology", "pcr", "culture")):
            o = p.outcome(m)
            if o == "MAC":
                res[j] = k.one("MAC", "M. avium complex", "M. fortuitum")
            elif o:
                res[j] = k.one(*lab[o])
        d = p.day
        date = k.one(f"{d:%m/%d/%y}", f"{d:%m/%d/%y}", f"{d.month}/{d.day}/{d:%y}")
        got = f"{d + dt.timedelta(rng.randint(12, 90)):%m/%d/%y}" if p.samples else ""
        sex = k.sex(p, ("F", "F", "Sow"), ("M", "M", "Boar", "Barrow"), ("U", ""))
        animal, note = k.one("Feral swine", "Feral swine", "Feral hog", "SWINE"), k.one("", "", "", "night op, thermal", "trap 2, \"big one\"", "field dressed")
        if p.kind == "nodate":
            date = k.one("", "UNK", "00/00/19")
        if p.kind == "other":
            animal, note = k.one("White-tailed deer", "Coyote", "Raccoon"), ""
        if p.kind == "void":
            note = k.one("VOID", "VOID - dup entry")
        la, lo = f"{lat:.5f}", f"{-lon:.5f}"
        if p.kind == "nopos":
            la, lo = k.one((la, ""), ("", lo))
        row = t.add(tag, date, animal, la, lo, acc, rng.randint(3, 120), sex, word, *marks, *res, got, k.one("Unit A", "Unit B", "Unit C"), note)
        if p.kind == "pig":
            feet = acc.strip("~").replace("UNK", "")
            k.truth(file, "", row, tag, d.isoformat(), (lat, lon), f"{int(feet) * 0.3048:.1f}" if feet else "", p, age)
        if i in (20, 41):
            t.add(*[""] * 18)
    t.add("Total killed", i, *[""] * 16)
    t.add("Prepared by: D.H.", "01/06/20", *[""] * 16)
    t.save(k.dir / file)
    finish(k, ["dates are month first with a two-digit year (2019); the day is Date Killed", "Long (W) is west and has no sign; WGS 84",
              "GPS Acc is in feet; Elev is no accuracy", "B = both sides, L = left, R = right before the finding; NE or empty = not examined",
              "GL = gross lesion, NVL = no visible lesion", "ages are years: 1 1/2 is 18 months, 2+ and >3 have no upper limit, <0.5 is 0 to 6 months",
              "the samples were taken in the order Histo, PCR, Culture", "MAC, M. avium complex and M. fortuitum are other mycobacteria, negative",
              "PEND = pending, INC and Inconcl = inconclusive, NT = not tested; UNK and U = unknown", "barrow = castrated male; VOID rows do not count"],
             ["accuracy and elevation in feet", "side and finding in one cell", "three test columns", "two-digit years, a second date column",
              "unsigned western longitude", "remarks with commas and quotes", "blank rows, total, signature"], "EPSG:32615")


# 5 ------------------------------------------------------------------------------------------------
def district_italian():
    k = keeper("district-italian", "a hunting district", "Italian")
    rng, book, file = k.rng, workbook(), "battute cinghiale 2022-23.xlsx"
    page = Page(book, "Battute")
    page.add("Distretto di caccia Valpirona - capi abbattuti e controllo TBC, stagione 2022/23", bold=True, merge=[(1, 13)])
    page.add("striato: fino a 6 mesi; rosso: 6-12 mesi; giovane: 12-24 mesi; adulto: oltre 24 mesi      + lesione / - assente / nd", merge=[(1, 13)])
    header = ("Giorno", "Fascetta", "Specie", "Sesso", "Classe", "Lat. N", "Long. E", "Incert. m", "Mandib.", "Retrof.", "Parot.", "PCR", "Coltura", "Note")
    page.add(*header, bold=True)
    bands = (("striato", 0, 6), ("rosso", 6, 12), ("giovane", 12, 24), ("adulto", 24, ""))
    lab = {"positive": ("+", "+", "+ M. bovis"), "negative": ("-",), "MAC": ("- (M. avium)", "- MNT"), "pending": ("in corso", "in attesa"),
           "inconclusive": ("dubbio", "+/-")}
    lab_pcr = {**lab, "positive": ("+",)}
    animals = k.animals(47, "2022-10-02", "2023-01-29", (43.7, 9.4), [MAND, RETRO, PAR], ["pcr", "culture"], 2, both_only=True,
                        other=3, void=3, nopos=2, tested=0.3)
    blocks = []
    while animals:
        size = rng.randint(1, 6)
        blocks.append(animals[:size])
        animals = animals[size:]
    days, seen = [], dt.date(2022, 9, 30)
    for b in blocks:
        d = max(b[0][1].day, seen + dt.timedelta(1))
        while d.weekday() not in (2, 5, 6):
            d += dt.timedelta(1)
        seen = d
        days.append(d)
    names = ("lun", "mar", "mer", "gio", "ven", "sab", "dom")
    lost = len(blocks) // 2
    for b, (block, day) in enumerate(zip(blocks, days)):
        start = page.row + 1
        shown = k.one(day, day, f"{names[day.weekday()]} {day:%d/%m/%Y}")
        if b == lost:
            shown = "data non rilevata"
        for j, (i, p) in enumerate(block):
            p.day = day
            if b == lost and p.kind == "pig":
                p.kind = "nodate"
                k.counts["nodate"] += 1
            tag = f"VP {700 + i}"
            lat, lon = round(p.lat, 5), round(p.lon, 5)
            acc = k.one(5, 10, 20, "ca. 30", "", "nd")
            word, age = banded(p.age, bands)
            if p.noage:
                word, age = k.one("", "nd"), ("", "")
            hit = {g for g, _ in p.lesions}
            marks = [("+" if g in hit else "-") if p.nodes[g] else k.one("nd", "nd", "nd", "") for g in (MAND, RETRO, PAR)]
            got = [k.one(*(lab_pcr if m == "pcr" else lab)[p.outcome(m)]) if p.outcome(m) else k.one("nd", "nd", "") for m in ("pcr", "culture")]
            species, sex = k.one("cinghiale", "cinghiale", "Cinghiale"), k.sex(p, ("F", "F", "f"), ("M", "M", "m"), ("nd", ""))
            note = k.one("", "", "", "", "posta 4", "recuperato con cane", "trofeo")
            if p.kind == "other":
                species, marks = k.one("capriolo", "daino", "volpe"), ["nd"] * 3
            if p.kind == "void":
                note = k.one("ANNULLATO", "annullata - fascetta doppia")
            cells = [lat, lon]
            if p.kind == "nopos":
                cells = k.one([lat, ""], ["", lon])
            elif rng.random() < 0.15:
                cells = [f"{v:.5f}".replace(".", ",") for v in cells]
            row = page.add(shown if j == 0 else "", tag, species, sex, word, *cells, acc, *marks, *got, note, strike=p.kind == "void")
            if p.kind == "pig":
                k.truth(file, "Battute", row, tag, day.isoformat(), (lat, lon), str(acc).replace("ca. ", "").replace("nd", ""), p, age)
        if len(block) > 1:
            page.sheet.merge_cells(start_row=start, end_row=page.row, start_column=1, end_column=1)
        page.add("", f"Totale giornata: {len(block)}", merge=[(2, 4)])
        if b % 3 == 2:
            page.add()
    page.add("TOTALE STAGIONE", i)
    page.add("Il caposquadra (firma illeggibile)")
    save_book(book, k.dir / file)
    finish(k, ["the day in a merged cell holds for every animal of its block, down to Totale giornata; dates are day first",
              "a block with data non rilevata has no date", "under Mandib., Retrof., Parot. + is a lesion, - none, nd or empty not examined; each speaks for both sides",
              "under PCR and Coltura + is positive, - negative, nd or empty not done", "M. avium and MNT are other mycobacteria, negative",
              "in corso and in attesa = pending; dubbio and +/- = inconclusive", "PCR was done before the culture",
              "age classes are in the second line; adulto has no upper limit", "nd elsewhere = not recorded; ca. = about; metres; WGS 84", "annullato = withdrawn; struck through"],
             ["day cells merged down over their block, some days as text with the weekday", "a total after each day, blank rows between some blocks",
              "one symbol set for glands and for tests", "some coordinates as text with a decimal comma", "struck-through void rows, other species, season total, signature"],
             "EPSG:32632")


SHEETS = [government_australian, community_spanish, park_french, state_us, district_italian]
