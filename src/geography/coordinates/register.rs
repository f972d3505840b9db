//! What the EPSG register says of a coordinate system.

use crate::geography::coordinates::environment::foreign_registers;
use crate::geography::coordinates::held::{Held, ProjectionError};
use proj::Proj;
use serde::Serialize;

/// What the register says of a system.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SystemFacts {
    /// `EPSG:2193`.
    pub code: String,
    /// Name in the register.
    pub name: String,
    /// What it is.
    pub kind: SystemKind,
    /// Unit of its first axis, in the register's words (`metre`, `degree`, …).
    pub unit: String,
    /// Directions of its axes, in the register's order (`east`, `north`, …).
    pub axes: Vec<String>,
    /// Where it is meant to be used.
    pub area: Option<AreaOfUse>,
}

/// The kinds of system that matter here.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum SystemKind {
    /// Easting and northing.
    Projected,
    /// Longitude and latitude.
    Geographic,
    /// Anything else: vertical, compound, geocentric, engineering.
    Other,
}

impl SystemKind {
    pub(crate) fn words(self) -> &'static str {
        match self {
            SystemKind::Projected => "a projected one",
            SystemKind::Geographic => "one of longitude and latitude",
            SystemKind::Other => "of another kind (vertical, compound or geocentric)",
        }
    }
}

/// A box of longitude and latitude, degrees; `west > east` when it crosses the 180th meridian.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AreaOfUse {
    /// Western edge, degrees.
    pub west: f64,
    /// Southern edge, degrees.
    pub south: f64,
    /// Eastern edge, degrees.
    pub east: f64,
    /// Northern edge, degrees.
    pub north: f64,
    /// Name of the area in the register.
    pub name: String,
}

impl AreaOfUse {
    /// Whether a place lies in the box widened by `margin_deg` degrees on each side.
    ///
    /// ```
    /// use pignut::internals::geography::coordinates::register::AreaOfUse;
    /// let a = AreaOfUse { west: 160.0, south: -60.0, east: -170.0, north: -25.0, name: String::new() };
    /// assert!(a.contains(172.0, -41.0, 0.0) && a.contains(-175.0, -41.0, 0.0));
    /// assert!(!a.contains(159.5, -41.0, 0.0) && a.contains(159.5, -41.0, 1.0));
    /// ```
    pub fn contains(&self, lon: f64, lat: f64, margin_deg: f64) -> bool {
        let width = (self.east - self.west).rem_euclid(360.0);
        let width = if width == 0.0 && self.east != self.west { 360.0 } else { width };
        let along = (lon - self.west + margin_deg).rem_euclid(360.0);
        let in_lon = width + 2.0 * margin_deg >= 360.0 || along <= width + 2.0 * margin_deg;
        in_lon && lat >= self.south - margin_deg && lat <= self.north + margin_deg
    }
}

pub(crate) fn check_axes(facts: &SystemFacts) -> Result<(), ProjectionError> {
    let axes: Vec<&str> = facts.axes.iter().map(String::as_str).collect();
    if matches!(axes[..], ["east", "north"] | ["north", "east"]) {
        return Ok(());
    }
    Err(ProjectionError::AxesNotEastNorth {
        code: facts.code.clone(),
        name: facts.name.clone(),
        axes: axes.join(" and "),
    })
}

/// `EPSG:2193` from `epsg:2193`, `EPSG : 2193` or `2193`.
///
/// # Errors
/// [`ProjectionError::BadCode`] for anything else.
pub(crate) fn epsg(code: &str) -> Result<String, ProjectionError> {
    let tight: String = code.chars().filter(|c| !c.is_whitespace()).collect();
    let digits = match tight.get(..5) {
        Some(prefix) if prefix.eq_ignore_ascii_case("epsg:") => &tight[5..],
        _ => &tight[..],
    };
    if (1..=7).contains(&digits.len()) && digits.bytes().all(|b| b.is_ascii_digit()) {
        Ok(format!("EPSG:{digits}"))
    } else {
        Err(ProjectionError::BadCode { code: code.to_string() })
    }
}

/// The object PROJ makes of a code, and its PROJJSON.
fn object(code: &str) -> Result<(Held, serde_json::Value), ProjectionError> {
    let unknown = || {
        let hint = match foreign_registers().first() {
            None => "; check the code".to_string(),
            Some(p) => format!(
                ", or the register of another PROJ is in the way: {}; unset PROJ_DATA and PROJ_LIB or move \
                 that file",
                p.display()
            ),
        };
        ProjectionError::UnknownCode { code: code.to_string(), hint }
    };
    let held = Held::make(|| Proj::new(code)).map_err(|_| unknown())?;
    let text = held.get().to_projjson(Some(false), None, None).map_err(|_| unknown())?;
    let json = serde_json::from_str(&text).map_err(|_| unknown())?;
    Ok((held, json))
}

/// A code's definition as PROJJSON, as GeoParquet asks for it.
///
/// # Errors
/// [`ProjectionError::BadCode`] or [`ProjectionError::UnknownCode`].
pub(crate) fn projjson(code: &str) -> Result<serde_json::Value, ProjectionError> {
    object(&epsg(code)?).map(|(_, json)| json)
}

/// What the register says of a code.
///
/// PROJ writes a line of its own to standard error when a code is unknown; the register
/// offers no quieter way to ask.
///
/// # Errors
/// [`ProjectionError::BadCode`] or [`ProjectionError::UnknownCode`].
pub fn facts(code: &str) -> Result<SystemFacts, ProjectionError> {
    let code = epsg(code)?;
    let (held, json) = object(&code)?;
    let axes = json["coordinate_system"]["axis"].as_array().cloned().unwrap_or_default();
    let word = |v: &serde_json::Value| v.as_str().unwrap_or("").to_string();
    let unit = match axes.first().map(|a| &a["unit"]) {
        Some(u) if u.is_object() => word(&u["name"]),
        Some(u) => word(u),
        None => String::new(),
    };
    let area = held.get().area_of_use().ok().and_then(|(area, name)| {
        area.map(|a| AreaOfUse {
            west: a.west,
            south: a.south,
            east: a.east,
            north: a.north,
            name: name.unwrap_or_default(),
        })
    });
    Ok(SystemFacts {
        name: word(&json["name"]),
        kind: match json["type"].as_str() {
            Some("ProjectedCRS") => SystemKind::Projected,
            Some("GeographicCRS") => SystemKind::Geographic,
            _ => SystemKind::Other,
        },
        unit,
        axes: axes.iter().map(|a| word(&a["direction"])).collect(),
        area,
        code,
    })
}
