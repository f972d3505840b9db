//! Column names of record sheets in six languages, for positions.

/// Column names for `Field::Latitude`, the surest first.
#[rustfmt::skip]
pub(crate) const LATITUDE: &[&str] = &[
    "latitude", "lat", "decimal latitude", "decimallatitude", "verbatim latitude", "lat dd", "latdd",
    "lat decimal", "latitude decimal", "latitude decimal degrees", "latitude dd", "lat decimal degrees",
    "gps lat", "gps latitude", "latitude gps", "lat gps", "gps s", "lat wgs84", "latitude wgs84",
    "latitude wgs 84", "lat wgs 84", "wgs84 lat", "wgs84 latitude", "wgs 84 lat", "y lat", "lat y",
    "latitude y", "y latitude", "dec lat", "lat dec", "declat", "latdec", "dd lat", "kill lat",
    "kill latitude", "kill location lat", "shot lat", "location lat", "location latitude", "lat north",
    "latitude north", "lat n", "latitude n", "n lat", "lat s", "lat south", "latitude south", "latitude s",
    "s lat", "decimal lat", "decimal degrees lat", "decimal degrees latitude", "lat dms", "latitude dms",
    "site latitude", "site lat", "geo lat", "latitude of kill", "kill site latitude", "kill site lat",
    "pos lat", "position lat", "point lat", "start lat", "lati", "gps y", "latitud", "latitud decimal",
    "latitud n", "latitud norte", "latitud s", "latitud sur", "latitud gps", "latitud wgs84", "latitud y",
    "latitude decimale", "latitude en degres decimaux", "latitude degres decimaux", "latitude nord",
    "latitude sud", "breite", "breitengrad", "geographische breite", "geogr breite", "geogr breitengrad",
    "breite dezimal", "breitengrad dezimal", "breite wgs84", "nordliche breite", "sudliche breite",
    "breite n", "breite nord", "latitude norte", "latitude sul", "latitudine", "latitudine nord",
    "latitudine sud", "latitudine decimale", "latitudine n", "latitudine wgs84", "latitudine gps",
    "latitudine gradi decimali",
];

/// Column names for `Field::Longitude`, the surest first.
#[rustfmt::skip]
pub(crate) const LONGITUDE: &[&str] = &[
    "longitude", "long", "lon", "lng", "decimal longitude", "decimallongitude", "verbatim longitude",
    "long dd", "longdd", "lon dd", "londd", "long decimal", "lon decimal", "longitude decimal",
    "longitude decimal degrees", "longitude dd", "long decimal degrees", "lon decimal degrees", "gps long",
    "gps lon", "gps lng", "gps longitude", "longitude gps", "long gps", "lon gps", "gps e", "long wgs84",
    "lon wgs84", "longitude wgs84", "longitude wgs 84", "long wgs 84", "lon wgs 84", "wgs84 long",
    "wgs84 lon", "wgs84 longitude", "wgs 84 long", "wgs 84 lon", "x lon", "x long", "lon x", "long x",
    "longitude x", "x longitude", "dec long", "dec lon", "long dec", "lon dec", "declong", "declon",
    "longdec", "londec", "dd long", "dd lon", "kill long", "kill lon", "kill longitude",
    "kill location long", "kill location lon", "shot long", "shot lon", "location long", "location lon",
    "location longitude", "long east", "longitude east", "long e", "lon e", "longitude e", "e long", "e lon",
    "long w", "lon w", "long west", "longitude west", "longitude w", "w long", "w lon", "lon east",
    "lon west", "decimal long", "decimal lon", "decimal degrees long", "decimal degrees lon",
    "decimal degrees longitude", "long dms", "lon dms", "longitude dms", "site longitude", "site long",
    "site lon", "geo lon", "geo long", "geo lng", "longitude of kill", "kill site longitude",
    "kill site long", "kill site lon", "pos lon", "pos long", "position lon", "position long", "point lon",
    "point long", "start long", "start lon", "longi", "gps x", "longitud", "longitud decimal", "longitud e",
    "longitud este", "longitud w", "longitud o", "longitud oeste", "longitud gps", "longitud wgs84",
    "longitud x", "longitude decimale", "longitude en degres decimaux", "longitude degres decimaux",
    "longitude est", "longitude ouest", "longitude o", "lange", "langengrad", "geographische lange",
    "geogr lange", "geogr langengrad", "lange dezimal", "langengrad dezimal", "lange wgs84",
    "ostliche lange", "westliche lange", "lange o", "lange ost", "lange e", "longitude leste",
    "longitude este", "longitude oeste", "longitude l", "longitudine", "longitudine est",
    "longitudine ovest", "longitudine decimale", "longitudine e", "longitudine wgs84", "longitudine gps",
    "longitudine gradi decimali", "laenge", "laengengrad", "geographische laenge", "oestliche laenge",
    "westliche laenge",
];

