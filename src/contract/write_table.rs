//! Tables, checked against the declaration column by column and written as Parquet.

use crate::contract::error::ContractError;
use crate::contract::{ColumnKind, FileSpec, Member, QUANTILE_NAMES, members};
use polars::prelude::{Column, DataFrame, DataType, KeyValueMetadata, ParquetWriter};

/// Collects the columns of one table, in any order. What is wrong is told by [`TableBuilder::finish`].
pub(crate) struct TableBuilder {
    file: &'static FileSpec,
    declared: Vec<Member>,
    columns: Vec<Column>,
    fault: Option<ContractError>,
}

impl TableBuilder {
    /// A table without columns.
    pub(crate) fn new(file: &'static FileSpec) -> TableBuilder {
        TableBuilder { file, declared: members(file.columns), columns: Vec::new(), fault: None }
    }

    /// Adds a column once its name, kind and missing values are found to be as declared.
    fn push(mut self, kind: ColumnKind, column: Column) -> TableBuilder {
        let name = column.name().as_str();
        let absent = || column.is_null().iter().position(|v| v == Some(true)).map(|row| row + 1);
        let fault = match self.declared.iter().find(|m| m.name == name) {
            None => Some("is not declared".into()),
            Some(m) if m.kind != kind => {
                Some(format!("{} was given, {} is declared", kind.words(), m.kind.words()))
            }
            Some(m) if !m.optional => absent().map(|row| format!("row {row} has no value")),
            Some(_) => None,
        };
        let fault = fault.map(|fault| ContractError::column(self.file.path, name, fault));
        self.fault = self.fault.or(fault);
        self.columns.push(column);
        self
    }

    /// Texts.
    pub(crate) fn text(
        self,
        name: &str,
        values: impl IntoIterator<Item = impl Into<Option<String>>>,
    ) -> TableBuilder {
        let values: Vec<Option<String>> = values.into_iter().map(Into::into).collect();
        self.push(ColumnKind::Text, Column::new(name.into(), values))
    }
    /// Numbers; what is not finite is absent.
    pub(crate) fn number(
        self,
        name: &str,
        values: impl IntoIterator<Item = impl Into<Option<f64>>>,
    ) -> TableBuilder {
        let values: Vec<Option<f64>> =
            values.into_iter().map(|v| v.into().filter(|v: &f64| v.is_finite())).collect();
        self.push(ColumnKind::Number, Column::new(name.into(), values))
    }
    /// Numbers in single precision.
    pub(crate) fn single(self, name: &str, values: impl IntoIterator<Item = f32>) -> TableBuilder {
        let values: Vec<Option<f32>> =
            values.into_iter().map(|v| Some(v).filter(|v| v.is_finite())).collect();
        self.push(ColumnKind::Single, Column::new(name.into(), values))
    }
    /// Whole numbers.
    pub(crate) fn whole(
        self,
        name: &str,
        values: impl IntoIterator<Item = impl Into<Option<usize>>>,
    ) -> TableBuilder {
        let values: Vec<Option<i64>> = values.into_iter().map(|v| v.into().map(|v| v as i64)).collect();
        self.push(ColumnKind::Whole, Column::new(name.into(), values))
    }
    /// Calendar years.
    pub(crate) fn year(self, name: &str, values: impl IntoIterator<Item = i16>) -> TableBuilder {
        let values: Vec<i32> = values.into_iter().map(i32::from).collect();
        self.push(ColumnKind::Year, Column::new(name.into(), values))
    }
    /// True or false.
    pub(crate) fn flag(
        self,
        name: &str,
        values: impl IntoIterator<Item = impl Into<Option<bool>>>,
    ) -> TableBuilder {
        let values: Vec<Option<bool>> = values.into_iter().map(Into::into).collect();
        self.push(ColumnKind::Flag, Column::new(name.into(), values))
    }
    /// Dates, from day numbers.
    pub(crate) fn date(
        mut self,
        name: &str,
        days: impl IntoIterator<Item = impl Into<Option<f64>>>,
    ) -> TableBuilder {
        let whole: Vec<Option<i32>> =
            days.into_iter().map(|d| d.into().map(|d: f64| d.floor() as i32)).collect();
        match Column::new(name.into(), whole).cast(&DataType::Date) {
            Ok(column) => self.push(ColumnKind::Date, column),
            Err(e) => {
                let fault = ContractError::column(self.file.path, name, e.to_string());
                self.fault = self.fault.or(Some(fault));
                self
            }
        }
    }
    /// Means and quantiles, `(mean, quantiles)` a row, as the columns of a distribution.
    pub(crate) fn distribution(
        self,
        name: &str,
        values: impl Iterator<Item = (f64, [f64; 7])> + Clone,
    ) -> TableBuilder {
        let first = self.number(&format!("{name}_mean"), values.clone().map(|v| v.0));
        QUANTILE_NAMES
            .iter()
            .enumerate()
            .fold(first, |table, (i, q)| table.number(&format!("{name}_{q}"), values.clone().map(|v| v.1[i])))
    }
    /// Polygons as well-known binary.
    pub(crate) fn geometry(self, name: &str, polygons: &[Vec<u8>]) -> TableBuilder {
        let slices: Vec<&[u8]> = polygons.iter().map(Vec::as_slice).collect();
        self.push(ColumnKind::Geometry, Column::new(name.into(), slices))
    }

