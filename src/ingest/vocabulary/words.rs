//! Words of cells other than results: methods, sexes, species, record states, blanks and footers.

use crate::records::LabMethod;

/// Words that name a laboratory method.
#[rustfmt::skip]
pub(crate) const METHODS: &[(LabMethod, &[&str])] = &[
    (LabMethod::Culture, &[
        "culture", "cultured", "cult", "cultures", "cul", "bacto", "bacti", "bacteriology",
        "bacteriological culture", "bacterial culture", "mycobacterial culture", "tb culture", "isolation",
        "bactec", "mgit", "culture tb", "bacteriological", "microbiology", "cultivo", "cultivos",
        "cultivo bacteriologico", "cultivo microbiologico", "bacteriologia", "aislamiento", "microbiologia",
        "bacteriologie", "culture bacteriologique", "culture bacterienne", "isolement", "kultur",
        "bakterienkultur", "kulturell", "bakteriologie", "anzucht", "kulturelle anzucht",
        "kulturelle untersuchung", "cultura", "cultura bacteriologica", "isolamento", "coltura", "colturale",
        "esame colturale", "esame batteriologico", "batteriologia", "coltura batterica",
        "isolamento colturale", "exame bacteriologico", "examen bacteriologico", "examen bacteriologique",
        "cultura microbiologica",
    ]),
    (LabMethod::Pcr, &[
        "pcr", "qpcr", "rt pcr", "rt-pcr", "rtpcr", "rt-qpcr", "q-pcr", "q pcr", "real time pcr",
        "real-time pcr", "realtime pcr", "pcr real time", "direct pcr", "pcr direct", "tissue pcr",
        "pcr tissue", "pcr on tissue", "tb pcr", "pcr tb", "mtbc pcr", "pcr mtbc", "is6110 pcr",
        "pcr is6110", "is6110", "dna", "nested pcr", "pcr test", "polymerase chain reaction", "molecular",
        "naat", "pcr tiempo real", "pcr a tiempo real", "pcr en tiempo real", "pcr temps reel",
        "pcr en temps reel", "echtzeit-pcr", "echtzeit pcr", "real-time-pcr", "realtime-pcr",
        "pcr em tempo real", "pcr tempo real", "ddpcr", "multiplex pcr", "biologia molecular",
        "biologia molecolare", "biologie moleculaire", "molekularbiologie", "molekular",
    ]),
    (LabMethod::Histology, &[
        "histopato", "anatomia patologica",
        "histology", "histo", "hist", "histol", "histopath", "histopathology", "histological",
        "histopathological", "histology zn", "histo zn", "zn", "zn stain", "ziehl neelsen", "ziehl-neelsen",
        "afb", "afb stain", "acid fast", "acid-fast", "acid fast stain", "microscopy", "h e", "he stain",
        "tissue histology", "histologia", "histopatologia", "examen histologico", "examen histopatologico",
        "estudio histologico", "histologie", "histopathologie", "examen histologique", "histologisch",
        "histologische untersuchung", "pathohistologie", "exame histologico", "exame histopatologico",
        "istologia", "istopatologia", "esame istologico", "esame istopatologico", "istologico",
        "histologico", "histologique",
    ]),
];

/// Words for a sow.
#[rustfmt::skip]
pub(crate) const FEMALE: &[&str] = &[
    "f", "female", "females", "fem", "fe", "sow", "sows", "gilt", "adult female", "female adult",
    "pregnant sow", "female pig", "girl", "female sow", "lactating sow", "pregnant female", "young sow",
    "sow pig", "h", "hembra", "hembras", "cerda", "cochina", "jabalina", "guarra", "marrana", "chancha",
    "jabali hembra", "hembra adulta", "hembra prenada", "femelle", "femelles", "laie", "truie", "cochonne",
    "femelle adulte", "femelle gestante", "w", "weibl", "weiblich", "weibchen", "bache", "bachen",
    "uberlauferbache", "frischlingsbache", "uberlauferbachen", "frischlingsbachen", "weibliches tier",
    "uberlaufer weiblich", "frischling weiblich", "femea", "femeas", "porca", "javalina", "javali femea",
    "gironda", "leitoa", "femmina", "femmine", "scrofa", "scrofe", "scrofetta", "cinghialessa",
    "cinghiale femmina", "femm",
];