/// Column names for `Field::LatitudeDegrees`, the surest first.
#[rustfmt::skip]
pub(crate) const LATITUDE_DEGREES: &[&str] = &[
    "lat degrees", "lat degree", "lat deg", "lat degs", "lat d", "lat dg", "lat grad", "lat grados",
    "lat grado", "lat degres", "lat degre", "lat graus", "lat grau", "lat gradi", "lat g", "degrees lat",
    "degree lat", "deg lat", "degs lat", "grad lat", "grados lat", "grado lat", "degres lat", "degre lat",
    "graus lat", "grau lat", "gradi lat", "latitude degrees", "latitude degree", "latitude deg",
    "latitude degs", "latitude d", "latitude degres", "latitude degre", "latitude graus", "latitude grau",
    "degrees latitude", "degree latitude", "deg latitude", "degs latitude", "degres latitude",
    "degre latitude", "graus latitude", "grau latitude", "latitud grados", "latitud grado", "latitud g",
    "grados latitud", "grado latitud", "breite grad", "breite g", "grad breite", "latitudine gradi",
    "latitudine g", "gradi latitudine", "breitengrad grad", "breitengrad g", "gps lat deg", "latdeg", "latd",
    "degrees south", "degrees north", "deg s", "deg n", "degrees s", "degrees n", "grados de latitud",
    "grados norte", "grados sur", "degres de latitude", "degres nord", "degres sud", "grad nord",
    "graus de latitude", "gradi nord", "gradi di latitudine",
];

/// Column names for `Field::LatitudeMinutes`, the surest first.
#[rustfmt::skip]
pub(crate) const LATITUDE_MINUTES: &[&str] = &[
    "lat minutes", "lat minute", "lat min", "lat mins", "lat m", "lat minuten", "lat minutos", "lat minuto",
    "lat minuti", "lat mn", "lat decimal minutes", "lat dec min", "minutes lat", "minute lat", "min lat",
    "mins lat", "minuten lat", "minutos lat", "minuto lat", "minuti lat", "decimal minutes lat",
    "dec min lat", "latitude minutes", "latitude minute", "latitude min", "latitude mins", "latitude m",
    "latitude minutos", "latitude mn", "latitude decimal minutes", "latitude dec min", "minutes latitude",
    "minute latitude", "min latitude", "mins latitude", "minutos latitude", "decimal minutes latitude",
    "dec min latitude", "latitud min", "latitud m", "latitud minutos", "latitud minuto", "min latitud",
    "minutos latitud", "minuto latitud", "breite min", "breite m", "breite minuten", "min breite",
    "minuten breite", "latitudine min", "latitudine m", "latitudine minuti", "min latitudine",
    "minuti latitudine", "breitengrad min", "breitengrad m", "breitengrad minuten", "gps lat min", "latmin",
    "latm", "minutes south", "minutes north", "min s", "min n", "minutes s", "minutes n",
    "minutos de latitud", "minutos norte", "minutos sur", "minutes de latitude", "minutes nord",
    "minutes sud", "minuten nord", "minutos de latitude", "minuti nord", "minuti di latitudine",
];

/// Column names for `Field::LatitudeSeconds`, the surest first.
#[rustfmt::skip]
pub(crate) const LATITUDE_SECONDS: &[&str] = &[
    "lat seconds", "lat second", "lat sec", "lat secs", "lat ss", "lat sek", "lat sekunden", "lat segundos",
    "lat segundo", "lat secondes", "lat seconde", "lat secondi", "lat secondo", "lat seg",
    "lat decimal seconds", "lat dec sec", "seconds lat", "second lat", "sec lat", "secs lat", "sek lat",
    "sekunden lat", "segundos lat", "segundo lat", "secondes lat", "seconde lat", "secondi lat",
    "secondo lat", "seg lat", "decimal seconds lat", "dec sec lat", "latitude seconds", "latitude second",
    "latitude sec", "latitude secs", "latitude segundos", "latitude secondes", "latitude seconde",
    "latitude decimal seconds", "latitude dec sec", "seconds latitude", "second latitude", "sec latitude",
    "secs latitude", "segundos latitude", "secondes latitude", "seconde latitude",
    "decimal seconds latitude", "dec sec latitude", "latitud sec", "latitud segundos", "latitud segundo",
    "latitud seg", "sec latitud", "segundos latitud", "segundo latitud", "seg latitud", "breite sec",
    "breite sek", "breite sekunden", "sec breite", "sek breite", "sekunden breite", "latitudine sec",
    "latitudine secondi", "sec latitudine", "secondi latitudine", "breitengrad sec", "breitengrad sek",
    "breitengrad sekunden", "gps lat sec", "latsec", "seconds south", "seconds north", "sec n", "seconds s",
    "seconds n", "segundos de latitud", "segundos norte", "segundos sur", "secondes de latitude",
    "secondes nord", "sekunden nord", "secondi nord", "secondi di latitudine",
];

