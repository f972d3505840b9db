//! Ingest and projection: against published check points, across formats, under corruption.

mod areas;
mod columns;
mod coordinates;
mod doubts;
mod formats;
mod garbage;
mod geopackages;
mod keys;
mod reading;
mod sheets;
mod styles;
