//! Delimited text: encoding, delimiter, line numbers, and rows that a quotation mark ran away with.
//!
//! * **Encoding.** UTF-8 or UTF-16, with or without a byte-order mark; anything else is
//!   read as Windows-1252 and said so, since older spreadsheets write it.
//! * **Header row and delimiter.** The line among the first that reads most like column names, with that of
//!   `,` `;` tab `|` by which it does. Where none reads so, the first line, with the delimiter that occurs
//!   most often in it. A first line such as `sep=;` names the delimiter.
//! * **Lines** are counted as an editor counts them; a row that spans lines has the number of its first.
//! * **A quotation mark that is not closed** would swallow the rows after it. Where a row spans
//!   lines and does not fit the column names, or a cell holds what looks like whole rows, the row is
//!   refused at its first line and reading starts again at the next, so that no record is lost.

use crate::ingest::errors::IngestError;
use crate::ingest::findings::{Place, Severity};
use crate::ingest::header_row::{LEAST_KNOWN, SEARCHED, known_names, with_row_above};
use crate::ingest::table::{Row, RowProblem, Table};
use encoding_rs::{UTF_16BE, UTF_16LE, WINDOWS_1252};

/// Reads delimited text; what cannot be read of it is a row with a problem.
///
/// # Errors
/// [`IngestError::Malformed`] for bytes that are no text, such as a picture or a workbook with another name.
pub(crate) fn read(bytes: &[u8], name: &str, header_row: Option<usize>) -> Result<Table, IngestError> {
    if let Some(what) = not_text(bytes) {
        let reason = format!("it is {what}, whatever its name says: save the records as CSV or XLSX");
        return Err(IngestError::Malformed { file: name.to_string(), format: "a table of text", reason });
    }
    let mut table = Table::default();
    let text = decode(bytes, name, &mut table);
    let text = text.trim_start_matches('\u{feff}');
    let lines = LineStarts::new(text.as_bytes());
    // A first line such as `sep=;` tells spreadsheets the delimiter and is no column name.
    let told =
        text.lines().next().and_then(|l| l.trim().trim_matches('"').strip_prefix("sep=")?.bytes().next());
    let first = if told.is_some() { lines.end_of(1) } else { 0 };
    let (delimiter, mut start) = match header_row {
        Some(row) => {
            let start = lines.end_of(row.saturating_sub(1)).max(if row > 1 { 0 } else { first });
            let start = if row <= 1 { first } else { start };
            (told.unwrap_or_else(|| delimiter(&text[start..])), start)
        }
        None => header(text, first, told).unwrap_or((told.unwrap_or_else(|| delimiter(text)), first)),
    };
    let above = text[first..start].lines().map(|l| l.trim_end_matches('\r')).filter(|l| !l.trim().is_empty());
    table.preamble = above.map(str::to_string).collect();
    while start < text.len() {
        start = read_from(text, start, delimiter, &lines, &mut table);
    }
    if let Some(above) = table.preamble.last()
        && let cells = cells_of(above, delimiter)
        && let Some(names) = with_row_above(&table.column_names, &cells)
    {
        table.column_names = names;
    }
    // Notes are texts: what quotation marks hold together is one.
    let texts = table.preamble.iter().flat_map(|line| cells_of(line, delimiter));
    table.preamble = texts.map(|t| t.trim().to_string()).filter(|t| !t.is_empty()).collect();
    Ok(table)
}

/// What bytes are that are no text, by the marks that formats begin with; control bytes are none of a text.
fn not_text(bytes: &[u8]) -> Option<&'static str> {
    // Marks: ISO/IEC 15948 (PNG), ITU-T T.81 (JPEG), ISO 32000 (PDF), APPNOTE (ZIP), MS-CFB.
    let marks: [(&[u8], &str); 7] = [
        (b"\x89PNG", "a picture"),
        (b"\xFF\xD8\xFF", "a picture"),
        (b"GIF8", "a picture"),
        (b"%PDF", "a PDF document"),
        (b"PK\x03\x04", "a workbook or an archive"),
        (b"\xD0\xCF\x11\xE0", "an older workbook"),
        (b"PAR1", "a Parquet file"),
    ];
    if let Some((_, what)) = marks.iter().find(|(mark, _)| bytes.starts_with(mark)) {
        return Some(what);
    }
    let start = &bytes[..bytes.len().min(4000)];
    let control = start.iter().filter(|b| matches!(b, 1..=8 | 14..=31)).count();
    (control * 50 > start.len()).then_some("no text")
}