/// Column names for `Field::LongitudeDegrees`, the surest first.
#[rustfmt::skip]
pub(crate) const LONGITUDE_DEGREES: &[&str] = &[
    "lon degrees", "lon degree", "lon deg", "lon degs", "lon d", "lon dg", "lon grad", "lon grados",
    "lon grado", "lon degres", "lon degre", "lon graus", "lon grau", "lon gradi", "lon g", "degrees lon",
    "degree lon", "deg lon", "degs lon", "grad lon", "grados lon", "grado lon", "degres lon", "degre lon",
    "graus lon", "grau lon", "gradi lon", "long degrees", "long degree", "long deg", "long degs", "long d",
    "long dg", "long grad", "long grados", "long grado", "long degres", "long degre", "long graus",
    "long grau", "long gradi", "long g", "degrees long", "degree long", "deg long", "degs long", "grad long",
    "grados long", "grado long", "degres long", "degre long", "graus long", "grau long", "gradi long",
    "lng degrees", "lng degree", "lng deg", "lng degs", "lng d", "lng dg", "lng grad", "lng grados",
    "lng grado", "lng degres", "lng degre", "lng graus", "lng grau", "lng gradi", "lng g", "degrees lng",
    "degree lng", "deg lng", "degs lng", "grad lng", "grados lng", "grado lng", "degres lng", "degre lng",
    "graus lng", "grau lng", "gradi lng", "longitude degrees", "longitude degree", "longitude deg",
    "longitude degs", "longitude d", "longitude degres", "longitude degre", "longitude graus",
    "longitude grau", "degrees longitude", "degree longitude", "deg longitude", "degs longitude",
    "degres longitude", "degre longitude", "graus longitude", "grau longitude", "longitud grados",
    "longitud grado", "longitud g", "grados longitud", "grado longitud", "lange grad", "lange g",
    "grad lange", "laenge grad", "laenge g", "langengrad grad", "langengrad g", "longitudine gradi",
    "longitudine g", "gradi longitudine", "gps long deg", "gps lon deg", "londeg", "longdeg", "lond",
    "longd", "degrees east", "degrees west", "deg e", "deg w", "degrees e", "degrees w",
    "grados de longitud", "grados este", "grados oeste", "degres de longitude", "degres est", "degres ouest",
    "grad ost", "graus de longitude", "gradi est", "gradi di longitudine",
];

/// Column names for `Field::LongitudeMinutes`, the surest first.
#[rustfmt::skip]
pub(crate) const LONGITUDE_MINUTES: &[&str] = &[
    "lon minutes", "lon minute", "lon min", "lon mins", "lon m", "lon minuten", "lon minutos", "lon minuto",
    "lon minuti", "lon mn", "lon decimal minutes", "lon dec min", "minutes lon", "minute lon", "min lon",
    "mins lon", "minuten lon", "minutos lon", "minuto lon", "minuti lon", "decimal minutes lon",
    "dec min lon", "long minutes", "long minute", "long min", "long mins", "long m", "long minuten",
    "long minutos", "long minuto", "long minuti", "long mn", "long decimal minutes", "long dec min",
    "minutes long", "minute long", "min long", "mins long", "minuten long", "minutos long", "minuto long",
    "minuti long", "decimal minutes long", "dec min long", "lng minutes", "lng minute", "lng min",
    "lng mins", "lng m", "lng minuten", "lng minutos", "lng minuto", "lng minuti", "lng mn",
    "lng decimal minutes", "lng dec min", "minutes lng", "minute lng", "min lng", "mins lng", "minuten lng",
    "minutos lng", "minuto lng", "minuti lng", "decimal minutes lng", "dec min lng", "longitude minutes",
    "longitude minute", "longitude min", "longitude mins", "longitude m", "longitude minutos",
    "longitude mn", "longitude decimal minutes", "longitude dec min", "minutes longitude",
    "minute longitude", "min longitude", "mins longitude", "minutos longitude", "decimal minutes longitude",
    "dec min longitude", "longitud min", "longitud m", "longitud minutos", "longitud minuto", "min longitud",
    "minutos longitud", "minuto longitud", "lange min", "lange m", "lange minuten", "min lange",
    "minuten lange", "laenge min", "laenge m", "laenge minuten", "langengrad min", "langengrad m",
    "langengrad minuten", "longitudine min", "longitudine m", "longitudine minuti", "min longitudine",
    "minuti longitudine", "gps long min", "gps lon min", "lonmin", "longmin", "lonm", "longm",
    "minutes east", "minutes west", "min e", "min w", "minutes e", "minutes w", "minutos de longitud",
    "minutos este", "minutos oeste", "minutes de longitude", "minutes est", "minutes ouest", "minuten ost",
    "minutos de longitude", "minuti est", "minuti di longitudine",
];

