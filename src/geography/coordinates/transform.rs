//! Ways from one coordinate system into another.

use crate::geography::coordinates::held::{Held, ProjectionError};
use crate::geography::coordinates::register::facts;
use geo::Coord;
use proj::Proj;
use serde::Serialize;
use std::collections::BTreeMap;
use std::fmt;

/// The way PROJ took from one system to another.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CoordinateOperation {
    /// Its name in the register, steps joined by ` + `.
    pub description: String,
    /// Accuracy in the register, metres; `None` where it states none.
    pub accuracy_m: Option<f64>,
}

impl fmt::Display for CoordinateOperation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.accuracy_m {
            Some(m) => write!(f, "{} (accuracy {m} m)", self.description),
            None => write!(f, "{} (accuracy not stated)", self.description),
        }
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

    pub(crate) fn between(from: String, to: String) -> Result<Transform, ProjectionError> {
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
    pub fn operation(&self) -> CoordinateOperation {
        let info = self.proj.get().proj_info();
        CoordinateOperation {
            description: info.description.unwrap_or_else(|| "not stated".into()),
            accuracy_m: (info.accuracy >= 0.0).then_some(info.accuracy),
        }
    }
}

/// Ways into one study system, each made once: by the name of the system they start from.
#[derive(Default)]
pub(crate) struct Transforms {
    made: BTreeMap<String, Result<Transform, ProjectionError>>,
}

impl Transforms {
    /// The way for `key`, made by `make` at the first call.
    ///
    /// # Errors
    /// What `make` answered, at every call.
    pub(crate) fn get(
        &mut self,
        key: &str,
        make: impl FnOnce() -> Result<Transform, ProjectionError>,
    ) -> Result<&Transform, ProjectionError> {
        let made = self.made.entry(key.to_string()).or_insert_with(make);
        made.as_ref().map_err(Clone::clone)
    }
}

/// WGS 84 longitude and latitude.
pub(crate) const WGS84: &str = "EPSG:4326";
