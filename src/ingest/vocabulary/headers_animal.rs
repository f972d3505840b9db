//! Column names of record sheets in six languages, for the animal itself.

/// Column names for `Field::Id`, the surest first.
#[rustfmt::skip]
pub(crate) const ID: &[&str] = &[
    "animal id", "pig id", "id", "animal number", "animal no", "pig number", "pig no", "specimen",
    "specimen id", "specimen no", "specimen number", "occurrence id", "organism id", "other catalog numbers",
    "material entity id", "individual id", "event id", "material sample id", "catalog number",
    "record number", "organism name", "tag", "tag no", "tag number", "tag id", "ear tag", "ear tag no",
    "ear tag number", "eartag", "eartag no", "eartag number", "head no", "head number", "head id",
    "carcass no", "carcass number", "carcass id", "carcase no", "carcase number", "event no", "event number",
    "sample id", "sample no", "sample number", "sample code", "specimen code", "animal code", "animal ref",
    "animal reference", "pig code", "pig ref", "code", "identifier", "identification", "identity", "ident",
    "unique id", "uid", "record id", "record no", "case id", "case no", "case number", "field id",
    "field no", "field number", "field code", "field tag", "bag no", "bag number", "label", "label no",
    "barcode", "seal no", "seal number", "pig tag", "pig", "pig tag no", "animal tag", "animal tag no",
    "head tag", "head tag no", "jaw no", "jaw number", "jaw id", "jaw tag", "sentinel id", "kill no",
    "kill number", "kill id", "sample tag", "sample label", "sample ref", "number of animal",
    "number of pig", "boar id", "boar no", "boar number", "wild boar id", "wild boar no", "subject id",
    "individual", "individual no", "individual number", "ind id", "collar id", "collar no", "hog id",
    "hog no", "hog number", "feral pig id", "feral pig no", "feral pig number", "necropsy no",
    "necropsy number", "pm no", "pm number", "no of pig", "numero de animal", "numero animal",
    "numero del animal", "n animal", "num animal", "no animal", "id animal", "codigo", "codigo animal",
    "cod animal", "codigo del animal", "codigo de animal", "identificacion", "identificador", "crotal",
    "n crotal", "no crotal", "numero de crotal", "numero crotal", "precinto", "n precinto",
    "numero de precinto", "numero precinto", "no precinto", "codigo de muestra", "codigo muestra",
    "cod muestra", "numero de muestra", "numero muestra", "n muestra", "n de muestra", "no muestra",
    "id muestra", "muestra n", "muestra no", "referencia", "ref animal", "referencia animal", "animal n",
    "jabali", "jabali n", "jabali no", "n jabali", "numero de jabali", "id jabali", "codigo jabali", "ref",
    "reference", "etiqueta", "clave", "matricula", "arete", "no arete", "numero de arete", "caravana",
    "n caravana", "numero de caravana", "identifiant", "identifiant animal", "id de l animal", "id sanglier",
    "sanglier", "n sanglier", "no sanglier", "numero sanglier", "numero de sanglier", "numero de l animal",
    "n de l animal", "numero d animal", "n d animal", "bracelet", "n bracelet", "no bracelet",
    "n de bracelet", "no de bracelet", "numero de bracelet", "numero bracelet", "bague", "boucle",
    "n boucle", "n de boucle", "numero de boucle", "marque auriculaire", "code animal", "code echantillon",
    "code de l echantillon", "n echantillon", "n d echantillon", "no echantillon", "numero d echantillon",
    "numero echantillon", "id echantillon", "n tete", "numero de tete", "n de tete", "code prelevement",
    "n prelevement", "n de prelevement", "numero de prelevement", "no prelevement", "tiernummer", "tier nr",
    "tiernr", "tier id", "tier no", "tierkennung", "tier", "tierbezeichnung", "kennung", "kennzeichen",
    "kennzeichnung", "ohrmarke", "ohrmarken nr", "ohrmarke nr", "ohrmarkennummer", "ohrmarkennr",
    "wildmarke", "wildmarken nr", "wildmarke nr", "wildmarkennummer", "wildmarkennr", "marke",
    "markennummer", "marken nr", "marke nr", "wildursprungsschein", "wildursprungsschein nr",
    "ursprungsschein nr", "probennummer", "proben nr", "probennr", "probe nr", "proben id", "proben code",
    "probencode", "probenkennung", "stuck nr", "stucknummer", "stucknr", "wildschwein nr", "wildschwein",
    "wildschwein id", "sau nr", "kopf nr", "kopfnummer", "kopfnr", "bezeichnung", "identifikation",
    "plomben nr", "plombennummer", "individuum", "numero do animal", "n do animal", "no do animal",
    "codigo do animal", "id do animal", "identificacao", "identificacao do animal", "identificacao animal",
    "identificacion animal", "identificacion del animal", "brinco", "n brinco", "no brinco",
    "numero do brinco", "n do brinco", "numero brinco", "selo", "n selo", "n do selo", "no selo",
    "numero do selo", "codigo da amostra", "codigo amostra", "cod amostra", "n amostra", "n da amostra",
    "no amostra", "numero da amostra", "numero amostra", "id amostra", "amostra n", "javali", "javali n",
    "n javali", "numero do javali", "id javali", "cod javali", "codice", "codice animale",
    "codice dell animale", "cod animale", "id animale", "numero animale", "n animale", "nr animale",
    "num animale", "numero capo", "n capo", "nr capo", "id capo", "codice capo", "capo", "capo n",
    "identificativo", "identificativo animale", "identificativo capo", "identificazione",
    "identificazione animale", "marca auricolare", "n marca auricolare", "fascetta", "n fascetta",
    "nr fascetta", "numero fascetta", "contrassegno", "n contrassegno", "numero contrassegno", "sigillo",
    "n sigillo", "codice campione", "cod campione", "id campione", "n campione", "nr campione",
    "numero campione", "campione n", "cinghiale", "n cinghiale", "nr cinghiale", "numero cinghiale",
    "id cinghiale", "codice cinghiale", "testa n", "n testa", "numero testa", "targhetta", "bolla n",
    "animale", "matricola", "marchio auricolare", "tatuaggio", "tattoo", "tattoo no", "tattoo number",
    "microchip", "chip", "chip no", "pit tag", "animal", "sigla", "lacre", "n lacre",
    "return no", "return number", "carcass", "carcase", "client ref", "client reference", "customer ref",
    "sender ref", "your ref", "submitter ref",
    "folio", "n folio", "ficha", "n ficha", "fiche", "n fiche", "scheda", "n scheda", "kennziffer", "laufnr",
];

