//! Coordinate systems: a safe, narrow door to the PROJ library.
//!
//! A study works in one projected system in metres ([`Projector`]); positions come in
//! as WGS 84 longitude and latitude or in a system of their own ([`Transform`]). Order is
//! always x before y: longitude, latitude in degrees; easting, northing in metres.

use geo::{Coord, Distance, Geodesic, Point};
use proj::Proj;
use serde::Serialize;
use std::collections::BTreeMap;
use std::fmt;
use std::sync::{Mutex, MutexGuard};

mod environment;
mod register;

pub use environment::{clean_command, environment_is_clean};
pub use register::{AreaOfUse, SystemFacts, SystemKind, epsg, facts, projjson};

use register::check_axes;

/// WGS 84 longitude and latitude.
pub const WGS84: &str = "EPSG:4326";

/// Why a coordinate system or a position cannot be used.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ProjectionError {
    /// Not of the form `EPSG:2193`.
    #[error("\"{code}\" is not an EPSG code; write it as \"EPSG:2193\"")]
    BadCode {
        /// Text given.
        code: String,
    },
    /// The register has no such code, or the register itself cannot be read.
    #[error("{code} is not in the EPSG register{hint}")]
    UnknownCode {
        /// Code asked for.
        code: String,
        /// What to do: check the code, or the environment when that is the likely cause.
        hint: String,
    },
    /// Geographic, vertical, compound: anything but a projected system.
    #[error(
        "{code} ({name}) is not a projected system but {kind}; choose a projected one in metres for your district, such as a national grid or a UTM zone"
    )]
    NotProjected {
        /// Code asked for.
        code: String,
        /// Its name in the register.
        name: String,
        /// What it is.
        kind: String,
    },
    /// Projected, but not in metres.
    #[error("{code} ({name}) is measured in {unit}; choose a projected system in metres")]
    NotMetres {
        /// Code asked for.
        code: String,
        /// Its name in the register.
        name: String,
        /// Its unit.
        unit: String,
    },
    /// Axes that do not point east and north.
    #[error("{code} ({name}) counts {axes}; choose a system whose axes point east and north")]
    AxesNotEastNorth {
        /// Code asked for.
        code: String,
        /// Its name in the register.
        name: String,
        /// Directions of its axes.
        axes: String,
    },
    /// A system of longitude and latitude was wanted.
    #[error(
        "{code} ({name}) is not a system of longitude and latitude but {kind}; write the datum of your degrees, such as EPSG:4326"
    )]
    NotGeographic {
        /// Code asked for.
        code: String,
        /// Its name in the register.
        name: String,
        /// What it is.
        kind: String,
    },
    /// PROJ knows no way between two systems.
    #[error("no way is known from {from} to {to}: {reason}; give positions in longitude and latitude instead")]
    NoOperation {
        /// System of the positions.
        from: String,
        /// System wanted.
        to: String,
        /// What PROJ said.
        reason: String,
    },
    /// One position could not be converted.
    #[error("({x}, {y}) in {from} has no place in {to}: {reason}; check the position and its system")]
    NoPlace {
        /// First coordinate given.
        x: f64,
        /// Second coordinate given.
        y: f64,
        /// System of the position.
        from: String,
        /// System wanted.
        to: String,
        /// What PROJ said.
        reason: String,
    },
}

/// The way PROJ took from one system to another.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Operation {
    /// Its name in the register, steps joined by ` + `.
    pub description: String,
    /// Accuracy in the register, metres; `None` where it states none.
    pub accuracy_m: Option<f64>,
}

impl fmt::Display for Operation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.accuracy_m {
            Some(m) => write!(f, "{} (accuracy {m} m)", self.description),
            None => write!(f, "{} (accuracy not stated)", self.description),
        }
    }
}

/// A PROJ object, made and dropped one at a time: PROJ clears caches shared by all
/// threads when an object goes.
struct Held(Option<Proj>);

static MAKING: Mutex<()> = Mutex::new(());

fn making() -> MutexGuard<'static, ()> {
    // The guard protects no data, so a panic elsewhere cannot have left any half-written.
    MAKING.lock().unwrap_or_else(|e| e.into_inner())
}

impl Held {
    fn make(make: impl FnOnce() -> Result<Proj, proj::ProjCreateError>) -> Result<Held, String> {
        let _guard = making();
        make().map(|p| Held(Some(p))).map_err(|e| e.to_string())
    }
    fn get(&self) -> &Proj {
        self.0.as_ref().expect("held from making to dropping")
    }
}

impl Drop for Held {
    fn drop(&mut self) {
        let _guard = making();
        self.0.take();
    }
}

