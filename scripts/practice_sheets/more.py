"""Eight sheets that the reader had not seen when they were made."""
import datetime as dt

from tools import *


def keeper(name, who, language):
    return Keeper(name, who, language, "holdout " + name + "2" * (name == "control-brazil"))


def finish(k, facts, settings, messes, note=""):
    k.finish(facts, messes, settings)


# 1 ------------------------------------------------------------------------------------------------
def hunter_returns_nz():
    k = keeper("hunter-returns-nz", "a regional coordinator who types in hunters' paper returns", "English (NZ)")
    rng, t, file = k.rng, Text(","), "Tarnbeck returns 18-19.csv"
    header = ("Return no", "Hunter", "Block", "Kill date", "NZTM easting", "NZTM northing", "+/- m", "Animal",
              "M/F", "Age yrs", "Nodes", "Lesions Y/N", "TB culture", "Comment")
    t.add(*header)
    short = {MAND: "SM", PAR: "PA", RETRO: "RP"}
    lab = {"positive": ("Pos", "POS", "Pos - M. bovis"), "negative": ("Neg", "neg", "Neg "), "MAC": ("MAC",
           "Neg (MAC)"), "pending": ("Pending", "pending"), "inconclusive": ("Incl.", "Inconclusive")}
    for i, p in k.animals(58, "2018-11-03", "2019-08-25", (-42.2, 170.6), [MAND, RETRO, PAR], ["culture"],
                          other=5, void=2, nodate=2, nopos=2):
        e, n, place = grid(2193, p)
        metres = k.one("5", "10", "10m", "20", "", "?")
        y = p.age / 12
        shown, age = k.one((f"{round(y * 2) / 2:g}", (round(y * 2) * 6,) * 2),) if p.age >= 6 else ("<0.5", (0, 6))
        if p.age >= 36 and rng.random() < 0.4:
            shown, age = "3+", (36, "")
        if p.noage:
            shown, age = k.one("", "?", "n/k"), ("", "")
        groups = {}
        for g, s in p.nodes.items():
            if s:
                groups.setdefault("both" if len(s) == 2 else min(s), []).append(short[g])
        nodes = k.one("; ", "; ", " / ").join(f"{', '.join(gs)} {side}" for side, gs in groups.items())
        if list(groups) == ["both"] and len(groups["both"]) == 3 and rng.random() < 0.4:
            nodes = k.one("all", "All")
        nodes = nodes or k.one("nil", "none - head shot up")
        les = {"yes": k.one("Y", "Y", "y"), "no": k.one("N", "N", "n", "N "), "": k.one("", "-")}[p.gross()]
        date = k.one(f"{p.day.day}/{p.day:%m/%Y}", f"{p.day.day}/{p.day:%m/%Y}", f"{p.day.day}/{p.day.month}/{p.day:%y}")
        if p.kind == "nodate":
            date = k.one("30/02/2019", "?", "")
        animal, sex = k.one("Pig", "Pig", "pig", "PIG", " pig"), k.sex(p, ("F", "F", "f", "F "), ("M", "M", "m"), ("?", ""))
        if p.kind == "other":
            animal = k.one("Red deer", "Goat", "possum", "Ferret")
            nodes, les, shown = k.one("RP both", "", "all"), "N", k.one("", "2")
        comment = k.one("", "", "", "", "dogs, two bailed", "good nick", "jaw kept", "bush edge, \"the slip\"")
        if p.kind == "void":
            comment = k.one("VOID", "Void - same pig as last return")
        cult = k.one(*lab[p.samples[0][1]]) if p.samples else k.one("", "", "n/t")
        row = t.add(f"R{i:03d}", k.one("T.W.", "P.K.", "J.O.", "S.M. & P.K."), k.one("Slip", "North Tops", "Clearwater"),
                    date, e, "" if p.kind == "nopos" else n, metres, animal, sex, shown, nodes, les, cult, comment)
        if p.kind == "pig":
            k.truth(file, "", row, f"R{i:03d}", p.day.isoformat(), place, metres.strip("m?"), p, age)
        if i in (24, 50):
            t.add(*[""] * len(header))
    t.add()
    t.add("", "", "", "Total returns", "69")
    t.add("", "", "", "entered P.K. 2/09/2019")
    t.save(k.dir / file)
    finish(k, ["dates are day first", "SM = submandibular (mandibular), PA = parotid, RP = retropharyngeal; L, R and both are sides",
              "`all` under Nodes is SM, PA and RP, both sides", "n/t = not tested; Incl. = inconclusive; MAC is another mycobacterium",
              "ages are years (0.5 = 6 months)", "NZTM = EPSG:2193"],
             ["dates are day first", "SM = mandibular", "PA = parotid", "RP = retropharyngeal",
              "all = mandibular, parotid, retropharyngeal", "n/t = not tested", "Incl. = inconclusive",
              "grid = EPSG:2193", "age unit = years"],
             ["mixed four- and two-digit years", "decimal years, <0.5, 3+ and unknown ages",
              "glands grouped by side in one cell", "`10m` and `?` in the radius", "stray spaces and mixed case",
              "other species, void returns, blank rows, total and date of entry at the foot"],
             "grouped node text, NZTM columns, decimal years")