/// Column names for `Field::LongitudeSeconds`, the surest first.
#[rustfmt::skip]
pub(crate) const LONGITUDE_SECONDS: &[&str] = &[
    "lon seconds", "lon second", "lon sec", "lon secs", "lon ss", "lon sek", "lon sekunden", "lon segundos",
    "lon segundo", "lon secondes", "lon seconde", "lon secondi", "lon secondo", "lon seg",
    "lon decimal seconds", "lon dec sec", "seconds lon", "second lon", "sec lon", "secs lon", "sek lon",
    "sekunden lon", "segundos lon", "segundo lon", "secondes lon", "seconde lon", "secondi lon",
    "secondo lon", "seg lon", "decimal seconds lon", "dec sec lon", "long seconds", "long second",
    "long sec", "long secs", "long ss", "long sek", "long sekunden", "long segundos", "long segundo",
    "long secondes", "long seconde", "long secondi", "long secondo", "long seg", "long decimal seconds",
    "long dec sec", "seconds long", "second long", "sec long", "secs long", "sek long", "sekunden long",
    "segundos long", "segundo long", "secondes long", "seconde long", "secondi long", "secondo long",
    "seg long", "decimal seconds long", "dec sec long", "lng seconds", "lng second", "lng sec", "lng secs",
    "lng ss", "lng sek", "lng sekunden", "lng segundos", "lng segundo", "lng secondes", "lng seconde",
    "lng secondi", "lng secondo", "lng seg", "lng decimal seconds", "lng dec sec", "seconds lng",
    "second lng", "sec lng", "secs lng", "sek lng", "sekunden lng", "segundos lng", "segundo lng",
    "secondes lng", "seconde lng", "secondi lng", "secondo lng", "seg lng", "decimal seconds lng",
    "dec sec lng", "longitude seconds", "longitude second", "longitude sec", "longitude secs",
    "longitude segundos", "longitude secondes", "longitude seconde", "longitude decimal seconds",
    "longitude dec sec", "seconds longitude", "second longitude", "sec longitude", "secs longitude",
    "segundos longitude", "secondes longitude", "seconde longitude", "decimal seconds longitude",
    "dec sec longitude", "longitud sec", "longitud segundos", "longitud segundo", "longitud seg",
    "sec longitud", "segundos longitud", "segundo longitud", "seg longitud", "lange sec", "lange sek",
    "lange sekunden", "sec lange", "sek lange", "sekunden lange", "laenge sec", "laenge sek",
    "laenge sekunden", "langengrad sec", "langengrad sek", "langengrad sekunden", "longitudine sec",
    "longitudine secondi", "sec longitudine", "secondi longitudine", "gps long sec", "gps lon sec", "lonsec",
    "longsec", "seconds east", "seconds west", "sec e", "sec w", "seconds e", "seconds w",
    "segundos de longitud", "segundos este", "segundos oeste", "secondes de longitude", "secondes est",
    "secondes ouest", "sekunden ost", "secondi est", "secondi di longitudine",
];

/// Column names for `Field::LatitudeHemisphere`, the surest first.
#[rustfmt::skip]
pub(crate) const LATITUDE_HEMISPHERE: &[&str] = &[
    "n s", "s n", "ns", "n or s", "north south", "north or south", "hemisphere", "hemi", "lat hemisphere",
    "lat hemi", "latitude hemisphere", "lat n s", "latitude n s", "lat ns", "lat h", "lat dir",
    "lat direction", "latitude direction", "lat ref", "hemisferio", "hemisferio n s", "hemisferio lat",
    "hemisphere n s", "hemisphere lat", "hemisphare", "hemisphare n s", "halbkugel", "emisfero",
    "emisfero n s", "hemisfero", "nord sud", "norte sur", "norte sul", "nord oder sud", "n s lat", "ns lat",
    "hemisphere latitude", "emisfero latitudine", "hemisferio latitud",
];