/// Column names for `Field::LaboratoryNumber`, the surest first.
#[rustfmt::skip]
pub(crate) const LABORATORY_NUMBER: &[&str] = &[
    "lab no", "lab number", "lab id", "lab ref", "lab reference", "lab code", "laboratory number",
    "laboratory no", "laboratory id", "laboratory ref", "laboratory reference", "laboratory code",
    "accession", "accession no", "accession number", "accession id", "submission no", "submission number",
    "submission id", "submission", "submission ref", "lab accession", "lab accession no",
    "lab accession number", "lab submission", "lab submission no", "lab case", "lab case no",
    "lab case number", "lab sample no", "lab sample number", "lab sample id", "lab ref no",
    "lab reference no", "lab reference number", "lims", "lims no", "lims id", "lims number", "isolate no",
    "isolate number", "isolate id", "culture no", "culture number", "culture id", "batch", "batch no",
    "batch number", "batch id", "consignment", "consignment no", "report no", "report number",
    "lab report no", "lab report number", "job no", "job number", "dispatch no", "courier no", "histo no",
    "histology no", "histology number", "pcr no", "numero de laboratorio", "numero laboratorio",
    "n laboratorio", "n de laboratorio", "no laboratorio", "no de laboratorio", "ref laboratorio",
    "referencia laboratorio", "referencia de laboratorio", "referencia del laboratorio",
    "codigo laboratorio", "codigo de laboratorio", "codigo del laboratorio", "id laboratorio", "n lab",
    "num lab", "cod lab", "codigo lab", "numero de registro laboratorio", "registro laboratorio",
    "registro de laboratorio", "n registro lab", "numero de entrada", "n entrada", "numero entrada",
    "numero de informe", "n informe", "numero informe", "remision", "n remision", "lote", "n lote",
    "numero de lote", "numero labo", "n labo", "no labo", "numero de labo", "n de laboratoire",
    "no laboratoire", "no de laboratoire", "numero de laboratoire", "numero laboratoire", "n laboratoire",
    "ref labo", "ref laboratoire", "reference labo", "reference laboratoire", "reference du laboratoire",
    "reference de laboratoire", "code labo", "code laboratoire", "id labo", "dossier", "n dossier",
    "n de dossier", "no dossier", "no de dossier", "numero de dossier", "numero dossier", "n d accession",
    "numero d accession", "n de rapport", "numero de rapport", "lot", "n lot", "n de lot", "labornummer",
    "labor nr", "labornr", "labor no", "labor id", "laborkennung", "labor referenz", "laborcode",
    "einsendung", "einsendungs nr", "einsendungsnummer", "einsendungsnr", "einsende nr", "einsendenummer",
    "eingangs nr", "eingangsnummer", "eingangsnr", "tagebuch nr", "tagebuchnummer", "tgb nr", "aktenzeichen",
    "auftrags nr", "auftragsnummer", "auftragsnr", "untersuchungs nr", "untersuchungsnummer", "befund nr",
    "befundnummer", "labor proben nr", "charge", "numero do laboratorio", "n do laboratorio",
    "no do laboratorio", "referencia do laboratorio", "codigo do laboratorio", "registo do laboratorio",
    "registo laboratorio", "n registo lab", "numero do relatorio", "n relatorio", "numero de processo",
    "n processo", "processo", "numero di laboratorio", "nr laboratorio", "codice laboratorio",
    "codice di laboratorio", "rif laboratorio", "riferimento laboratorio", "n accettazione",
    "nr accettazione", "numero accettazione", "numero di accettazione", "accettazione", "n registro",
    "nr registro", "numero registro", "numero di registro", "n scheda lab", "rapporto di prova",
    "n rapporto di prova", "n rapporto", "conferimento", "n conferimento", "numero conferimento",
    "protocollo", "n protocollo", "numero protocollo",
];