# 2 ------------------------------------------------------------------------------------------------
def culler_australia():
    k = keeper("culler-australia", "an aerial and ground culling contractor", "English (Australia)")
    rng, book, file = k.rng, workbook(), "Job 114 carcass register.xlsx"
    notes, page, pivot = Page(book, "READ ME"), Page(book, "Carcasses", "d-mmm-yy"), Page(book, "By month")
    for s in ("Job 114, Quillback Plains", "Datum GDA94. Zone, E and N are MGA; lat/long from the same GPS fix.",
              "Age class by tooth wear and size:", "Sucker - up to 3 months", "Weaner - 3 to 8 months",
              "Grower - 8 to 18 months", "Prime - 18 to 48 months", "Old - over 48 months",
              "Scores: 0 nothing seen, 1 pinhead, 2 obvious, 3 node gone. X not looked at. One score covers left and right."):
        notes.add(s)
    page.add("CARCASS REGISTER  Job 114  (see READ ME)", bold=True, merge=[(1, 18)])
    page.add()
    header = ("Carcass #", "Species", "Date", "Shooter", "Sex", "Age class", "Lat", "Long", "MGA zone", "E", "N",
              "Acc m", "SM score", "RP score", "PA score", "Test", "Lab outcome", "Remarks")
    page.add(*header, bold=True)
    bands = (("Sucker", 0, 3), ("Weaner", 3, 8), ("Grower", 8, 18), ("Prime", 18, 48), ("Old", 48, ""))
    lab = {"positive": ("Positive", "POSITIVE"), "negative": ("Negative", "negative"), "MAC": ("M. avium complex",
           "MAC only"), "pending": ("Awaiting", "awaiting lab"), "inconclusive": ("Inconclusive", "Equivocal")}
    months = Counter()
    for i, p in k.animals(70, "2022-04-04", "2022-10-28", (-39.6, 144.0), [MAND, RETRO, PAR], ["culture", "PCR"],
                          both_only=True, other=6, void=3, nodate=1, nopos=2):
        p.samples = [(m.lower(), o) for m, o in p.samples]
        zone = 54 if p.lon < 144 else 55
        e, n, gplace = grid(28300 + zone, p)
        lat, lon = round(p.lat, 5), round(p.lon, 5)
        place, style = (lat, lon), k.one("both", "both", "both", "degrees", "grid")
        ll, en = (lat, lon), (zone, e, n)
        if style == "degrees":
            en = (zone, "", "")
        if style == "grid":
            ll, place = ("", ""), gplace
        if p.kind == "nopos":
            ll, en = (lat, ""), (zone, "", "")
        acc = k.one(3, 5, 8, 15, "", "n/r")
        word, age = banded(p.age, bands)
        word = k.one(word, word, word.lower(), word.upper())
        if p.noage:
            word, age = k.one("", "?"), ("", "")
        sex = k.sex(p, ("Sow", "Sow", "sow"), ("Boar", "Boar", "boar", "Barrow"))
        date = p.day if rng.random() > 0.12 else f"{p.day.day} {p.day:%b %Y}"
        if p.kind == "nodate":
            date = "not rec"
        species = k.one("Pig", "Pig", "pig", "Feral pig")
        score = {g: ("X" if not s else max([v for (gg, _), v in p.lesions.items() if gg == g], default=0))
                 for g, s in p.nodes.items()}
        if p.kind == "other":
            species, word, score = k.one("Goat", "Wild dog", "Fallow", "Fox"), "", dict.fromkeys(score, "X")
            sex = k.one("M", "F")
        remark = "VOID double entry" if p.kind == "void" else k.one("", "", "", "", "helo", "ground", "waterhole 3", "skinny", "heavily pregnant" if p.sex == "female" and p.age > 12 else "")
        months[f"{p.day:%b}"] += p.kind == "pig"
        test, res = (p.samples[0][0], k.one(*lab[p.samples[0][1]])) if p.samples else ("", k.one("", "", "not sent"))
        test = test.upper() if test == "pcr" else test.capitalize()
        row = page.add(f"114/{i}", species, date, k.one("BT", "LC"), sex, word, *ll, *en, acc, *score.values(), test, res, remark,
                       strike=p.kind == "void")
        if p.kind == "pig":
            k.truth(file, "Carcasses", row, f"114/{i}", p.day.isoformat(), place, "" if acc == "n/r" else acc, p, age)
        if i == 41:
            page.add()
            page.add(*header, bold=True)
    page.add()
    page.add("TOTAL", i, bold=True)
    page.add("Signed off BT")
    pivot.add("Pigs per month", bold=True)
    for m, c in months.items():
        pivot.add(m, c)
    save_book(book, k.dir / file)
    finish(k, ["SM = submandibular (mandibular), RP = retropharyngeal, PA = parotid, both sides together",
              "MGA zone 54 is EPSG:28354, zone 55 EPSG:28355, southern hemisphere; where the degrees are blank the grid holds",
              "the age classes are in READ ME; By month is only a count", "Equivocal = inconclusive; Awaiting = pending; not sent = not tested",
              "barrow = castrated male"],
             ["SM = mandibular", "RP = retropharyngeal", "PA = parotid", "Sucker = 0-3 months", "Weaner = 3-8 months", "Grower = 8-18 months",
              "Prime = 18-48 months", "Old = 48+ months", "X = not examined", "Equivocal = inconclusive"],
             ["notes sheet before the records, a count sheet after", "real date cells, some dates as text",
              "degrees and grid both, or only one of the two", "two MGA zones", "scores per gland, X for not looked at",
              "`114/7` tags", "header again, blank row, total, sign-off, struck-through void rows, other species"],
             "real dates, lat/long with MGA fallback in two zones, age words in a notes sheet")