/// Column names for `Field::LongitudeHemisphere`, the surest first.
#[rustfmt::skip]
pub(crate) const LONGITUDE_HEMISPHERE: &[&str] = &[
    "e w", "w e", "ew", "e or w", "east west", "east or west", "long hemisphere", "lon hemisphere",
    "lon hemi", "long hemi", "longitude hemisphere", "long e w", "lon e w", "longitude e w", "lon ew",
    "long ew", "lon h", "long h", "lon dir", "long dir", "long direction", "lon direction",
    "longitude direction", "lon ref", "long ref", "hemisferio e w", "hemisferio e o", "hemisferio lon",
    "hemisphere e w", "hemisphere e o", "hemisphere lon", "hemisphere long", "hemisphere longitude",
    "hemisphare e w", "hemisphare o w", "emisfero e w", "emisfero e o", "este oeste", "leste oeste",
    "est ouest", "ost west", "est ovest", "e o", "o w", "ew lon", "e w long", "e w lon",
    "emisfero longitudine", "hemisferio longitud",
];

/// Column names for `Field::Easting`, the surest first.
#[rustfmt::skip]
pub(crate) const EASTING: &[&str] = &[
    "easting", "eastings", "east", "e", "grid easting", "utm easting", "utm e", "utm x", "x utm", "utm east",
    "easting utm", "e utm", "utmx", "utme", "xutm", "nztm easting", "nztm e", "nztm x", "nztm east",
    "easting nztm", "e nztm", "x nztm", "nzmg easting", "nzmg e", "nzmg east", "easting nzmg", "e nzmg",
    "map easting", "map e", "grid e", "grid east", "grid x", "grid ref e", "grid ref east",
    "grid reference e", "gr e", "gr east", "gps easting", "gps east", "easting gps", "kill easting",
    "kill location easting", "location easting", "easting of kill", "mga easting", "easting mga",
    "amg easting", "osgb easting", "os easting", "itm easting", "itm e", "coord e", "coord easting",
    "coordinate e", "east coord", "east coordinate", "easting coordinate", "eastng", "coord east",
    "x easting", "easting x", "e coord", "e easting", "false easting", "full easting", "mga94 easting",
    "easting mga94", "lambert x", "x lambert", "lambert93 x", "x lambert 93", "x lambert93", "x l93",
    "lambert 93 x", "coord x utm", "coordenada x utm", "coordenada utm x", "coordenadas utm x",
    "coordenadas x utm", "coord utm x", "coordenada este", "coord este", "este", "este utm", "utm este",
    "abscisa", "abscisse", "est", "x est", "est x", "utm est", "est utm", "coordonnee x utm",
    "coordonnees x utm", "rechtswert", "rechts", "rw", "r wert", "rechtswert utm", "utm rechtswert",
    "rechtswert gk", "gk rechtswert", "gauss kruger rechtswert", "rechtswert gauss kruger", "ostwert", "ost",
    "utm ost", "ostwert utm", "koordinate rechts", "x rechtswert", "rechtswert x", "ostkoordinate",
    "utm leste", "leste", "leste utm", "coord leste", "coordenada leste", "coordenada e", "coordenada utm e",
    "coord utm e", "coordinata x utm", "coordinate x utm", "coordinata est", "coordinate est", "coord est",
    "coordinata e", "est gauss boaga", "x gauss boaga", "gauss boaga x", "gauss boaga est", "east utm",
    "x east", "east x",
];

/// Column names for `Field::Northing`, the surest first.
#[rustfmt::skip]
pub(crate) const NORTHING: &[&str] = &[
    "northing", "northings", "north", "n", "grid northing", "utm northing", "utm n", "utm y", "y utm",
    "utm north", "northing utm", "n utm", "utmy", "utmn", "yutm", "nztm northing", "nztm n", "nztm y",
    "nztm north", "northing nztm", "n nztm", "y nztm", "nzmg northing", "nzmg n", "nzmg north",
    "northing nzmg", "n nzmg", "map northing", "map n", "grid n", "grid north", "grid y", "grid ref n",
    "grid ref north", "grid reference n", "gr n", "gr north", "gps northing", "gps north", "northing gps",
    "kill northing", "kill location northing", "location northing", "northing of kill", "mga northing",
    "northing mga", "amg northing", "osgb northing", "os northing", "itm northing", "itm n", "coord n",
    "coord northing", "coordinate n", "north coord", "north coordinate", "northing coordinate", "northng",
    "coord north", "y northing", "northing y", "n coord", "n northing", "false northing", "full northing",
    "mga94 northing", "northing mga94", "lambert y", "y lambert", "lambert93 y", "y lambert 93",
    "y lambert93", "y l93", "lambert 93 y", "coord y utm", "coordenada y utm", "coordenada utm y",
    "coordenadas utm y", "coordenadas y utm", "coord utm y", "coordenada norte", "coord norte", "norte",
    "norte utm", "utm norte", "ordenada", "ordonnee", "nord", "y nord", "nord y", "utm nord", "nord utm",
    "coordonnee y utm", "coordonnees y utm", "hochwert", "hoch", "hw", "h wert", "hochwert utm",
    "utm hochwert", "hochwert gk", "gk hochwert", "gauss kruger hochwert", "hochwert gauss kruger",
    "nordwert", "nordwert utm", "koordinate hoch", "y hochwert", "hochwert y", "nordkoordinate",
    "coordenada n", "coordenada utm n", "coord utm n", "coordinata y utm", "coordinate y utm",
    "coordinata nord", "coordinate nord", "coord nord", "coordinata n", "nord gauss boaga", "y gauss boaga",
    "gauss boaga y", "gauss boaga nord", "north utm", "y north", "north y",
];

