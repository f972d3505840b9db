//! Figures of each cell as GeoTIFF, one file a figure, in the study's own system.
//!
//! OGC GeoTIFF 1.1 (19-008r4): pixels are areas, the first row is the northernmost, the system is named by
//! its EPSG code. Values are single precision; a cell without the figure holds [`NO_VALUE`], which the
//! file declares (the tag GDAL_NODATA, common practice). Files are written by the `tiff` library.

use crate::assess::cells::CellFigures;
use crate::contract::error::ContractError;
use crate::contract::{FileSpec, rasters};
use crate::geography::coordinates::register::SystemFacts;
use crate::geography::grid::Grid;
use crate::pipeline::analysis::Analysis;
use crate::records::{date_of_day, day_number};
use crate::report::error::ReportError;
use std::io::Cursor;
use tiff::TiffError;
use tiff::encoder::colortype::Gray32Float;
use tiff::encoder::compression::DeflateLevel;
use tiff::encoder::{Compression, TiffEncoder};
use tiff::tags::Tag;

/// What a cell without the figure holds.
pub(crate) const NO_VALUE: f32 = -9999.0;

/// The figure of one cell; `None` where it has none.
type CellFigure = fn(&CellFigures) -> Option<f64>;

/// The figure that a declared raster holds; `None` for a raster that is not known.
fn figure(file: &FileSpec) -> Option<CellFigure> {
    let known: [(&FileSpec, CellFigure); 10] = [
        (&rasters::FORCE_OF_INFECTION_MEDIAN, |c| Some(c.hazard.median())),
        (&rasters::FORCE_OF_INFECTION_Q05, |c| Some(c.hazard.q05())),
        (&rasters::FORCE_OF_INFECTION_Q95, |c| Some(c.hazard.q95())),
        (&rasters::P_ACTIVE, |c| Some(c.p_active)),
        (&rasters::EXPOSURE_PIG_YEARS, |c| Some(c.exposure_pig_years)),
        (&rasters::SURVEILLANCE_SENSITIVITY, |c| Some(c.surveillance_sensitivity)),
        (&rasters::EXPECTED_INFECTIONS, |c| Some(c.expected_infections)),
        (&rasters::WINDOW_START_YEAR, |c| c.window.map(|w| year(w[0]))),
        (&rasters::WINDOW_MEDIAN_YEAR, |c| c.window.map(|w| year(w[1]))),
        (&rasters::WINDOW_END_YEAR, |c| c.window.map(|w| year(w[2]))),
    ];
    known.into_iter().find(|k| k.0.path == file.path).map(|k| k.1)
}

/// A declared raster; its name and unit stand in the file.
///
/// # Errors
/// [`ReportError::Contract`] for a raster that is declared and not known here; [`ReportError::Table`].
pub(crate) fn raster(
    file: &FileSpec,
    analysis: &Analysis,
    system: &SystemFacts,
) -> Result<Vec<u8>, ReportError> {
    let value = figure(file).ok_or_else(|| ContractError::file(file.path, "is declared and not made"))?;
    let words: Vec<String> = file.columns.iter().map(|c| format!("{} ({})", c.name, c.unit)).collect();
    let cells = &analysis.assessment.cells;
    write(&words.join(", "), &analysis.layout.grid, system, |cell| value(&cells[cell]))
        .map_err(|e| ReportError::Table { table: file.path.into(), reason: e.to_string() })
}

fn write(
    words: &str,
    grid: &Grid,
    system: &SystemFacts,
    value: impl Fn(usize) -> Option<f64>,
) -> Result<Vec<u8>, TiffError> {
    let north_first = (0..grid.rows).rev().flat_map(|r| (0..grid.cols).map(move |c| (r, c)));
    let pixels: Vec<f32> =
        north_first.map(|(r, c)| value(grid.cell(r, c)).map_or(NO_VALUE, |v| v as f32)).collect();
    let north_m = grid.north_west().y;
    let mut bytes = Cursor::new(Vec::new());
    let mut encoder =
        TiffEncoder::new(&mut bytes)?.with_compression(Compression::Deflate(DeflateLevel::default()));
    let mut image = encoder.new_image::<Gray32Float>(grid.cols as u32, grid.rows as u32)?;
    let tags = image.encoder();
    tags.write_tag(Tag::ModelPixelScaleTag, &[grid.cell_m, grid.cell_m, 0.0][..])?;
    tags.write_tag(Tag::ModelTiepointTag, &[0.0, 0.0, 0.0, grid.west_m, north_m, 0.0][..])?;
    let (keys, citation) = geo_keys(system);
    tags.write_tag(Tag::GeoKeyDirectoryTag, &keys[..])?;
    tags.write_tag(Tag::GeoAsciiParamsTag, &citation[..])?;
    tags.write_tag(Tag::GdalNodata, format!("{NO_VALUE}").as_str())?;
    tags.write_tag(Tag::ImageDescription, words)?;
    image.write_data(&pixels)?;
    Ok(bytes.into_inner())
}

/// The key directory (§7.1.2) and the text it points to.
///
/// A code above the range of the standard (32 766) is written as user-defined, with the code in the citation.
fn geo_keys(system: &SystemFacts) -> (Vec<u16>, String) {
    const USER_DEFINED: u16 = 32_767;
    const METRE: u16 = 9001;
    let code = system.code.trim_start_matches("EPSG:").parse::<u16>().ok().filter(|c| *c < USER_DEFINED);
    let ascii: String = system.name.chars().filter(char::is_ascii).collect();
    let citation = format!("{ascii} ({})|", system.code);
    let keys = [
        [1, 1, 1, 5],
        [1024, 0, 1, 1],                            // GTModelType: projected
        [1025, 0, 1, 1],                            // GTRasterType: a pixel is an area
        [1026, 34_737, citation.len() as u16, 0],   // GTCitation
        [3072, 0, 1, code.unwrap_or(USER_DEFINED)], // ProjectedCRS
        [3076, 0, 1, METRE],                        // ProjLinearUnits
    ];
    (keys.concat(), citation)
}

/// A day as a year and its fraction.
fn year(day: f64) -> f64 {
    let date = date_of_day(day);
    let start = |y: i16| day_number(jiff::civil::date(y, 1, 1));
    let (first, next) = (start(date.year()), start(date.year() + 1));
    f64::from(date.year()) + (day - first) / (next - first)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geography::coordinates::register::SystemKind;

    /// GeoTIFF 1.1, §7.5: 32 767 is a user-defined system; the citation then says which.
    #[test]
    fn a_code_beyond_the_standard_stands_in_the_citation() {
        let system = |code: &str| SystemFacts {
            code: code.into(),
            name: "Grid of ×".into(),
            kind: SystemKind::Projected,
            unit: "metre".into(),
            axes: vec!["east".into(), "north".into()],
            area: None,
        };
        for (code, key) in [("EPSG:2193", 2193), ("EPSG:32766", 32_766), ("EPSG:1027700", 32_767)] {
            let (keys, words) = geo_keys(&system(code));
            assert_eq!((keys.len(), keys[3] as usize), (24, keys.len() / 4 - 1));
            assert!(keys.chunks(4).any(|k| *k == [3072, 0, 1, key]), "{code} {keys:?}");
            assert!(words.is_ascii() && words == format!("Grid of  ({code})|"), "{words}");
        }
        assert_eq!(year(day_number(jiff::civil::date(2024, 7, 2))), 2024.5);
    }
}