/// Words for a boar or a barrow.
#[rustfmt::skip]
pub(crate) const MALE: &[&str] = &[
    "capado", "capon", "castrao", "verrasco",
    "m", "male", "males", "boar", "boars", "barrow", "barrows", "castrate", "castrated", "castrated male",
    "stag", "adult male", "male adult", "male pig", "male boar", "boy", "barr", "young boar", "uncastrated",
    "entire male", "neutered male", "mal", "macho", "machos", "verraco", "jabali macho", "cerdo macho",
    "navajero", "macareno", "padrillo", "berraco", "castrado", "macho castrado", "macho adulto", "barraco",
    "verrat", "sanglier male", "male adulte", "castre", "male castre", "solitaire", "ragot", "quartanier",
    "mannl", "mannlich", "mannchen", "keiler", "keiler adult", "uberlauferkeiler", "frischlingskeiler",
    "eber", "kastrat", "borg", "kastriert", "hauptschwein", "mannliches tier", "uberlaufer mannlich",
    "frischling mannlich", "javali macho", "varrao", "varrasco", "cachaco", "barrao", "cerdo entero",
    "maschio", "maschi", "verro", "verri", "cinghiale maschio", "castrato", "maschio castrato", "solengo",
    "masc", "maennlich",
];

/// Words for a sex that was not known.
#[rustfmt::skip]
pub(crate) const SEX_UNKNOWN: &[&str] = &[
    "u", "unk", "unknown", "unkn", "uk", "undetermined", "indeterminate", "indet", "not recorded",
    "not known", "not sexed", "unsexed", "nr", "?", "m/f", "f/m", "m or f", "f or m", "not determined",
    "uncertain", "unsure", "x", "desconocido", "desconocida", "desc", "indeterminado", "indeterminada",
    "sin sexar", "no determinado", "no registrado", "s/d", "inconnu", "inconnue", "indetermine",
    "non determine", "nd", "non sexe", "unbekannt", "unbek", "ub", "nicht bestimmt", "unbestimmt",
    "nicht bekannt", "nicht erkennbar", "fraglich", "desconhecido", "desconhecida", "nao determinado",
    "nao determinada", "sconosciuto", "sconosciuta", "indeterminato", "non determinato", "non noto",
    "ignoto",
];

/// Species words for a pig or wild boar.
#[rustfmt::skip]
pub(crate) const PIGS: &[&str] = &[
    "pig", "pigs", "feral pig", "feral pigs", "wild pig", "wild pigs", "wild boar", "wildboar", "boar",
    "sow", "hog", "hogs", "feral hog", "feral hogs", "wild hog", "wild hogs", "swine", "feral swine",
    "wild swine", "sus scrofa", "s scrofa", "sus", "sus scrofa domesticus", "sus scrofa scrofa",
    "sus scrofa ferus", "sus domesticus", "sus scrofa feral", "piglet", "porker", "porcine", "por",
    "kunekune", "captain cooker", "domestic pig", "eurasian wild boar", "european wild boar", "sus sp",
    "sentinel pig", "eurasian boar", "jabali", "jabalies", "jabalis", "cerdo", "cerdos",
    "cerdo asilvestrado", "cerdo salvaje", "cerdo cimarron", "cerdo feral", "chancho", "chancho cimarron",
    "chancho jabali", "chancho salvaje", "cochino", "puerco", "puerco salvaje", "marrano", "jabali europeo",
    "porcino", "cerdo iberico", "cerdoli", "suido", "sanglier", "sangliers", "cochon", "cochons",
    "cochon sauvage", "porc", "porcs", "porc sauvage", "cochon marron", "porc feral", "sanglier d europe",
    "sanglochon", "marcassin", "laie", "schwarzwild", "wildschwein", "wildschweine", "schwein", "schweine",
    "sau", "sauen", "wildsau", "verwildertes schwein", "hausschwein", "sw", "schwarzkittel", "frischling",
    "keiler", "bache", "uberlaufer", "javali", "javalis", "porco", "porcos", "porco bravo", "porco selvagem",
    "porco feral", "porco monteiro", "java porco", "javaporco", "suino", "suinos", "suideo", "cinghiale",
    "cinghiali", "maiale", "maiali", "maiale selvatico", "maiale inselvatichito", "suini", "suino selvatico",
    "porcastro", "suide",
];