/// Reads rows from a byte offset until the end or a quotation mark that ran away; returns where to go on.
fn read_from(text: &str, start: usize, delimiter: u8, lines: &LineStarts, table: &mut Table) -> usize {
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(delimiter)
        .has_headers(false)
        .flexible(true)
        .from_reader(&text.as_bytes()[start..]);
    let mut record = csv::StringRecord::new();
    let bytes = text.as_bytes();
    loop {
        // The text is valid UTF-8 and rows may be of any length: the reader has nothing to refuse.
        if !matches!(reader.read_record(&mut record), Ok(true)) {
            return text.len();
        }
        let from = record.position().map_or(0, |p| p.byte() as usize) + start;
        let from = from + bytes[from..].iter().take_while(|b| matches!(b, b'\r' | b'\n')).count();
        let line = lines.line_of(from);
        let cells: Vec<String> = record.iter().map(str::to_string).collect();
        if table.column_names.is_empty() {
            if cells.iter().any(|c| !c.trim().is_empty()) {
                table.column_names = cells;
            }
            continue;
        }
        let column_names = table.column_names.len();
        let cells = fit(cells, column_names);
        let ragged = cells.len() != column_names;
        let spans = cells.iter().any(|c| c.contains(['\n', '\r']));
        if spans && (ragged || cells.iter().any(|c| holds_rows(c, delimiter, column_names))) {
            let end = lines.end_of(line);
            table.rows.push(Row {
                number: line,
                cells: vec![text[from..end].trim_end().to_string()],
                problem: Some(RowProblem::UnclosedQuote),
            });
            return end;
        }
        let problem = ragged.then_some(RowProblem::Ragged { cells: cells.len(), column_names });
        table.rows.push(Row { number: line, cells, problem });
    }
}

/// The delimiter and the first byte of the line that reads most like a header row, if one does.
fn header(text: &str, first: usize, told: Option<u8>) -> Option<(u8, usize)> {
    let mut best: Option<(usize, u8, usize)> = None;
    let mut at = first;
    for _ in 0..SEARCHED {
        let Some(line) = whole_line(&text[at..]) else { break };
        for delimiter in told.map_or_else(|| b",;\t|".to_vec(), |d| vec![d]) {
            let known = known_names(&cells_of(line, delimiter));
            if known >= LEAST_KNOWN && best.is_none_or(|(n, _, _)| known > n) {
                best = Some((known, delimiter, at));
            }
        }
        at += line.len();
        at += text[at..].bytes().take_while(|b| matches!(b, b'\r' | b'\n')).count();
    }
    best.map(|(_, delimiter, at)| (delimiter, at))
}

/// The first line, with those after it that a quotation mark ties to it.
fn whole_line(text: &str) -> Option<&str> {
    let mut quotes = 0;
    let mut ends = 0;
    for (i, b) in text.bytes().enumerate() {
        quotes += usize::from(b == b'"');
        if matches!(b, b'\r' | b'\n') {
            ends += 1;
            // A mark that is not closed soon is no quotation.
            if quotes % 2 == 0 || ends > 8 {
                return Some(&text[..i]);
            }
        }
    }
    (!text.is_empty()).then_some(text)
}

fn cells_of(line: &str, delimiter: u8) -> Vec<String> {
    let mut reader =
        csv::ReaderBuilder::new().delimiter(delimiter).has_headers(false).from_reader(line.as_bytes());
    let mut record = csv::StringRecord::new();
    match reader.read_record(&mut record) {
        Ok(true) => record.iter().map(str::to_string).collect(),
        _ => Vec::new(),
    }
}

/// Takes off empty cells past the last column name: spreadsheets pad rows with delimiters.
fn fit(mut cells: Vec<String>, column_names: usize) -> Vec<String> {
    while cells.len() > column_names && cells.last().is_some_and(|c| c.trim().is_empty()) {
        cells.pop();
    }
    cells
}

/// Whether a cell that spans lines holds a line with at least as many delimiters as a row has.
fn holds_rows(cell: &str, delimiter: u8, column_names: usize) -> bool {
    let needed = column_names.saturating_sub(1).max(1);
    cell.split(['\n', '\r']).skip(1).any(|l| l.bytes().filter(|&b| b == delimiter).count() >= needed)
}

/// The delimiter that occurs most often in the first line that holds anything.
fn delimiter(text: &str) -> u8 {
    let line = text.lines().find(|l| !l.trim().is_empty()).unwrap_or("");
    let mut quoted = false;
    let mut counts = [(b',', 0usize), (b';', 0), (b'\t', 0)];
    for b in line.bytes() {
        quoted ^= b == b'"';
        for (d, n) in &mut counts {
            *n += usize::from(!quoted && *d == b);
        }
    }
    // On a tie the first in the list wins.
    counts.iter().rev().max_by_key(|(_, n)| *n).map_or(b',', |(d, _)| *d)
}

/// Where each line starts, so that a byte can be given its line number.
struct LineStarts {
    starts: Vec<usize>,
    len: usize,
}