/// A way from one system to another, x before y at both ends.
///
/// Not `Send`: make one per thread (about 20 ms each).
pub struct Transform {
    from: String,
    to: String,
    proj: Held,
}

impl Transform {
    /// A way between two EPSG codes.
    ///
    /// # Errors
    /// [`ProjectionError::BadCode`], [`ProjectionError::UnknownCode`] or
    /// [`ProjectionError::NoOperation`].
    pub fn new(from: &str, to: &str) -> Result<Transform, ProjectionError> {
        let (from, to) = (facts(from)?.code, facts(to)?.code);
        Transform::between(from, to)
    }

    fn between(from: String, to: String) -> Result<Transform, ProjectionError> {
        match Held::make(|| Proj::new_known_crs(&from, &to, None)) {
            Ok(proj) => Ok(Transform { from, to, proj }),
            Err(reason) => Err(ProjectionError::NoOperation { from, to, reason }),
        }
    }

    /// Converts one position.
    ///
    /// # Errors
    /// [`ProjectionError::NoPlace`] when the position is not finite or lies outside what the
    /// projection can show.
    pub fn convert(&self, at: Coord) -> Result<Coord, ProjectionError> {
        let fail = |reason: String| ProjectionError::NoPlace {
            x: at.x,
            y: at.y,
            from: self.from.clone(),
            to: self.to.clone(),
            reason,
        };
        if !(at.x.is_finite() && at.y.is_finite()) {
            return Err(fail("not a finite number".into()));
        }
        match self.proj.get().convert((at.x, at.y)) {
            Ok((x, y)) if x.is_finite() && y.is_finite() => Ok(Coord { x, y }),
            Ok(_) => Err(fail("outside the projection".into())),
            Err(e) => Err(fail(e.to_string())),
        }
    }

    /// Converts many positions, in order.
    ///
    /// # Errors
    /// [`ProjectionError::NoPlace`] naming the first that has none.
    pub fn convert_all(&self, places: &[Coord]) -> Result<Vec<Coord>, ProjectionError> {
        places.iter().map(|&p| self.convert(p)).collect()
    }

    /// The way taken, as of the last position converted: where several ways are known PROJ
    /// picks the best one for each position, so ask after converting.
    pub fn operation(&self) -> Operation {
        let info = self.proj.get().proj_info();
        Operation {
            description: info.description.unwrap_or_else(|| "not stated".into()),
            accuracy_m: (info.accuracy >= 0.0).then_some(info.accuracy),
        }
    }
}

/// A study's projected system in metres, and the ways from and to WGS 84.
///
/// Not `Send`: make one per thread (about 40 ms).
///
/// ```
/// use pignut::projection::Projector;
/// let p = Projector::new("EPSG:2193")?;
/// // NZTM2000's false origin: 173° E on the equator is 1 600 000 m E, 10 000 000 m N (LINZS25002).
/// let at = p.from_wgs84(&[geo::Coord { x: 173.0, y: 0.0 }])?[0];
/// assert!((at.x - 1_600_000.0).abs() < 1e-3 && (at.y - 10_000_000.0).abs() < 1e-3);
/// # Ok::<(), pignut::projection::ProjectionError>(())
/// ```
pub struct Projector {
    facts: SystemFacts,
    to_wgs84: Transform,
    from_wgs84: Transform,
}

impl Projector {
    /// The projector of a study system, an EPSG code.
    ///
    /// # Errors
    /// [`ProjectionError`] unless the code is known, projected, in metres, with axes that
    /// point east and north.
    pub fn new(crs: &str) -> Result<Projector, ProjectionError> {
        let facts = facts(crs)?;
        let (code, name) = (facts.code.clone(), facts.name.clone());
        if facts.kind != SystemKind::Projected {
            return Err(ProjectionError::NotProjected { code, name, kind: facts.kind.words().into() });
        }
        if facts.unit != "metre" {
            return Err(ProjectionError::NotMetres { code, name, unit: facts.unit });
        }
        check_axes(&facts)?;
        Ok(Projector {
            to_wgs84: Transform::between(code.clone(), WGS84.into())?,
            from_wgs84: Transform::between(WGS84.into(), code)?,
            facts,
        })
    }

    /// The study system's code, `EPSG:2193`.
    pub fn code(&self) -> &str {
        &self.facts.code
    }

    /// What the register says of the study system.
    pub fn facts(&self) -> &SystemFacts {
        &self.facts
    }

    /// Where the study system is meant to be used, where the register says so.
    pub fn area_of_use(&self) -> Option<&AreaOfUse> {
        self.facts.area.as_ref()
    }

    /// Easting, northing (metres, study system) → longitude, latitude (degrees, WGS 84).
    ///
    /// # Errors
    /// [`ProjectionError::NoPlace`] naming the first position that has none.
    pub fn to_wgs84(&self, places: &[Coord]) -> Result<Vec<Coord>, ProjectionError> {
        self.to_wgs84.convert_all(places)
    }