/// Species words for animals that are not pigs.
#[rustfmt::skip]
pub(crate) const OTHER_SPECIES: &[&str] = &[
    "rehbock", "ricke", "rehkitz", "hirschkalb", "feldhuhn",
    "cateto", "queixada", "peccary", "capivara", "capybara", "carpincho", "vison", "nutria", "coypu",
    "agouti",
    "cutia", "tapir", "anta", "llama", "guanaco", "pudu", "armadillo", "tatu", "opossum", "other species",
    "not a pig", "non target", "by catch", "bycatch", "emu", "wombat", "pademelon", "quoll", "bandicoot",
    "deer", "red deer", "fallow deer", "fallow", "roe", "roe deer", "sika", "sika deer", "rusa", "rusa deer",
    "sambar", "sambar deer", "white tailed deer", "white-tailed deer", "whitetail", "white tail deer",
    "chital", "axis deer", "muntjac", "wapiti", "elk", "moose", "reindeer", "stag", "hind", "fawn",
    "mule deer", "hog deer", "possum", "possums", "brushtail", "brushtail possum", "brush tailed possum",
    "brush-tailed possum", "opossum", "ferret", "ferrets", "stoat", "weasel", "mustelid", "hedgehog",
    "hedgehogs", "cat", "cats", "feral cat", "goat", "goats", "feral goat", "wild goat", "sheep",
    "feral sheep", "lamb", "cattle", "cow", "cows", "bull", "calf", "steer", "heifer", "bovine", "bison",
    "buffalo", "water buffalo", "hare", "hares", "rabbit", "rabbits", "fox", "foxes", "red fox", "badger",
    "badgers", "dog", "dogs", "feral dog", "wild dog", "dingo", "wallaby", "wallabies", "kangaroo",
    "chamois", "tahr", "himalayan tahr", "mouflon", "horse", "donkey", "rat", "rats", "ship rat", "mouse",
    "mink", "otter", "polecat", "pine marten", "marten", "squirrel", "coyote", "raccoon", "racoon", "skunk",
    "wolf", "bear", "lynx", "genet", "bird", "ibex", "jackal", "polecat ferret", "pig dog", "llama",
    "alpaca", "human", "other", "cervus elaphus", "cervus", "c elaphus", "cervus nippon",
    "cervus timorensis", "rusa timorensis", "rusa unicolor", "cervus unicolor", "cervus canadensis",
    "dama dama", "dama", "d dama", "capreolus capreolus", "capreolus", "c capreolus",
    "odocoileus virginianus", "odocoileus", "odocoileus hemionus", "alces alces", "axis axis",
    "muntiacus reevesi", "trichosurus vulpecula", "trichosurus", "t vulpecula", "mustela furo",
    "mustela putorius", "mustela putorius furo", "mustela erminea", "mustela nivalis", "mustela",
    "neovison vison", "erinaceus europaeus", "felis catus", "felis silvestris", "capra hircus",
    "capra aegagrus hircus", "capra pyrenaica", "capra ibex", "ovis aries", "ovis orientalis",
    "ovis gmelini", "ovis musimon", "ovis aries musimon", "bos taurus", "bos", "bison bison",
    "bison bonasus", "bubalus bubalis", "lepus europaeus", "lepus", "oryctolagus cuniculus", "vulpes vulpes",
    "vulpes", "v vulpes", "meles meles", "meles", "m meles", "canis lupus", "canis familiaris",
    "canis lupus familiaris", "canis latrans", "macropus", "macropus rufogriseus", "rupicapra rupicapra",
    "rupicapra", "hemitragus jemlahicus", "rattus rattus", "rattus norvegicus", "rattus", "mus musculus",
    "procyon lotor", "martes martes", "martes foina", "lutra lutra", "genetta genetta", "equus caballus",
    "lynx lynx", "lynx pardinus", "pecari tajacu", "tayassu pecari", "didelphis", "ciervo", "ciervos",
    "ciervo rojo", "venado", "corzo", "corzos", "gamo", "gamos", "ciervo axis", "axis", "zorro", "zorros",
    "tejon", "tejones", "cabra", "cabras", "cabra montes", "cabra asilvestrada", "oveja", "ovejas",
    "cordero", "vaca", "vacas", "toro", "ternero", "bovino", "vacuno", "liebre", "liebres", "conejo",
    "conejos", "gato", "gato montes", "gato asilvestrado", "perro", "perros", "huron", "hurones", "erizo",
    "comadreja", "armino", "zarigueya", "muflon", "arrui", "rebeco", "sarrio", "gineta", "garduna",
    "meloncillo", "lobo", "lince", "caballo", "burro", "rata", "raton", "bufalo", "pecari", "otra especie",
    "otro", "otra", "chevreuil", "chevreuils", "cerf", "cerfs", "biche", "faon", "cerf elaphe", "daim",
    "daims", "blaireau", "blaireaux", "renard", "renards", "chevre", "chevres", "mouton", "moutons",
    "brebis", "agneau", "vache", "vaches", "boeuf", "taureau", "veau", "bovin", "bovins", "lievre",
    "lievres", "lapin", "lapins", "chat", "chat sauvage", "chien", "chiens", "furet", "herisson", "belette",
    "hermine", "mouflon mediterraneen", "isard", "bouquetin", "martre", "fouine", "putois", "loup", "cheval",
    "raton laveur", "rat musque", "ragondin", "souris", "autre espece", "autre", "genette", "buffle", "reh",
    "rehe", "rehwild", "rotwild", "rothirsch", "hirsch", "hirsche", "hirschkuh", "rotkalb", "schmaltier",
    "damwild", "damhirsch", "sikawild", "muffelwild", "gamswild", "gams", "gamse", "steinbock", "steinwild",
    "dachs", "dachse", "fuchs", "fuchse", "rotfuchs", "ziege", "ziegen", "schaf", "schafe", "rind", "rinder",
    "kuh", "kuhe", "kalb", "bulle", "hase", "feldhase", "hasen", "kaninchen", "wildkaninchen", "katze",
    "katzen", "wildkatze", "hund", "hunde", "frettchen", "igel", "wiesel", "hermelin", "marder",
    "steinmarder", "baummarder", "iltis", "luchs", "pferd", "ratte", "maus", "waschbar", "marderhund",
    "buffel", "elch", "andere art", "wisent", "veado", "veados", "corca", "corco", "cervo", "cervos",
    "raposa", "raposas", "texugo", "texugos", "cabra selvagem", "ovelha", "ovelhas", "borrego", "bovinos",
    "boi", "touro", "vitelo", "lebre", "lebres", "coelho", "coelhos", "cao", "caes", "furao", "ourico",
    "ourico cacheiro", "doninha", "arminho", "muflao", "saca rabos", "sacarrabos", "fuinha", "ratazana",
    "cavalo", "outra especie", "outro", "outra", "geneta", "toirao", "capriolo", "caprioli", "cervi",
    "cervo rosso", "daino", "daini", "tasso", "tassi", "volpe", "volpi", "capra", "capre", "pecora",
    "pecore", "muflone", "mufloni", "camoscio", "camosci", "stambecco", "bue", "mucca", "vacca", "vitello",
    "bovini", "lepre", "lepri", "coniglio", "conigli", "cane", "cani", "gatto", "gatti", "furetto", "riccio",
    "donnola", "ermellino", "faina", "martora", "puzzola", "lupo", "lince europea", "cavallo", "ratto",
    "topo", "istrice", "nutria", "procione", "altra specie", "altro",
];

