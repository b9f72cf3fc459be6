//! What students send: letters, spreadsheets, rows of a table; and a class's folder with some of each.

use super::{files, names, run, write};
use std::collections::BTreeMap;
use std::fs;
use std::io::Write as _;
use std::path::Path;

/// A spreadsheet with one sheet of inline strings, but for cells that are dates (days since 1899-12-30): ECMA-376 part 1,
/// 18.3.1.4 (cells), 18.8.30 (number format 14 is a date).
pub fn spreadsheet(rows: &[Vec<String>]) -> Vec<u8> {
    let column = |at: usize| match at {
        0..26 => char::from(b'A' + at as u8).to_string(),
        _ => format!("{}{}", char::from(b'A' + (at / 26 - 1) as u8), char::from(b'A' + (at % 26) as u8)),
    };
    let mut data = String::new();
    for (row, cells) in rows.iter().enumerate() {
        data += &format!("<row r=\"{}\">", row + 1);
        for (at, cell) in cells.iter().enumerate() {
            let place = format!("{}{}", column(at), row + 1);
            data += &match cell.strip_prefix("date:") {
                Some(days) => format!("<c r=\"{place}\" s=\"1\"><v>{days}</v></c>"),
                None => format!("<c r=\"{place}\" t=\"inlineStr\"><is><t>{cell}</t></is></c>"),
            };
        }
        data += "</row>";
    }
    let main = "http://schemas.openxmlformats.org/spreadsheetml/2006/main";
    let of = "http://schemas.openxmlformats.org/officeDocument/2006/relationships";
    let package = "http://schemas.openxmlformats.org/package/2006";
    let parts = [
        (
            "[Content_Types].xml",
            format!(
                "<Types xmlns=\"{package}/content-types\"><Default Extension=\"rels\" ContentType=\"application/vnd.openxmlformats-package.relationships+xml\"/><Default Extension=\"xml\" ContentType=\"application/xml\"/><Override PartName=\"/xl/workbook.xml\" ContentType=\"application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml\"/></Types>"
            ),
        ),
        (
            "_rels/.rels",
            format!(
                "<Relationships xmlns=\"{package}/relationships\"><Relationship Id=\"r1\" Type=\"{of}/officeDocument\" Target=\"xl/workbook.xml\"/></Relationships>"
            ),
        ),
        (
            "xl/workbook.xml",
            format!(
                "<workbook xmlns=\"{main}\" xmlns:r=\"{of}\"><sheets><sheet name=\"Answers\" sheetId=\"1\" r:id=\"r1\"/></sheets></workbook>"
            ),
        ),
        (
            "xl/_rels/workbook.xml.rels",
            format!(
                "<Relationships xmlns=\"{package}/relationships\"><Relationship Id=\"r1\" Type=\"{of}/worksheet\" Target=\"worksheets/sheet1.xml\"/><Relationship Id=\"r2\" Type=\"{of}/styles\" Target=\"styles.xml\"/></Relationships>"
            ),
        ),
        (
            "xl/styles.xml",
            format!(
                "<styleSheet xmlns=\"{main}\"><cellXfs count=\"2\"><xf numFmtId=\"0\"/><xf numFmtId=\"14\"/></cellXfs></styleSheet>"
            ),
        ),
        ("xl/worksheets/sheet1.xml", format!("<worksheet xmlns=\"{main}\"><sheetData>{data}</sheetData></worksheet>")),
    ];
    stored(&parts)
}