# 3 ------------------------------------------------------------------------------------------------
def estate_spanish():
    k = keeper("estate-spanish", "the manager of a game estate with his vet", "Spanish (Spain)")
    rng, book, file = k.rng, workbook(), "Zarzamoral control TB 22-23.xlsx"
    page, sumario = Page(book, "Temporada 22-23", "dd-mm-yyyy"), Page(book, "Resumen")
    page.add("Finca Zarzamoral. Control sanitario de caza mayor, temporada 2022/23", bold=True, merge=[(1, 13)])
    page.add("SM = submandibulares; RF = retrofaríngeos; PA = parotídeos. NR = no realizado. S/D = sin dato")
    header = ("Nº crotal", "Especie", "Fecha de captura", "UTM", "Precisión GPS", "Sexo (M/H)", "Edad (años)",
              "Ganglios examinados", "Lesiones compatibles TB (Si/No)", "Cultivo", "PCR", "Peso (kg)", "Observaciones")
    page.add(*header, bold=True)
    short = {MAND: "SM", RETRO: "RF", PAR: "PA"}
    lab = {"positive": ("Positivo", "positivo", "Pos."), "negative": ("Negativo", "Neg.", "negativo"),
           "MAC": ("M. avium", "MAC"), "pending": ("Pdte.", "pendiente"), "inconclusive": ("No conc.", "Dudoso")}
    month, beaten = None, 0
    for i, p in k.animals(56, "2022-10-12", "2023-02-18", (36.4, -3.6), [MAND, RETRO, PAR], ["culture", "pcr"], 2,
                          other=7, void=2, nodate=1, nopos=2):
        if (p.day.year, p.day.month) != month:
            month = (p.day.year, p.day.month)
            beaten += 1
            page.add(f"MONTERÍA {beaten}ª - Mancha {k.one('Los Riscanales', 'Umbría Honda', 'El Tocón')}", merge=[(1, 13)], bold=True)
        e, n, place = grid(25830, p)
        utm = k.one(f"30S {e} {n}", f"30S {e} {n}", f"30S {e}, {n}", f"30S  {e} / {n}")
        if p.kind == "nopos":
            utm = f"30S {e}"
        m = k.one(5, 10, 15, 30, None, None) if rng.random() < 0.9 else 100
        prec = "" if m is None else k.one(f"{m} m", f"±{m} m", f"{m}m")
        if m is None:
            prec = k.one("", "-", "S/D")
        bands = (("0-1", 0, 12), ("1-2", 12, 24), ("2-3", 24, 36), (">3", 36, ""))
        word, age = banded(p.age, bands)
        word = word if rng.random() > 0.2 else word.replace("-", " - ").replace(">", "> ")
        if p.noage:
            word, age = k.one("S/D", ""), ("", "")
        if not p.noage and word == "0-1" and p.age < 6:
            word, age = "<0,5", (0, 6)
        parts = [short[g] + ("" if len(s) == 2 else " (izq.)" if "L" in s else " (dcho.)") for g, s in p.nodes.items() if s]
        nodes = k.one(", ", " + ", " y ").join(parts) if parts else k.one("ninguno", "no se inspecciona")
        les = {"yes": k.one("Si", "Sí", "SI"), "no": k.one("No", "no", "NO"), "": k.one("", "-")}[p.gross()]
        species, sex = k.one("Jabalí", "jabalí", "Jabali"), k.sex(p, ("H", "H", "h"), ("M", "M", "m"), ("S/D", ""))
        if p.kind == "other":
            species = k.one("Ciervo", "Gamo", "Corzo", "Muflón")
            nodes, les, word = k.one("RF", "SM, RF"), k.one("No", "Si"), k.one("2-3", "")
        date = p.day if rng.random() < 0.35 else f"{p.day:%d-%m-%Y}"
        if p.kind == "nodate":
            date = "31-11-2022"
        cells = [k.one(*lab[p.outcome(m2)]) if p.outcome(m2) else k.one("", "NR", "-") for m2 in ("culture", "pcr")]
        obs = "ANULADO, crotal perdido" if p.kind == "void" else k.one("", "", "", "navajas 18 cm", "rehala", "muy delgado", "puesto 14")
        row = page.add(f"ZM-{220 + i}", species, date, utm, prec, sex, word, nodes, les, *cells, rng.randint(15, 95), obs)
        if p.kind == "pig":
            k.truth(file, "Temporada 22-23", row, f"ZM-{220 + i}", p.day.isoformat(), place, "" if m is None else m, p, age)
    page.add()
    page.add("Total reses", "", i, bold=True)
    page.add("El veterinario: F.G.")
    sumario.add("Monterías", beaten)
    sumario.add("Reses", i)
    save_book(book, k.dir / file)
    finish(k, ["30S in UTM is zone 30, latitude band S, north of the equator (ETRS89, EPSG:25830)", "dates are day first",
              "H = hembra (female), M = macho (male)", "izq. = left, dcho. = right; a gland without a side is both sides",
              "Pdte. = pending, No conc. and Dudoso = inconclusive; M. avium and MAC count as negative", "ages are years; >3 has no upper limit"],
             ["dates are day first", "grid = EPSG:25830", "H = female", "M = male", "SM = mandibular", "RF = retropharyngeal",
              "PA = parotid", "NR = not tested", "Dudoso = inconclusive", "age unit = years"],
             ["title and legend above the header", "a section row for each drive, merged", "UTM in one cell with varied separators",
              "dates as text and as date cells", "radius with units in the cell", "culture and PCR in columns of their own",
              "M means male", "other species, void rows, total and signature; a summary sheet"],
             "UTM in one cell with a band letter, two result columns, M = macho")


