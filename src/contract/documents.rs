//! Findings, summary, manifest, page, and the layers for publication.

use crate::contract::ColumnKind::{List, Object, Whole, Year};
use crate::contract::columns::{chance, column, date, flag, number, pigs, text};
use crate::contract::{ColumnSpec, FileKind, FileSpec, Written};

/// Documents that results list before the tables.
pub(crate) static BEFORE: [&FileSpec; 3] = [&FINDINGS, &RECORDS_READ, &SUMMARY];
/// Documents that results list after the rasters.
pub(crate) static AFTER: [&FileSpec; 5] =
    [&PUBLIC_SQUARES, &PUBLIC_POSITIVES, &PUBLIC_README, &REPORT, &MANIFEST];

/// What was found in the records.
pub(crate) static FINDINGS: FileSpec = FileSpec {
    path: "findings.csv",
    kind: FileKind::Csv,
    row: "finding in the input",
    written: Written::Always,
    meaning: "What is wrong or doubtful in the records, and how to correct it.",
    columns: &[
        text("severity", "What it means for the row: refused, warning or note."),
        text("code", "Stable name of the kind of finding."),
        text("file", "File, as the study names it."),
        column("row", Whole, "", "Row in that file; absent where the file as a whole is meant.").or_absent(),
        text("column", "Column name in that file.").or_absent(),
        text("value", "Value as read, cut to 60 characters.").or_absent(),
        text("message", "What is wrong."),
        text("suggested_correction", "What to write instead, or to look at."),
    ],
};

/// What was read of every row.
pub(crate) static RECORDS_READ: FileSpec = FileSpec {
    path: "records_read.csv",
    kind: FileKind::Csv,
    row: "field of a row of the record files, or row of which nothing was read",
    written: Written::Always,
    meaning: "What became of every row: which field was read, from which text, and by which rule.",
    columns: &[
        text("file", "File as the study names it, and the sheet where a workbook has several."),
        column("row", Whole, "", "Row in that file."),
        text("occurrence_id", "Number of the specimen as used.").or_absent(),
        text("status", "used, used with a warning, refused, left out, or part of another row."),
        text("reason", "Why it is not simply used.").or_absent(),
        text("field", "Our own column.").or_absent(),
        text("value", "What is used of it.").or_absent(),
        text("column", "Column name in the file; absent for what the study file says of all rows.")
            .or_absent(),
        text("text", "What stands there.").or_absent(),
        text("rule", "How the value was read from the text.").or_absent(),
    ],
};

const fn object(name: &'static str, meaning: &'static str) -> ColumnSpec {
    column(name, Object, "", meaning)
}
const fn list(name: &'static str, meaning: &'static str) -> ColumnSpec {
    column(name, List, "", meaning)
}

const STUDY: ColumnSpec = text("study", "Name of the study.");
const AS_OF: ColumnSpec = date("as_of", "Analysis date.");
const RECORDS: ColumnSpec =
    object("records", "Rows read, used, used with a warning, refused, left out, and joined to others.");

/// Headline figures.
pub(crate) static SUMMARY: FileSpec = FileSpec {
    path: "summary.json",
    kind: FileKind::Json,
    row: "",
    written: Written::Always,
    meaning: "The headline figures with their uncertainty, for people and programs.",
    columns: &[
        STUDY,
        AS_OF,
        RECORDS,
        object("pigs", "Pigs used, by what was read of them, and how many are expected to be infected."),
        object("cells", "Cells by standing, and the area of one."),
        number("exposure_pig_years", "pig-years", "Time that examined pigs lived on the grid."),
        object("whole_grid", "Figures of the study area as a whole."),
        list("zones", "Figures and freedom of each movement-control area."),
        object("gaps", "Land below the coverage target."),
        object("before_the_first_pig", "What was assumed of any cell, and how a plan made then would do."),
        list("operations", "What past operations did, by wildlife host."),
        list("blocks", "Figures of each control block."),
        object("priorities", "The best set of operations, and what each budget buys.").or_absent(),
        list("learnt", "What was learnt of each parameter, beside what was assumed."),
        object("model_checks", "Whether the model fits the records, and which records surprise it."),
        object("sensitivity", "Which conclusions hold under other inputs.").or_absent(),
        object("held_out", "Whether the map predicts pigs that it has not seen.").or_absent(),
        list("warnings", "Criteria of convergence that the run missed: they concern all figures."),
        chance("mass_off_grid", "Mean share of a pig's likely whereabouts that lies off the grid."),
        text("caution", "What estimates are for."),
    ],
};