/// A ZIP archive of files that are not compressed (APPNOTE 6.3.10, 4.3.7, 4.3.12 and 4.3.16).
pub fn stored(parts: &[(&str, String)]) -> Vec<u8> {
    let crc = crc::Crc::<u32>::new(&crc::CRC_32_ISO_HDLC);
    let (mut out, mut central) = (Vec::new(), Vec::new());
    for (name, text) in parts {
        let offset = out.len() as u32;
        let mut about = Vec::new();
        about.extend_from_slice(&[20, 0, 0, 0, 0, 0, 0, 0, 0x21, 0]);
        about.extend_from_slice(&crc.checksum(text.as_bytes()).to_le_bytes());
        about.extend_from_slice(&(text.len() as u32).to_le_bytes());
        about.extend_from_slice(&(text.len() as u32).to_le_bytes());
        about.extend_from_slice(&(name.len() as u16).to_le_bytes());
        about.extend_from_slice(&[0, 0]);
        out.extend_from_slice(b"PK\x03\x04");
        out.extend_from_slice(&about);
        out.write_all(name.as_bytes()).unwrap();
        out.write_all(text.as_bytes()).unwrap();
        central.extend_from_slice(b"PK\x01\x02\x14\0");
        central.extend_from_slice(&about);
        central.extend_from_slice(&[0; 10]);
        central.extend_from_slice(&offset.to_le_bytes());
        central.write_all(name.as_bytes()).unwrap();
    }
    let start = out.len() as u32;
    out.extend_from_slice(&central);
    out.extend_from_slice(b"PK\x05\x06\0\0\0\0");
    out.extend_from_slice(&(parts.len() as u16).to_le_bytes());
    out.extend_from_slice(&(parts.len() as u16).to_le_bytes());
    out.extend_from_slice(&(central.len() as u32).to_le_bytes());
    out.extend_from_slice(&start.to_le_bytes());
    out.extend_from_slice(&[0, 0]);
    out
}

/// The answers of a key as `name = value` without quotation marks, as someone writes them into a letter.
pub fn letter(key: &str) -> String {
    let plain: Vec<String> = key
        .lines()
        .filter(|line| !line.starts_with('#') && !line.is_empty())
        .map(|line| line.split("  #").next().unwrap_or_default().replace('"', ""))
        .collect();
    format!(
        "Good evening,\r\nhere is my homework at last. Was it = to the others'?\r\n\r\n{}\r\n\r\nYours\r\n",
        plain.join("\r\n")
    )
}

/// A key's row of the set's table, with its answers.
pub fn row_of(table: &str, key: &str) -> (Vec<String>, Vec<String>) {
    let mut lines =
        table.trim_start_matches('\u{feff}').lines().map(|line| line.split(',').map(str::to_owned).collect::<Vec<_>>());
    let head = lines.next().unwrap();
    let value = |name: &str| {
        let line = key.lines().find(|line| line.starts_with(&format!("{name} = "))).unwrap();
        line.split('"').nth(1).unwrap().to_owned()
    };
    let code = value("code");
    let mut row = lines.find(|row| row.contains(&code)).unwrap();
    for (cell, name) in row.iter_mut().zip(&head) {
        if let Some(step) = name.strip_prefix("answer.") {
            *cell = value(step);
        }
    }
    (head, row)
}

/// Makes the folder of a class with a set for its first week, and every kind of file that students send in `handed-in`.
pub fn class_with_answers(root: &Path) -> BTreeMap<String, Vec<u8>> {
    run(root.parent().unwrap(), &["start", root.file_name().unwrap().to_str().unwrap()]);
    fs::remove_file(root.join("handed-in/rosemary.toml")).unwrap();
    write(
        root,
        "roster.csv",
        "student,id\nRosemary,\nSorrel,3\nSorrel,9\nTansy,\nYarrow,\nVetch,\nMüllerkraut,\nSedge,\n",
    );
    run(root, &["practice"]);
    let read = |name: &str| fs::read_to_string(root.join(name)).unwrap();
    let keys = names(&root.join("keys/week-1"));
    let keys: Vec<&String> = keys.iter().filter(|name| name.starts_with("key-") && name.ends_with(".toml")).collect();
    let key = |at: usize| read(&format!("keys/week-1/{}", keys[at]));
    write(root, "handed-in/Rosemary.toml", key(0).replace("height = \"", "height = \"1"));
    write(root, "handed-in/Sorrel 3.toml", key(1));
    // The name of a file may be anything, and so may a student's.
    write(root, "handed-in/week-1/late/sorrel.toml", key(2));
    write(root, "handed-in/my mail.txt", letter(&key(3)).replace("Yours", "<script>alert(1)</script>"));
    let table = read("sheets/week-1/answers/table.csv");
    let (head, row) = row_of(&table, &key(4));
    write(root, "handed-in/table.csv", format!("{}\n{}\n", head.join(","), row.join(",")));
    let (head, row) = row_of(&table, &key(5));
    write(root, "handed-in/vetch.xlsx", spreadsheet(&[head, row]));
    let latin: Vec<u8> = key(6).chars().map(|letter| letter as u8).collect();
    write(root, "handed-in/m.toml", latin);
    write(root, "handed-in/sedge.docx", b"PK\x03\x04");
    write(root, "handed-in/.hidden", "no answers");
    files(root)
}
