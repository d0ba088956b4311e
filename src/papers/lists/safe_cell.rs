//! A cell that a spreadsheet takes for a text, whatever it begins with.
//!
//! A spreadsheet reads a cell that begins with `=`, `+`, `-`, `@`, a tab or a carriage return as a formula, and a formula can run
//! programs or send what stands in other cells away. OWASP's page "CSV Injection" (from memory) asks for an apostrophe
//! ahead of such a cell; its newer edition adds the line feed and the wide forms of the four signs.

use std::borrow::Cow;

/// What a formula begins with.
const FORMULA: [char; 11] = ['=', '+', '-', '@', '\t', '\r', '\n', '＝', '＋', '－', '＠'];

/// The text as it may stand in a cell.
pub fn safe(cell: &str) -> Cow<'_, str> {
    match cell.starts_with(FORMULA) {
        true => Cow::Owned(format!("'{cell}")),
        false => Cow::Borrowed(cell),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_formula_becomes_a_text() {
        for cell in [
            "=1+1", "+1", "-1", "@sum(a1)", "\t=1", "\r=1", "\n=1", "＝1",
        ] {
            assert_eq!(safe(cell), format!("'{cell}"));
        }
        for cell in ["", "mast", "12 V", "1-2", " =1", "'=1"] {
            assert_eq!(safe(cell), cell);
        }
    }
}