# 4 ------------------------------------------------------------------------------------------------
def district_german():
    k = keeper("district-german", "the veterinary office of a Landkreis", "German")
    rng, t, file = k.rng, Text(";"), "tbc_monitoring_sw.csv"
    header = ("Wildursprungsschein", "Erlegungsdatum", "Jagdbezirk", "Wildart", "Geschl. (m/w)", "Alter (Mon.)",
              "UTM32N Rechtswert", "UTM32N Hochwert", "Lagefehler [m]", "Lnn. mandibulares", "Lnn. retropharyngei",
              "Lnn. parotidei", "Befund Kopflymphknoten", "Eingang Labor", "PCR", "Kultur", "Bemerkung")
    t.add(*header)
    lab = {"positive": ("pos", "pos.", "POS"), "negative": ("neg", "neg.", "neg"), "MAC": ("M. avium", "MAC"),
           "pending": ("ausst.", "läuft noch"), "inconclusive": ("fragl.", "n. auswertbar")}
    bands = (("<12", 0, 12), ("12-24", 12, 24), (">24", 24, ""))
    for i, p in k.animals(74, "2023-01-07", "2023-12-29", (55.2, 7.5), [MAND, RETRO, PAR], ["pcr", "culture"], 2,
                          other=5, void=3, nodate=2, nopos=2):
        e, n, place = grid(25832, p)
        m = k.one("5", "7,5", "12,5", "25", "", "k.A.")
        word, age = banded(p.age, bands)
        word = word if rng.random() > 0.2 else word.replace("<", "< ").replace(">", "> ").replace("-", "–")
        if p.noage:
            word, age = k.one("k.A.", ""), ("", "")
        side = lambda s: {2: "bds.", 0: k.one("–", "n.u.")}.get(len(s), "li." if "L" in s else "re.")
        nodes = [side(s) for s in p.nodes.values()]
        bef = {"yes": k.one("V.a. Tbc", "V.a. TBC", "V. a. Tbc"), "no": k.one("o.B.", "o.B.", "o. B.", "ob"),
               "": "n.u."}[p.gross()]
        wild, sex = k.one("Schwarzwild", "Schwarzwild", "SW", "schwarzwild"), k.sex(p, ("w", "w", "W"), ("m", "m", "M"), ("u", ""))
        if p.kind == "other":
            wild = k.one("Rehwild", "Damwild", "Dachs", "Fuchs")
        date = f"{p.day:%d.%m.%Y}"
        if p.kind == "nodate":
            date = k.one("29.02.2023", "Anf. ?")
        cells = [k.one(*lab[p.outcome(x)]) if p.outcome(x) else k.one("", "n.u.", "n.u.") for x in ("pcr", "culture")]
        eing = f"{p.day + dt.timedelta(rng.randint(1, 6)):%d.%m.%Y}" if p.samples else ""
        note = k.one("storniert", "STORNIERT - Doppelmeldung") if p.kind == "void" else k.one(
            "", "", "", "Unfallwild", "Drückjagd", "Abgabe Trichinenprobe; Sammelstelle 2", "abgekommen")
        tag = f"OML-SW-{i:04d}"
        row = t.add(tag, date, f"GJB {k.one('Altmoorholz', 'Siekholz', 'Brakelfeld')}", wild, sex, word, e,
                    "" if p.kind == "nopos" else n, m, *nodes, bef, eing, *cells, note)
        if p.kind == "pig":
            k.truth(file, "", row, tag, p.day.isoformat(), place, m.replace(",", ".").replace("k.A.", ""), p, age)
    t.add("Anzahl", i)
    t.add("Stand: 08.01.2024")
    t.add("gez. i. A. Br.")
    t.save(k.dir / file)
    finish(k, ["dates are day first", "UTM32N is ETRS89 (EPSG:25832)", "li. = left, re. = right, bds. = both sides examined; – and n.u. = not examined",
              "o.B. = no finding, V.a. Tbc = suspected tuberculosis, a lesion", "under PCR and Kultur n.u. = not tested; ausst. and läuft noch = pending",
              "fragl. and n. auswertbar = inconclusive; M. avium and MAC count as negative", "SW = Schwarzwild; w = female, m = male; storniert = withdrawn", "ages are months"],
             ["dates are day first", "grid = EPSG:25832", "bds. = both", "li. = left", "re. = right", "n.u. = not examined", "o.B. = no lesion",
              "V.a. Tbc = lesion", "fragl. = inconclusive", "age unit = months"],
             ["semicolons, decimal commas", "a second date column (receipt)", "side words under gland columns, one finding column for all",
              "< and > with and without space, en dash", "PCR and culture in columns of their own", "n.u. in three meanings by column",
              "withdrawn rows, other species, count, state and signature at the foot"],
             "finding column beside side columns, two result columns, receipt date")


