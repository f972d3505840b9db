//! PROJ objects, made and dropped one at a time, and why a coordinate system cannot be used.

use proj::Proj;
use std::sync::{Mutex, MutexGuard};

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
        "{code} ({name}) is not a projected system but {kind}; \
         choose a projected one in metres for your region, such as a national grid or a UTM zone"
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
        "{code} ({name}) is not a system of longitude and latitude but {kind}; \
         write the datum of your degrees, such as EPSG:4326"
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
    #[error(
        "no way is known from {from} to {to}: {reason}; give positions in longitude and latitude instead"
    )]
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

/// A PROJ object, made and dropped one at a time: PROJ clears caches shared by all
/// threads when an object goes.
pub(crate) struct Held(Option<Proj>);

impl Held {
    pub(crate) fn make(make: impl FnOnce() -> Result<Proj, proj::ProjCreateError>) -> Result<Held, String> {
        let _guard = making();
        make().map(|p| Held(Some(p))).map_err(|e| e.to_string())
    }
    pub(crate) fn get(&self) -> &Proj {
        self.0.as_ref().expect("held from making to dropping")
    }
}

impl Drop for Held {
    fn drop(&mut self) {
        let _guard = making();
        self.0.take();
    }
}

pub(crate) static MAKING: Mutex<()> = Mutex::new(());

pub(crate) fn making() -> MutexGuard<'static, ()> {
    // The guard protects no data, so a panic elsewhere cannot have left any half-written.
    MAKING.lock().unwrap_or_else(|e| e.into_inner())
}
