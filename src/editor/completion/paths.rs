//! The path behind `use`, folder by folder: the plans that lie there, and the folders to go on with. What lies in a folder
//! somebody else says.

use std::collections::HashSet;
use std::sync::Arc;

use super::{About, Offer, OfferKind, Offers};
use crate::checks::Analysis;
use crate::editor::moved_paths::{folder, led_to};
use crate::editor::used_paths::used_paths;
use crate::plan::{FileId, FileKey, Plan, StanzaId};
use crate::syntax::tree::{Token, TokenKind};
use crate::syntax::vocabulary::StanzaWord;
use crate::text::Span;

/// Something that lies in a folder.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Entry {
    /// Whether it is a folder.
    pub is_folder: bool,
    /// Its name; `..` for the folder that the folder is in.
    pub name: String,
}

/// A path that is being written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PathAt {
    /// The folder that it leads to so far, from that of the file: nothing, or with `/` at its end.
    pub folder: String,
    /// The part that is being written, in the file.
    pub word: Span,
    quotes: Quotes,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Quotes {
    Both,
    Opening,
    Missing,
}

/// The path that is being written at this byte of a file.
pub fn path_at(a: &Analysis, file: FileId, offset: usize) -> Option<PathAt> {
    let at = u32::try_from(offset).ok()?;
    let id = a.plan.stanza_at(file, at)?;
    let found = path_in(&a.plan, id, at - a.plan.in_file(id, Span::default()).start)?;
    Some(PathAt {
        word: a.plan.in_file(id, found.word),
        ..found
    })
}

/// The same, in the bytes of its stanza.
fn path_in(plan: &Plan, id: StanzaId, at: u32) -> Option<PathAt> {
    let stanza = plan.stanza(id);
    if stanza.word != Some(StanzaWord::Use) || at <= stanza.word_span.end {
        return None;
    }
    let behind = |token: &&Token| token.span.start >= stanza.word_span.end;
    let first = stanza.tokens.iter().find(|token| {
        behind(token) && !matches!(token.kind, TokenKind::LineEnd | TokenKind::Comment)
    });
    let ends_line = |token: &Token| {
        matches!(token.kind, TokenKind::LineEnd | TokenKind::Comment) && token.span.start < at
    };
    let bare = |word| PathAt {
        folder: String::new(),
        word,
        quotes: Quotes::Missing,
    };
    let Some(token) = first.filter(|token| token.span.start <= at) else {
        // Nothing yet: on the line of the word only.
        let is_free = !stanza.tokens.iter().filter(behind).any(ends_line) && first.is_none();
        return is_free.then(|| bare(Span::new(at, at)));
    };
    let written = stanza.words(token.span);
    let is_open = token.kind == TokenKind::Stray && written.starts_with('"');
    let quotes = match token.kind {
        TokenKind::Word if token.span.touches(at) => return Some(bare(token.span)),
        TokenKind::Text if at > token.span.start && at < token.span.end => Quotes::Both,
        // Blanks at the end do not belong to the token, and yet to the text.
        TokenKind::Stray if is_open && at > token.span.start => Quotes::Opening,
        _ => return None,
    };
    let start = token.span.start + 1;
    let ahead = stanza.text.get(start as usize..at as usize)?;
    if ahead.contains(['\n', '\r']) {
        return None;
    }
    let split = ahead.rfind('/').map_or(0, |slash| slash + 1);
    let rest = stanza
        .text
        .get(at as usize..token.span.end.max(at) as usize)?;
    let ends = |c: char| c == '/' || c == '"' || (quotes == Quotes::Opening && c.is_whitespace());
    let length = rest.find(ends).unwrap_or(rest.len());
    let size = |bytes: usize| u32::try_from(bytes).unwrap_or(u32::MAX);
    Some(PathAt {
        folder: unquoted(ahead.get(..split)?),
        word: Span::new(start + size(split), at + size(length)),
        quotes,
    })
}

fn unquoted(words: &str) -> String {
    words.replace("\\\"", "\"").replace("\\\\", "\\")
}

/// What lies in the folder, put in words: files first; but for the file itself, what it uses already, and what uses it.
pub fn offers(a: &Analysis, file: FileId, path: &PathAt, mut entries: Vec<Entry>) -> Offers {
    let passed_over = passed_over(a, file, path);
    let own = a.plan.files.get(file.0).map_or("", |file| &*file.key.0);
    entries.sort();
    entries.dedup();
    let is_new = |entry: &Entry| {
        let place =
            folder(own).and_then(|at| led_to(at, &format!("{}{}", path.folder, entry.name)));
        entry.is_folder || place.is_none_or(|place| !passed_over.contains(&*place))
    };
    let list = entries.into_iter().filter(is_new).map(|entry| {
        let (kind, label) = match entry.is_folder {
            true => (OfferKind::Folder, format!("{}/", entry.name)),
            false => (OfferKind::File, entry.name),
        };
        let mut text = label.replace('\\', "\\\\").replace('"', "\\\"");
        if path.quotes == Quotes::Missing {
            text.insert(0, '"');
        }
        // Behind a folder the path goes on.
        if path.quotes != Quotes::Both && kind == OfferKind::File {
            text.push('"');
        }
        Offer {
            text: (text != label).then_some(text),
            ..Offer::new(kind, label, About::Nothing)
        }
    });
    Offers {
        word: path.word,
        list: list.collect(),
        complete: true,
    }
}