/// Column names for `Field::Sex`, the surest first.
#[rustfmt::skip]
pub(crate) const SEX: &[&str] = &[
    "sex", "gender", "sex m f", "m f", "f m", "mf", "fm", "m or f", "f or m", "male female", "female male",
    "male or female", "sow boar", "boar sow", "boar or sow", "sow or boar", "pig sex", "animal sex",
    "sex of animal", "sex of pig", "sexe", "sexe de l animal", "sexe animal", "sexe du sanglier",
    "male femelle", "sexe m f", "sexo", "sexo del animal", "sexo animal", "sexo m h", "m h", "h m",
    "macho hembra", "hembra macho", "sexo do animal", "macho femea", "femea macho", "sexo m f", "genero",
    "geschlecht", "geschl", "geschlecht des tieres", "geschlecht m w", "m w", "w m", "mannlich weiblich",
    "weiblich mannlich", "sesso", "sesso animale", "sesso dell animale", "sesso del capo", "sesso m f",
    "maschio femmina", "genere", "sx", "sex f m",
];

/// Column names for `Field::Age`, the surest first.
#[rustfmt::skip]
pub(crate) const AGE: &[&str] = &[
    "age", "pig age", "animal age", "age of pig", "age of animal", "est age", "estimated age",
    "age estimate", "age estimated", "age est", "approx age", "approximate age", "age approx", "age in",
    "age in months", "age in years", "age months", "age years", "age at death", "age at kill",
    "age at capture", "aged", "ages", "age range", "age when killed", "age from teeth", "age by teeth",
    "age from jaw", "tooth age", "dental age", "age by dentition", "age from dentition", "age dentition",
    "age mean", "mean age", "age months est", "est age months", "age determination", "age at shooting",
    "how old", "edad", "edad del animal", "edad animal", "edad estimada", "edad aproximada", "edad aprox",
    "edad dentaria", "edad en meses", "edad meses", "edad anos", "edad en anos", "edad estim",
    "edad por denticion", "edad dental", "age estime", "age approximatif", "age de l animal", "age animal",
    "age du sanglier", "age dentaire", "age mois", "age en mois", "age annees", "age en annees", "age ans",
    "alter", "geschatztes alter", "alter geschatzt", "alter des tieres", "alter monate", "alter in monaten",
    "alter jahre", "alter in jahren", "lebensalter", "alter ca", "zahnalter", "alter nach zahnbild",
    "altersschatzung", "altersbestimmung", "idade", "idade do animal", "idade animal", "idade estimada",
    "idade aproximada", "idade aprox", "idade meses", "idade em meses", "idade anos", "idade em anos",
    "idade dentaria", "eta", "eta animale", "eta dell animale", "eta stimata", "eta presunta", "eta mesi",
    "eta in mesi", "eta anni", "eta in anni", "eta del capo", "eta capo", "eta dentaria",
    "eta approssimativa", "eta apparente",
];