/// What the result was made from.
pub(crate) static MANIFEST: FileSpec = FileSpec {
    path: "manifest.json",
    kind: FileKind::Json,
    row: "",
    written: Written::Always,
    meaning: "What the result was made from, with what, and how the run went.",
    columns: &[
        text("program", "Name of the program."),
        text("version", "Its version."),
        STUDY,
        AS_OF,
        column("seed", Whole, "", "Seed: the same seed gives the same bytes."),
        text("crs", "Coordinate system of the study."),
        text("projection", "How positions were turned into it."),
        number("cell_m", "m", "Side of a cell."),
        object("grid", "Place, size and periods of the grid."),
        object("parameters", "Every key of the study, with its default where none was given."),
        list("inputs", "Files read, with size, rows and SHA-256 digest."),
        RECORDS,
        list(
            "read_as",
            "What each column was read as where it is not called and written as our own, and why.",
        ),
        list("corrections", "Cells corrected by hand, with who and why."),
        object("diagnostics", "Convergence of the chains, and the criteria asked of it."),
        list("outputs", "Files written, with size and SHA-256 digest."),
        text("started", "When the run started, RFC 3339."),
        text("finished", "When the result was written, RFC 3339."),
        object("seconds", "Time taken to read, sample and assess."),
    ],
};

/// The page.
pub(crate) static REPORT: FileSpec = FileSpec {
    path: "report.html",
    kind: FileKind::Page,
    row: "",
    written: Written::Always,
    meaning: "The result as one page, for a browser; it needs no network.",
    columns: &[],
};

/// Squares for publication.
pub(crate) static PUBLIC_SQUARES: FileSpec = FileSpec {
    path: "public/squares.geojson",
    kind: FileKind::Layer,
    row: "square of a coarse lattice",
    written: Written::WithGeneralise,
    meaning: "The map for publication, with small counts masked.",
    columns: &[
        text("square_id", "Name of the square."),
        chance("p_active_mean", "Probability of active transmission, mean of its cells.").or_absent(),
        number("force_of_infection_mean", "per pig-year", "Recent force of infection, mean of its cells.")
            .or_absent(),
        pigs("pigs", "Pigs killed inside; absent from 1 to 4.").or_absent(),
        pigs("positives", "Positive and suspect pigs among them; absent from 1 to 4.").or_absent(),
        flag("counts_masked", "True where a count is masked.").or_absent(),
    ],
};

/// Positives for publication.
pub(crate) static PUBLIC_POSITIVES: FileSpec = FileSpec {
    path: "public/positives.geojson",
    kind: FileKind::Layer,
    row: "square with positives, at its centre",
    written: Written::WithGeneralise,
    meaning: "Positive and suspect pigs for publication: no place as recorded, no date finer than a year.",
    columns: &[
        text("square_id", "Name of the square."),
        pigs("positives", "Positive and suspect pigs killed inside; absent from 1 to 4.").or_absent(),
        flag("positives_masked", "True where their number is masked.").or_absent(),
        column("first_year", Year, "", "First year of their 90 % infection windows.").or_absent(),
        column("last_year", Year, "", "Last year of their 90 % infection windows.").or_absent(),
    ],
};

/// Note for whoever receives the public layers.
pub(crate) static PUBLIC_README: FileSpec = FileSpec {
    path: "public/README.txt",
    kind: FileKind::Page,
    row: "",
    written: Written::WithGeneralise,
    meaning: "What was done to the places and counts in the layers for publication.",
    columns: &[],
};