/// Column names for `Field::X`, the surest first.
#[rustfmt::skip]
pub(crate) const X: &[&str] = &[
    "x", "coord x", "x coord", "coordinate x", "x coordinate", "x coordinates", "coords x", "coordinates x",
    "xcoord", "coordx", "pos x", "position x", "point x", "x pos", "loc x", "location x", "kill x", "x kill",
    "x val", "x value", "poi x", "coordenada x", "coordenadas x", "coorden x", "x coordenada",
    "coordonnee x", "coordonnees x", "x coordonnee", "koordinate x", "x koordinate", "koordinaten x",
    "koord x", "x koord", "x wert", "coordinata x", "x coordinata", "x m", "shape x", "point x coord",
    "x gps",
];

/// Column names for `Field::Y`, the surest first.
#[rustfmt::skip]
pub(crate) const Y: &[&str] = &[
    "y", "coord y", "y coord", "coordinate y", "y coordinate", "y coordinates", "coords y", "coordinates y",
    "ycoord", "coordy", "pos y", "position y", "point y", "y pos", "loc y", "location y", "kill y", "y kill",
    "y val", "y value", "poi y", "coordenada y", "coordenadas y", "coorden y", "y coordenada",
    "coordonnee y", "coordonnees y", "y coordonnee", "koordinate y", "y koordinate", "koordinaten y",
    "koord y", "y koord", "y wert", "coordinata y", "y coordinata", "y m", "shape y", "point y coord",
    "y gps",
];

/// Column names for `Field::Zone`, the surest first.
#[rustfmt::skip]
pub(crate) const ZONE: &[&str] = &[
    "utm zone", "zone", "zone utm", "grid zone", "map zone", "mga zone", "zone mga", "utm zn", "utm zone no",
    "utm zone number", "zone number", "zone no", "huso", "huso utm", "utm huso", "zona utm", "utm zona",
    "huso horario utm", "fuseau", "fuseau utm", "utm fuseau", "fuso", "fuso utm", "utm fuso", "zona",
    "utm zonennummer", "utmzone", "streifen", "meridianstreifen", "zonennummer", "n huso", "numero de huso",
    "utm band", "grid zone designator", "gzd", "zonen nr",
];

/// Column names for `Field::Crs`, the surest first.
#[rustfmt::skip]
pub(crate) const CRS: &[&str] = &[
    "crs", "epsg", "epsg code", "srid", "srs", "projection", "proj", "grid", "grid system", "grid type",
    "map grid", "coordinate system", "coord system", "coordinate reference system", "coordinate ref system",
    "coordinates system", "spatial reference", "spatial reference system", "spatial ref", "coord sys",
    "coordsys", "reference system", "map projection", "map system", "verbatim coordinate system",
    "coord type", "coordinate type", "coordinates type", "coord ref sys", "verbatim srs",
    "sistema de coordenadas", "sistema coordenadas", "sist coordenadas", "sistema de referencia",
    "sistema referencia", "sistema de referencia de coordenadas", "sistema de referencia espacial", "src",
    "proyeccion", "codigo epsg", "systeme de coordonnees", "systeme coordonnees", "syst coord",
    "systeme de reference", "code epsg", "scr", "systeme de projection", "koordinatensystem", "koord system",
    "koordinatenreferenzsystem", "bezugssystem", "projektion", "epsg kode", "referenzsystem",
    "kartenprojektion", "projecao", "sistema de projecao", "sistema de proyeccion",
    "sistema de projecao cartografica", "sistema di coordinate", "sistema coordinate",
    "sistema di riferimento", "sistema riferimento", "proiezione", "codice epsg",
];

