"""Eight further sheets that the reader had not seen when they were made."""
import datetime as dt

from tools import *


def keeper(name, who, language):
    return Keeper(name, who, language, "second holdout " + name + "2" * (name in ("tenant-german", "overseas-french", "ranger-pacific")))


def finish(k, facts, messes, note=""):
    k.finish(facts, messes)


# 1 ------------------------------------------------------------------------------------------------
def trust_irish():
    k = keeper("trust-irish", "a wildlife trust whose volunteers bring carcases to a vet", "English (Ireland)")
    rng, book, file = k.rng, workbook(), "Carcase log Inishcorran.xlsx"
    page, key = Page(book, "Log 2022", "dd/mm/yyyy hh:mm"), Page(book, "Key")
    page.add("Inishcorran feral pig removal - carcase log 2022", bold=True, merge=[(1, 8)])
    header = ("Carcase ref", "Lab ref", "Species", "Killed (date & time)", "Rec'd at PM room", "Townland", "ITM X", "ITM Y", "Fix good to (m)",
              "Sex", "Age", "LNs opened", "PM findings", "Lab: culture / spoligotype", "Volunteer notes")
    page.add(*header, bold=True)
    for s in (("Adult", "24 months or more"), ("Yearling", "12 to 24 months"), ("Juvenile", "under 12 months"), ("NVL", "no visible lesions"),
              ("TBL", "tuberculosis-like lesion"), ("SM / RP / PAR", "submandibular / retropharyngeal / parotid lymph nodes"),
              ("PMND", "post-mortem not done")):
        key.add(*s)
    bands = (("Juvenile", 0, 12), ("Yearling", 12, 24), ("Adult", 24, ""))
    lab = {"positive": ("culture +ve / SB0140", "Culture +ve / SB0130", "culture +ve / spoligotype awaited"),
           "negative": ("culture -ve", "Culture -ve", "culture -ve / n/a"), "MAC": ("culture: M. avium", "M. avium, not bovis"),
           "pending": ("in culture", "Culture set up, awaited"), "inconclusive": ("culture contaminated", "Inconclusive - culture overgrown")}
    full, short = {MAND: "submandibular", RETRO: "retropharyngeal", PAR: "parotid"}, {MAND: "SM", RETRO: "RP", PAR: "PAR"}
    lines = []
    for i, p in k.animals(56, "2022-01-09", "2022-11-20", (54.7, -10.1), [MAND, RETRO, PAR], ["culture"], other=4, void=3, nodate=2, nopos=1):
        e, n, place = grid(2157, p)
        acc = k.one(5, 10, 10, "c. 50", "c. 25", "", "n/k")
        word, age = banded(p.age, bands)
        word = k.one(word, word, word, word.lower(), word + " ")
        if p.noage:
            word, age = k.one("", "n/k"), ("", "")
        cut = [f"{short[g]} {k.one('L+R', 'L+R', 'both')}" if len(s) == 2 else f"{short[g]} {min(s)} only" for g, s in p.nodes.items() if s]
        opened = ", ".join(cut) or k.one("none", "None - head not recovered")
        if len(cut) == 3 and p.examined().count(" ") == 0 and rng.random() < 0.5:
            opened = k.one("SM, RP, PAR all L+R", "SM + RP + PAR (both sides)")
        where = k.one(" and ", " & ").join(f"{s} {full[g]}" for g, s in p.lesions)
        found = {"yes": "TBL " + where + k.one("", "", ", caseous", ", pea-sized"), "": k.one("PMND", ""),
                 "no": k.one("NVL", "NVL", "No visible lesions", "no visible lesions", "NVL. Old shot wound L ear", "NVL (lungworm)")}[p.gross()]
        when = dt.datetime(p.day.year, p.day.month, p.day.day, rng.randint(5, 22), rng.randrange(0, 60, 5))
        got = p.day + dt.timedelta(rng.randint(0, 3))
        date = when if rng.random() > 0.1 else f"{p.day.day} {p.day:%B %Y}, {k.one('dusk', 'time n/k', 'morning')}"
        if p.kind == "nodate":
            date, got = k.one("not recorded", "Spring"), ""
        species, sex = k.one("Feral pig", "Feral pig", "Pig", "feral pig"), k.sex(p, ("Female", "Female", "Sow", "F"), ("Male", "Male", "Boar", "M"), ("Indet.", ""))
        res = k.one(*lab[p.samples[0][1]]) if p.samples else k.one("", "", "Not submitted")
        note = k.one("", "", "", "", "walker reported", "near the old pier", "2nd of a pair", "cage 4", "ears tattered, see photo")
        if p.kind == "other":
            species, word, opened, found = k.one("Badger", "Fallow deer", "Fox"), "Adult", k.one("RP L+R", "none"), k.one("NVL", "")
        if p.kind == "void":
            note = k.one("VOID - duplicate of previous", "Entry withdrawn, wrong carcase")
        ref = f"IC/22/{i:03d}"
        row = page.add(ref, f"K{4100 + i * 7}" if p.samples else "", species, date, got, k.one("Knockavarla", "Illaunshee", "Toberquill"), e,
                       "" if p.kind == "nopos" else n, acc, sex, word, opened, found, res, note, strike=p.kind == "void")
        if p.kind == "pig":
            k.truth(file, "Log 2022", row, ref, p.day.isoformat(), place, str(acc).strip("c. ").replace("n/k", ""), p, age)
        if i in (22, 45):
            page.add()
        if i == 45:
            page.add(*header, bold=True)
    page.add()
    page.add("Total carcases", "", i)
    page.add("Checked: M.O'T., 2/12/22")
    save_book(book, k.dir / file)
    finish(k, ["ITM is Irish Transverse Mercator (EPSG:2157)", "the day is that of Killed, not of Rec'd at PM room; days come before months",
              "the Key sheet gives the age classes and abbreviations", "L+R and both are both sides; L only, R only one side; `all L+R` speaks for each gland before it",
              "SB0140, SB0130 are spoligotypes of M. bovis; a spoligotype still awaited does not alter a positive culture",
              "the other mycobacteria (M. avium) are negative and come from culture", "in culture = pending; contaminated and overgrown = inconclusive",
              "TBL is a lesion, NVL none whatever else is remarked", "the fix is in metres; c. is circa; n/k = not known; Indet. = sex unknown"],
             ["real date and time cells, some as text with a word for the time", "a second date column (receipt)", "a lab number beside the carcase ref",
              "glands and sides in one cell", "findings and lab as free text", "key on a sheet of its own", "header again, blank rows",
              "struck-through void rows, other species, total and signature"],
             "date-time cells, ITM, findings as free text, spoligotypes")