/// Column names for `Field::AgeMin`, the surest first.
#[rustfmt::skip]
pub(crate) const AGE_MIN: &[&str] = &[
    "age min", "min age", "age minimum", "minimum age", "age low", "low age", "age lower", "lower age",
    "age from", "from age", "age at least", "at least age", "age youngest", "youngest age", "agemin",
    "age min months", "age months min", "min age months", "age in months min", "age lower bound",
    "age lower limit", "lower bound age", "lower age limit", "age estimate min", "estimated age min",
    "min est age", "est age min", "age est min", "min estimated age", "minimum age estimate",
    "age range min", "age range low", "age range from", "age range lower", "age not less than", "age start",
    "pig age min", "younger age", "edad min", "edad minima", "edad desde", "edad menor", "edad de",
    "edad minimo", "edad minimo meses", "min edad", "age minimal", "age minimum estime", "age de depart",
    "age de", "age a partir de", "min d age", "alter min", "alter minimal", "alter minimum", "mindestalter",
    "minalter", "minimalalter", "minimales alter", "alter von", "alter ab", "min alter", "alter mindestens",
    "alter unten", "untere altersgrenze", "idade min", "idade minima", "idade de", "idade desde",
    "min idade", "eta min", "eta minima", "eta da", "min eta", "eta minimo", "eta inferiore",
];

/// Column names for `Field::AgeMax`, the surest first.
#[rustfmt::skip]
pub(crate) const AGE_MAX: &[&str] = &[
    "age max", "max age", "age maximum", "maximum age", "age high", "high age", "age upper", "upper age",
    "age to", "to age", "age at most", "at most age", "age oldest", "oldest age", "agemax", "age max months",
    "age months max", "max age months", "age in months max", "age upper bound", "age upper limit",
    "upper bound age", "upper age limit", "age estimate max", "estimated age max", "max est age",
    "est age max", "age est max", "max estimated age", "maximum age estimate", "age range max",
    "age range high", "age range to", "age range upper", "age not more than", "age end", "pig age max",
    "older age", "edad max", "edad maxima", "edad hasta", "edad mayor", "edad hasta meses", "edad maximo",
    "edad maximo meses", "max edad", "age maximal", "age maximum estime", "age de fin", "age jusqu a",
    "age jusque", "max d age", "alter max", "alter maximal", "alter maximum", "hochstalter", "maxalter",
    "maximalalter", "maximales alter", "alter bis", "alter hochstens", "max alter", "alter nicht uber",
    "alter oben", "obere altersgrenze", "idade max", "idade maxima", "idade ate", "idade ate meses",
    "max idade", "eta max", "eta massima", "eta fino a", "max eta", "eta massimo", "eta superiore",
];

/// Column names for `Field::AgeClass`, the surest first.
#[rustfmt::skip]
pub(crate) const AGE_CLASS: &[&str] = &[
    "age class", "ageclass", "age classes", "age group", "age category", "age cat", "age cohort", "cohort",
    "age grp", "life stage", "lifestage", "stage", "age code", "age stage", "age class code", "class of age",
    "maturity", "adult juvenile", "juvenile adult", "adult or juvenile", "class", "development stage",
    "age class months", "pig class", "animal class", "size class", "adult sub adult juvenile",
    "age and sex class", "age sex class", "clase de edad", "clase edad", "clases de edad", "grupo de edad",
    "grupo edad", "categoria de edad", "categoria edad", "cat edad", "rango de edad", "rango edad", "clase",
    "estadio", "tipo de edad", "classe d age", "classe age", "classes d age", "classe de l age",
    "categorie d age", "categorie age", "groupe d age", "tranche d age", "stade", "classe", "cat age",
    "altersklasse", "alters klasse", "altersklassen", "altersgruppe", "altersstufe", "ak", "altersclasse",
    "klasse", "alterskategorie", "classe de idade", "classe etaria", "classe idade", "grupo etario",
    "faixa etaria", "categoria etaria", "escalao etario", "classe di eta", "classe eta", "classi di eta",
    "categoria di eta", "categoria eta", "fascia di eta", "fascia eta", "fascia d eta", "classe d eta",
    "gruppo di eta", "cl eta", "clase etaria", "categoria etarea",
];