    /// The table as Parquet, columns in the declared order; `geo` is what GeoParquet wants said of its
    /// geometry.
    ///
    /// # Errors
    /// [`ContractError`]: a column is not declared, missing, of another kind or length, or has a gap.
    pub(crate) fn finish(mut self, geo: Option<String>) -> Result<Vec<u8>, ContractError> {
        if let Some(fault) = self.fault {
            return Err(fault);
        }
        let mut ordered = Vec::new();
        for member in &self.declared {
            let at = self.columns.iter().position(|c| c.name().as_str() == member.name);
            let at = at.ok_or_else(|| ContractError::column(self.file.path, &member.name, "is not made"))?;
            ordered.push(self.columns.swap_remove(at));
        }
        if let Some(twice) = self.columns.first() {
            return Err(ContractError::column(self.file.path, twice.name(), "is made twice"));
        }
        let failed = |e: polars::prelude::PolarsError| ContractError::file(self.file.path, e.to_string());
        let height = ordered.first().map_or(0, Column::len);
        let mut frame = DataFrame::new(height, ordered).map_err(failed)?;
        let mut bytes = Vec::new();
        let facts = geo.map(|facts| KeyValueMetadata::from_static(vec![("geo".into(), facts)]));
        ParquetWriter::new(&mut bytes).with_key_value_metadata(facts).finish(&mut frame).map_err(failed)?;
        Ok(bytes)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::contract::tables::BLOCK_AREAS;

    fn table() -> TableBuilder {
        TableBuilder::new(&BLOCK_AREAS)
            .number("area_ha", [1.5, 2.0])
            .text("block_id", ["B1", "B2"].map(String::from))
    }

    #[test]
    fn what_is_not_as_declared_is_refused() {
        let zones = || ["Z1", "Z2"].map(String::from);
        assert!(table().text("zone_id", zones()).finish(None).is_ok());
        let refused = |table: TableBuilder, words: &str| {
            let said = table.finish(None).unwrap_err().to_string();
            assert!(said.starts_with("tables/block_areas.parquet") && said.contains(words), "{said}");
        };
        refused(table(), "\"zone_id\": is not made");
        refused(table().text("zone_id", zones()).text("zone_id", zones()), "\"zone_id\": is made twice");
        refused(table().text("zone", zones()), "\"zone\": is not declared");
        refused(table().whole("zone_id", [1usize, 2]), "whole number was given, text is declared");
        refused(table().text("zone_id", [Some("Z1".to_string()), None]), "row 2 has no value");
        refused(table().text("zone_id", ["Z1".to_string()]), "tables/block_areas.parquet: ");
    }
}