# 2 ------------------------------------------------------------------------------------------------
def overseas_french():
    k = keeper("overseas-french", "a rural-affairs office of an overseas island", "French (Pacific)")
    rng, t, file = k.rng, Text(";"), "cochons_motu_2022.csv"
    header = ("Fiche", "Date de capture", "Vallée", "Latitude", "Longitude", "Préc. GPS", "Bête", "Sexe", "Tranche d'âge", "GL RP", "GL SM", "GL P",
              "Reçu au labo le", "PCR / culture", "Obs.")
    t.add("Suivi tuberculose - cochons ensauvagés")
    t.add("GL RP / SM / P : 0 = vu, rien ; 1 = nodule ; 2 = ganglion détruit ou caséeux ; NE = non examiné")
    t.add()
    t.add(*header)
    months = ("janv.", "févr.", "mars", "avr.", "mai", "juin", "juil.", "août", "sept.", "oct.", "nov.", "déc.")
    bands = (("0-6 mois", 0, 6), ("6-12 mois", 6, 12), ("1-2 ans", 12, 24), ("+ de 2 ans", 24, ""))
    lab = {("pcr", "positive"): ("PCR +", "PCR pos."), ("pcr", "negative"): ("PCR –", "PCR nég."), ("pcr", "pending"): ("PCR en cours",),
           ("pcr", "inconclusive"): ("PCR douteuse",), ("culture", "positive"): ("culture + (M. bovis)", "culture +"),
           ("culture", "negative"): ("culture –", "culture nég."), ("culture", "MAC"): ("culture M. avium",),
           ("culture", "pending"): ("culture en cours",), ("culture", "inconclusive"): ("culture contaminée",)}
    for i, p in k.animals(61, "2022-01-20", "2022-12-12", (-24.3, -151.9), [RETRO, MAND, PAR], ["pcr", "culture"], 2, both_only=True, tested=0.3,
                          other=5, void=2, nodate=2, nopos=2):
        def ddm(v, letter):
            m = round(abs(v) * 60 * 1000)
            return f"{m // 60000}° {m % 60000 // 1000:02d},{m % 1000:03d}'" + k.one(" ", "", " ") + letter, m / 60000
        (la, lat), (lo, lon) = ddm(p.lat, "S"), ddm(p.lon, "O")
        prec = k.one("5 m", "8 m", "12 m", "20m", "", "?")
        word, age = banded(p.age, bands)
        if p.noage:
            word, age = k.one("", "NR", "?"), ("", "")
        score = ["NE" if not s else max([min(v, 2) for (gg, _), v in p.lesions.items() if gg == g], default=0) for g, s in p.nodes.items()]
        mon = months[p.day.month - 1]
        date, iso = f"{k.one('', '', '0') if p.day.day < 10 else ''}{p.day.day} {mon} {p.day.year}", p.day.isoformat()
        if p.day.day == 1:
            date = f"1er {mon} {p.day.year}"
        if rng.random() < 0.08:
            date, iso = f"{mon} {p.day.year}", f"{p.day:%Y-%m}"
        if p.kind == "nodate":
            date = k.one("31 juin 2022", "NR", "?")
        beast, sex = k.one("cochon", "cochon", "Cochon", "cochon sauvage"), k.sex(p, ("F", "femelle", "truie"), ("M", "mâle", "verrat", "mâle castré"), ("NR", ""))
        res = k.one(" / ", " / ", " puis ").join(k.one(*lab[s]) for s in p.samples) if p.samples else k.one("", "", "non prélevé")
        obs = k.one("", "", "", "", "chiens", "piège", "tête abîmée", "crête, au-dessus du captage")
        if p.kind == "other":
            beast, word, score = k.one("cabri", "chien errant", "chat haret"), "", ["NE", "NE", "NE"]
        if p.kind == "void":
            obs = k.one("ANNULÉ", "annulé, doublon")
        got = f"{p.day + dt.timedelta(rng.randint(1, 6)):%d/%m/%Y}" if p.samples and p.kind != "nodate" else ""
        tag = f"{i:03d}-22"
        row = t.add(tag, date, k.one("Haapure", "Vaitorea", "Puna'e"), la, "" if p.kind == "nopos" else lo, prec, beast, sex, word, *score, got, res, obs)
        if p.kind == "pig":
            k.truth(file, "", row, tag, iso, (-lat, -lon), prec.strip(" m?"), p, age)
        if i in (18, 40):
            t.add(*[""] * len(header))
            t.add(*header)
    t.add()
    t.add("Total", f"{i} bêtes")
    t.add("Visa du chef de secteur :", "H.T.")
    t.save(k.dir / file)
    finish(k, ["O in a longitude is ouest, west", "RP = retropharyngeal, SM = submandibular (mandibular), P = parotid; a code speaks for both sides",
              "0 is seen without lesion, 1 and 2 are lesions, NE is not examined", "+ de 2 ans is over 24 months, without an upper limit",
              "the first named test was done first, PCR before culture", "– behind a test is negative; + is positive; douteuse and contaminée = inconclusive; en cours = pending",
              "M. avium is another mycobacterium; non prélevé = not tested", "NR = not recorded", "the date is that of the capture; a month without a day is that month"],
             ["semicolons, UTF-8 without BOM", "title and legend above the header", "French month abbreviations, 1er, some dates only a month",
              "degrees and decimal minutes with decimal comma", "PCR and culture in one cell", "en dash as minus", "header again, blank rows",
              "a second date column (receipt)", "other species, void rows, total and signature"],
             "degrees and decimal minutes with O, per-gland codes 0/1/2, two tests in one cell")


