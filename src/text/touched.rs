//! Where a text was changed.

/// A stretch of a text that was replaced: before, it went from `start` to `old_end`; now it goes to `new_end`. All
/// outside of it is as it was. In bytes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Touched {
    /// Where it begins, before and now.
    pub start: usize,
    /// Where it ended.
    pub old_end: usize,
    /// Where it ends.
    pub new_end: usize,
}

impl Touched {
    /// This change and then another, as one.
    pub fn then(self, next: Touched) -> Touched {
        // The end of both, in the text between the two changes.
        let end = self.new_end.max(next.old_end);
        Touched {
            start: self.start.min(next.start),
            old_end: self.old_end + (end - self.new_end),
            new_end: next.new_end + (end - next.old_end),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn replace(text: &str, start: usize, end: usize, by: &str) -> (String, Touched) {
        let (start, end) = (start.min(text.len()), end.min(text.len()));
        let (start, old_end) = (start.min(end), start.max(end));
        let touched = Touched {
            start,
            old_end,
            new_end: start + by.len(),
        };
        (
            format!("{}{by}{}", &text[..start], &text[old_end..]),
            touched,
        )
    }

    proptest! {
        #[test]
        fn outside_of_it_nothing_changed(
            text in "[a-z]{0,20}",
            edits in prop::collection::vec((0usize..24, 0usize..24, "[a-z]{0,4}"), 1..5),
        ) {
            let mut now = text.clone();
            let mut all: Option<Touched> = None;
            for (start, end, by) in edits {
                let (next, touched) = replace(&now, start, end, &by);
                now = next;
                all = Some(all.map_or(touched, |t| t.then(touched)));
            }
            let all = all.unwrap();
            prop_assert_eq!(&text[..all.start], &now[..all.start]);
            prop_assert_eq!(&text[all.old_end..], &now[all.new_end..]);
        }
    }
}
