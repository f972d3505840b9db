//! Positions converted and judged: swapped, mirrored, far away, outside the system's area.
//!
//! A wrong position is never set right in silence: a swapped or mirrored one is refused with
//! the pair that is probably meant, since only the person who holds the sheet can know.
//!
//! The neighbourhood of a study ([`crate::ingest::neighbourhood`]) is what lies within 150 km of the
//! median record, or has three other records within 50 km (so that a study of a whole country
//! has no far corner). A position outside the neighbourhood, or outside the
//! area where the study's system is meant to be used, is tried with its two numbers swapped and
//! with either sign turned; when exactly that lands it in both, it is refused as swapped or
//! mirrored. Otherwise it is refused when outside the area of use by more than
//! one degree, and used with a warning when only far away.

use crate::geography::coordinates::held::ProjectionError;
use crate::geography::coordinates::projector::Projector;
use crate::ingest::findings::{Finding, Place, Severity};
use crate::ingest::neighbourhood::{AREA_MARGIN_DEG, ConvertedPosition, Converter, Neighbourhood, spot};
use crate::ingest::pig_row::Draft;
use crate::ingest::table::number_text;
use crate::ingest::values::position::{System, WrittenPosition};
use geo::Coord;

/// Distance between two forms of one position above which they disagree, metres. Own choice.
pub(crate) const FORMS_DISAGREE_M: f64 = 500.0;

/// Gives each draft its position; adds findings where it is wrong or doubtful.
///
/// The answer runs parallel to `drafts`: `None` where a draft has no usable position.
pub(crate) fn judge(drafts: &mut [Draft], converter: &mut Converter) -> Vec<Option<Coord>> {
    let spots: Vec<Option<ConvertedPosition>> =
        drafts.iter().map(|d| d.places.first().and_then(|w| spot(w.at, &w.system, converter).ok())).collect();
    let home = Neighbourhood::of(&spots, converter.projector);
    let mut out = Vec::with_capacity(drafts.len());
    for (i, draft) in drafts.iter_mut().enumerate() {
        let Some(written) = draft.places.first().cloned() else {
            out.push(None);
            continue;
        };
        let finding = fault(i, &written, spots[i], &home, converter, draft);
        let refused = finding.as_ref().is_some_and(|f| f.severity == Severity::Refused);
        draft.findings.extend(finding);
        let place =
            if refused { None } else { converter.convert_and_count(written.at, &written.system).ok() };
        if let Some(place) = place
            && let Some(finding) = disagreement(draft, place, converter)
        {
            draft.findings.push(finding);
        }
        out.push(place);
    }
    out
}

