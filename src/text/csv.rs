//! CSV text taken apart into records and fields, as RFC 4180 has it and as spreadsheets and editors write it: any of
//! three delimiters, any line end, quotation marks where they are needed or everywhere.
//!
//! Nearly every record is plain: no quotation mark in it. Those are taken apart in place, without copying.

use memchr::{memchr, memchr2, memrchr2};

/// The delimiter of a table, by its head: of comma, semicolon and tab the one that stands there most often outside of
/// quotation marks.
pub(crate) fn delimiter_of(head: &[u8]) -> u8 {
    let count = |delimiter: u8| {
        let mut is_quoted = false;
        let counts = head.iter().filter(|&&byte| {
            is_quoted ^= byte == b'"';
            byte == delimiter && !is_quoted
        });
        counts.count()
    };
    // The last of equals is taken, so the comma stands last.
    [b'\t', b';', b','].into_iter().max_by_key(|delimiter| count(*delimiter)).unwrap_or(b',')
}

/// Where the first record of a table ends, with its line end: the head.
pub(crate) fn head_end(text: &[u8]) -> usize {
    let line = memchr2(b'\n', b'\r', text).unwrap_or(text.len());
    let mut records = Records::new(text, delimiter_of(&text[..line]));
    records.next();
    text.len() - records.rest.len()
}

/// How long a first line `sep=;` is, by which some spreadsheets are told the delimiter; nothing, if there is none.
pub(crate) fn passed_over(text: &[u8]) -> usize {
    match text {
        [b's' | b'S', b'e' | b'E', b'p' | b'P', b'=', _, b'\r', b'\n', ..] => 7,
        [b's' | b'S', b'e' | b'E', b'p' | b'P', b'=', _, b'\n' | b'\r', ..] => 6,
        _ => 0,
    }
}

/// A table with every row put right that has other fields than the head as its quotation marks stand, and as many if a field
/// ends with the mark before a delimiter: `"12 1/2"",` has an inch mark within. Nothing, if there is no such row.
///
/// ```
/// use foldmark::text::with_quotes_mended;
/// let table = b"student,answer.flap,answer.tie\nTansy,\"12 1/2\"\",3\n";
/// assert_eq!(with_quotes_mended(table).unwrap(), b"student,answer.flap,answer.tie\n\"Tansy\",\"12 1/2\"\"\",\"3\"\n");
/// ```
pub fn with_quotes_mended(text: &[u8]) -> Option<Vec<u8>> {
    let head = head_end(text);
    let delimiter = delimiter_of(&text[..head]);
    let mut splitter = Splitter::new(delimiter);
    let wanted = splitter.split(&text[..head]).ok()?.len();
    let mut mended = text[..head].to_vec();
    let mut is_mended = false;
    for line in text[head..].split_inclusive(|byte| *byte == b'\n') {
        let bare = line.trim_ascii_end();
        // Most lines are of a table.
        let mut is_none =
            || record_end(bare, delimiter).is_none() || splitter.split(bare).is_ok_and(|fields| fields.len() != wanted);
        let fields = if bare.contains(&b'"') && is_none() { fields_by_marks(bare, delimiter) } else { Vec::new() };
        if fields.len() != wanted {
            mended.extend_from_slice(line);
            continue;
        }
        is_mended = true;
        for (at, field) in fields.iter().enumerate() {
            mended.extend((at > 0).then_some(delimiter));
            mended.push(b'"');
            field.iter().for_each(|byte| mended.extend(std::iter::repeat_n(*byte, 1 + usize::from(*byte == b'"'))));
            mended.push(b'"');
        }
        mended.push(b'\n');
    }
    is_mended.then_some(mended)
}

/// The fields of a line: one that begins with a quotation mark ends with the first that stands before a delimiter.
fn fields_by_marks(line: &[u8], delimiter: u8) -> Vec<Vec<u8>> {
    let mut fields = Vec::new();
    let mut rest = line;
    loop {
        let end_of = |at: usize| rest.get(at).is_none_or(|byte| *byte == delimiter);
        let quoted = rest.first().filter(|byte| **byte == b'"').and_then(|_| {
            let closes = |at: &usize| rest[*at] == b'"' && end_of(at + 1);
            (1..rest.len()).find(closes)
        });
        let (field, end) = match quoted {
            Some(at) => (&rest[1..at], at + 1),
            None => {
                let at = rest.iter().position(|byte| *byte == delimiter).unwrap_or(rest.len());
                // A mark that nothing closes belongs to no field either.
                (rest[..at].strip_prefix(b"\"").unwrap_or(&rest[..at]), at)
            }
        };
        fields.push(field.to_vec());
        match rest.get(end + 1..) {
            Some(more) if end < rest.len() => rest = more,
            _ => return fields,
        }
    }
}