# 3 ------------------------------------------------------------------------------------------------
def hunters_south_american():
    k = keeper("hunters-patagonian", "a hunters' club that sends heads to a provincial laboratory", "Spanish (Argentina)")
    rng, book, file = k.rng, workbook(), "chanchos temporada 21.xlsx"
    page, labs = Page(book, "Capturas", "dd/mm/yy"), Page(book, "Lab", "dd/mm/yy")
    page.add("Club Los Algarrobillos - temporada 2021", bold=True)
    page.add("Edad a ojo: lechón hasta 4 meses / cachorro 4 a 10 meses / nuevo 10 a 20 meses / adulto 20 a 48 meses / viejo más de 48 meses")
    header = ("Fecha", "Hora", "N° caravana", "Cazador", "Bicho", "Sexo", "Peso kg", "Edad", "Latitud S", "Longitud O", "Margen GPS", "Ganglios revisados", "Se vio", "Obs.")
    page.add(*header, bold=True)
    labs.add("Caravana", "Recibido", "Protocolo", "Técnica", "Resultado", bold=True)
    bands = (("lechón", 0, 4), ("cachorro", 4, 10), ("nuevo", 10, 20), ("adulto", 20, 48), ("viejo", 48, ""))
    words = {"positive": ("Positivo", "POSITIVO"), "negative": ("Negativo", "negativo", "NEG"), "MAC": ("MAC", "M. avium"),
             "pending": ("en proceso", "Pendiente"), "inconclusive": ("dudoso", "No concluyente")}
    methods = {"pcr": ("PCR", "PCR IS6110"), "culture": ("Cultivo", "cultivo"), "histology": ("Histopatología", "histopato")}
    short, protocol, rows = {MAND: "SM", RETRO: "RF", PAR: "parot."}, 2210, []
    for i, p in k.animals(64, "2021-03-13", "2021-09-26", (-41.6, -64.1), [MAND, RETRO + "*", PAR], ["histology", "pcr", "culture"], 3, tested=0.25,
                          other=5, void=2, nodate=1, nopos=2):
        lat, lon = round(abs(p.lat), 5), round(abs(p.lon), 5)
        comma = rng.random() < 0.2
        wlat, wlon = (f"{lat:.5f}".replace(".", ","), f"{lon:.5f}".replace(".", ",")) if comma else (lat, lon)
        margin = k.one("5 m", "10 m", "10m", 15, "s/d", "")
        word, age = banded(p.age, bands)
        word = k.one(word, word, word.capitalize())
        if p.noage:
            word, age = k.one("s/d", ""), ("", "")
        cut = [short[g] + ("" if len(s) == 2 else {"L": " izq", "R": " der"}[min(s)]) for g, s in p.nodes.items() if s]
        looked = k.one(", ", " + ", ", ").join(cut) or k.one("ninguno", "no se revisó")
        g0 = next(iter(p.lesions), (None, "L"))
        seen = {"yes": k.one("granuloma", "foco caseoso", "pus y calcificado") + f" en {short.get(g0[0], '')}"
                + ("" if g0[0] == RETRO else {"L": " izq", "R": " der"}[g0[1]]), "no": k.one("nada", "nada", "Nada", "sin novedad"), "": k.one("", "-")}[p.gross()]
        date = p.day if rng.random() < 0.15 else f"{p.day:%d/%m/%y}"
        if p.kind == "nodate":
            date = "s/d"
        animal, sex = k.one("chancho", "chancho", "jabalí", "Jabalí", "cruza"), k.sex(p, ("hembra", "hembra", "chancha"), ("macho", "macho", "padrillo", "capón"), ("s/d", ""))
        if p.kind == "other":
            animal, word, looked, seen, sex = k.one("ciervo colorado", "guanaco", "zorro gris"), "adulto", k.one("ninguno", "RF"), k.one("nada", ""), k.one("macho", "hembra")
        obs = k.one("", "", "", "", "con perros", "apostado", "preñada" if p.sex == "female" and p.age > 10 else "", "cabeza al frigorífico")
        if p.kind == "void":
            obs = k.one("ANULADA", "anulada, se anotó dos veces")
        tag = f"LA-{i:04d}"
        weight = round(min(130, 4 + p.age * 2.6 + rng.gauss(0, 5))) if rng.random() > 0.1 else ""
        row = page.add(date, f"{rng.randint(6, 23)}:{rng.randrange(0, 60, 10):02d}", tag, k.one("Beto", "R.Q.", "Nacho P."), animal, sex, max(3, weight) if weight else "", word,
                       wlat, "" if p.kind == "nopos" else wlon, margin, looked, seen, obs, strike=p.kind == "void")
        if p.kind == "pig":
            k.truth(file, "Capturas", row, tag, p.day.isoformat(), (-lat, -lon), str(margin).strip(" m").replace("s/d", ""), p, age)
        late = rng.choice([0.1, 1.5])
        for j, (m, o) in enumerate(p.samples):
            protocol += rng.randint(1, 3)
            rows.append((i + j * late, j, (k.one(i, f"LA {i}", f"{i:04d}", f"la{i:04d}", f"LA-{i:04d}"),
                        p.day + dt.timedelta(5 + 9 * j), f"P-{protocol}", k.one(*methods[m]), k.one(*words[o]))))
        if i == 37:
            page.add()
            page.add("Segunda parte (desde julio)", bold=True)
    page.add()
    page.add("Total bichos", "", i)
    page.add("Anotó: R.Q.")
    rows.append((50.3, 0, ("LA 212", dt.date(2021, 8, 19), "P-1999", "Cultivo", "Negativo")))
    for r in sorted(rows, key=lambda r: (r[0], r[1])):
        labs.add(*r[2])
    save_book(book, k.dir / file)
    finish(k, ["the sheets belong together: LA-0012 is `12`, `0012`, `LA 12`, `la0012` or `LA-0012` under Caravana", "dates are day first", "latitudes are south, longitudes (O, oeste) west; a comma is a decimal comma",
              "SM = submandibular (mandibular), RF = retropharyngeal, parot. = parotid; izq left, der right; without a side both sides", "cruza is a cross of boar and pig and counts; guanaco, ciervo and zorro do not",
              "capón = castrated male, padrillo = male, chancha = female", "the samples of an animal were taken in the order of their rows in Lab; LA 212 belongs to another season",
              "dudoso and No concluyente = inconclusive; MAC and M. avium = negative", "s/d = not recorded; anulada = withdrawn"],
             ["two sheets joined on the tag, the tag written differently, once as a number", "date cells and text dates with two-digit years", "the tag is the third column",
              "unsigned decimal degrees, some as text with a comma", "units in some radius cells", "weights beside ages", "age words with a legend above the header",
              "up to three samples of one animal, some rows further down", "a section row, blank rows", "other species, void rows, total and signature"],
             "unsigned degrees, age words by eye, lab sheet joined on differently written tags")