/// Status words of a row that was withdrawn.
#[rustfmt::skip]
pub(crate) const VOID: &[&str] = &[
    "void", "voided", "withdrawn", "withdraw", "cancelled", "canceled", "cancel", "deleted", "delete",
    "duplicate", "duplicated", "dup", "dupe", "error", "rejected", "reject", "invalid", "not valid",
    "discard", "discarded", "excluded", "exclude", "removed", "ignore", "ignored", "retracted", "superseded",
    "replaced", "struck out", "crossed out", "entered in error", "entry error", "wrong", "mistake", "bad",
    "failed", "fail", "disregard", "do not use", "not used", "unusable", "nullified", "test record",
    "duplicate record", "duplicate entry", "annulled", "suppressed", "scratched", "revoked", "expired",
    "inactive", "anulado", "anulada", "anular", "cancelado", "cancelada", "duplicado", "duplicada",
    "invalido", "invalida", "no valido", "no valida", "rechazado", "rechazada", "borrado", "borrada",
    "eliminado", "eliminada", "descartado", "descartada", "retirado", "retirada", "excluido", "excluida",
    "erroneo", "erronea", "annule", "annulee", "supprime", "supprimee", "invalide", "non valide", "doublon",
    "rejete", "rejetee", "retire", "retiree", "exclu", "exclue", "erreur", "errone", "a supprimer",
    "storniert", "storno", "ungultig", "geloscht", "doppelt", "duplikat", "dublette", "fehler", "fehlerhaft",
    "zuruckgezogen", "verworfen", "abgelehnt", "ausgeschlossen", "annulliert", "gestrichen", "nicht gultig",
    "falsch", "entfernt", "rejeitado", "rejeitada", "apagado", "apagada", "erro", "nao valido", "nao valida",
    "errado", "errada", "annullato", "annullata", "cancellato", "cancellata", "eliminato", "eliminata",
    "duplicato", "duplicata", "doppione", "non valido", "non valida", "errore", "scartato", "scartata",
    "respinto", "respinta", "ritirato", "ritirata", "escluso", "esclusa", "errato",
];