/// A row of a CSV text that is not of answers.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum CsvRow {
    /// A line with nothing in it.
    Empty,
    /// Its fields.
    Fields(Vec<String>),
    /// A quotation mark is opened in it and never closed.
    Open,
    /// It is not UTF-8.
    NotText,
}

/// The rows of a CSV text, its head among them.
pub(crate) fn csv_rows(text: &[u8]) -> Vec<CsvRow> {
    let delimiter = delimiter_of(&text[..head_end(text)]);
    let mut splitter = Splitter::new(delimiter);
    let row = |record: Record| match splitter.split(record.text) {
        _ if record.is_open => CsvRow::Open,
        Err(_) => CsvRow::NotText,
        Ok(fields) if fields.iter().all(|field| field.trim().is_empty()) => CsvRow::Empty,
        Ok(fields) => CsvRow::Fields(fields.iter().map(str::to_owned).collect()),
    };
    Records::new(text, delimiter).map(row).collect()
}

/// One record of a table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Record<'t> {
    /// Its text, without the line end.
    pub text: &'t [u8],
    /// Whether a quotation mark is opened in it and never closed; it is then taken to end with its line.
    pub is_open: bool,
}

/// The records of a text, empty lines among them.
#[derive(Debug, Clone)]
pub(crate) struct Records<'t> {
    rest: &'t [u8],
    delimiter: u8,
}

impl<'t> Records<'t> {
    pub fn new(text: &'t [u8], delimiter: u8) -> Records<'t> {
        Records { rest: text, delimiter }
    }
}

impl<'t> Iterator for Records<'t> {
    type Item = Record<'t>;

    fn next(&mut self) -> Option<Record<'t>> {
        if self.rest.is_empty() {
            return None;
        }
        let line = memchr2(b'\n', b'\r', self.rest).unwrap_or(self.rest.len());
        let is_plain = memchr(b'"', &self.rest[..line]).is_none();
        let end = if is_plain { Some(line) } else { record_end(self.rest, self.delimiter) };
        let (text, rest) = self.rest.split_at(end.unwrap_or(line));
        self.rest = rest.strip_prefix(b"\r\n").or(rest.get(1..)).unwrap_or_default();
        Some(Record { text, is_open: end.is_none() })
    }
}

/// Where the record that a text begins with ends; `None` if a quotation mark in it is never closed.
fn record_end(text: &[u8], delimiter: u8) -> Option<usize> {
    walk(text, delimiter, |_| {})
}

/// Walks a record that has quotation marks, and tells each byte of its fields, and `None` at the end of each. Returns
/// where the record ends; `None` if a quotation mark is never closed.
fn walk(text: &[u8], delimiter: u8, mut tell: impl FnMut(Option<u8>)) -> Option<usize> {
    // Within a field that does not begin with one, a quotation mark stands for itself: 12 1/2".
    let (mut at_start, mut is_quoted) = (true, false);
    let mut bytes = text.iter().copied().enumerate().peekable();
    while let Some((at, byte)) = bytes.next() {
        match byte {
            b'"' if is_quoted => match bytes.next_if(|(_, next)| *next == b'"') {
                Some(_) => tell(Some(byte)),
                None => is_quoted = false,
            },
            _ if is_quoted => tell(Some(byte)),
            b'"' if at_start => is_quoted = true,
            b'\n' | b'\r' => {
                tell(None);
                return Some(at);
            }
            _ if byte == delimiter => tell(None),
            _ => tell(Some(byte)),
        }
        at_start = byte == delimiter && !is_quoted;
    }
    tell(None);
    (!is_quoted).then_some(text.len())
}

/// Where the last whole record of a text ends that goes on elsewhere.
pub fn whole_records(text: &[u8], delimiter: u8) -> usize {
    if memchr(b'"', text).is_none() {
        // What ends in a carriage return may have a line feed still to come.
        let known = text.strip_suffix(b"\r").unwrap_or(text);
        return memrchr2(b'\n', b'\r', known).map_or(0, |at| at + 1);
    }
    let mut records = Records::new(text, delimiter);
    let mut whole = 0;
    while let Some(record) = records.next() {
        let goes_on = records.rest.is_empty() && !text.ends_with(b"\n");
        if record.is_open || goes_on {
            break;
        }
        whole = text.len() - records.rest.len();
    }
    whole
}