# 4 ------------------------------------------------------------------------------------------------
def block_operator():
    k = keeper("block-operator-nz", "a man who hunts several bush blocks under contract", "English (NZ)")
    rng, t, file = k.rng, Text("\t", "\n", raw=True), "heads by block 2019.tsv"
    t.add("Pig heads 2019, by block (all 2019)")
    t.add("tick = opened both sides, tick L or tick R = that side only")
    header = ("hd", "day", "E/N (NZTM2000)", "gps +-m", "b/s", "age", "submand", "retro", "parotid", "lesion?", "lab test", "came back", "notes")
    blocks = ("Blunt Saddle", "Tarapunga Face", "Lower Skite", "The Shingles")
    lab = {"positive": ("TB", "pos", "POS bovis"), "negative": ("clear", "neg", "clear"), "MAC": ("avium", "MAC"), "pending": ("waiting", "not back"),
           "inconclusive": ("unclear", "no call")}
    block = 0
    for i, p in k.animals(66, "2019-02-03", "2019-11-24", (-44.6, 170.9), [MAND, RETRO, PAR], ["culture", "pcr"], other=4, void=2, nodate=1, nopos=2):
        if i in (1, 21, 43, 60):
            if block:
                t.add()
            t.add(blocks[block] + k.one(" block", ""))
            block += 1
            if block in (1, 3):
                t.add(*header)
        e, n, place = grid(2193, p)
        pos = k.one(f"{e} {n}", f"{e} {n}", f"{e}/{n}", f"{e}, {n}", f"E{e} N{n}")
        if p.kind == "nopos":
            pos = k.one(f"{e} ?", "no sig")
        m = k.one("4", "6", "10", "25", "", "-")
        a = p.age
        if a < 6:
            shown, age = k.one((f"{a}m", (a, a)), ("<6m", (0, 6)))
        elif a < 12:
            shown, age = k.one((f"{a}m", (a, a)), (f"{a} mths", (a, a)), (f"{a}-{a + 2}m", (a, a + 2)))
        elif a < 24:
            shown, age = k.one((f"{a} mths", (a, a)), ("1-2yr", (12, 24)), ("18 mths", (18, 18)), ("1½yr", (18, 18)))
        else:
            y = a // 12
            shown, age = k.one((f"{y}yr", (y * 12,) * 2), (f"{y} yr", (y * 12,) * 2), (f"{y}-{y + 1} yrs", (y * 12, y * 12 + 12)), (f"{y}yr+", (y * 12, "")))
        if p.noage:
            shown, age = k.one("", "?"), ("", "")
        tick = lambda s: {2: "✓", 0: k.one("", "", "x")}.get(len(s)) or ("✓ L" if s == {"L"} else "✓ R" if s == {"R"} else "")
        les = {"yes": k.one("Y", "yes", "y - photo"), "no": k.one("n", "n", "N", "no"), "": k.one("", "-")}[p.gross()]
        date = k.one(f"{p.day.day} {p.day:%b}", f"{p.day.day} {p.day:%b}", f"{p.day:%a} {p.day.day} {p.day:%b}", f"{p.day.day}/{p.day.month}")
        if p.kind == "nodate":
            date = "last wk?"
        sex = k.sex(p, ("s", "s", "sow"), ("b", "b", "boar", "barrow"), ("?", ""))
        ticks = [tick(s) for s in p.nodes.values()]
        test, res = (k.one(*{"culture": ("culture", "cult"), "pcr": ("PCR",)}[p.samples[0][0]]), k.one(*lab[p.samples[0][1]])) if p.samples else ("", "")
        if p.kind == "other":
            sex, shown, ticks, les = k.one("stag", "possum", "billy goat", "ferret"), "", ["", k.one("✓", ""), ""], "n"
        note = k.one("", "", "", "", "Moss bailed it", "on the \"flat", "5\" tusk", "head only", "truck side")
        if p.kind == "void":
            note = k.one("scrub this one", "VOID wrong head")
        row = t.add(i, date, pos, m, sex, shown, *ticks, les, test, res, note)
        if p.kind == "pig":
            k.truth(file, "", row, str(i), p.day.isoformat(), place, m.strip("-"), p, age)
    t.add()
    t.add(f"{i} heads all up")
    t.add("G.R.")
    t.save(k.dir / file)
    finish(k, ["the year of all dates is in the title, 2019", "NZTM2000 = EPSG:2193, easting before northing", "dates such as 12/3 are day first", "✓ is opened on both sides, ✓ L and ✓ R one side; x or an empty cell is not opened",
              "b = boar (male), s = sow (female), barrow = castrated male; another animal in that column is no pig", "m and mths are months, yr and yrs years; 3yr+ has no upper limit",
              "clear = negative; TB and bovis = positive; waiting and not back = pending; unclear and no call = inconclusive", "avium and MAC are other mycobacteria", "scrub this one = void",
              "y - photo is a lesion"],
             ["tabs, no quoting, stray inch marks and quotes", "title and legend above the header", "block names as rows of one cell, header under some of them only", "dates without a year, three ways",
              "easting and northing in one cell, five ways, no position as words", "ticks with a side", "ages in months and years mixed", "other species in the sex column", "void rows, blank lines, count and initials"],
             "year in the title only, grid in one cell, ticks, block rows")