# 5 ------------------------------------------------------------------------------------------------
def control_brazil():
    k = keeper("control-brazil", "a group of licensed boar controllers", "Portuguese (Brazil)")
    rng, book, file = k.rng, workbook(), "controle_javali_2022.xlsx"
    page = Page(book, "Abates")
    page.add("Controle de javalis - Serra do Quebralua", bold=True, merge=[(1, 13)])
    header = ("Nº lacre", "Data do abate", "Controlador", "Animal", "Sexo", "Idade estimada", "Latitude", "Longitude",
              "Erro GPS (m)", "Linfonodos", "Lesão macroscópica", "Resultado cultura", "Obs.")
    page.add(*header, bold=True)
    abbr = "jan fev mar abr mai jun jul ago set out nov dez".split()
    short = {MAND: ("mandibular", "mandib."), RETRO: ("retrofaríngeo", "retrofar."), PAR: ("parotídeo", "parot.")}
    lab = {"positive": ("Positivo", "positivo p/ M. bovis"), "negative": ("Negativo", "negativo"), "MAC": ("MNT", "MNT (avium)"),
           "pending": ("Em andamento", "aguardando"), "inconclusive": ("Inconclusivo",)}
    for i, p in k.animals(52, "2022-01-15", "2022-12-04", (-30.0, -49.6), [MAND, RETRO + "*", PAR], ["culture"],
                          other=5, void=2, nodate=1, nopos=2):
        lat, lon = round(p.lat, 5), round(p.lon, 5)
        la = f"{-lat:.5f}".replace(".", ",") + k.one(" S", "S", " S ")
        lo = f"{-lon:.5f}".replace(".", ",") + k.one(" W", "W", " w")
        if p.kind == "nopos":
            lo = k.one("", "-")
        m = k.one(4, 6, "8,5", 12, "", "s/ inf.")
        y = p.age // 12
        if p.age < 6:
            word, age = k.one("filhote", "Filhote"), (0, 6)
        elif p.age < 24:
            word, age = ("1 ano e meio", (18, 18)) if 16 <= p.age <= 20 else (f"{p.age} meses", (p.age, p.age))
        else:
            word, age = k.one((f"{y} anos", (12 * y,) * 2), (f"{y} a {y + 1} anos", (12 * y, 12 * y + 12)),
                              ("+3 anos", (36, "")) if p.age >= 36 else ("2 anos", (24, 24)))
        if p.noage:
            word, age = k.one("ign.", ""), ("", "")
        parts = [k.one(*short[g]) + (" D/E" if len(s) == 2 and g != RETRO else "" if g == RETRO else " E" if "L" in s else " D")
                 for g, s in p.nodes.items() if s]
        nodes = "; ".join(parts) if parts else k.one("nenhum", "não avaliados")
        if len(parts) == 3 and all(len(s) == 2 for s in p.nodes.values()) and rng.random() < 0.35:
            nodes = k.one("todos", "Todos")
        les = {"yes": k.one("Sim", "sim", "SIM"), "no": k.one("Não", "não", "nao"), "": "NI"}[p.gross()]
        animal, sex = k.one("javali", "Javali", "javaporco", "JAVALI"), k.sex(p, ("Fêmea", "F", "fêmea"), ("Macho", "M", "macho", "macho castrado"), ("ign.", ""))
        if p.kind == "other":
            animal = k.one("cateto", "capivara", "queixada")
        date = f"{p.day:%d}/{abbr[p.day.month - 1]}/{p.day.year}"
        date = date if rng.random() > 0.15 else date.upper()
        if p.kind == "nodate":
            date = "31/jun/2022"
        cult = k.one(*lab[p.samples[0][1]]) if p.samples else k.one("", "-", "não coletado")
        obs = k.one("CANCELADO", "cancelado - lacre rompido") if p.kind == "void" else k.one("", "", "", "ceva 2", "cães", "espera noturna", "prenhe" if p.sex == "female" and p.age > 10 else "")
        tag = f"{7300 + i}"
        row = page.add(int(tag), date, k.one("R.A.", "V.N.", "C.D."), animal, sex, word, la, lo, m, nodes, les, cult, obs)
        if p.kind == "pig":
            k.truth(file, "Abates", row, tag, p.day.isoformat(), (lat, lon), {"8,5": "8.5", "s/ inf.": ""}.get(m, m), p, age)
        if i == 30:
            page.add()
            page.add("2º semestre", bold=True)
            page.add(*header, bold=True)
    page.add("TOTAL", i, bold=True)
    page.add("Responsável: V.N.")
    save_book(book, k.dir / file)
    finish(k, ["E = esquerdo (left), D = direito (right); retrofaríngeo without a side is both sides",
              "`todos` under Linfonodos is all three glands, both sides", "filhote = under 6 months",
              "javaporco is a boar and pig cross and counts; cateto and queixada are peccaries and do not",
              "MNT = non-tuberculous mycobacterium, negative", "NI = not inspected; não coletado = not tested; ign. = unknown", "positions are WGS 84 or SIRGAS 2000 (the same)"],
             ["E = left", "D = right", "todos = mandibular, parotid, retropharyngeal", "filhote = 0-6 months", "MNT = negative",
              "NI = not inspected", "javaporco = pig", "cateto = other species", "queixada = other species"],
             ["dates such as 12/mar/2022, some in capitals", "decimal commas with S and W behind, in text cells",
              "ages in words, years or months", "numeric tags", "glands in one cell, with or without sides",
              "blank row, section row and header again", "other species, void rows, total and signature"],
             "Portuguese month words, decimal commas with hemisphere letters, ages in words")