/// Takes records apart; what is needed for one is kept for the next.
#[derive(Debug, Clone)]
pub(crate) struct Splitter {
    delimiter: u8,
    ends: Vec<usize>,
    unquoted: Vec<u8>,
}

/// The fields of a record.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Fields<'r> {
    text: &'r str,
    /// Where each field ends.
    ends: &'r [usize],
    /// What lies between one and the next.
    gap: usize,
}

impl<'r> Fields<'r> {
    pub fn len(&self) -> usize {
        self.ends.len()
    }

    /// A field; empty if there are not so many.
    pub fn get(&self, index: usize) -> &'r str {
        let Some(&end) = self.ends.get(index) else { return "" };
        let start = index.checked_sub(1).map_or(0, |before| self.ends[before] + self.gap);
        self.text.get(start..end).unwrap_or_default()
    }

    /// The field of a column without white space around it; empty, if there is no such column.
    pub fn trimmed(&self, index: Option<usize>) -> &'r str {
        let text = index.map_or("", |index| self.get(index));
        // Nearly every one has none.
        let is_bare = |byte: Option<&u8>| byte.is_none_or(u8::is_ascii_graphic);
        let bytes = text.as_bytes();
        if is_bare(bytes.first()) && is_bare(bytes.last()) { text } else { text.trim() }
    }

    /// The same, if there is anything in it.
    pub fn filled(&self, index: Option<usize>) -> Option<&'r str> {
        Some(self.trimmed(index)).filter(|text| !text.is_empty())
    }

    pub fn iter(&self) -> impl Iterator<Item = &'r str> + use<'r> {
        let fields = *self;
        (0..self.len()).map(move |index| fields.get(index))
    }
}

impl Splitter {
    pub fn new(delimiter: u8) -> Splitter {
        Splitter { delimiter, ends: Vec::new(), unquoted: Vec::new() }
    }

    /// Takes a record apart.
    ///
    /// # Errors
    /// The index of the first field that is not UTF-8.
    pub fn split<'r>(&'r mut self, record: &'r [u8]) -> Result<Fields<'r>, usize> {
        let Splitter { delimiter, ends, unquoted } = self;
        ends.clear();
        let (text, gap) = if memchr(b'"', record).is_none() {
            places_of(*delimiter, record, ends);
            ends.push(record.len());
            (record, 1)
        } else {
            unquoted.clear();
            walk(record, *delimiter, |byte| match byte {
                Some(byte) => unquoted.push(byte),
                None => ends.push(unquoted.len()),
            });
            (&unquoted[..], 0)
        };
        match std::str::from_utf8(text) {
            Ok(text) => Ok(Fields { text, ends, gap }),
            Err(error) => Err(ends.iter().position(|end| *end > error.valid_up_to()).unwrap_or(0)),
        }
    }
}