/// Column names for `Field::Datum`, the surest first.
#[rustfmt::skip]
pub(crate) const DATUM: &[&str] = &[
    "geodetic datum", "gps datum", "map datum", "horizontal datum", "datum gps", "datum geodesique",
    "datum geodetico", "geodatum", "geodatisches datum", "coordinate datum", "coord datum", "datum map",
    "datum coordinates", "utm datum", "datum utm", "kartendatum", "geodetisches datum", "geodeticdatum",
    "datum horizontal", "position datum", "datum of coordinates", "datum used", "datum",
];

/// Column names for `Field::Position`, the surest first.
#[rustfmt::skip]
pub(crate) const POSITION: &[&str] = &[
    "e n", "easting northing", "x y", "grid ref", "grid reference", "e n nztm2000", "e n nztm",
    "position", "gps", "coordinates", "coordinate", "coords", "coord", "location coordinates",
    "gps coordinates", "gps coords", "gps coord", "gps position", "gps location", "gps point", "gps ref",
    "gps reference", "gps reading", "gps fix", "gps co ordinates", "co ordinates", "co ords", "gps co ords",
    "lat lon", "lat long", "latlon", "latlong", "lat lng", "latitude longitude", "latitude and longitude",
    "lat and long", "lon lat", "long lat", "longitude latitude", "lat long gps", "gps lat long",
    "gps lat lon", "lat lon gps", "lat lon wgs84", "lat long wgs84", "verbatim coordinates",
    "verbatim coordinate", "grid ref", "grid reference", "gridref", "gr", "map ref", "map reference",
    "map grid ref", "map grid reference", "nz map ref", "nztm grid ref", "nzmg grid ref", "os grid ref",
    "os grid reference", "ngr", "osgr", "national grid reference", "national grid ref", "mgrs", "mgrs ref",
    "utm", "utm ref", "utm reference", "utm coordinates", "utm coords", "utm coord", "utm position",
    "utm grid", "utm grid ref", "easting northing", "eastings northings", "easting and northing",
    "eastings and northings", "e n", "x y", "xy", "xy coord", "xy coords", "x y coordinates",
    "xy coordinates", "geo", "geolocation", "georeference", "geo reference", "geoposition", "geopoint",
    "geometry", "geom", "wkt", "footprint wkt", "point", "pos", "waypoint", "wpt", "kill position",
    "kill coordinates", "kill coords", "kill gps", "kill location gps", "shot position", "capture position",
    "capture coordinates", "hunt position", "hunt coordinates", "location gps", "site gps", "gps site",
    "gps kill site", "site coordinates", "position of kill", "coordinates of kill", "position gps",
    "coordinates gps", "coords gps", "decimal degrees", "dms", "dd coordinates", "wgs84", "wgs 84", "nztm",
    "nzmg", "position wgs84", "coordinates wgs84", "coordinates utm", "location point", "what3words",
    "plus code", "gps waypoint", "gps data", "where gps", "nztm coordinates", "nztm ref",
    "grid co ordinates", "coordenadas", "coordenada", "coordenadas gps", "coordenada gps", "coordenadas utm",
    "coordenada utm", "coordenadas geograficas", "coordenadas de caza", "coordenadas de captura", "posicion",
    "posicion gps", "ubicacion gps", "localizacion gps", "georreferencia", "georreferenciacion", "punto gps",
    "punto", "utm xy", "latitud longitud", "latitud y longitud", "lat y long", "lat y lon", "xy utm",
    "utm x y", "x y utm", "coord gps", "coord utm", "coord geograficas", "coordenadas del lugar",
    "coordenadas xy", "coordenadas x y", "cuadricula utm", "coordonnees", "coordonnee", "coordonnees gps",
    "coordonnee gps", "coordonnees utm", "coordonnees geographiques", "coordonnees xy", "coordonnees x y",
    "coordonnees lambert", "coordonnees lambert 93", "coord lambert", "position geographique",
    "localisation gps", "point gps", "latitude et longitude", "lat et long", "lat et lon",
    "coordonnees de tir", "coordonnees du tir", "coordonnees du lieu", "koordinaten", "koordinate",
    "gps koordinaten", "gps koordinate", "koordinaten gps", "utm koordinaten", "koordinaten utm", "koord",
    "gps koord", "geographische koordinaten", "geokoordinaten", "gps daten", "gps standort", "gps punkt",
    "standort gps", "breite lange", "breite und lange", "breitengrad langengrad", "rechtswert hochwert",
    "rechts hochwert", "gauss kruger koordinaten", "gauss kruger", "gk koordinaten",
    "erlegungsort koordinaten", "koordinaten erlegungsort", "koordinaten des erlegungsortes",
    "fundort koordinaten", "ko ordinaten", "koordinaten fundort", "kartenreferenz", "posicao", "posicao gps",
    "coordenadas do local", "coordenadas do abate", "localizacao gps", "georreferenciamento",
    "referencia gps", "ponto gps", "ponto", "coordenadas geo", "latitude e longitude", "lat e long",
    "lat e lon", "coordinata", "coordinate geografiche", "coordinata gps", "coordinate abbattimento",
    "coordinate di abbattimento", "coordinate prelievo", "coordinate punto", "posizione", "posizione gps",
    "punto di abbattimento", "punto abbattimento", "latitudine longitudine", "latitudine e longitudine",
    "georeferenziazione", "coordinate luogo", "localizzazione gps", "coordinate gps", "coordinate utm",
    "coordinate xy", "coordinate x y",
];