# 6 ------------------------------------------------------------------------------------------------
def province_italian():
    k = keeper("province-italian", "the wildlife office of a province", "Italian")
    rng, t, file = k.rng, Text("\t", "\n", raw=True), "cinghiali_valtrezia.tsv"
    width = 17
    t.add("Capo", "", "Abbattimento", "", "", "", "Soggetto", "", "Mandibolari", "", "Retrofaringei", "", "Parotidei", "",
          "Laboratorio", "", "")
    header = ("n. fascetta", "specie", "data abbattimento", "ora", "coordinate", "precis. (m)", "sesso", "classe età",
              "sx", "dx", "sx", "dx", "sx", "dx", "metodo", "esito", "note")
    t.add(*header)
    bands = (("striato", 0, 6), ("rosso", 6, 12), ("subadulto", 12, 24), ("adulto", 24, ""))
    lab = {"positive": ("positivo", "POS", "Positivo"), "negative": ("negativo", "neg", "Negativo"), "MAC": ("M. avium", "MAC"),
           "pending": ("in corso", "in attesa"), "inconclusive": ("dubbio", "non conclusivo")}
    methods = {"culture": ("coltura", "colturale"), "pcr": ("PCR",), "histology": ("istologico", "istologia")}
    area = 0
    for i, p in k.animals(60, "2021-10-02", "2022-01-30", (44.1, 9.0), [MAND, RETRO, PAR], ["pcr", "culture", "histology"],
                          other=5, void=2, nodate=1, nopos=1):
        if i in (1, 25, 49):
            area += 1
            t.add(*([f"Comprensorio VZ{area}"] + [""] * (width - 1)))
        def dms(v):
            s = round(abs(v) * 3600)
            return s // 3600, s // 60 % 60, s % 60, s / 3600
        a, b = dms(p.lat), dms(p.lon)
        pos = f"{a[0]}°{a[1]:02d}'{a[2]:02d}\"N" + k.one(" ", " ", "  ", ", ") + f"{b[0]}°{b[1]:02d}'{b[2]:02d}\"E"
        if p.kind == "nopos":
            pos = f"{a[0]}°{a[1]:02d}'{a[2]:02d}\"N"
        m = k.one("10", "15", "30", "", "n.d.", "5")
        word, age = banded(p.age, bands)
        word = k.one(word, word, word.capitalize())
        if p.noage:
            word, age = k.one("", "n.d."), ("", "")
        mark = lambda g, s: k.one("ne", "ne", "NE") if s not in p.nodes[g] else "+" if (g, s) in p.lesions else "-"
        cells = [mark(g, s) for g in (MAND, RETRO, PAR) for s in "LR"]
        specie, sex = k.one("cinghiale", "Cinghiale", "cinghiale "), k.sex(p, ("F", "F", "f"), ("M", "M", "m"), ("n.d.", ""))
        if p.kind == "other":
            specie = k.one("capriolo", "daino", "tasso")
            word = ""
        date = f"{p.day:%d/%m/%Y}" if p.kind != "nodate" else "00/12/2021"
        met, esito = (k.one(*methods[p.samples[0][0]]), k.one(*lab[p.samples[0][1]])) if p.samples else ("", "")
        note = k.one("annullata", "fascetta annullata") if p.kind == "void" else k.one("", "", "", "battuta", "selezione", "testa danneggiata", "da incidente")
        tag = f"VZ {i:04d}/21"
        row = t.add(tag, specie, date, f"{rng.randint(6, 19):02d}.{rng.randrange(0, 60, 5):02d}", pos, m, sex, word, *cells, met, esito, note)
        if p.kind == "pig":
            k.truth(file, "", row, tag, p.day.isoformat(), (a[3], b[3]), m.replace("n.d.", ""), p, age)
    t.add(*["Totale", str(i)] + [""] * (width - 2))
    t.add(*["classi: striato 0-6 mesi, rosso 6-12 mesi, subadulto 12-24 mesi, adulto oltre 24 mesi"] + [""] * (width - 1))
    t.add(*["Il tecnico: S.B."] + [""] * (width - 1))
    t.save(k.dir / file)
    finish(k, ["dates are day first", "in the node columns + is a lesion, - is no lesion, ne (non esaminato) is not examined",
              "sx = left, dx = right; the gland is named in the first header row", "dubbio and non conclusivo = inconclusive; in attesa = pending",
              "annullata = withdrawn", "coordinates are WGS 84"],
             ["dates are day first", "+ = lesion", "- = no lesion", "ne = not examined", "sx = left", "dx = right", "striato = 0-6 months",
              "rosso = 6-12 months", "subadulto = 12-24 months", "adulto = 24+ months"],
             ["tabs, no quoting, line feeds only", "two header rows, gland over side", "degrees, minutes and seconds of both in one cell",
              "section rows for each district", "time with a dot", "spaces and slashes in the tags", "age classes with the legend at the foot",
              "other species, void rows, total and signature"],
             "two header rows, raw inch marks without quoting, +/-/ne")