/// Files that it would be wrong to use here.
fn passed_over(a: &Analysis, file: FileId, path: &PathAt) -> HashSet<Arc<str>> {
    let Some(own) = a.plan.files.get(file.0) else {
        return HashSet::new();
    };
    let mut all: HashSet<Arc<str>> = HashSet::from([own.key.0.clone()]);
    let others = used_paths(&own.text).into_iter();
    let others =
        others.filter(|used| !used.span.overlaps(path.word) && !used.span.touches(path.word.start));
    let at = folder(&own.key.0).unwrap_or_default();
    all.extend(others.filter_map(|used| Some(Arc::from(led_to(at, &used.path)?))));
    // What uses the file, and what uses that.
    let mut next: Vec<&FileKey> = vec![&own.key];
    while let Some(key) = next.pop() {
        for ((from, _), led_to) in &a.plan.uses {
            if led_to.as_ref() == Ok(key) && all.insert(from.0.clone()) {
                next.push(from);
            }
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use super::*;

    fn analysed(text: &str) -> Analysis {
        let files: BTreeMap<String, Arc<str>> = BTreeMap::new();
        Analysis::of(
            FileKey::new("/m/plan.harness"),
            text.into(),
            &files,
            &|| false,
        )
    }

    fn entries() -> Vec<Entry> {
        let entry = |name: &str, is_folder| Entry {
            name: name.to_owned(),
            is_folder,
        };
        vec![
            entry("stock", true),
            entry("tape.harness", false),
            entry("led.harness", false),
            entry("plan.harness", false),
            entry("..", true),
            entry("9\" rule.harness", false),
        ]
    }

    /// At the cursor `$0`: the folder so far, and the line after each offer was taken.
    fn written(text: &str) -> Option<(String, Vec<String>)> {
        let at = text.find("$0").unwrap();
        let text = text.replace("$0", "");
        let a = analysed(&text);
        let path = path_at(&a, FileId(0), at)?;
        let offers = offers(&a, FileId(0), &path, entries());
        let lines = offers.list.iter().map(|offer| {
            let mut text = text.clone();
            text.replace_range(
                offers.word.range(),
                offer.text.as_ref().unwrap_or(&offer.label),
            );
            text
        });
        Some((path.folder.clone(), lines.collect()))
    }

    #[test]
    fn in_quotes() {
        for text in ["use \"$0\"", "use \"t$0a\"", "use \"ta$0\""] {
            let (folder, lines) = written(text).unwrap();
            assert_eq!(folder, "");
            assert_eq!(
                lines,
                [
                    "use \"9\\\" rule.harness\"",
                    "use \"led.harness\"",
                    "use \"tape.harness\"",
                    "use \"../\"",
                    "use \"stock/\""
                ]
            );
        }
        let (folder, lines) = written("use \"stock/$0x/y\"  # c").unwrap();
        assert_eq!(folder, "stock/");
        // What lies there has another place: the name is not the file's own.
        assert_eq!(lines[2], "use \"stock/plan.harness/y\"  # c");
    }

    #[test]
    fn quotes_that_are_missing_are_put_in() {
        let ends = |text| written(text).unwrap().1[1..].to_vec();
        let whole = [
            "use \"led.harness\"",
            "use \"tape.harness\"",
            "use \"../",
            "use \"stock/",
        ];
        assert_eq!(ends("use $0"), whole);
        assert_eq!(ends("use le$0"), whole);
        assert_eq!(ends("use l$0e"), whole);
        assert_eq!(ends("use \"$0"), whole);
        assert_eq!(ends("use \"le$0"), whole);
        let (folder, lines) = written("use \"stock/a$0\nzone b\n").unwrap();
        assert_eq!(
            (&*folder, &*lines[1]),
            ("stock/", "use \"stock/led.harness\"\nzone b\n")
        );
    }

    #[test]
    fn what_is_used_already_is_not_offered() {
        let (_, lines) =
            written("use \"led.harness\"\nuse \"./stock/../tape.harness\"\nuse \"$0\"\n").unwrap();
        let last: Vec<_> = lines
            .iter()
            .map(|text| text.lines().last().unwrap())
            .collect();
        assert_eq!(
            last,
            [
                "use \"9\\\" rule.harness\"",
                "use \"../\"",
                "use \"stock/\""
            ]
        );
        // The path that is being changed may stay.
        assert_eq!(written("use \"$0led.harness\"").unwrap().1.len(), 5);
    }

    #[test]
    fn what_uses_the_file_is_not_offered() {
        let text: Arc<str> = "use \"".into();
        let files: BTreeMap<String, Arc<str>> = [("/m/led.harness".into(), text.clone())].into();
        let root = "use \"/m/led.harness\"\n";
        let a = Analysis::of(
            FileKey::new("/m/tape.harness"),
            root.into(),
            &files,
            &|| false,
        );
        let path = path_at(&a, FileId(1), 5).unwrap();
        let offers = offers(&a, FileId(1), &path, entries());
        let labels: Vec<_> = offers.list.iter().map(|offer| &*offer.label).collect();
        assert_eq!(
            labels,
            ["9\" rule.harness", "plan.harness", "../", "stock/"]
        );
    }

    #[test]
    fn nowhere_else() {
        for text in [
            "use$0",
            "us$0",
            "$0use \"a\"",
            "use $0 \"a\"",
            "use \"a\"$0",
            "use \"a\" $0",
            "use \"a\" note \"$0\"",
            "zone a note \"$0\"",
            "# use \"$0\"",
            "use\n$0",
            "use 3$0",
            "use \"a\n  $0",
            "use # $0",
        ] {
            assert_eq!(written(text), None, "{text}");
        }
    }
}