# 5 ------------------------------------------------------------------------------------------------
def tenant_german():
    k = keeper("tenant-german", "the tenant of a hunting ground, from his own spreadsheet", "German")
    rng, t, file = k.rng, Text(","), "Wildbuch Sauen.csv"
    width = 18
    pad = lambda *c: t.add(*c, *[""] * (width - len(c)))
    pad("Wildbuch Revier Moorlinde, Sauen mit TBC-Probe")
    pad()
    header = ("Nr.", "Datum", "Uhrzeit", "Ort", "Breite", "Länge", "± m", "Stück", "aufgebr. kg", "Alter", "LK mand.", "LK parot.", "LK retro.",
              "Veränderung", "TBC-Befund", "Bemerkung")
    pad(*header)
    lab = {"positive": ("pos.", "pos.", "POS."), "negative": ("neg.", "neg.", "neg"), "MAC": ("M. avium", "MAC"), "pending": ("offen", "offen", "offen (Labor)"),
           "inconclusive": ("unklar", "nicht eindeutig")}
    days, last, dated = "Mo Di Mi Do Fr Sa So".split(), None, False
    for i, p in k.animals(55, "2023-01-14", "2023-12-20", (53.9, 7.3), [MAND, PAR, RETRO], ["culture"], other=6, void=2, nodate=1, nopos=1):
        if i not in (1, 21, 45) and rng.random() < 0.13 and p.kind != "nodate" and dated:
            p.day, date = last, k.one("dto.", "dto.", "\"")
        else:
            date = k.one(f"{p.day.day}.{p.day.month}.{p.day.year}", f"{p.day:%d.%m.%Y}", f"{p.day:%d.%m.%y}", f"{days[p.day.weekday()]} {p.day:%d.%m.%y}")
        if p.kind == "nodate":
            date = "verg."
        last, dated = p.day, p.kind != "nodate"
        lat, lon = f"{p.lat:.4f}", f"{p.lon:.4f}"
        m = k.one("5", "10", "15", "7,5", "", "?")
        a = p.age
        if a < 12:
            shown, age = k.one((f"{a} Mon.", (a, a)), ("< 1 J.", (0, 12)), ("0,5 J.", (6, 6)))
        elif a < 24:
            shown, age = k.one(("1 J.", (12, 12)), ("1,5 J.", (18, 18)), ("1-2 J.", (12, 24)), (f"{a} Mon.", (a, a)))
        else:
            y = a // 12
            shown, age = k.one((f"{y} J.", (y * 12,) * 2), (f"{y}-{y + 1} J.", (y * 12, y * 12 + 12)), ("über 2 J.", (24, "")), (f"ca. {y} J.", (y * 12,) * 2))
        if p.noage:
            shown, age = k.one("", "?"), ("", "")
        side = lambda s: "b" if len(s) == 2 else {"L": "l", "R": "r"}[min(s)] if s else "-"
        g = next(iter(p.lesions), (MAND, "L"))
        les = {"yes": k.one("ja", "ja", "Knoten", "verkäst") + k.one("", f" ({({MAND: 'mand.', PAR: 'parot.', RETRO: 'retro.'})[g[0]]} {g[1].lower()})"),
               "no": k.one("keine", "keine", "nein"), "": k.one("", "-")}[p.gross()]
        piece = k.sex(p, ("Bache", "Bache", "Bache"), ("Keiler", "Keiler", "keiler"), ("Sau (m/w?)", "Schwarzwild"))
        kg = f"{max(8, 10 + a * 1.4 + rng.gauss(0, 4)):.1f}".replace(".", ",")
        sides = [side(s) for s in p.nodes.values()]
        if p.kind == "other":
            piece, sides, les = k.one("Rehbock", "Fuchs", "Dachs", "Ricke"), ["-"] * 3, ""
        res = k.one(*lab[p.samples[0][1]]) if p.samples else k.one("", "", "k. Probe")
        note = k.one("", "", "", "", "Ansitz", "Mais, Treiber", "Haupt zerschossen, \"Hasso\"", "an Metzger\nabgegeben")
        if p.kind == "void":
            note = k.one("gestrichen", "gestrichen, falsche Nr.")
        row = pad(i, date, f"{rng.choice([5, 6, 19, 20, 21, 22])}:{rng.randrange(60):02d} Uhr", k.one("Kanzel 3", "Kanzel 5", "Wiese", "Bruch"), lat.replace(".", ","),
                  "" if p.kind == "nopos" else lon.replace(".", ","), m, piece, kg, shown, *sides, les, res, note)
        if p.kind == "pig":
            k.truth(file, "", row, str(i), p.day.isoformat(), (float(lat), float(lon)), m.strip("?").replace(",", "."), p, age)
        if i in (20, 44):
            pad()
    pad()
    pad("Summe", "", "", "", "", "", "", i)
    pad("gez. W. T.")
    t.save(k.dir / file)
    finish(k, ["dates are day first; the weekday before them is only a help", "dto. and \" under Datum mean the date of the row above", "Breite is north, Länge east, WGS 84, decimal comma",
              "LK mand., parot., retro. = mandibular, parotid, retropharyngeal nodes", "b = both sides, l = left, r = right, - = not examined",
              "J. = years, Mon. = months; ca. does not matter; über 2 J. has no upper limit", "TBC-Befund is a culture; offen = pending; unklar and nicht eindeutig = inconclusive; M. avium and MAC = negative; k. Probe = no sample",
              "Bache = female, Keiler = male; Sau (m/w?) and Schwarzwild are pigs of unknown sex", "Knoten and verkäst are lesions", "gestrichen = withdrawn"],
             ["commas between the columns, decimal commas in quotes", "empty columns at the right, as a spreadsheet pads", "dates in four ways, ditto marks", "line breaks in remarks",
              "weight beside age", "sex only in the name of the animal", "b / l / r / - under each gland", "other species, withdrawn rows, blank rows, sum and initials"],
             "comma CSV with decimal commas, ditto dates, b/l/r/-, sex in the animal word")


