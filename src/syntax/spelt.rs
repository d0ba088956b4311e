//! Tables of words of the language. Each word of each stanza is looked up in some, so it has to be quick: to tell that a word is
//! none of them mostly takes its ends and its length alone.

/// Words that never change, and what each stands for.
pub(super) struct Spelt<T>(Vec<Vec<(&'static str, T)>>);

/// So many shelves hold about one word each.
const SHELVES: usize = 256;

/// On which of them a word is.
fn shelf(word: &str) -> usize {
    let ends = word.bytes().next().zip(word.bytes().next_back());
    let (first, last) = ends.map_or((0, 0), |(a, b)| (usize::from(a), usize::from(b)));
    (first * 31 + last * 7 + word.len()) % SHELVES
}

impl<T> Spelt<T> {
    /// Of words with what they stand for; of one that comes more than once the first counts.
    pub fn of(words: impl IntoIterator<Item = (&'static str, T)>) -> Spelt<T> {
        let mut table = Spelt((0..SHELVES).map(|_| Vec::new()).collect());
        for (word, of) in words {
            if table.get(word).is_none() {
                table.0[shelf(word)].push((word, of));
            }
        }
        table
    }

    /// What a word stands for.
    pub fn get(&self, word: &str) -> Option<&T> {
        let mut there = self.0[shelf(word)].iter();
        there.find(|(known, _)| *known == word).map(|(_, of)| of)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_word_is_found_and_no_other() {
        let table = Spelt::of([
            ("from", 1),
            ("form", 2),
            ("", 3),
            ("from", 4),
            ("\u{3a9}", 5),
        ]);
        let found = ["from", "form", "", "\u{3a9}", "fromm", "f", "fram"].map(|w| table.get(w));
        let expected = [Some(1), Some(2), Some(3), Some(5), None, None, None];
        assert_eq!(found.map(Option::<&i32>::copied), expected);
    }
}