/// Where a byte stands in a text: eight bytes at a time, since fields are short.
fn places_of(wanted: u8, text: &[u8], places: &mut Vec<usize>) {
    const LOW: u64 = 0x7f7f_7f7f_7f7f_7f7f;
    let pattern = u64::from_le_bytes([wanted; 8]);
    let mut chunks = text.chunks_exact(8);
    let mut start = 0;
    for chunk in &mut chunks {
        let mut word = [0; 8];
        word.copy_from_slice(chunk);
        // A byte that is wanted becomes zero, and every zero becomes 0x80, all others 0.
        let differs = u64::from_le_bytes(word) ^ pattern;
        let mut found = !(((differs & LOW) + LOW) | differs | LOW);
        while found != 0 {
            places.push(start + found.trailing_zeros() as usize / 8);
            found &= found - 1;
        }
        start += 8;
    }
    let rest = chunks.remainder().iter().enumerate().filter(|(_, byte)| **byte == wanted);
    places.extend(rest.map(|(at, _)| start + at));
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use proptest::test_runner::RngSeed;

    fn taken_apart(text: &[u8], delimiter: u8) -> Vec<Vec<String>> {
        let mut splitter = Splitter::new(delimiter);
        let fields = |record: Record| splitter.split(record.text).unwrap().iter().map(str::to_owned).collect();
        Records::new(text, delimiter).filter(|record| !record.text.is_empty()).map(fields).collect()
    }

    /// As the `csv` crate reads it.
    fn by_csv(text: &[u8], delimiter: u8) -> Vec<Vec<String>> {
        let mut reader = csv::ReaderBuilder::new();
        let reader = reader.has_headers(false).flexible(true).delimiter(delimiter);
        let records = reader.from_reader(text).into_records();
        records.map(|record| record.unwrap().iter().map(str::to_owned).collect()).collect()
    }

    #[test]
    fn the_delimiter_is_the_one_of_the_head() {
        assert_eq!(delimiter_of(b"student,answer.flap"), b',');
        assert_eq!(delimiter_of(b"student;answer.flap;\"a,b,c,d\""), b';');
        assert_eq!(delimiter_of(b"student\tid\tanswer.flap"), b'\t');
        assert_eq!(delimiter_of(b"student"), b',');
    }

    #[test]
    fn inch_marks_and_decimal_commas() {
        let text = b"Clover;12 1/2\";31,8\n\"Sorrel; the younger\";\"12 1/2\"\"\";\"a\nb\"";
        let wanted = [["Clover", "12 1/2\"", "31,8"], ["Sorrel; the younger", "12 1/2\"", "a\nb"]];
        assert_eq!(taken_apart(text, b';'), wanted);
    }

    #[test]
    fn inch_marks_within_quotation_marks() {
        let text = b"student,answer.flap,answer.tie\n\"Tansy\",\"12 1/2\"\",\"3\"\"\nSedge,\"12 1/2\"\"\",3\nMoss,\"1\n2\",3\n";
        let mended = with_quotes_mended(text).unwrap();
        let rows = taken_apart(&mended, b',');
        assert_eq!(rows[1..], [["Tansy", "12 1/2\"", "3\""], ["Sedge", "12 1/2\"", "3"], ["Moss", "1\n2", "3"]]);
        assert_eq!(with_quotes_mended(b"a,b\n\"c,d\n").unwrap(), b"a,b\n\"c\",\"d\"\n");
        assert_eq!(with_quotes_mended(b"a,b\n\"c,d,e\n"), None, "of that there is no telling");
    }

    #[test]
    fn a_quotation_mark_that_is_never_closed_spoils_one_line() {
        let records: Vec<Record> = Records::new(b"a,\"b\nc,d\n", b',').collect();
        assert_eq!(records[0], Record { text: b"a,\"b", is_open: true });
        assert_eq!(records[1], Record { text: b"c,d", is_open: false });
        assert_eq!(Splitter::new(b',').split(b"a,b\xff,c").unwrap_err(), 1);
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 4_000, rng_seed: RngSeed::Fixed(6), failure_persistence: None, ..ProptestConfig::default() })]

        /// The `csv` crate takes it apart in the same way; an empty line is no record to it.
        #[test]
        fn agrees_with_the_csv_crate(text in "[a,;\"\n\r ]{0,24}") {
            let text = text.as_bytes();
            if Records::new(text, b',').all(|record| !record.is_open) {
                prop_assert_eq!(taken_apart(text, b','), by_csv(text, b','));
            }
        }

        #[test]
        fn every_place_is_found(text in prop::collection::vec(prop::sample::select(vec![0, 1, b',', b'-', 0x80, 0xac, 0xff]), 0..40)) {
            let mut places = Vec::new();
            places_of(b',', &text, &mut places);
            prop_assert_eq!(places, memchr::memchr_iter(b',', &text).collect::<Vec<_>>());
        }

        /// Wherever a text is cut, what is whole of it has the same records.
        #[test]
        fn pieces_have_the_records_of_the_whole(text in "[a,\"\n\r]{0,24}", size in 1_usize..9) {
            let text = text.as_bytes();
            if Records::new(text, b',').any(|record| record.is_open) {
                return Ok(());
            }
            let (mut found, mut start, mut end) = (Vec::new(), 0, 0);
            while end < text.len() {
                end = text.len().min(end + size);
                let whole = if end == text.len() { end } else { start + whole_records(&text[start..end], b',') };
                found.extend(Records::new(&text[start..whole], b','));
                start = whole;
            }
            prop_assert_eq!(found, Records::new(text, b',').collect::<Vec<_>>());
        }
    }
}