# 6 ------------------------------------------------------------------------------------------------
def lims_spanish():
    k = keeper("lims-spanish", "a regional animal-health laboratory, exported from its database", "Spanish (Spain)")
    rng, file = k.rng, "EXP_SUIDOS_TB_2023.csv"
    t = Text("|", "\r\n")
    header = ("Informe", "Nº animal", "Estado", "Especie", "Sexo", "Edad (meses) desde", "Edad (meses) hasta", "Fecha recepción", "Fecha captura", "Fecha informe",
              "Municipio", "Coord. X ETRS89 H30", "Coord. Y ETRS89 H30", "Precisión coord. (m)", "LN_MAND_IZQ", "LN_MAND_DCH", "LN_RETRO", "LN_PAROT", "Lesión compatible TB",
              "qPCR_1", "qPCR_2", "Cultivo_final")
    t.add(*header)
    tail = " 00:00:00.000"
    pcr = {"positive": ("POSITIVO", "POSITIVO (Ct 31,2)", "POSITIVO (Ct 28,7)"), "negative": ("NEGATIVO", "NO DETECTADO"), "pending": ("EN CURSO",),
           "inconclusive": ("DUDOSO", "INDETERMINADO")}
    cult = {"positive": ("M. bovis", "MTBC - M. bovis"), "negative": ("SIN CRECIMIENTO", "NEGATIVO"), "MAC": ("M. avium", "MNT"), "pending": ("EN CURSO",),
            "inconclusive": ("CONTAMINADO",)}
    bands = ((0, 6), (6, 12), (12, 24), (24, 36), (36, 999))
    for i, p in k.animals(72, "2022-10-08", "2023-02-26", (44.4, -3.6), [MAND, RETRO + "*", PAR + "*"], ["pcr", "pcr2", "culture"], 3, tested=0.5,
                          other=4, void=3, nodate=2, nopos=2):
        got = {m: o for m, o in p.samples}
        p.samples = [(m[:3] if m.startswith("pcr") else m, o) for m, o in p.samples]
        proj = Proj("EPSG:25830")
        e, n = (round(v, 2) for v in proj(p.lon, p.lat))
        lon, lat = proj(e, n, inverse=True)
        es = lambda v: f"{v:.2f}".replace(".", ",")
        m = k.one("5", "10", "25", "100", "NULL", "-1")
        lo, hi = next(b for b in bands if p.age < b[1])
        if rng.random() < 0.15 and p.age < 30:
            lo = hi = p.age
        age, shown = (lo, "" if hi == 999 else hi), (lo, hi)
        if p.noage:
            age, shown = ("", ""), ("NULL", "NULL")
        date, iso = p.day.isoformat() + tail, p.day.isoformat()
        if p.kind == "nodate":
            date = k.one("1900-01-01" + tail, "NULL")
        rec = p.day + dt.timedelta(rng.randint(1, 9))
        rep = (rec + dt.timedelta(rng.randint(20, 70))).isoformat() + tail if "pending" not in got.values() else "1900-01-01" + tail
        yes = lambda b: "S" if b else "N"
        species = k.one("JABALI", "JABALI", "JABALÍ", "CERDO ASILVESTRADO") if p.kind != "other" else k.one("CIERVO", "GAMO", "TEJON")
        sexo = k.sex(p, ("HEMBRA",), ("MACHO", "MACHO", "MACHO CASTRADO"), ("NULL", "DESCONOCIDO"))
        tests = [k.one(*pcr[got[c]]) if c in got else "NULL" for c in ("pcr", "pcr2")] + [k.one(*cult[got["culture"]]) if "culture" in got else k.one("NULL", "NULL", "NO SOLICITADO")]
        tag = f"AS{rng.choice('BCF')}{50310 + i}"
        row = t.add(f"2023-{1200 + i * 2}", tag, "ANULADO" if p.kind == "void" else "VALIDADO" if not rep.startswith("1900") else "PARCIAL", species, sexo, *shown, rec.isoformat() + tail, date, rep,
                    k.one("VALDEPRISCO", "TORREMEÑA", "EL ROBLAZO"), es(e), "NULL" if p.kind == "nopos" else es(n), m,
                    yes("L" in p.nodes[MAND]), yes("R" in p.nodes[MAND]), yes(p.nodes[RETRO]), yes(p.nodes[PAR]), {"yes": "SI", "no": "NO", "": "NULL"}[p.gross()], *tests)
        if p.kind == "pig":
            k.truth(file, "", row, tag, iso, (lat, lon), m if m.isdigit() else "", p, age)
    t.add(f"({i} filas afectadas)")
    t.save(k.dir / file, "utf-8-sig")
    finish(k, ["one row is one animal; Nº animal is its mark, Informe only the report", "the day of death is Fecha captura; 1900-01-01 is an empty date", "ETRS89 H30 is ETRS89 / UTM 30N (EPSG:25830), decimal comma",
              "LN_ columns: S = inspected, N = not inspected; izq left, dch right; LN_RETRO and LN_PAROT speak for both sides", "hasta 999 = no upper limit; equal numbers are a single age",
              "a precision of -1 is unknown; NULL is missing everywhere", "the samples were taken in the order qPCR_1, qPCR_2, Cultivo_final", "M. bovis and MTBC are positive; M. avium and MNT (another mycobacterium) negative; SIN CRECIMIENTO negative",
              "DUDOSO, INDETERMINADO and CONTAMINADO = inconclusive; EN CURSO = pending; NO SOLICITADO = not tested", "ANULADO = withdrawn; PARCIAL rows are real animals, not finished"],
             ["UTF-8 with BOM, pipes, CRLF", "three date columns with a useless time, the wrong ones first and last", "three result columns, two of them the same method", "NULL, -1, 999 and 1900-01-01 as blanks",
              "decimal commas", "the mark is the second column", "state of the report in a column", "other species, row count at the foot"],
             "wide export, three tests, three dates, database blanks")


