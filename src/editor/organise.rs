//! The stanzas of a file in the order of the power: the plan's own words, files that are used, stock, places, patterns with
//! their pieces, each supply with what it feeds and what that feeds, links behind the supply that their first end hangs
//! on, scenes, and the record of the work. What is alike stays in the order in which it stands.
//!
//! A stanza moves with its comments: those within it, and all between the stanza above and itself. Comments at the top of
//! the file that a blank line sets apart stay at the top. A stanza that is left out because something in it, or ahead of
//! it, cannot be read stays with the stanza above it. Blank lines between stanzas that stood together stay; between
//! others one stands where the kind changes, or where one of them has several lines. What stood in columns does so among its
//! new neighbours.

use crate::circuit::Stop;
use std::collections::HashMap;

use super::actions::{Action, ActionKind};
use super::rows::{moved_in_rows, one_edit};
use super::same::same_plan;
use crate::checks::Analysis;
use crate::numbers::count;
use crate::plan::{FileId, Plan, StanzaId};
use crate::rewrites::stanza_text::{line_end, with_comments};
use crate::syntax::read_file;
use crate::syntax::tree::{Name, Stanza};
use crate::syntax::vocabulary::StanzaWord;
use crate::text::Span;

/// The file with its stanzas in order; `None` where they are. Nothing is solved: [`proved`] does that.
pub fn organised(plan: &Plan, file: FileId) -> Option<Action> {
    let text = &plan.files.get(file.0)?.text;
    let cut = Cut::of(plan, file)?;
    let mut order: Vec<usize> = (0..cut.pieces.len()).collect();
    order.sort_by_key(|&k| cut.pieces[k].rank);
    let stay = longest_rise(&order);
    let moved = order.len() - stay;
    if moved == 0 {
        return None;
    }
    let ahead = (0..order.len()).take_while(|&k| order[k] == k).count();
    let behind = (0..order.len()).rev().take_while(|&k| order[k] == k);
    let behind = behind.count();
    let middle = &order[ahead..order.len() - behind];
    let end = line_end(plan, StanzaId { file, index: 0 });
    let mut new = String::new();
    for (k, &piece) in middle.iter().enumerate() {
        let before = match k {
            0 => ahead.checked_sub(1),
            k => Some(middle[k - 1]),
        };
        new.push_str(&cut.gap(before, piece, end));
        new.push_str(&text[cut.pieces[piece].body.range()]);
        if !new.ends_with(['\n', '\r']) {
            new.push_str(end);
        }
    }
    let start = match ahead.checked_sub(1) {
        Some(last) => cut.pieces[last].body.end,
        None => cut.head,
    };
    let mut to = cut.pieces[order.len() - behind - 1].body.end;
    if behind > 0 {
        let next = order.len() - behind;
        new.push_str(&cut.gap(middle.last().copied(), next, end));
        to = cut.pieces[next].body.start;
    }
    Some(Action {
        title: format!(
            "put the stanzas in the order of the power: {} of {} move; every figure stays",
            moved,
            count(order.len(), "stanza")
        ),
        kind: ActionKind::Organise,
        edits: vec![(file, Span::new(start, to), new)],
        ..Action::default()
    })
}

/// As [`organised`], if the plan says the same afterwards, and every stanza is there.
pub fn organise(a: &Analysis, file: FileId, stop: Stop) -> Option<Action> {
    let mut action = organised(&a.plan, file)?;
    let before = &a.plan.files.get(file.0)?;
    let (_, span, new) = action.edits.first()?;
    let mut text = before.text.to_string();
    text.replace_range(span.range(), new);
    let words = |stanza: &Stanza| stanza.words(stanza.core_span()).to_owned();
    let sorted = |stanzas: &mut dyn Iterator<Item = &Stanza>| {
        let mut all: Vec<String> = stanzas.map(words).collect();
        all.sort_unstable();
        all
    };
    let after = read_file(&text);
    let is_all_there = sorted(&mut before.tree.stanzas.iter().map(|s| &*s.stanza))
        == sorted(&mut after.stanzas.iter().map(|s| &*s.stanza));
    // A column may be another one beside other lines.
    let in_columns = moved_in_rows(&before.text, &text);
    if in_columns != text {
        let (span, new) = one_edit(&before.text, &in_columns);
        action.edits = vec![(file, span, new)];
    }
    let texts = [(before.key.clone(), in_columns.into())].into();
    let after = is_all_there.then(|| a.with_files(texts, &[], stop))??;
    (!stop() && same_plan(a, &after)).then_some(action)
}

