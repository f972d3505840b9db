//! What all GeoJSON layers share: RFC 7946 order, winding, precision and box.

use crate::assess::spread::Spread;
use crate::contract::FileSpec;
use crate::contract::members::checked;
use crate::geography::coordinates::projector::Projector;
use crate::records::date_of_day;
use crate::report::error::ReportError;
use crate::report::json::number;
use crate::report::layers::antimeridian;
use geo::{Coord, LineString, MultiPolygon, Polygon};
use geojson::{Feature, FeatureCollection, GeoJson, Geometry, GeometryValue, JsonObject, JsonValue};

/// Decimals of a degree: 1e-7 is about a centimetre.
const DECIMALS: f64 = 1e7;

/// Properties of a feature, in any order; an absent value is left out, never written as 0 or null.
#[derive(Default)]
pub struct Properties(JsonObject);

impl Properties {
    /// None yet.
    pub fn new() -> Properties {
        Properties::default()
    }
    /// A text.
    pub fn text(mut self, name: &str, value: impl Into<String>) -> Properties {
        self.0.insert(name.into(), JsonValue::String(value.into()));
        self
    }
    /// A text, when there is one.
    pub fn text_if(self, name: &str, value: Option<String>) -> Properties {
        match value {
            Some(v) => self.text(name, v),
            None => self,
        }
    }
    /// A number, left out when it is not finite.
    pub fn number(mut self, name: &str, value: f64) -> Properties {
        if let Some(v) = number(value) {
            self.0.insert(name.into(), v);
        }
        self
    }
    /// A number, when there is one.
    pub fn number_if(self, name: &str, value: Option<f64>) -> Properties {
        match value {
            Some(v) => self.number(name, v),
            None => self,
        }
    }
    /// Median, 5 and 95 % quantile.
    pub fn interval(self, name: &str, spread: &Spread) -> Properties {
        self.number(&format!("{name}_median"), spread.median())
            .number(&format!("{name}_q05"), spread.q05())
            .number(&format!("{name}_q95"), spread.q95())
    }
    /// The dates of an infection window, day numbers, when there is one.
    pub fn window(self, days: Option<[f64; 3]>) -> Properties {
        let day = |i: usize| days.map(|d| date_of_day(d[i]).to_string());
        self.text_if("window_start", day(0)).text_if("window_median", day(1)).text_if("window_end", day(2))
    }
    /// The properties as an object.
    pub fn into_value(self) -> JsonValue {
        JsonValue::Object(self.0)
    }
    /// Any JSON value.
    pub fn value(mut self, name: &str, value: JsonValue) -> Properties {
        self.0.insert(name.into(), value);
        self
    }
}

/// Collects features and their common box, then writes one collection.
pub struct LayerBuilder<'a> {
    file: &'static FileSpec,
    projector: &'a Projector,
    features: Vec<Feature>,
    longitudes: Vec<f64>,
    latitudes: Option<(f64, f64)>,
}

impl<'a> LayerBuilder<'a> {
    /// An empty layer of a declared file.
    pub fn new(file: &'static FileSpec, projector: &'a Projector) -> LayerBuilder<'a> {
        LayerBuilder { file, projector, features: Vec::new(), longitudes: Vec::new(), latitudes: None }
    }

    /// Positions as they are written; the box grows to hold them.
    fn written(&mut self, degrees: impl IntoIterator<Item = Coord<f64>>) -> Vec<Vec<f64>> {
        let round = |v: f64| (v * DECIMALS).round() / DECIMALS;
        let out: Vec<Vec<f64>> = degrees.into_iter().map(|c| vec![round(c.x), round(c.y)]).collect();
        for p in &out {
            self.longitudes.push(p[0]);
            let (south, north) = self.latitudes.unwrap_or((p[1], p[1]));
            self.latitudes = Some((south.min(p[1]), north.max(p[1])));
        }
        out
    }

    fn push(&mut self, value: GeometryValue, id: &str, properties: Properties) -> Result<(), ReportError> {
        let properties = checked(self.file.path, self.file.columns, properties.0)?;
        self.features.push(Feature {
            bbox: None,
            geometry: Some(Geometry::new(value)),
            id: Some(geojson::feature::Id::String(id.into())),
            properties: Some(properties),
            foreign_members: None,
        });
        Ok(())
    }

    /// A point in the study's system.
    ///
    /// # Errors
    /// [`ReportError::Projection`]; [`ReportError::Contract`] where the properties are not as declared.
    pub fn point(&mut self, at: Coord<f64>, id: &str, properties: Properties) -> Result<(), ReportError> {
        let degrees = self.projector.to_wgs84(&[at])?;
        let place = self.written(degrees).swap_remove(0);
        self.push(GeometryValue::new_point(place), id, properties)
    }

    /// A polygon or several in the study's system; rings are wound by the right-hand rule, and what
    /// crosses 180° is cut there.
    ///
    /// # Errors
    /// [`ReportError::Projection`]; [`ReportError::Contract`] where the properties are not as declared.
    pub fn area(
        &mut self,
        area: &MultiPolygon<f64>,
        id: &str,
        properties: Properties,
    ) -> Result<(), ReportError> {
        use geo::orient::{Direction, Orient};
        let projector = self.projector;
        let ring = |ring: &LineString<f64>| projector.to_wgs84(&ring.0).map(LineString);
        let mut degrees = Vec::new();
        for polygon in &area.orient(Direction::Default).0 {
            let holes = polygon.interiors().iter().map(ring).collect::<Result<Vec<_>, _>>()?;
            degrees.push(Polygon::new(ring(polygon.exterior())?, holes));
        }
        let degrees = MultiPolygon(degrees);
        let degrees = antimeridian::cut(&degrees).map_or(degrees, |parts| parts.orient(Direction::Default));
        let mut parts = Vec::new();
        for polygon in degrees {
            let (exterior, interiors) = polygon.into_inner();
            parts.push(
                std::iter::once(exterior).chain(interiors).map(|r| self.written(r.0)).collect::<Vec<_>>(),
            );
        }
        let value = match parts.len() {
            1 => GeometryValue::new_polygon(parts.swap_remove(0)),
            _ => GeometryValue::new_multi_polygon(parts),
        };
        self.push(value, id, properties)
    }

    /// A closed ring of corners in the study's system.
    ///
    /// # Errors
    /// [`ReportError::Projection`]; [`ReportError::Contract`] where the properties are not as declared.
    pub fn ring(
        &mut self,
        corners: &[Coord<f64>],
        id: &str,
        properties: Properties,
    ) -> Result<(), ReportError> {
        let polygon = Polygon::new(LineString(corners.to_vec()), vec![]);
        self.area(&MultiPolygon(vec![polygon]), id, properties)
    }

    /// The collection as text, one feature a line.
    pub fn finish(self) -> Vec<u8> {
        let bbox = antimeridian::west_east(&self.longitudes)
            .zip(self.latitudes)
            .map(|((west, east), (south, north))| vec![west, south, east, north]);
        let collection = FeatureCollection { bbox, features: self.features, foreign_members: None };
        let mut text = GeoJson::FeatureCollection(collection).to_string();
        text = text.replace("{\"type\":\"Feature\",", "\n{\"type\":\"Feature\",");
        text.push('\n');
        text.into_bytes()
    }
}
