//! What the columns of a record sheet hold, and the column names that say so in six languages.

use super::{headers_animal, headers_findings, headers_other, headers_when, headers_where};

/// What a column of a record sheet holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) enum Field {
    /// The number that names the animal or its specimen.
    Id,
    /// The laboratory's own number for the submission, which does not name the animal.
    LaboratoryNumber,
    /// The day the animal was killed, caught or found.
    Date,
    /// A day on which something other than the kill happened.
    OtherDate,
    /// The year of the kill.
    Year,
    /// The month of the kill.
    Month,
    /// The day of the month of the kill.
    Day,
    /// The season or hunting season of the kill.
    Season,
    /// Latitude.
    Latitude,
    /// Longitude.
    Longitude,
    /// Degrees of latitude, when it is split over columns.
    LatitudeDegrees,
    /// Whole or decimal minutes of latitude, when it is split over columns.
    LatitudeMinutes,
    /// Whole or decimal seconds of latitude, when it is split over columns.
    LatitudeSeconds,
    /// Degrees of longitude, when it is split over columns.
    LongitudeDegrees,
    /// Whole or decimal minutes of longitude, when it is split over columns.
    LongitudeMinutes,
    /// Whole or decimal seconds of longitude, when it is split over columns.
    LongitudeSeconds,
    /// North or south, beside a latitude without a sign.
    LatitudeHemisphere,
    /// East or west, beside a longitude without a sign.
    LongitudeHemisphere,
    /// Grid easting.
    Easting,
    /// Grid northing.
    Northing,
    /// A first coordinate that may be an easting or a longitude.
    X,
    /// A second coordinate that may be a northing or a latitude.
    Y,
    /// The zone of a zoned grid.
    Zone,
    /// The coordinate system of the position.
    Crs,
    /// The geodetic datum of the position (which may be a German date).
    Datum,
    /// A whole position in one cell.
    Position,
    /// How far off the position may be.
    Radius,
    /// Female or male.
    Sex,
    /// Age as written: a number, a span or a class.
    Age,
    /// The lower bound of the age.
    AgeMin,
    /// The upper bound of the age.
    AgeMax,
    /// Age class.
    AgeClass,
    /// The state of the teeth, from which age follows.
    Dentition,
    /// Which pairs of head nodes were cut and looked at.
    NodePairs,
    /// What was seen by eye: lesions or none.
    Lesion,
    /// Where in the body the lesion was.
    LesionSite,
    /// Which laboratory test was made.
    LabMethod,
    /// What the laboratory answered.
    LabResult,
    /// The answer of bacterial culture.
    Culture,
    /// The answer of PCR.
    Pcr,
    /// The answer of histology.
    Histology,
    /// A result of the eye or of the laboratory.
    Result,
    /// The day a sentinel pig was released.
    ReleasedOn,
    /// The species of the animal.
    Species,
    /// Whether the row stands or was withdrawn.
    Status,
    /// Free remarks.
    Remarks,
    /// Body weight.
    Weight,
    /// A person: hunter, collector, examiner.
    Person,
    /// A named place or area.
    Place,
    /// What was taken from the animal.
    Sample,
    /// Time of day.
    Time,
    /// A running number of the row, which names no animal.
    RowNumber,
}

/// Column names that say what a column holds, by field: (field, phrases), the surest phrases first.
pub(crate) const HEADERS: &[(Field, &[&str])] = &[
    (Field::Id, headers_animal::ID),
    (Field::LaboratoryNumber, headers_animal::LABORATORY_NUMBER),
    (Field::Date, headers_when::DATE),
    (Field::OtherDate, headers_when::OTHER_DATE),
    (Field::Year, headers_when::YEAR),
    (Field::Month, headers_when::MONTH),
    (Field::Day, headers_when::DAY),
    (Field::Season, headers_when::SEASON),
    (Field::Latitude, headers_where::LATITUDE),
    (Field::Longitude, headers_where::LONGITUDE),
    (Field::LatitudeDegrees, headers_where::LATITUDE_DEGREES),
    (Field::LatitudeMinutes, headers_where::LATITUDE_MINUTES),
    (Field::LatitudeSeconds, headers_where::LATITUDE_SECONDS),
    (Field::LongitudeDegrees, headers_where::LONGITUDE_DEGREES),
    (Field::LongitudeMinutes, headers_where::LONGITUDE_MINUTES),
    (Field::LongitudeSeconds, headers_where::LONGITUDE_SECONDS),
    (Field::LatitudeHemisphere, headers_where::LATITUDE_HEMISPHERE),
    (Field::LongitudeHemisphere, headers_where::LONGITUDE_HEMISPHERE),
    (Field::Easting, headers_where::EASTING),
    (Field::Northing, headers_where::NORTHING),
    (Field::X, headers_where::X),
    (Field::Y, headers_where::Y),
    (Field::Zone, headers_where::ZONE),
    (Field::Crs, headers_where::CRS),
    (Field::Datum, headers_where::DATUM),
    (Field::Position, headers_where::POSITION),
    (Field::Radius, headers_where::RADIUS),
    (Field::Sex, headers_animal::SEX),
    (Field::Age, headers_animal::AGE),
    (Field::AgeMin, headers_animal::AGE_MIN),
    (Field::AgeMax, headers_animal::AGE_MAX),
    (Field::AgeClass, headers_animal::AGE_CLASS),
    (Field::Dentition, headers_animal::DENTITION),
    (Field::NodePairs, headers_findings::NODE_PAIRS),
    (Field::Lesion, headers_findings::LESION),
    (Field::LesionSite, headers_findings::LESION_SITE),
    (Field::LabMethod, headers_findings::LAB_METHOD),
    (Field::LabResult, headers_findings::LAB_RESULT),
    (Field::Culture, headers_findings::CULTURE),
    (Field::Pcr, headers_findings::PCR),
    (Field::Histology, headers_findings::HISTOLOGY),
    (Field::Result, headers_findings::RESULT),
    (Field::ReleasedOn, headers_when::RELEASED_ON),
    (Field::Species, headers_animal::SPECIES),
    (Field::Status, headers_other::STATUS),
    (Field::Remarks, headers_other::REMARKS),
    (Field::Weight, headers_animal::WEIGHT),
    (Field::Person, headers_other::PERSON),
    (Field::Place, headers_other::PLACE),
    (Field::Sample, headers_other::SAMPLE),
    (Field::Time, headers_when::TIME),
    (Field::RowNumber, headers_other::ROW_NUMBER),
];