/// Column names for `Field::Radius`, the surest first.
#[rustfmt::skip]
pub(crate) const RADIUS: &[&str] = &[
    "hdop", "hdop m", "margen", "margen gps", "give or take", "fix good to", "margin",
    "gps err", "err", "prec", "precis", "genauigk", "accur",
    "accuracy", "uncertainty", "precision", "radius", "error", "gps error", "gps accuracy", "gps precision",
    "position accuracy", "position error", "position uncertainty", "positional accuracy", "positional error",
    "positional uncertainty", "location accuracy", "location error", "location uncertainty",
    "location precision", "coordinate uncertainty", "coordinates uncertainty", "coordinate uncertainty in",
    "coordinate uncertainty in meters", "coordinate uncertainty in metres", "coordinateuncertaintyinmeters",
    "coordinate accuracy", "coordinate precision", "coordinates accuracy", "coordinate error",
    "coord uncertainty", "coord accuracy", "coord precision", "coord error", "uncertainty radius",
    "error radius", "radius of error", "radius of uncertainty", "radius of accuracy", "accuracy radius",
    "point radius", "acc", "gps acc", "horizontal accuracy", "horizontal error", "horizontal precision",
    "h accuracy", "hacc", "epe", "estimated position error", "spatial accuracy", "spatial error",
    "spatial precision", "spatial uncertainty", "max error", "maximum error", "maximum uncertainty",
    "max uncertainty", "plus minus", "plus or minus", "accuracy of gps", "accuracy of location",
    "accuracy of position", "error in position", "location radius", "within", "uncertainty in",
    "uncertainty in meters", "uncertainty in metres", "accuracy in", "accuracy in metres",
    "accuracy in meters", "resolution", "location resolution", "precision of location", "error gps",
    "uncertainty of position", "tolerance", "margin of error", "error margin", "buffer", "precision gps",
    "exactitud", "exactitud gps", "incertidumbre", "incertidumbre gps", "incertidumbre posicion", "radio",
    "radio de error", "radio error", "radio de incertidumbre", "error de posicion", "error posicion",
    "margen de error", "precision coordenadas", "precision de coordenadas", "precision de las coordenadas",
    "incertidumbre de las coordenadas", "exactitude", "incertitude", "incertitude gps",
    "incertitude des coordonnees", "rayon", "rayon d erreur", "rayon d incertitude", "erreur", "erreur gps",
    "erreur de position", "precision des coordonnees", "precision de la position", "precision coordonnees",
    "marge d erreur", "genauigkeit", "gps genauigkeit", "genauigkeit gps", "lagegenauigkeit",
    "positionsgenauigkeit", "ortsgenauigkeit", "koordinatengenauigkeit", "ungenauigkeit",
    "lageungenauigkeit", "unsicherheit", "unscharfe", "abweichung", "fehler", "gps fehler", "lagefehler",
    "radius unsicherheit", "fehlerradius", "toleranz", "genauigkeit der koordinaten", "umkreis", "precisao",
    "precisao gps", "exatidao", "precisao do gps", "precisao das coordenadas", "incerteza", "incerteza gps",
    "incerteza das coordenadas", "raio", "raio de erro", "raio de incerteza", "erro", "erro gps",
    "erro do gps", "margem de erro", "erro de posicao", "precisione", "precisione gps", "accuratezza",
    "accuratezza gps", "incertezza", "incertezza gps", "raggio", "raggio di errore", "raggio di incertezza",
    "raggio incertezza", "errore", "errore gps", "errore posizione", "margine di errore",
    "precisione coordinate", "incertezza coordinate", "accuratezza posizione",
];