impl LineStarts {
    fn new(bytes: &[u8]) -> LineStarts {
        let mut starts = vec![0];
        for (i, &b) in bytes.iter().enumerate() {
            // CR LF, LF and a lone CR each end a line.
            if b == b'\n' || (b == b'\r' && bytes.get(i + 1) != Some(&b'\n')) {
                starts.push(i + 1);
            }
        }
        LineStarts { starts, len: bytes.len() }
    }
    fn line_of(&self, byte: usize) -> usize {
        self.starts.partition_point(|&s| s <= byte)
    }
    fn end_of(&self, line: usize) -> usize {
        self.starts.get(line).copied().unwrap_or(self.len)
    }
}

/// The text of a file, whatever it was written in.
fn decode(bytes: &[u8], name: &str, table: &mut Table) -> String {
    let place = |row| Place { file: name, row };
    // Column names are Latin letters, of which UTF-16 without a mark makes a zero byte and another in turn.
    let wide = match bytes {
        [0xFE, 0xFF, ..] => Some(UTF_16BE),
        [0xFF, 0xFE, ..] => Some(UTF_16LE),
        [0, b, 0, c, ..] if *b > 0 && *c > 0 => Some(UTF_16BE),
        [b, 0, c, 0, ..] if *b > 0 && *c > 0 => Some(UTF_16LE),
        _ => None,
    };
    if let Some(encoding) = wide {
        return encoding.decode(bytes).0.into_owned();
    }
    match std::str::from_utf8(bytes) {
        Ok(text) => text.to_string(),
        Err(e) => {
            let line = LineStarts::new(bytes).line_of(e.valid_up_to());
            let text = WINDOWS_1252.decode(bytes).0.into_owned();
            let shown = text.lines().nth(line - 1).unwrap_or("").to_string();
            table.notes.push(place(Some(line)).cell(
                Severity::Warning,
                "encoding-not-utf-8",
                None,
                Some(&shown),
                "is not UTF-8, so the whole file is read as Windows-1252",
                "check the accented letters and the degree signs; save the file as UTF-8",
            ));
            text
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_quoted_line_break_keeps_the_editors_line_numbers() {
        let t = read(b"a,b\n1,\"x\ny\"\n\n2,z\n", "f.csv", None).unwrap();
        let rows: Vec<_> = t.rows.iter().map(|r| (r.number, r.cells[1].as_str())).collect();
        assert_eq!(rows, vec![(2, "x\ny"), (5, "z")]);
    }

    #[test]
    fn an_unclosed_quote_costs_one_row() {
        let t = read(b"a,b,c\n1,\"x,y\n2,z,w\n3,u,v\n", "f.csv", None).unwrap();
        let got: Vec<_> = t.rows.iter().map(|r| (r.number, r.problem.clone())).collect();
        assert_eq!(got, vec![(2, Some(RowProblem::UnclosedQuote)), (3, None), (4, None)]);
        let t = read(b"a,b,c\n1,y,\"x\n2,z,w\n3,u,v\n", "f.csv", None).unwrap();
        assert_eq!(t.rows.len(), 3);
    }

    #[test]
    fn finds_the_delimiter_outside_quotes() {
        assert_eq!(delimiter("\"a,b,c\";d;e\n"), b';');
        assert_eq!(delimiter("a\tb\tc\n"), b'\t');
        assert_eq!(delimiter("alone\n"), b',');
    }

    #[test]
    fn reads_windows_1252_and_utf_16() {
        // 0x80 euro, 0x96 en dash, 0xFF y with diaeresis: WHATWG Encoding Standard (from memory).
        assert_eq!(read(b"a,b\n1,\x80\x96\xff\n", "f.csv", None).unwrap().rows[0].cells[1], "€–ÿ");
        let t = read(b"a,b\n1,caf\xe9\n", "f.csv", None).unwrap();
        assert_eq!(t.rows[0].cells[1], "café");
        assert_eq!((t.notes[0].code, t.notes[0].row), ("encoding-not-utf-8", Some(2)));
        let le: Vec<u8> =
            [0xFF, 0xFE].into_iter().chain("a,b\n1,é\n".encode_utf16().flat_map(u16::to_le_bytes)).collect();
        assert_eq!(read(&le, "f.csv", None).unwrap().rows[0].cells[1], "é");
        assert_eq!(read(&le[2..], "f.csv", None).unwrap().rows[0].cells[1], "é");
        let be: Vec<u8> = "a,b\n1,é\n".encode_utf16().flat_map(u16::to_be_bytes).collect();
        assert_eq!(read(&be, "f.csv", None).unwrap().rows[0].cells[1], "é");
    }

    #[test]
    fn a_first_line_that_names_the_delimiter_is_no_heading() {
        for first in ["sep=;", "\"sep=;\""] {
            let t = read(format!("{first}\r\na;b,c\r\n1;2,3\r\n").as_bytes(), "f.csv", None).unwrap();
            assert_eq!((t.column_names.len(), t.rows[0].number), (2, 3), "{first}");
            assert_eq!(t.rows[0].cells, ["1", "2,3"]);
        }
    }
}