# 7 ------------------------------------------------------------------------------------------------
def agency_us():
    k = keeper("agency-us", "a county wildlife damage office, exported from its sample database", "English (US)")
    rng, t, file = k.rng, Text(","), "swine_tb_samples_FY21.csv"
    header = ("Sample ID", "Animal Tag", "Collect Date/Time", "Lat", "Lon", "GPS Error (ft)", "Species", "Sex", "Age Class",
              "Mandib LN (B/L/R/N)", "Retropharyngeal LN (B/L/R/N)", "Gross Lesions", "Tissue", "TB Result", "Disposition")
    t.add(*header)
    bands = (("Juv", 0, 8), ("Sub", 8, 18), ("Ad", 18, ""))
    code = {"Juv": 1, "Sub": 2, "Ad": 3}
    words = {("culture", "positive"): ("Positive - culture",), ("culture", "negative"): ("Negative - culture",),
             ("culture", "MAC"): ("MAC - culture",), ("culture", "pending"): ("Pending - culture",),
             ("culture", "inconclusive"): ("Contaminated - culture",), ("pcr", "positive"): ("Positive - PCR", "Detected"),
             ("pcr", "negative"): ("ND", "ND"), ("pcr", "pending"): ("Pending - PCR",), ("pcr", "inconclusive"): ("Susp", "SUSP")}
    records, queue, sample = [], [], 0
    animals = k.animals(54, "2020-10-05", "2021-09-24", (41.2, -124.9), [MAND, RETRO], ["pcr", "culture"], 2, tested=0.4,
                        other=5, void=2, nodate=1, nopos=1)
    for i, p in animals:
        if rng.random() < 0.1 and p.kind == "pig" and p.samples:
            p.samples.append(("culture", k.one("positive", "negative")) if p.lesions else ("culture", "negative"))
        dec = k.one(3, 3, 2)
        def ddm(v):
            total = round(abs(v) * 60, dec)
            return f"{int(total // 60)} {total % 60:0{dec + 3}.{dec}f}", total / 60
        (la, lat), (lo, lon) = ddm(p.lat), ddm(p.lon)
        feet = k.one("10", "16", "33", "100", "", "N/A")
        word, age = banded(p.age, bands)
        shown = k.one(word, word, word, word.lower(), word.upper(), str(code[word]))
        if p.noage:
            shown, age = k.one("Unk", ""), ("", "")
        letter = lambda s: {2: "B", 0: "N"}.get(len(s), min(s, default=""))
        les = {"yes": k.one("Yes", "Y", "YES"), "no": k.one("NVL", "No", "no"), "": "NE"}[p.gross()]
        species, sex = k.one("Feral swine", "Feral Swine", "feral swine", "Hog"), k.sex(p, ("F", "F", "Female"), ("M", "M", "Male", "Barrow"), ("U", ""))
        if p.kind == "other":
            species = k.one("Coyote", "Mule deer", "Raccoon")
            shown = "Ad"
        clock = k.one("5:%02d AM", "6:%02d AM", "7:%02d AM", "11:%02d AM", "12:%02d PM", "4:%02d PM", "8:%02d PM")
        when = f"{p.day:%m/%d/%Y} " + clock % rng.randrange(60)
        if p.kind == "nodate":
            when = "13/32/2020 6:10 AM"
        disp = k.one("VOID", "Void - mislabeled tube") if p.kind == "void" else k.one("", "", "Buried", "Rendered", "Left in field")
        tag = f"BW{21000 + i * 3}"
        base = [tag, when, f"N {la}", "" if p.kind == "nopos" else f"W {lo}", feet, species, sex, shown,
                letter(p.nodes[MAND]), letter(p.nodes[RETRO]), les]
        rows = [[k.one("LN pool", "Mandib LN", "RP LN"), k.one(*words[s])] for s in p.samples] or [["none", k.one("Not submitted", "NT", "")]]
        # the first sample stands in date order; further samples come in up to four records later
        records.append((i, 0, base + rows[0] + [disp], p, age, (lat, -lon), feet, tag))
        late = k.one(0, 0, 2.5, 4.5)
        for j, r in enumerate(rows[1:], 1):
            records.append((i + late + j * 0.01, j, base + r + [disp], None, None, None, None, None))
    records.sort(key=lambda r: (r[0], r[1]))
    for n, (_, _, cells, p, age, place, feet, tag) in enumerate(records, 1):
        row = t.add(f"S{n:04d}", *cells)
        if p and p.kind == "pig":
            k.truth(file, "", row, tag, p.day.isoformat(), place, "" if feet in ("", "N/A") else round(int(feet) * 0.3048, 1), p, age)
    t.add()
    t.add("Records: %d" % len(records))
    t.add("Age Class: 1 = Juv (under 8 mo), 2 = Sub (8-18 mo), 3 = Ad (over 18 mo)")
    t.save(k.dir / file)
    finish(k, ["dates are month first", "one animal is one Animal Tag; its place in truth.csv is its first row; the samples were taken in the order of their rows",
              "ND = not detected, negative; Susp = suspect, inconclusive; both, and Detected (positive), come from PCR", "Contaminated = inconclusive; NT and Not submitted = not tested",
              "B = both, L = left, R = right, N = not examined", "NVL = no visible lesion; NE = not examined", "the GPS error is in feet", "barrow = castrated male", "longitudes are west, latitudes north, in degrees and decimal minutes",
              "age class legend is the last line"],
             ["dates are month first", "animal = Animal Tag", "ND = negative", "Susp = inconclusive", "Detected = positive", "Contaminated = inconclusive", "ND method = pcr",
              "B = both", "N = not examined", "radius unit = feet"],
             ["one row per sample, some further samples a few rows later", "date with 12-hour time", "degrees and decimal minutes with the letter in front, 2 or 3 decimals",
              "age class as word or number, legend at the foot", "method inside the result, or no method", "other species, void rows, blank line, count"],
             "one row per sample, month-first with time, decimal minutes, ND")