# 7 ------------------------------------------------------------------------------------------------
def ranger_pacific():
    k = keeper("ranger-pacific", "a refuge ranger who types up his field book", "English (US, Pacific)")
    rng, file = k.rng, "Makanoa field book.csv"
    t = Text(",", "\n")
    bands = (("shoat", 0, 6), ("juvenile", 6, 12), ("subadult", 12, 20), ("adult", 20, ""))
    t.add("FIELD BOOK 3 - Makanoa Atoll pigs")
    t.add("ages: shoat 0-6 mo, juvenile 6-12 mo, subadult 12-20 mo, adult over 20 mo")
    header = ("When", "Tag", "What", "Where (GPS)", "give or take", "Head check", "Saw", "Lab", "Misc")
    t.add(*header)
    lab = {("culture", "positive"): ("culture: M. bovis", "culture pos"), ("culture", "negative"): ("culture neg", "culture - no growth"), ("culture", "MAC"): ("culture: MAC",),
           ("culture", "pending"): ("culture - waiting",), ("culture", "inconclusive"): ("culture: overgrown, inconclusive",), ("pcr", "positive"): ("PCR pos", "PCR positive"),
           ("pcr", "negative"): ("PCR neg", "PCR negative"), ("pcr", "pending"): ("PCR - waiting",), ("pcr", "inconclusive"): ("PCR inconclusive",)}
    short = {MAND: "mand", RETRO: "RP", PAR: "parotid"}
    for i, p in k.animals(46, "2020-11-07", "2021-10-30", (23.4, -163.2), [MAND, RETRO, PAR], ["pcr", "culture"], 2, tested=0.3, other=4, void=2, nodate=1, nopos=2):
        dec = k.one(5, 5, 4)
        la, lo = f"{abs(p.lat):.{dec}f}", f"{abs(p.lon):.{dec}f}"
        pos = k.one(f"{la}° N, {lo}° W", f"{la}° N, {lo}° W", f"{la}°N {lo}°W", f"N {la}°, W {lo}°", f"{la}° n {lo}° w")
        if p.kind == "nopos":
            pos = k.one(f"{la}° N", "GPS dead")
        feet = k.one("10", "20", "20", "35", "100", "")
        acc = k.one(f"±{feet} ft", f"±{feet} ft", f"±{feet}ft", f"+/- {feet} feet") if feet else k.one("", "?", "--")
        mon = k.one(f"{p.day:%b}", f"{p.day:%b}", f"{p.day:%b}." if p.day.month != 5 else "May", f"{p.day:%B}")
        date = f"{mon} {p.day.day}{k.one(', ', ', ', ' ')}{p.day.year}"
        if p.kind == "nodate":
            date = "Feb 30, 2021"
        word, age = banded(p.age, bands)
        what = {"female": k.one("sow", "sow", "female"), "male": k.one("boar", "boar", "male", "barrow"), "": k.one("pig, sex?", "pig")}[p.sex]
        shown = k.one(f"{word} {what}", f"{word} {what}", f"{what}, {word}", f"{word.capitalize()} {what}")
        if p.noage:
            shown, age = what, ("", "")
        groups = [("both " if len(s) == 2 else {"L": "left ", "R": "right "}[min(s)]) + short[g] for g, s in p.nodes.items() if s]
        head = ("nodes cut: " + ", ".join(groups)) if groups else k.one("nodes cut: none", "head gone")
        if len(groups) == 3 and all(x.startswith("both") for x in groups) and rng.random() < 0.3:
            head = "nodes cut: all, both sides"
        g = next(iter(p.lesions), (MAND, "L"))
        saw = {"yes": k.one("lesion", "white lumps", "cheesy lesion") + f", {({'L': 'left', 'R': 'right'})[g[1]]} {short[g[0]]}", "no": k.one("nothing", "nothing", "clean", "clean, ticks bad"), "": k.one("", "--")}[p.gross()]
        res = "; then ".join(k.one(*lab[s]) for s in p.samples) or k.one("", "", "none sent")
        misc = k.one("", "", "", "", "snare", "night shoot, \"Bravo\" ridge", "rained, book wet", "stomach: crabs, palm")
        if p.kind == "other":
            shown, head, saw, res = k.one("adult nanny goat", "feral dog", "cat, male"), k.one("not cut", "nodes cut: none"), "", ""
        if p.kind == "void":
            misc = k.one("VOID", "VOID - crossed out in book")
        tag = f"MA{i:02d}"
        row = t.add(date, tag, shown, pos, acc, head, saw, res, misc)
        if p.kind == "pig":
            k.truth(file, "", row, tag, p.day.isoformat(), (float(la), -float(lo)), round(int(feet) * 0.3048, 1) if feet else "", p, age)
        if i in (15, 31):
            t.add()
            t.add(k.one("-- page --", "[book page turned]"))
    t.add()
    t.add(f"that is {i} animals. K.W.")
    t.save(k.dir / file)
    finish(k, ["dates have the month first, as a word", "positions are WGS 84; n and w are north and west", "give or take is in feet", "What holds age class, animal and sex; boar and barrow (castrated) are male, sow is female, pig alone is of unknown sex",
              "mand = mandibular, RP = retropharyngeal, parotid", "`all, both sides` is those three glands", "head gone = nothing examined",
              "`then` joins two samples in the order they were taken", "white lumps and cheesy are lesions; nothing and clean are none", "MAC is negative; waiting = pending; none sent = not tested"],
             ["month names first, with and without comma or stop", "latitude and longitude in one cell with degree sign and letters before or behind", "± and feet in the radius", "age and sex in one cell, in either order",
              "glands with sides in one cell of text", "tag in the second column", "page rows, blank lines", "legend above the header", "other species in the same column, void rows, line at the foot"],
             "everything in words, degrees with letters in one cell, feet with ±")