/// Where a stanza belongs: its group, its place in that, and the order there.
type Rank = (u8, usize, usize);

/// A stanza with all that moves with it.
struct Piece {
    rank: Rank,
    /// From its first comment to the end of its last line.
    body: Span,
    /// The blank lines ahead of it.
    gap: Span,
    /// It has more than one line.
    is_tall: bool,
    /// It begins with comments that a blank line sets apart.
    has_heading: bool,
}

/// A file cut into what moves.
struct Cut<'a> {
    text: &'a str,
    /// Where what stays at the top ends.
    head: u32,
    pieces: Vec<Piece>,
}

impl Cut<'_> {
    fn of(plan: &Plan, file: FileId) -> Option<Cut<'_>> {
        let source = plan.files.get(file.0)?;
        let text = &*source.text;
        let ranks = ranks(plan, file);
        let has_lines = |span: Span| text[span.range()].trim_end().contains(['\n', '\r']);
        let (mut head, mut pieces) = (None, Vec::<Piece>::new());
        for (index, placed) in source.tree.stanzas.iter().enumerate() {
            let stanza = &*placed.stanza;
            let own = with_comments(stanza).shifted(placed.start);
            if stanza.core_span().is_empty() {
                // Comments alone, ahead of the first stanza.
                head = Some(placed.start + trimmed(&stanza.text));
                continue;
            }
            let Some(rank) = ranks[index] else {
                match pieces.last_mut() {
                    Some(above) => {
                        above.body.end = own.end;
                        above.is_tall |= has_lines(own);
                    }
                    None => head = Some(own.end),
                }
                continue;
            };
            let last = pieces.last().map(|piece| piece.body.end).or(head);
            let from = match last {
                Some(end) => end,
                // What a blank line sets apart at the top stays there.
                None => {
                    let above = &text[..own.start as usize];
                    let bom = text.len() - text.trim_start_matches('\u{feff}').len();
                    let top = bom.max(trimmed(above) as usize) as u32;
                    *head.insert(top)
                }
            };
            let between = &text[from as usize..own.start as usize];
            let blank = blank_lines(between) as u32;
            let body = Span::new(from + blank, own.end);
            pieces.push(Piece {
                rank,
                gap: Span::new(from, body.start),
                is_tall: has_lines(own),
                has_heading: body.start < own.start,
                body,
            });
        }
        Some(Cut {
            text,
            head: head.unwrap_or(0),
            pieces,
        })
    }

    /// The blank lines ahead of a piece that is to stand behind another, or at the top.
    fn gap(&self, before: Option<usize>, piece: usize, end: &str) -> String {
        let own = &self.pieces[piece];
        let gap = |k: usize| self.text[self.pieces[k].gap.range()].to_owned();
        let Some(before) = before else {
            // Comments at the top must not touch another stanza.
            return gap(0);
        };
        let above = &self.pieces[before];
        let kind = |rank: Rank| (rank.0, rank.1);
        if before + 1 == piece {
            gap(piece)
        } else if kind(above.rank) != kind(own.rank)
            || above.is_tall
            || own.is_tall
            || own.has_heading
        {
            end.to_owned()
        } else {
            String::new()
        }
    }
}

/// Where the last line with something in it ends.
fn trimmed(text: &str) -> u32 {
    let words = text.trim_end().len();
    let rest = &text[words..];
    let line = rest.find('\n').map_or(rest.len(), |at| at + 1);
    (words + if words == 0 { 0 } else { line }) as u32
}

/// How many bytes of blank lines a text begins with.
fn blank_lines(text: &str) -> usize {
    let words = text.len() - text.trim_start().len();
    text[..words].rfind('\n').map_or(0, |at| at + 1)
}

const WIRING: u8 = 5;

