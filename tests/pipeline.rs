//! A small simulated study area through the program, once, and every file of the result looked at.
//!
//! What is asked of the layers comes from RFC 7946 (GeoJSON), of dates from ISO 8601, of digests from
//! FIPS 180-4; names of files, properties and columns are the project's own contract, written out here
//! so that a change of one is a change of this file too. Figures are checked against one another across
//! files, and the layers are opened with GDAL and geopandas where those are installed.

mod again;
mod areas;
mod contract;
mod figures;
mod layers;
mod other_programs;
mod scored;
mod study_run;