# 8 ------------------------------------------------------------------------------------------------
def researcher_tidy():
    k = keeper("researcher-tidy", "a doctoral student, exported from R", "English, tidy headers")
    rng, t, file = k.rng, Text(",", "\n"), "headnodes_v3.csv"
    header = ("animalID", "dateTimeUTC", "taxon", "utm_x", "utm_y", "utm_zone", "hdop_m", "sexAtCapture", "minAgeYears",
              "maxAgeYears", "LN_submand_L", "LN_submand_R", "LN_retroph", "grossTB", "IS6110_qPCR", "cult_result",
              "exclude", "comment")
    t.add(*header)
    lab = {"positive": {"pcr": ("pos", "pos_Ct33.4", "pos_Ct29.1"), "culture": ("M_bovis",)}, "negative": {"pcr": ("neg",), "culture": ("negative",)},
           "MAC": {"culture": ("MAC",)}, "pending": {"pcr": ("pending",), "culture": ("pending",)},
           "inconclusive": {"pcr": ("inconcl",), "culture": ("overgrown",)}}
    stages = ((5, 0, 5), (6, 5, 6), (12, 6, 12), (15, 12, 15), (21, 15, 21), (27, 21, 27), (48, 27, 48), (999, 48, ""))
    for i, p in k.animals(63, "2019-05-02", "2021-04-20", (55.3, 18.0), [MAND, RETRO + "*"], ["pcr", "culture"], 2, tested=0.3,
                          other=4, void=3, nodate=2, nopos=2):
        zone = 33 if p.lon < 18 else 34
        e, n, place = grid(32600 + zone, p)
        m = k.one("2.5", "3", "4.5", "9", "NA")
        low, high = next((lo, hi) for top, lo, hi in stages if p.age < top)
        yr = lambda v: "NA" if v == "" else f"{v / 12:.4f}".rstrip("0").rstrip(".")
        age, shown = (low, high), (yr(low), yr(high))
        if p.noage:
            age, shown = ("", ""), ("NA", "NA")
        when = "NA" if p.kind == "nodate" else f"{p.day.isoformat()}T{rng.randint(4, 17):02d}:{rng.randrange(60):02d}:00Z"
        sex = k.sex(p, ("f",), ("m", "m", "m_castr"), ("NA",))
        taxon = k.one("Dama_dama", "Capreolus_capreolus") if p.kind == "other" else k.one("Sus_scrofa", "Sus_scrofa", "sus_scrofa")
        one = lambda b: "1" if b else "0"
        gross = {"yes": "TRUE", "no": "FALSE", "": "NA"}[p.gross()]
        cells = [k.one(*lab[p.outcome(x)][x]) if p.outcome(x) else "NA" for x in ("pcr", "culture")]
        comment = "withdrawn: id uncertain" if p.kind == "void" else k.one("", "", "", "collared 2018", "trap_07", "pregnant, n=5" if p.sex == "female" and p.age > 10 else "")
        tag = f"SS{19 if p.day.year == 2019 else p.day.year % 100}_{i:03d}"
        row = t.add(tag, when, taxon, e, "NA" if p.kind == "nopos" else n, f"{zone}N", m, sex, *shown,
                    one("L" in p.nodes[MAND]), one("R" in p.nodes[MAND]), one(p.nodes[RETRO]), gross, *cells,
                    "TRUE" if p.kind == "void" else "FALSE", comment)
        if p.kind == "pig":
            k.truth(file, "", row, tag, p.day.isoformat(), place, "" if m == "NA" else m, p, age)
    t.add(f"# n = {i}; written 2021-05-11")
    t.save(k.dir / file)
    finish(k, ["LN_ columns: 1 = examined, 0 = not examined; LN_retroph speaks for both sides", "grossTB: TRUE is a lesion, FALSE none; NA everywhere is missing",
              "ages are years; maxAgeYears NA is no upper limit where minAgeYears is known", "the grid is WGS 84 / UTM, the zone in a column (33N and 34N)",
              "IS6110_qPCR is a PCR; pos_Ct... is positive; the culture follows the PCR", "M_bovis is positive; overgrown and inconcl = inconclusive; MAC counts as negative",
              "rows with exclude TRUE do not count", "the day is the day of dateTimeUTC", "hdop_m is the accuracy in metres"],
             ["1 = examined", "0 = not examined", "TRUE = lesion", "FALSE = no lesion", "NA = missing", "age unit = years",
              "grid = WGS 84 UTM, zone in utm_zone", "overgrown = inconclusive", "exclude TRUE = void", "hdop_m = radius in metres"],
             ["camelCase and snake_case headers", "ISO time stamps", "NA strings", "two UTM zones", "decimal years to four places",
              "0/1 that says examined, not a score", "an exclude column", "other taxa, comment line at the foot"],
             "tidy headers, 0/1 for examined, ISO time stamps, NA, two zones")


SHEETS = [hunter_returns_nz, culler_australia, estate_spanish, district_german, control_brazil, province_italian,
          agency_us, researcher_tidy]