/// Where each stanza of a file belongs; none for what is not understood.
fn ranks(plan: &Plan, file: FileId) -> Vec<Option<Rank>> {
    use StanzaWord as W;
    let Some(source) = plan.files.get(file.0) else {
        return Vec::new();
    };
    let stanza = |index: usize| &*source.tree.stanzas[index].stanza;
    let all = 0..source.tree.stanzas.len();
    let is_understood = |index: &usize| {
        let id = StanzaId {
            file,
            index: *index,
        };
        stanza(*index).word.is_some() && !plan.left_out.contains(&id)
    };
    let known: Vec<usize> = all.clone().filter(is_understood).collect();
    let mut patterns: HashMap<&str, usize> = HashMap::new();
    for &index in &known {
        if let (Some(W::Pattern), Some((name, _))) = (stanza(index).word, stanza(index).name()) {
            let nth = patterns.len();
            patterns.entry(&name.0).or_insert(nth);
        }
    }
    let pattern_of = |index: usize| {
        let (name, _) = stanza(index).name()?;
        patterns.get(first_word(name)).copied()
    };
    let wired = known.iter().copied().filter(|&index| {
        let word = stanza(index).word;
        let is_wiring = word.is_some_and(|w| w.is_item()) || word == Some(W::Link);
        is_wiring && pattern_of(index).is_none()
    });
    let wired = feed_order(&stanza, wired.collect());
    let mut ranks = vec![None; all.len()];
    for &index in &known {
        ranks[index] = match stanza(index).word {
            None => None,
            Some(W::Harness) => Some((0, 0, 0)),
            Some(W::Use) => Some((1, 0, 0)),
            Some(word) if word.is_stock() => Some((2, word as usize, 0)),
            Some(word @ (W::Zone | W::Passage)) => Some((3, word as usize, 0)),
            Some(word) if pattern_of(index).is_some() => {
                let nth = pattern_of(index).unwrap_or_default();
                Some((4, nth, usize::from(word != W::Pattern)))
            }
            Some(W::Scene) => Some((WIRING + 1, 0, 0)),
            Some(W::Stage | W::Tried) => Some((WIRING + 2, 0, 0)),
            Some(_) => wired.get(&index).copied(),
        };
    }
    ranks
}

fn first_word(name: &Name) -> &str {
    name.0.split('.').next().unwrap_or_default()
}

/// The places of wiring stanzas: each behind what feeds it.
fn feed_order<'a>(stanza: &dyn Fn(usize) -> &'a Stanza, wired: Vec<usize>) -> HashMap<usize, Rank> {
    let is_link = |index: usize| stanza(index).word == Some(StanzaWord::Link);
    let items = || wired.iter().copied().filter(|&index| !is_link(index));
    let named: HashMap<&str, usize> = items()
        .filter_map(|index| Some((&*stanza(index).name()?.0.0, index)))
        .collect();
    let led_to = |index: usize, clause: &str| {
        let (name, _) = stanza(index).clause(clause)?.names().next()?;
        named.get(first_word(name)).copied()
    };
    let mut fed: HashMap<usize, Vec<usize>> = HashMap::new();
    let mut roots = Vec::new();
    for index in items() {
        match led_to(index, "from") {
            Some(feeder) => fed.entry(feeder).or_default().push(index),
            None => roots.push(index),
        }
    }
    let mut places: HashMap<usize, Rank> = HashMap::new();
    for (nth, root) in roots.iter().enumerate() {
        let mut open = vec![*root];
        while let Some(index) = open.pop() {
            let place = places.len();
            if places.contains_key(&index) {
                continue;
            }
            places.insert(index, (WIRING, nth, place));
            open.extend(fed.get(&index).into_iter().flatten().rev());
        }
    }
    for link in wired.iter().copied().filter(|&index| is_link(index)) {
        let end = led_to(link, "between").and_then(|end| places.get(&end));
        let tree = end.map_or(roots.len(), |place| place.1);
        places.insert(link, (WIRING, tree, usize::MAX));
    }
    places
}

