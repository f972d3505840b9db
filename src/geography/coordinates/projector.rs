//! The study's projected system: to and from longitude and latitude.

use crate::geography::coordinates::held::ProjectionError;
use crate::geography::coordinates::register::{AreaOfUse, SystemFacts, SystemKind, check_axes, facts};
use crate::geography::coordinates::transform::{CoordinateOperation, Transform, WGS84};
use geo::{Coord, Distance, Geodesic, Point};

/// A study's projected system in metres, and the ways from and to WGS 84.
///
/// Not `Send`: make one per thread (about 40 ms).
///
/// ```
/// use pignut::internals::geography::coordinates::projector::Projector;
/// let p = Projector::new("EPSG:2193")?;
/// // NZTM2000's false origin: 173° E on the equator is 1 600 000 m E, 10 000 000 m N (LINZS25002).
/// let at = p.from_wgs84(&[geo::Coord { x: 173.0, y: 0.0 }])?[0];
/// assert!((at.x - 1_600_000.0).abs() < 1e-3 && (at.y - 10_000_000.0).abs() < 1e-3);
/// # Ok::<(), pignut::internals::geography::coordinates::held::ProjectionError>(())
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

    /// By how much the system makes distances too long, or too short (1 over it), about a place: the larger,
    /// of a kilometre east and one north.
    ///
    /// # Errors
    /// As [`Projector::to_wgs84`].
    ///
    /// ```
    /// use pignut::internals::geography::coordinates::projector::Projector;
    /// // On a sphere Mercator's projection stretches by 1/cos(latitude): 1.305 at 40° (Snyder 1987, p. 44).
    /// let world = Projector::new("EPSG:3857")?;
    /// let at = world.from_wgs84(&[geo::Coord { x: 173.0, y: -40.0 }])?[0];
    /// assert!((world.stretch(at)? - 1.305).abs() < 0.01);
    /// let grid = Projector::new("EPSG:2193")?;
    /// let at = grid.from_wgs84(&[geo::Coord { x: 173.0, y: -40.0 }])?[0];
    /// assert!((grid.stretch(at)? - 1.0).abs() < 0.001);
    /// # Ok::<(), pignut::internals::geography::coordinates::held::ProjectionError>(())
    /// ```
    pub fn stretch(&self, at: Coord) -> Result<f64, ProjectionError> {
        const STEP_M: f64 = 1000.0;
        let ends = [at, Coord { x: at.x + STEP_M, y: at.y }, Coord { x: at.x, y: at.y + STEP_M }];
        let [from, east, north] = self.to_wgs84(&ends)?[..] else {
            unreachable!("three places in, three out")
        };
        let scale = |to: Coord| STEP_M / Geodesic.distance(Point::from(from), Point::from(to));
        Ok([scale(east), scale(north)].into_iter().map(|s| s.max(1.0 / s)).fold(1.0, f64::max))
    }

    /// The way from WGS 84 into the study system, as of the last position converted.
    pub fn operation(&self) -> CoordinateOperation {
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

/// The UTM zone of a place in WGS 84, as an EPSG code.
///
/// ```
/// use pignut::internals::geography::coordinates::projector::utm_zone;
/// assert_eq!(utm_zone(geo::Coord { x: 172.9, y: -40.0 }), "EPSG:32759");
/// assert_eq!(utm_zone(geo::Coord { x: 9.0, y: 60.0 }), "EPSG:32632");
/// ```
pub fn utm_zone(degrees: Coord) -> String {
    let zone = ((degrees.x + 180.0) / 6.0).floor().clamp(0.0, 59.0) as u32 + 1;
    format!("EPSG:{}", if degrees.y < 0.0 { 32700 } else { 32600 } + zone)
}