# 8 ------------------------------------------------------------------------------------------------
def vet_school_portuguese():
    k = keeper("vet-school-portuguese", "a veterinary school, exported from its statistics program", "Portuguese (Portugal)")
    rng, t, file = k.rng, Text(";"), "tb_javali_base_final2.csv"
    for s in (("VARIÁVEL", "RÓTULO", "VALORES"), ("caso", "número do caso", ""), ("especie", "espécie", "1 = javali, 2 = veado, 3 = raposa"), ("dt", "data do abate", "DD-MMM-AAAA"),
              ("lat, lon", "graus decimais, WGS 84", "-99 = missing"), ("erro", "erro do GPS (m)", "999 = missing"), ("sexo", "sexo", "1 = macho, 2 = fêmea, 9 = missing"),
              ("classe", "classe de idade", "1 = cria (0-6 meses), 2 = jovem (6-18 meses), 3 = subadulto (18-30 meses), 4 = adulto (mais de 30 meses), 9 = missing"),
              ("lnm_e, lnm_d", "linfonodo mandibular esquerdo, direito", "0 = sem lesão, 1 = com lesão, 9 = não examinado"),
              ("lnrf_e, lnrf_d", "linfonodo retrofaríngeo esquerdo, direito", "idem"), ("lnp", "linfonodo parotídeo (os dois lados)", "idem"),
              ("met1, met2", "método da 1.ª e da 2.ª amostra", "1 = cultura, 2 = PCR, 3 = histopatologia, 8 = não se aplica"),
              ("res1, res2", "resultado", "0 = negativo, 1 = M. bovis, 2 = micobactéria não tuberculosa, 3 = inconclusivo, 4 = em curso, 8 = não se aplica"),
              ("excl", "excluído da análise", "0 = não, 1 = sim (duplicado ou engano)")):
        t.add(*s)
    t.add()
    header = ("caso", "dt", "especie", "lat", "lon", "erro", "sexo", "classe", "lnm_e", "lnm_d", "lnrf_e", "lnrf_d", "lnp", "met1", "res1", "met2", "res2", "excl")
    t.add(*header)
    bands = ((1, 0, 6), (2, 6, 18), (3, 18, 30), (4, 30, ""))
    code, res = {"culture": 1, "pcr": 2, "histology": 3}, {"negative": 0, "positive": 1, "MAC": 2, "inconclusive": 3, "pending": 4}
    month = "JAN FEB MAR APR MAY JUN JUL AUG SEP OCT NOV DEC".split()
    for i, p in k.animals(68, "2020-09-12", "2022-02-26", (40.3, -10.3), [MAND, RETRO, PAR + "*"], ["culture", "pcr", "histology"], 2, tested=0.35, other=6, void=3, nodate=2, nopos=2):
        lat, lon = f"{p.lat:.4f}", f"{p.lon:.4f}"
        m = k.one("4", "6", "8", "15", "50", "999")
        cls, age = banded(p.age, bands)
        if p.noage:
            cls, age = 9, ("", "")
        mark = lambda g, s: 9 if s not in p.nodes[g] else 1 if (g, s) in p.lesions else 0
        lnp = 9 if not p.nodes[PAR] else int(any(g == PAR for g, _ in p.lesions))
        lns = [mark(MAND, "L"), mark(MAND, "R"), mark(RETRO, "L"), mark(RETRO, "R"), lnp]
        date = f"{p.day:%d}-{month[p.day.month - 1]}-{p.day.year}"
        if p.kind == "nodate":
            date = "."
        species = 1
        if p.kind == "other":
            species, lns = k.one(2, 3), [9] * 5
        pairs = [x for method, o in p.samples for x in (code[method], res[o])]
        pairs += [8] * (4 - len(pairs))
        comma = lambda v: v.replace(".", ",")
        case = 1000 + i
        row = t.add(case, date, species, comma(lat), "-99" if p.kind == "nopos" else comma(lon), m, {"male": 1, "female": 2, "": 9}[p.sex], cls, *lns, *pairs, int(p.kind == "void"))
        if p.kind == "pig":
            k.truth(file, "", row, str(case), p.day.isoformat(), (float(lat), float(lon)), "" if m == "999" else m, p, age)
    t.save(k.dir / file)
    finish(k, ["the block above the header explains the codes; idem repeats the line above", "month names in the dates are English, as the program writes them; a stop is a missing date",
              "caso is the animal", "e = esquerdo (left), d = direito (right); lnp speaks for both sides", "9 under a node is not examined; a lesion is a 1 under any node", "the first sample was taken before the second",
              "M. bovis is positive, micobactéria não tuberculosa negative", "adulto (mais de 30 meses) has no upper limit", "rows with excl 1 do not count", "numbers have a decimal comma"],
             ["semicolons, decimal commas", "a codebook of fifteen lines with a header of its own above the header", "every value a code, the same number meaning something else in each column",
              "9, 8, 999, -99 and a stop as blanks", "English months in a Portuguese file", "two samples in four columns", "other species as a code, excluded rows as a code"],
             "coded values with the codebook above the header")


SHEETS = [trust_irish, overseas_french, hunters_south_american, block_operator, tenant_german, lims_spanish, ranger_pacific, vet_school_portuguese]