/// Status words of a row that stands.
#[rustfmt::skip]
pub(crate) const VALID: &[&str] = &[
    "ok", "okay", "valid", "validated", "final", "finalised", "finalized", "complete", "completed", "good",
    "accepted", "approved", "confirmed", "checked", "verified", "active", "current", "pass", "passed",
    "live", "use", "used", "included", "include", "keep", "kept", "normal", "closed", "reviewed", "entered",
    "recorded", "correct", "done", "not void", "present", "signed off", "published", "original", "reported",
    "released", "submitted", "open", "provisional", "new", "draft", "registered", "valido", "valida",
    "validado", "validada", "correcto", "correcta", "completo", "completa", "definitivo", "aceptado",
    "aceptada", "verificado", "verificada", "aprobado", "revisado", "cerrado", "activo", "vigente",
    "terminado", "bueno", "valide", "validee", "definitif", "accepte", "verifie", "complet", "approuve",
    "conforme", "actif", "controle", "cloture", "termine", "bon", "gultig", "freigegeben", "gepruft",
    "endgultig", "vollstandig", "bestatigt", "abgeschlossen", "akzeptiert", "korrekt", "aktiv", "in ordnung",
    "i o", "plausibel", "fertig", "erledigt", "aceite", "aprovado", "correto", "correta", "fechado", "ativo",
    "definitiva", "concluido", "concluida", "validato", "validata", "confermato", "confermata", "approvato",
    "verificato", "verificata", "corretto", "corretta", "accettato", "attivo", "chiuso", "finale",
    "controllato", "concluso",
];

/// Words that mean nothing is known.
#[rustfmt::skip]
pub(crate) const BLANKS: &[&str] = &[
    "ign", "ignorado", "ignorada", "s/ inf", "s/inf", "s inf", "sem inf", "sin inf",
    "-", "--", "---", "----", "na", "n/a", "n a", "n/k", "nk", "?", "??", "???", "unk", "unkn", "unknown",
    "not known", "not recorded", "not rec", "not given", "not stated", "not supplied", "not provided",
    "not available", "unavailable", "not applicable", "not reported", "no data", "no info", "no information",
    "no record", "no result", "nr", "n/r", "missing", "blank", "empty", "null", "none recorded",
    "none given", "nan", "n-a", "#n/a", "#na", "#value", "#ref", "unrecorded", "unreported", "unspecified",
    "not specified", "not noted", "not entered", "illegible", "not legible", "unidentified", "unstated",
    "left blank", "not sure", "unsure", "dk", "dont know", "don t know", "do not know", "no answer", "/",
    "//", "#", "=", "nil return", "unavail", "tbr", "no value", "no entry", "data missing", "sin dato",
    "sin datos", "s/d", "sd", "s d", "s/dato", "s/datos", "desconocido", "desconocida", "no consta",
    "no registrado", "no registrada", "n/c", "n c", "no disponible", "no indicado", "no se sabe", "no sabe",
    "ns/nc", "ilegible", "no aplica", "sin informacion", "no informa", "sin especificar", "vacio",
    "no anotado", "inconnu", "inconnue", "nc", "n r", "non renseigne", "non renseignee", "non connu",
    "non connue", "non communique", "non precise", "non disponible", "pas connu", "so", "s/o", "sans objet",
    "illisible", "pas de donnee", "pas de donnees", "non note", "ne sait pas", "non indique", "non specifie",
    "manquant", "donnee manquante", "nsp", "k a", "ka", "k/a", "keine angabe", "keine angaben", "unbekannt",
    "unbek", "nicht bekannt", "nicht angegeben", "nicht erfasst", "nicht vermerkt", "fehlt", "fehlend",
    "entfallt", "k d", "keine daten", "unleserlich", "ohne angabe", "o a", "o/a", "nicht verfugbar", "leer",
    "nicht zutreffend", "n v", "n bek", "desconhecido", "desconhecida", "sem dados", "sem dado",
    "sem informacao", "nao registado", "nao registada", "nao registrado", "nao disponivel", "nao indicado",
    "nao se sabe", "nao sabe", "ilegivel", "nao aplicavel", "em branco", "s/i", "s i", "s/info",
    "nao consta", "nao especificado", "nao conhecido", "sconosciuto", "sconosciuta", "nd", "n d", "n/d",
    "non disponibile", "non noto", "non nota", "non registrato", "non registrata", "non indicato",
    "non indicata", "dato mancante", "dati mancanti", "mancante", "illeggibile", "non pervenuto", "n p",
    "np", "non specificato", "non applicabile", "ignoto", "ignota", "senza dati", "nessun dato",
];

