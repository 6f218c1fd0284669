//! Workbooks written part by part, for what a library would not write: formulas without a value, the 1904 system, error
//! values of newer spreadsheets. The parts are the least that ECMA-376 part 1 asks for, in a zip file without compression.

use std::fmt::Write as _;

use super::made::Saved;

/// A workbook of raw sheets.
#[derive(Default)]
pub struct Raw {
    pub from_1904: bool,
    sheets: Vec<(String, String)>,
    formats: Vec<String>,
}

impl Raw {
    pub fn new() -> Raw {
        Raw::default()
    }

    /// A style with this format code; returns its number, for `s="..."`.
    pub fn style(&mut self, code: &str) -> usize {
        self.formats.push(code.to_string());
        self.formats.len()
    }

    /// A sheet of rows, each the cells' XML; `text("...")` makes one of text.
    pub fn sheet(mut self, name: &str, rows: &[&str]) -> Raw {
        let mut data = String::new();
        for (at, cells) in rows.iter().enumerate() {
            let _ = write!(data, r#"<row r="{}">{cells}</row>"#, at + 1);
        }
        self.sheets.push((name.to_string(), data));
        self
    }

    pub fn save(&self) -> Saved {
        Saved::bytes("fleet.xlsx", &self.bytes())
    }

    pub fn bytes(&self) -> Vec<u8> {
        const MAIN: &str = "http://schemas.openxmlformats.org/spreadsheetml/2006/main";
        const TYPES: &str = "http://schemas.openxmlformats.org/officeDocument/2006/relationships";
        const PACKAGE: &str = "http://schemas.openxmlformats.org/package/2006/relationships";
        let mut parts: Vec<(String, String)> = vec![
            (
                "[Content_Types].xml".into(),
                r#"<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="xml" ContentType="application/xml"/></Types>"#.into(),
            ),
            (
                "_rels/.rels".into(),
                format!(r#"<Relationships xmlns="{PACKAGE}"><Relationship Id="r1" Type="{TYPES}/officeDocument" Target="xl/workbook.xml"/></Relationships>"#),
            ),
        ];
        let mut list = String::new();
        let mut relations = String::new();
        for (at, (name, data)) in self.sheets.iter().enumerate() {
            let number = at + 1;
            let _ = write!(list, r#"<sheet name="{name}" sheetId="{number}" r:id="s{number}"/>"#);
            let _ = write!(
                relations,
                r#"<Relationship Id="s{number}" Type="{TYPES}/worksheet" Target="worksheets/sheet{number}.xml"/>"#
            );
            parts.push((
                format!("xl/worksheets/sheet{number}.xml"),
                format!(r#"<worksheet xmlns="{MAIN}"><sheetData>{data}</sheetData></worksheet>"#),
            ));
        }
        let _ = write!(relations, r#"<Relationship Id="st" Type="{TYPES}/styles" Target="styles.xml"/>"#);
        let from = if self.from_1904 { 1 } else { 0 };
        parts.push((
            "xl/workbook.xml".into(),
            format!(r#"<workbook xmlns="{MAIN}" xmlns:r="{TYPES}"><workbookPr date1904="{from}"/><sheets>{list}</sheets></workbook>"#),
        ));
        parts.push((
            "xl/_rels/workbook.xml.rels".into(),
            format!(r#"<Relationships xmlns="{PACKAGE}">{relations}</Relationships>"#),
        ));
        let mut codes = String::new();
        let mut styles = r#"<xf numFmtId="0"/>"#.to_string();
        for (at, code) in self.formats.iter().enumerate() {
            let id = 164 + at;
            let code = code.replace('"', "&quot;");
            let _ = write!(codes, r#"<numFmt numFmtId="{id}" formatCode="{code}"/>"#);
            let _ = write!(styles, r#"<xf numFmtId="{id}"/>"#);
        }
        parts.push((
            "xl/styles.xml".into(),
            format!(r#"<styleSheet xmlns="{MAIN}"><numFmts>{codes}</numFmts><cellXfs>{styles}</cellXfs></styleSheet>"#),
        ));
        zip(&parts)
    }
}

/// A cell of text.
pub fn text(at: &str, text: &str) -> String {
    format!(r#"<c r="{at}" t="inlineStr"><is><t>{text}</t></is></c>"#)
}

/// A row of text cells from column A on.
pub fn texts(row: u32, cells: &[&str]) -> String {
    let one = |(at, cell): (usize, &&str)| text(&format!("{}{row}", char::from(b'A' + at as u8)), cell);
    cells.iter().enumerate().map(one).collect()
}

fn crc32(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(!0_u32, |crc, &byte| {
        (0..8).fold(crc ^ u32::from(byte), |crc, _| (crc >> 1) ^ (0xEDB8_8320 & 0_u32.wrapping_sub(crc & 1)))
    })
}

/// A zip file whose parts are stored as they are.
fn zip(parts: &[(String, String)]) -> Vec<u8> {
    let mut file = Vec::new();
    let mut directory = Vec::new();
    for (name, content) in parts {
        let offset = file.len() as u32;
        let size = (content.len() as u32).to_le_bytes();
        let mut common = vec![20, 0, 0, 0, 0, 0, 0, 0, 0, 0];
        common.extend(crc32(content.as_bytes()).to_le_bytes());
        common.extend(size);
        common.extend(size);
        common.extend((name.len() as u16).to_le_bytes());
        common.extend([0, 0]);
        file.extend(b"PK\x03\x04");
        file.extend(&common);
        file.extend(name.as_bytes());
        file.extend(content.as_bytes());
        directory.extend(b"PK\x01\x02\x14\x00");
        directory.extend(&common);
        directory.extend([0; 10]);
        directory.extend(offset.to_le_bytes());
        directory.extend(name.as_bytes());
    }
    let (count, start) = ((parts.len() as u16).to_le_bytes(), file.len() as u32);
    file.extend(&directory);
    file.extend(b"PK\x05\x06\0\0\0\0");
    file.extend(count);
    file.extend(count);
    file.extend((directory.len() as u32).to_le_bytes());
    file.extend(start.to_le_bytes());
    file.extend([0, 0]);
    file
}