/// Column names for `Field::Dentition`, the surest first.
#[rustfmt::skip]
pub(crate) const DENTITION: &[&str] = &[
    "dentition", "teeth", "tooth", "jaw", "tooth eruption", "teeth eruption", "eruption", "dentition class",
    "dental class", "dental formula", "dental stage", "dentition stage", "tooth stage", "tooth class",
    "tooth wear", "teeth wear", "wear", "tooth eruption and wear", "eruption and wear", "eruption stage",
    "eruption class", "tooth eruption stage", "teeth present", "teeth erupted", "erupted teeth", "molars",
    "molars erupted", "molar", "molar eruption", "jaw class", "jaw stage", "jaw teeth", "lower jaw",
    "lower jaw teeth", "mandible", "mandible teeth", "tooth score", "teeth score", "dental score",
    "dental age class", "tooth code", "teeth code", "jaw code", "last tooth erupted", "tooth pattern",
    "teeth notes", "tooth replacement", "incisors", "cheek teeth", "m1", "m2", "m3", "dental eruption",
    "tooth formula", "dental status", "denticion", "dientes", "diente", "erupcion dentaria",
    "erupcion dental", "formula dentaria", "desgaste dentario", "desgaste dental", "mandibula", "dentadura",
    "clase dentaria", "estado dental", "estado dentario", "muelas", "molares", "dentition stade", "dents",
    "dent", "eruption dentaire", "formule dentaire", "usure dentaire", "usure des dents", "machoire",
    "mandibule", "etat dentaire", "stade dentaire", "denture", "molaires", "eruption des dents", "zahnbild",
    "zahne", "zahn", "gebiss", "zahnwechsel", "zahnstatus", "zahndurchbruch", "zahnformel", "zahnabnutzung",
    "zahnabrieb", "abnutzung", "unterkiefer", "kiefer", "gebissentwicklung", "zahnentwicklung", "zahnstand",
    "dentes", "denticao", "dente", "erupcao dentaria", "formula dental", "mandibula dentes",
    "estado da denticao", "maxilar", "dentizione", "denti", "eruzione", "eruzione dentaria",
    "formula dentale", "usura dentaria", "usura denti", "usura dei denti", "mandibola", "tavola dentaria",
    "dentatura", "stadio dentario", "stato dentario", "molari",
];

/// Column names for `Field::Species`, the surest first.
#[rustfmt::skip]
pub(crate) const SPECIES: &[&str] = &[
    "what",
    "species", "animal species", "host species", "host", "scientific name", "scientificname", "taxon",
    "taxon name", "common name", "vernacular name", "vernacularname", "animal type", "animal kind",
    "kind of animal", "type of animal", "species name", "latin name", "species code", "genus",
    "genus species", "sp", "spp", "game species", "species common name", "wildlife species", "which animal",
    "species of animal", "animal sp", "taxa", "kind", "especie", "especies", "especie animal",
    "nombre cientifico", "nombre comun", "tipo de animal", "tipo animal", "especie cinegetica", "espece",
    "especes", "espece animale", "nom scientifique", "nom commun", "nom vernaculaire", "type d animal",
    "gibier", "espece gibier", "tierart", "art", "wildart", "spezies", "tierarten",
    "wissenschaftlicher name", "artname", "art des tieres", "wild", "wildtierart", "nome cientifico",
    "nome comum", "tipo de caca", "especie de caca", "specie", "specie animale", "nome scientifico",
    "nome comune", "tipo di animale", "selvaggina", "specie selvatica", "nome volgare",
];

/// Column names for `Field::Weight`, the surest first.
#[rustfmt::skip]
pub(crate) const WEIGHT: &[&str] = &[
    "weight", "wt", "body weight", "body wt", "bodyweight", "live weight", "live wt", "liveweight",
    "carcass weight", "carcase weight", "carcass wt", "mass", "body mass", "dressed weight", "dressed wt",
    "gutted weight", "est weight", "estimated weight", "weight estimate", "weight est", "weight estimated",
    "approx weight", "pig weight", "animal weight", "whole weight", "hanging weight", "gross weight",
    "total weight", "weight in", "peso", "peso vivo", "peso estimado", "peso canal", "peso corporal",
    "peso eviscerado", "peso del animal", "peso total", "peso aprox", "poids", "poids vif", "poids vide",
    "poids eviscere", "poids plein", "poids estime", "poids carcasse", "poids corporel", "masse",
    "masse corporelle", "poids total", "gewicht", "korpergewicht", "lebendgewicht", "aufbruchgewicht",
    "wildbretgewicht", "gewicht aufgebrochen", "gewicht geschatzt", "geschatztes gewicht", "schlachtgewicht",
    "gew", "peso da carcaca", "peso carcaca", "peso do animal", "peso limpo", "peso corporeo", "peso pieno",
    "peso eviscerato", "peso vuoto", "peso stimato", "peso carcassa", "peso animale", "massa",
    "massa corporal",
];