/// What is wrong with a position, if anything.
fn fault(
    i: usize,
    written: &WrittenPosition,
    spot_given: Option<ConvertedPosition>,
    home: &Neighbourhood,
    converter: &mut Converter,
    draft: &Draft,
) -> Option<Finding> {
    let (x, y) = (written.at.x, written.at.y);
    let place = Place { file: &draft.source.file, row: Some(draft.source.row) };
    let finding = |severity, code, on_x: bool, message: String, suggested_correction: String| {
        let column = if on_x { &written.x_column } else { &written.y_column };
        let value = match written.x_column == written.y_column {
            true => format!("{y:.5}, {x:.5}"),
            false if on_x => number_text(x),
            false => number_text(y),
        };
        Some(place.cell(severity, code, Some(column), Some(&value), message, suggested_correction))
    };
    let (x_name, y_name) = if written.x_column == written.y_column {
        ("longitude", "latitude")
    } else {
        (written.x_column.as_str(), written.y_column.as_str())
    };
    use Severity::{Refused, Warning};
    if x == 0.0 && y == 0.0 {
        return finding(
            Refused,
            "position-zero",
            false,
            "and the other coordinate are both 0, which is how receivers write 'no position'".into(),
            "write the true position, or leave both empty and record where it was shot in another form"
                .into(),
        );
    }
    if let Some(spot) = &spot_given
        && home.in_area(spot, 0.0)
        && home.at_home(spot.metres, i)
    {
        return None;
    }
    // Does another reading of the two numbers land among the records?
    let lands = |at: Coord, converter: &mut Converter| {
        spot(at, &written.system, converter).is_ok_and(|s| home.fits(&s, i))
    };
    let given_fits = spot_given.is_some_and(|s| home.fits(&s, i));
    if !given_fits && lands(Coord { x: y, y: x }, converter) {
        return finding(
            Refused,
            "position-swapped",
            false,
            format!("and {x_name} {x} look swapped: the other way round they fall in the study's area"),
            format!("swap them: {y_name} {x}, {x_name} {y}"),
        );
    }
    if !given_fits && written.system.is_degrees() {
        for (mx, my) in [(1.0, -1.0), (-1.0, 1.0), (-1.0, -1.0)] {
            let at = Coord { x: x * mx, y: y * my };
            if at != written.at && lands(at, converter) {
                let half = match (mx < 0.0, my < 0.0) {
                    (true, true) => "both hemispheres",
                    (true, false) => "the wrong hemisphere, east for west",
                    _ => "the wrong hemisphere, north for south",
                };
                return finding(
                    Refused,
                    "position-wrong-hemisphere",
                    my > 0.0,
                    format!("puts it in {half}: with the sign turned it falls in the study's area"),
                    format!("write {y_name} {}, {x_name} {}", at.y, at.x),
                );
            }
        }
    }
    let Some(spot_given) = spot_given else {
        if written.system.is_degrees() && y.abs() > 90.0 {
            return finding(
                Refused,
                "position-off-globe",
                false,
                "is no latitude: latitudes lie between -90 and 90".into(),
                "correct it, or swap latitude and longitude".into(),
            );
        }
        if written.system.is_degrees() && x.abs() > 180.0 {
            return finding(
                Refused,
                "position-off-globe",
                true,
                "is no longitude: longitudes lie between -180 and 180".into(),
                "correct it".into(),
            );
        }
        return match converter.convert(written.at, &written.system) {
            Err(ProjectionError::NoPlace { from, to, reason, .. }) => finding(
                Refused,
                "position-has-no-place",
                false,
                format!("with {x_name} {x} in {from} has no place in {to}: {reason}"),
                "check the position and its system".into(),
            ),
            Err(e) => {
                let code = if written.system.is_degrees() { "datum-unknown" } else { "crs-unknown" };
                let value = match &written.system {
                    System::Datum(c) | System::Projected(c) => Some(c.as_str()),
                    _ => None,
                };
                // The error ends in its own correction, after a semicolon.
                let text = e.to_string();
                let (message, suggested_correction) =
                    text.split_once("; ").unwrap_or((&text, "write a code that fits the numbers"));
                Some(place.cell(
                    Refused,
                    code,
                    Some(&written.system_column),
                    value,
                    format!("cannot be used: {message}"),
                    format!("{suggested_correction}, or leave it empty"),
                ))
            }
            Ok(_) => None,
        };
    };
    if !home.in_area(&spot_given, AREA_MARGIN_DEG) {
        return finding(
            Refused,
            "position-outside-area",
            false,
            format!(
                "with {x_name} {x} lies outside the area where {} is used ({})",
                converter.projector.code(),
                area_text(converter.projector)
            ),
            "correct the position, or choose a study.crs that covers it".into(),
        );
    }
    if !home.at_home(spot_given.metres, i) {
        let median = home.median.unwrap_or(spot_given.metres);
        let km = (spot_given.metres.x - median.x).hypot(spot_given.metres.y - median.y) / 1000.0;
        return finding(
            Warning,
            "position-far-away",
            false,
            format!("with {x_name} {x} lies {km:.0} km from the middle of the records, alone"),
            "check the position".into(),
        );
    }
    finding(
        Warning,
        "position-edge-of-area",
        false,
        format!(
            "with {x_name} {x} lies just outside the area where {} is used ({})",
            converter.projector.code(),
            area_text(converter.projector)
        ),
        "check the position; distances are stretched a little there".into(),
    )
}

fn area_text(projector: &Projector) -> String {
    projector.area_of_use().map_or_else(
        || "area not stated".into(),
        |a| format!("longitude {} to {}, latitude {} to {}", a.west, a.east, a.south, a.north),
    )
}

/// A second form of a position that does not agree with the one used.
fn disagreement(draft: &Draft, place: Coord, converter: &mut Converter) -> Option<Finding> {
    draft.places.iter().skip(1).find_map(|other| {
        let apart_m = match converter.convert(other.at, &other.system) {
            Ok(o) => (o.x - place.x).hypot(o.y - place.y),
            Err(_) => f64::INFINITY,
        };
        if apart_m <= FORMS_DISAGREE_M {
            return None;
        }
        let apart =
            if apart_m.is_finite() { format!("{apart_m:.0} m") } else { "an unknown distance".into() };
        Some(Place { file: &draft.source.file, row: Some(draft.source.row) }.cell(
            Severity::Warning,
            "positions-disagree",
            Some(&other.x_column),
            Some(&format!("{}, {}", other.at.x, other.at.y)),
            format!("lies {apart} from the position in {}, which is used", draft.places[0].x_column),
            "correct one of the two, or leave one empty",
        ))
    })
}