/// How many of these can stay where they are while the others move: the longest row of them that rises.
fn longest_rise(order: &[usize]) -> usize {
    let mut ends: Vec<usize> = Vec::new();
    for &one in order {
        let at = ends.partition_point(|end| *end < one);
        match ends.get_mut(at) {
            Some(end) => *end = one,
            None => ends.push(one),
        }
    }
    ends.len()
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;
    use std::sync::Arc;

    use super::*;
    use crate::format::document;
    use crate::plan::{Alone, FileKey, Sources};
    use crate::text::apply;

    fn analysed(text: &str, files: &dyn Sources) -> Analysis {
        Analysis::of(FileKey::new("plan"), text.into(), files, &|| false)
    }

    /// Whether the formatter would leave a text as it is.
    fn is_laid_out(text: &str) -> bool {
        document(&read_file(text)).is_empty()
    }

    /// The text in order, and how many stanzas moved; `None` where nothing is offered.
    fn in_order(text: &str, files: &dyn Sources) -> Option<(String, String)> {
        let a = analysed(text, files);
        let action = organise(&a, FileId(0), &|| false)?;
        let mut new = text.to_owned();
        let (_, span, words) = &action.edits[0];
        new.replace_range(span.range(), words);
        Some((action.title, new))
    }

    /// The lines of a text, sorted, without what stands between their words.
    fn lines(text: &str) -> Vec<String> {
        let words = |line: &str| line.split_whitespace().collect::<Vec<_>>().join(" ");
        let mut lines: Vec<String> = text.lines().map(words).filter(|l| !l.is_empty()).collect();
        lines.sort_unstable();
        lines
    }

    /// What was laid out is so afterwards; what was not stays as it is.
    #[test]
    fn columns_are_columns_among_other_neighbours() {
        let text = "\
supply cell  12 V
fuse   F1    100 mA  from cell

led warm-white drops 3.0 V at 20 mA

joint keel                                          from F1
lamp  a     of warm-white        resistor 560 ohm   from keel  # far
supply spare-cell  12 V

lamp b of warm-white resistor 560 ohm from spare-cell
";
        let (_, sorted) = in_order(text, &Alone).unwrap();
        assert_eq!(
            sorted,
            "\
led warm-white drops 3.0 V at 20 mA

supply cell  12 V
fuse   F1    100 mA  from cell
joint keel                                          from F1
lamp  a     of warm-white        resistor 560 ohm   from keel  # far
supply spare-cell  12 V

lamp b of warm-white resistor 560 ohm from spare-cell
"
        );
        let text = "\
supply cell        12 V
lamp   near        of pearl  resistor 560 ohm  from cell
supply spare-cell  12 V

lamp far-away of pearl  resistor 1200 ohm  from cell

led pearl drops 3.0 V at 20 mA
";
        let text = apply(text, &document(&read_file(text))).unwrap();
        let (_, sorted) = in_order(&text, &Alone).unwrap();
        assert!(sorted.starts_with("led pearl"), "{sorted}");
        assert!(is_laid_out(&sorted), "{sorted}");
    }

    const MIXED: &str = "\
# A shelf with two lamps.

lamp two of pearl resistor 560 ohm from keel  # the far one
scene night off one
# the white one
led pearl
  drops 3.0 V at 20 mA
  colour white
zone shelf
fuse F1 100 mA from cell
supply cell 12 V capacity 600 mAh in shelf

# --- the wiring ---

joint keel from F1
lamp one of pearl resistor 560 ohm from keel
  # a comment of one
harness \"Shelf\"
# the end
";

    const SORTED: &str = "\
# A shelf with two lamps.

harness \"Shelf\"

# the white one
led pearl
  drops 3.0 V at 20 mA
  colour white
zone shelf

supply cell 12 V capacity 600 mAh in shelf
fuse F1 100 mA from cell

# --- the wiring ---

joint keel from F1
lamp two of pearl resistor 560 ohm from keel  # the far one

lamp one of pearl resistor 560 ohm from keel
  # a comment of one

scene night off one
# the end
";

    #[test]
    fn stanzas_go_with_their_comments() {
        let (title, text) = in_order(MIXED, &Alone).unwrap();
        assert_eq!(text, SORTED);
        assert_eq!(
            title,
            "put the stanzas in the order of the power: 4 of 9 stanzas move; every figure stays"
        );
        assert_eq!(in_order(SORTED, &Alone), None);
    }

    /// As `docs/editors.md` shows it.
    #[test]
    fn the_page_shows_what_comes_out() {
        let mixed = "scene night off one\nlamp one of pearl resistor 560 ohm from F1\nfuse F1 100 mA from cell\nsupply cell 12 V  # from the old clock\nled pearl drops 3.0 V at 20 mA\n";
        let sorted = "led pearl drops 3.0 V at 20 mA\n\nsupply cell 12 V  # from the old clock\nfuse F1 100 mA from cell\nlamp one of pearl resistor 560 ohm from F1\n\nscene night off one\n";
        assert_eq!(in_order(mixed, &Alone).unwrap().1, sorted);
    }

    #[test]
    fn line_ends_and_the_mark_at_the_beginning_stay() {
        let mixed = format!("\u{feff}{}", MIXED.replace('\n', "\r\n"));
        let sorted = format!("\u{feff}{}", SORTED.replace('\n', "\r\n"));
        assert_eq!(in_order(&mixed, &Alone).unwrap().1, sorted);
        assert_eq!(
            in_order("scene a\nzone b", &Alone).unwrap().1,
            "zone b\n\nscene a\n"
        );
    }

    #[test]
    fn what_cannot_be_read_stays_with_the_stanza_above() {
        let text = "zone a\nzone @@\nlamp lost of nothing from nowhere\nharness \"t\"\nsupply s 12 V\nbogus , x\nzone b\n";
        let (_, text) = in_order(text, &Alone).unwrap();
        assert_eq!(
            text,
            "harness \"t\"\n\nzone a\nzone @@\nlamp lost of nothing from nowhere\nzone b\n\nsupply s 12 V\nbogus , x\n"
        );
        assert_eq!(in_order(&text, &Alone), None);
        for text in [
            "",
            "# c\n",
            "@@\n",
            "\n\n",
            "@@\nzone a\nharness \"t\n",
            "lamp a from b\nlamp b from a\n",
        ] {
            assert_eq!(in_order(text, &Alone), None, "{text}");
        }
    }

    #[test]
    fn pieces_follow_their_pattern_and_links_the_supply_of_their_first_end() {
        let text = "\
supply s 12 V 1 A
led ruby drops 2 V at 20 mA colour red
copy x of p from F1
link ring between x and F1
fuse F1 200 mA from s
string p.s of ruby 2 lamps resistor 470 ohm from p
supply t 12 V 1 A
fuse F2 200 mA from t
pattern p
";
        let (_, text) = in_order(text, &Alone).unwrap();
        let words: Vec<&str> = text.lines().filter(|l| !l.is_empty()).collect();
        let begin = |line: &&str| line.split(' ').take(2).collect::<Vec<_>>().join(" ");
        assert_eq!(
            words.iter().map(begin).collect::<Vec<_>>(),
            [
                "led ruby",
                "pattern p",
                "string p.s",
                "supply s",
                "fuse F1",
                "copy x",
                "link ring",
                "supply t",
                "fuse F2"
            ]
        );
    }

    /// Every plan of the project, as it is and with its stanzas upside down: nothing is lost, every figure stays, and
    /// once is enough.
    #[test]
    fn plans_of_the_project() {
        let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
        let read = |path: &std::path::Path| std::fs::read_to_string(path).unwrap();
        let stock = read(&root.join("docs/examples/lock-stock.harness"));
        let files: BTreeMap<String, Arc<str>> =
            [("lock-stock.harness".to_owned(), stock.into())].into();
        let (mut tried, mut in_columns) = (0, 0);
        for folder in ["docs/examples", "tests/plans/good"] {
            for entry in std::fs::read_dir(root.join(folder)).unwrap() {
                let path = entry.unwrap().path();
                if path.extension().is_none_or(|e| e != "harness") {
                    continue;
                }
                let text = read(&path);
                let file = read_file(&text);
                let turned = file.stanzas.iter().rev().map(|s| {
                    let text = &s.stanza.text;
                    format!("{}\n", text.trim_end())
                });
                let windows = text.replace('\n', "\r\n");
                for text in [text.clone(), windows, turned.collect()] {
                    let unsorted = organised(&analysed(&text, &files).plan, FileId(0)).is_some();
                    let sorted = in_order(&text, &files);
                    assert_eq!(sorted.is_some(), unsorted, "{path:?} {text}");
                    let Some((_, sorted)) = sorted else { continue };
                    assert_eq!(lines(&sorted), lines(&text), "{path:?}");
                    if is_laid_out(&text) {
                        assert!(is_laid_out(&sorted), "{path:?} {sorted}");
                        in_columns += 1;
                    }
                    assert_eq!(in_order(&sorted, &files), None, "{path:?} {sorted}");
                    tried += 1;
                }
            }
        }
        assert!(tried > 20 && in_columns > 9, "{tried} {in_columns}");
    }
}
