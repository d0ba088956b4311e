//! Lines and columns as a reader counts them: from 1, columns in characters.

/// The lines of a text. A line ends with LF, CRLF or a lone CR, as in an editor.
pub struct Places<'a> {
    text: &'a str,
    starts: Vec<usize>,
}

impl<'a> Places<'a> {
    /// The lines of this text.
    pub fn of(text: &'a str) -> Places<'a> {
        let bytes = text.as_bytes();
        let ends = (0..bytes.len()).filter(|&i| {
            bytes[i] == b'\n' || bytes[i] == b'\r' && bytes.get(i + 1) != Some(&b'\n')
        });
        Places {
            text,
            starts: std::iter::once(0).chain(ends.map(|i| i + 1)).collect(),
        }
    }

    /// Line and column of a byte.
    pub fn at(&self, offset: usize) -> (usize, usize) {
        let line = self.starts.partition_point(|start| *start <= offset);
        let start = self.starts[line - 1];
        let column = self
            .text
            .get(start..offset)
            .map_or(0, |s| s.chars().count());
        // A byte-order mark is no character of the first line.
        let mark = usize::from(line == 1 && offset > 0 && self.text.starts_with('\u{feff}'));
        (line, column + 1 - mark)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn characters_and_line_ends() {
        let places = Places::of("zone é𝄞 x\r\nb\rc\nd");
        assert_eq!(places.at(0), (1, 1));
        assert_eq!(places.at("zone é𝄞 ".len()), (1, 9));
        assert_eq!(places.at("zone é𝄞 x\r\n".len()), (2, 1));
        assert_eq!(places.at("zone é𝄞 x\r\nb\r".len()), (3, 1));
        assert_eq!(places.at("zone é𝄞 x\r\nb\rc\nd".len()), (4, 2));
        assert_eq!(Places::of("").at(0), (1, 1));
        assert_eq!(Places::of("\u{feff}zone").at(3), (1, 1));
    }
}