    /// Longitude, latitude (degrees, WGS 84) → easting, northing (metres, study system).
    ///
    /// # Errors
    /// As [`Projector::to_wgs84`].
    pub fn from_wgs84(&self, places: &[Coord]) -> Result<Vec<Coord>, ProjectionError> {
        self.from_wgs84.convert_all(places)
    }

    /// By how much the system makes distances too long, or too short (1 over it), about a place: the larger, of a
    /// kilometre east and one north.
    ///
    /// # Errors
    /// As [`Projector::to_wgs84`].
    ///
    /// ```
    /// use pignut::projection::Projector;
    /// // On a sphere the Mercator projection stretches by 1/cos(latitude): 1.305 at 40 degrees (Snyder 1987, p. 44).
    /// let world = Projector::new("EPSG:3857")?;
    /// let at = world.from_wgs84(&[geo::Coord { x: 173.0, y: -40.0 }])?[0];
    /// assert!((world.stretch(at)? - 1.305).abs() < 0.01);
    /// let grid = Projector::new("EPSG:2193")?;
    /// let at = grid.from_wgs84(&[geo::Coord { x: 173.0, y: -40.0 }])?[0];
    /// assert!((grid.stretch(at)? - 1.0).abs() < 0.001);
    /// # Ok::<(), pignut::projection::ProjectionError>(())
    /// ```
    pub fn stretch(&self, at: Coord) -> Result<f64, ProjectionError> {
        const STEP_M: f64 = 1000.0;
        let ends = [at, Coord { x: at.x + STEP_M, y: at.y }, Coord { x: at.x, y: at.y + STEP_M }];
        let [from, east, north] = self.to_wgs84(&ends)?[..] else { unreachable!("three places in, three out") };
        let scale = |to: Coord| STEP_M / Geodesic.distance(Point::from(from), Point::from(to));
        Ok([scale(east), scale(north)].into_iter().map(|s| s.max(1.0 / s)).fold(1.0, f64::max))
    }

    /// The way from WGS 84 into the study system, as of the last position converted.
    pub fn operation(&self) -> Operation {
        self.from_wgs84.operation()
    }

    /// A way from another projected system (any unit) into the study system.
    ///
    /// # Errors
    /// [`ProjectionError`] unless the code is known, projected, with axes east and north.
    pub fn from_crs(&self, other: &str) -> Result<Transform, ProjectionError> {
        let other = facts(other)?;
        if other.kind != SystemKind::Projected {
            return Err(ProjectionError::NotProjected {
                code: other.code,
                name: other.name,
                kind: other.kind.words().into(),
            });
        }
        check_axes(&other)?;
        Transform::between(other.code, self.facts.code.clone())
    }

    /// A way from longitude and latitude on another datum into the study system.
    ///
    /// # Errors
    /// [`ProjectionError`] unless the code is known and geographic.
    pub fn from_datum(&self, datum: &str) -> Result<Transform, ProjectionError> {
        let other = facts(datum)?;
        if other.kind != SystemKind::Geographic {
            return Err(ProjectionError::NotGeographic {
                code: other.code,
                name: other.name,
                kind: other.kind.words().into(),
            });
        }
        Transform::between(other.code, self.facts.code.clone())
    }
}

/// Ways into one study system, each made once: by the name of the system they start from.
#[derive(Default)]
pub struct Transforms {
    made: BTreeMap<String, Result<Transform, ProjectionError>>,
}

impl Transforms {
    /// The way for `key`, made by `make` at the first call.
    ///
    /// # Errors
    /// What `make` answered, at every call.
    pub fn get(
        &mut self,
        key: &str,
        make: impl FnOnce() -> Result<Transform, ProjectionError>,
    ) -> Result<&Transform, ProjectionError> {
        let made = self.made.entry(key.to_string()).or_insert_with(make);
        made.as_ref().map_err(Clone::clone)
    }
}

/// The UTM zone of a place in WGS 84, as an EPSG code.
///
/// ```
/// use pignut::projection::utm_zone;
/// assert_eq!(utm_zone(geo::Coord { x: 172.9, y: -40.0 }), "EPSG:32759");
/// assert_eq!(utm_zone(geo::Coord { x: 9.0, y: 60.0 }), "EPSG:32632");
/// ```
pub fn utm_zone(degrees: Coord) -> String {
    let zone = ((degrees.x + 180.0) / 6.0).floor().clamp(0.0, 59.0) as u32 + 1;
    format!("EPSG:{}", if degrees.y < 0.0 { 32700 } else { 32600 } + zone)
}