/// First words of rows that hold totals.
#[rustfmt::skip]
pub(crate) const TOTALS: &[&str] = &[
    "total", "totals", "sum", "sums", "grand total", "subtotal", "sub total", "sub-total", "subtotals",
    "tot", "average", "averages", "avg", "mean", "median", "count", "counts", "max", "min", "maximum",
    "minimum", "n =", "n=", "no of pigs", "number of pigs", "total pigs", "overall", "overall total",
    "sd of", "std dev", "standard deviation", "range", "percent", "percentage", "prevalence", "summary",
    "running total", "total number", "total examined", "total positive", "row count", "records", "total n",
    "suma", "subtotales", "totales", "promedio", "media", "mediana", "recuento", "porcentaje", "resumen",
    "conteo", "desviacion", "totaux", "somme", "moyenne", "mediane", "sous total", "sous-total", "nombre",
    "nombre total", "effectif", "ecart type", "pourcentage", "recapitulatif", "summe", "summen", "gesamt",
    "gesamtzahl", "gesamtsumme", "zwischensumme", "mittel", "mittelwert", "durchschnitt", "anzahl",
    "insgesamt", "prozent", "zusammenfassung", "maximal", "minimal", "standardabweichung", "spannweite",
    "soma", "totais", "contagem", "percentagem", "porcentagem", "resumo", "total geral", "totale", "totali",
    "somma", "subtotale", "medio", "conteggio", "percentuale", "riepilogo", "numero totale",
    "totale generale", "totale capi", "deviazione standard",
];

/// First words of footers and legends.
#[rustfmt::skip]
pub(crate) const NOTES: &[&str] = &[
    "note", "notes", "nb", "n b", "note that", "legend", "source", "sources", "key", "codes", "code key",
    "signed", "signature", "prepared by", "prepared", "compiled by", "page", "pages", "printed",
    "printed on", "print date", "end", "end of report", "end of data", "end of file", "end of sheet",
    "end of table", "comment", "comments", "remark", "remarks", "abbreviations", "abbreviation",
    "explanation", "explanations", "footnote", "footnotes", "disclaimer", "copyright", "confidential",
    "contact", "see", "see also", "checked by", "verified by", "approved by", "authorised by",
    "authorized by", "generated", "generated by", "generated on", "exported", "exported on",
    "report generated", "last updated", "data source", "data from", "acknowledgements", "version",
    "reviewed by", "entered by", "form", "where", "glossary", "created by", "all dates", "all positions",
    "coordinates are", "dates are", "ages are", "produced by", "report date", "issued by", "references",
    "reference", "nota", "notas", "leyenda", "clave", "fuente", "fuentes", "firma", "firmado", "firmado por",
    "elaborado por", "preparado por", "pagina", "paginas", "observaciones", "abreviaturas", "aclaraciones",
    "fin", "ver", "impreso", "revisado por", "el tecnico", "fdo", "remarque", "remarques", "legende", "cle",
    "signe", "signe par", "etabli par", "prepare par", "fait a", "abreviations", "observations",
    "redige par", "voir", "fin du rapport", "imprime le", "visa", "nota bene", "p s", "ps", "edite le",
    "lu et approuve", "hinweis", "hinweise", "anmerkung", "anmerkungen", "bemerkung", "bemerkungen",
    "quelle", "quellen", "unterschrift", "unterzeichnet", "seite", "seiten", "erstellt von", "erstellt am",
    "erstellt", "gedruckt am", "gedruckt", "abkurzungen", "erlauterung", "erlauterungen", "stand", "ende",
    "gepruft von", "siehe", "zeichenerklarung", "schlussel", "im auftrag", "ort datum", "gez", "legenda",
    "fonte", "fontes", "chave", "assinatura", "assinado", "assinado por", "observacoes", "fim", "visto por",
    "impresso em", "o tecnico", "fonti", "chiave", "firmato", "firmato da", "redatto da", "preparato da",
    "compilato da", "pagine", "osservazioni", "abbreviazioni", "fine", "vedi", "stampato il", "timbro",
    "il tecnico", "note legali", "il responsabile", "timbro e firma",
];
