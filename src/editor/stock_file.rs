//! Stock in a file of its own: the stanzas that are selected, or all of them, go with their comments into a new file beside this
//! one, or into one that is used already and holds nothing but stock. Offered only where the plan says the same afterwards.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::actions::{Action, ActionKind, Asked, NewFile};
use super::definition::used_file;
use super::same::same_plan;
use crate::checks::Analysis;
use crate::numbers::count;
use crate::plan::{FileId, FileKey, Plan, StanzaId};
use crate::rewrites::stanza_text::{line_end, with_comments};
use crate::syntax::vocabulary::StanzaWord;
use crate::text::Span;

/// So many names are tried for a new file.
const MOST_NAMES: u32 = 100;

/// The moves of stock that can be done here; else why there is none.
pub fn extract_stock(a: &Analysis, asked: &Asked) -> Result<Vec<Action>, &'static str> {
    let (plan, file) = (&a.plan, asked.file);
    let all: Vec<StanzaId> = stanzas(plan, file)
        .filter(|id| is_stock(plan, *id))
        .collect();
    let selected: Vec<StanzaId> = stanzas(plan, file)
        .filter(|id| {
            plan.in_file(*id, plan.stanza(*id).core_span())
                .meets(asked.span)
        })
        .collect();
    if selected.is_empty() || selected.iter().any(|id| !is_stock(plan, *id)) {
        return Err(
            "Only stock can be put into a file of its own: there is something else here, or nothing.",
        );
    }
    if stanzas(plan, file).all(|id| is_stock(plan, id)) {
        return Err("This file holds nothing but stock already.");
    }
    let place = match file_of_stock(plan, file) {
        Some(used) => Place::Used(used),
        None => Place::New(new_name(plan, asked).ok_or("The editor cannot make a new file here.")?),
    };
    let mut actions = Vec::new();
    for (moved, is_all) in [(&selected, selected.len() == all.len()), (&all, true)] {
        let is_new = actions.is_empty() || moved.len() > selected.len();
        if is_new && !(asked.stop)() {
            actions.extend(moved_to(a, asked, moved, is_all, &place));
        }
    }
    match actions.is_empty() {
        true => Err("With this stock in another file, the plan would not say the same."),
        false => Ok(actions),
    }
}

/// Where the stock goes.
enum Place {
    /// Into a file that is used already.
    Used(FileId),
    /// Into a new file of this name.
    New(String),
}

/// The stanzas of a file, but for comments that stand alone.
fn stanzas(plan: &Plan, file: FileId) -> impl Iterator<Item = StanzaId> + '_ {
    let count = plan.files.get(file.0).map_or(0, |f| f.tree.stanzas.len());
    let all = (0..count).map(move |index| StanzaId { file, index });
    all.filter(|id| !plan.stanza(*id).core_span().is_empty())
}

fn is_stock(plan: &Plan, id: StanzaId) -> bool {
    plan.stanza(id).word.is_some_and(StanzaWord::is_stock)
}

/// The first file that this one uses and that holds nothing but stock.
fn file_of_stock(plan: &Plan, file: FileId) -> Option<FileId> {
    let used = stanzas(plan, file).filter_map(|id| used_file(plan, id));
    let mut used = used.map(|(used, _)| used);
    used.find(|used| {
        let mut all = stanzas(plan, *used).peekable();
        all.peek().is_some() && all.all(|id| is_stock(plan, id))
    })
}

/// The last part of a file's key, and what stands ahead of it.
pub(super) fn folder_and_name(key: &FileKey) -> (&str, &str) {
    let at = key.0.rfind('/').map_or(0, |at| at + 1);
    key.0.split_at(at)
}

/// A name that no file beside this one has.
fn new_name(plan: &Plan, asked: &Asked) -> Option<String> {
    let (_, name) = folder_and_name(&plan.files.get(asked.file.0)?.key);
    let stem = name.rsplit_once('.').map_or(name, |(stem, _)| stem);
    let spelt = |n: u32| match n {
        1 => format!("{stem}-stock.harness"),
        n => format!("{stem}-stock-{n}.harness"),
    };
    let mut names = (1..=MOST_NAMES).map(spelt);
    // A path in a text has no quotes in it.
    names.find(|name| !name.contains(['"', '\\']) && (asked.may_create)(asked.file, name))
}

fn moved_to(
    a: &Analysis,
    asked: &Asked,
    moved: &[StanzaId],
    is_all: bool,
    place: &Place,
) -> Option<Action> {
    let (plan, file) = (&a.plan, asked.file);
    let own = plan.files.get(file.0)?;
    let end = line_end(plan, *moved.first()?);
    let stock = written(plan, moved, end);
    let mut edits = cuts(plan, moved);
    let what = match moved {
        [one] => plan.stanza(*one).name()?.0.0.to_string(),
        _ if is_all => format!("all stock ({})", count(moved.len(), "stanza")),
        _ => format!("{} of stock", count(moved.len(), "stanza")),
    };
    let mut texts: BTreeMap<FileKey, Arc<str>> = BTreeMap::new();
    let mut led_to = Vec::new();
    let mut creates = None;
    let (to, is_new) = match place {
        Place::Used(used) => {
            let other = plan.files.get(used.0)?;
            let at = u32::try_from(other.text.len()).ok()?;
            let gap = match other.text.ends_with('\n') {
                true => end.to_owned(),
                false => end.repeat(2),
            };
            edits.push((*used, Span::new(at, at), format!("{gap}{stock}")));
            (folder_and_name(&other.key).1.to_owned(), "")
        }
        Place::New(name) => {
            let (folder, _) = folder_and_name(&own.key);
            let key = FileKey::new(&format!("{folder}{name}"));
            texts.insert(key.clone(), stock.as_str().into());
            led_to.push((own.key.clone(), name.as_str().into(), key));
            let (at, line) = use_line(plan, file, name, end);
            edits.push((file, Span::new(at, at), line));
            creates = Some(NewFile {
                beside: file,
                name: name.clone(),
                text: stock,
            });
            (name.clone(), "the new file ")
        }
    };
    edits.sort_by_key(|(file, span, _)| (*file, *span));
    let edits = joined(edits);
    texts.extend(changed(plan, &edits)?);
    let after = a.with_files(texts, &led_to, asked.stop)?;
    let holds = !(asked.stop)() && same_plan(a, &after);
    holds.then(|| Action {
        title: format!("move {what} into {is_new}{to}; every figure stays"),
        kind: ActionKind::Extract,
        edits,
        creates,
        ..Action::default()
    })
}

/// Edits that meet as one.
fn joined(edits: Vec<(FileId, Span, String)>) -> Vec<(FileId, Span, String)> {
    let mut joined: Vec<(FileId, Span, String)> = Vec::new();
    for (file, span, text) in edits {
        match joined.last_mut() {
            Some((before, last, new)) if *before == file && last.end == span.start => {
                last.end = span.end;
                new.push_str(&text);
            }
            _ => joined.push((file, span, text)),
        }
    }
    joined
}

/// The texts of files with these edits, which stand in order.
pub(super) fn changed(
    plan: &Plan,
    edits: &[(FileId, Span, String)],
) -> Option<BTreeMap<FileKey, Arc<str>>> {
    let mut texts: BTreeMap<FileId, String> = BTreeMap::new();
    for (file, span, new) in edits.iter().rev() {
        let old = &plan.files.get(file.0)?.text;
        let text = texts.entry(*file).or_insert_with(|| old.to_string());
        text.get(span.range())?;
        text.replace_range(span.range(), new);
    }
    let keyed = texts.into_iter();
    let keyed = keyed.map(|(file, text)| (plan.files[file.0].key.clone(), text.into()));
    Some(keyed.collect())
}

/// The stanzas with their comments; a blank line around each that has several lines.
fn written(plan: &Plan, moved: &[StanzaId], end: &str) -> String {
    let mut text = String::new();
    let mut was_tall = false;
    for id in moved {
        let stanza = plan.stanza(*id);
        let words = stanza.words(with_comments(stanza));
        let words = words.strip_prefix('\u{feff}').unwrap_or(words).trim_end();
        let is_tall = words.contains(['\n', '\r']);
        if !text.is_empty() && (is_tall || was_tall) {
            text.push_str(end);
        }
        text.push_str(words);
        text.push_str(end);
        was_tall = is_tall;
    }
    text
}

/// What takes the stanzas out of their file, with the blank lines that would be left over.
fn cuts(plan: &Plan, moved: &[StanzaId]) -> Vec<(FileId, Span, String)> {
    let mut cuts: Vec<Span> = Vec::new();
    let Some(first) = moved.first() else {
        return Vec::new();
    };
    let text = &*plan.files[first.file.0].text;
    for id in moved {
        let own = plan.in_file(*id, with_comments(plan.stanza(*id)));
        let run = cuts.pop_if(|run| run.end == own.start);
        let start = run.map_or(own.start, |run| run.start);
        let (before, behind) = (&text[..start as usize], &text[own.end as usize..]);
        let blank = behind.len() - behind.trim_start().len();
        let blank = match blank == behind.len() {
            true => blank,
            false => behind[..blank].rfind('\n').map_or(0, |at| at + 1),
        };
        let line = before.strip_suffix('\n').unwrap_or(before);
        let line = line.strip_suffix('\r').unwrap_or(line);
        let is_apart = line.is_empty() || line.ends_with('\n');
        let end = own.end + if is_apart { blank as u32 } else { 0 };
        cuts.push(Span::new(start, end));
    }
    let cuts = cuts.into_iter();
    cuts.map(|span| (first.file, span, String::new())).collect()
}

/// The line that uses a file, and where it goes: behind the last `use`, else behind the plan's own words, else at the top.
fn use_line(plan: &Plan, file: FileId, name: &str, end: &str) -> (u32, String) {
    let line = format!("use \"{name}\"{end}");
    let last = |word: StanzaWord| {
        let of_word = stanzas(plan, file).filter(|id| plan.stanza(*id).word == Some(word));
        of_word.last()
    };
    let behind = |id: StanzaId| plan.in_file(id, with_comments(plan.stanza(id))).end;
    if let Some(other) = last(StanzaWord::Use) {
        (behind(other), line)
    } else if let Some(harness) = last(StanzaWord::Harness) {
        (behind(harness), format!("{end}{line}"))
    } else {
        let first = stanzas(plan, file).next();
        let at = first.map_or(0, |id| {
            plan.in_file(id, with_comments(plan.stanza(id))).start
        });
        (at, format!("{line}{end}"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::editor::actions::ASKED;
    use crate::plan::Sources;

    const PLAN: &str = "\
# A shelf.

harness \"Shelf\"
  scale 1:87

# ---- stock ----

# the white one
led pearl  # bought twice
  drops 3.0 V at 20 mA
  # a comment of pearl
  colour white

led ruby drops 2 V at 20 mA colour red
wire fine gauge 32 AWG insulation enamel colours red, green

supply cell 12 V 1 A
fuse F1 100 mA from cell
lamp one of pearl resistor 560 ohm from F1 over 50 mm of fine
lamp two of ruby resistor 560 ohm from F1 over 50 mm of fine
";

    /// What is offered between the first of some words and the last of others: titles, and the files afterwards.
    fn moves(
        text: &str,
        files: &BTreeMap<String, Arc<str>>,
        (first, last): (&str, &str),
    ) -> Vec<(String, BTreeMap<String, String>)> {
        let a = analysed(text, files);
        let start = text.find(first).unwrap();
        let end = text[start..].find(last).unwrap() + start + last.len() - 1;
        let asked = Asked {
            span: Span::between(start, end),
            may_create: &|_, name| !files.contains_key(name),
            ..ASKED
        };
        let actions = extract_stock(&a, &asked).unwrap_or_default().into_iter();
        let done = actions.map(|action| {
            let texts = changed(&a.plan, &action.edits).unwrap().into_iter();
            let mut texts: BTreeMap<String, String> = texts
                .map(|(key, text)| (key.0.to_string(), text.to_string()))
                .collect();
            if let Some(new) = action.creates {
                assert_eq!(new.beside, FileId(0));
                texts.insert(new.name, new.text);
            }
            (action.title, texts)
        });
        done.collect()
    }

    fn analysed(text: &str, files: &dyn Sources) -> Analysis {
        Analysis::of(FileKey::new("shelf.harness"), text.into(), files, &|| false)
    }

    #[test]
    fn one_goes_into_a_new_file_with_its_comments() {
        let found = moves(PLAN, &BTreeMap::new(), ("led pearl", "l"));
        let titles: Vec<&str> = found.iter().map(|(title, _)| title.as_str()).collect();
        assert_eq!(
            titles,
            [
                "move pearl into the new file shelf-stock.harness; every figure stays",
                "move all stock (3 stanzas) into the new file shelf-stock.harness; every figure stays"
            ]
        );
        let stock = "# the white one\nled pearl  # bought twice\n  drops 3.0 V at 20 mA\n  # a comment of pearl\n  colour white\n";
        assert_eq!(found[0].1["shelf-stock.harness"], stock);
        let rest = PLAN
            .replace(&format!("{stock}\n"), "")
            .replace("1:87\n", "1:87\n\nuse \"shelf-stock.harness\"\n");
        assert_eq!(found[0].1["shelf.harness"], rest);
        let all = &found[1].1["shelf-stock.harness"];
        assert_eq!(
            *all,
            format!(
                "{stock}\nled ruby drops 2 V at 20 mA colour red\nwire fine gauge 32 AWG insulation enamel colours red, green\n"
            )
        );
        assert!(
            found[1].1["shelf.harness"].contains("# ---- stock ----\n\nsupply cell"),
            "{}",
            found[1].1["shelf.harness"]
        );
    }

    #[test]
    fn what_is_selected_goes_together() {
        let found = moves(PLAN, &BTreeMap::new(), ("led ruby", "red, green"));
        assert_eq!(
            found[0].0,
            "move 2 stanzas of stock into the new file shelf-stock.harness; every figure stays"
        );
        assert_eq!(found.len(), 2);
        let found = moves(PLAN, &BTreeMap::new(), ("led pearl", "red, green"));
        assert_eq!(found.len(), 1);
        // A name that is taken is passed over.
        let taken = [("shelf-stock.harness".to_owned(), "".into())].into();
        let found = moves(PLAN, &taken, ("led ruby", "red, green"));
        assert!(found[0].1.contains_key("shelf-stock-2.harness"));
    }

    #[test]
    fn a_used_file_of_stock_takes_it() {
        let used = "# the drawer\nled jade drops 3.1 V at 20 mA colour green";
        let files = [("drawer.harness".to_owned(), used.into())].into();
        let text = format!("use \"drawer.harness\"\r\n{}", PLAN.replace('\n', "\r\n"));
        let found = moves(&text, &files, ("led ruby", "y"));
        assert_eq!(
            found[0].0,
            "move ruby into drawer.harness; every figure stays"
        );
        assert_eq!(
            found[0].1["drawer.harness"],
            format!("{used}\r\n\r\nled ruby drops 2 V at 20 mA colour red\r\n")
        );
        let ruby = "led ruby drops 2 V at 20 mA colour red\r\n";
        assert_eq!(found[0].1["shelf.harness"], text.replace(ruby, ""));
    }

    #[test]
    fn where_the_line_goes_without_words_of_the_plan() {
        let text = "# top\n\nled ruby drops 2 V at 20 mA colour red\nsupply s 5 V 1 A\nlamp a of ruby resistor 180 ohm from s\n";
        let found = moves(text, &BTreeMap::new(), ("led ruby", "y"));
        assert_eq!(
            found[0].1["shelf.harness"],
            "# top\n\nuse \"shelf-stock.harness\"\n\nsupply s 5 V 1 A\nlamp a of ruby resistor 180 ohm from s\n"
        );
        let text = "use \"other.harness\" # it\nsupply s 5 V 1 A\nlamp a of ruby resistor 180 ohm from s\nled ruby drops 2 V at 20 mA colour red";
        let files = [("other.harness".to_owned(), "zone z\n".into())].into();
        let found = moves(text, &files, ("led ruby", "y"));
        assert_eq!(
            found[0].1["shelf.harness"],
            "use \"other.harness\" # it\nuse \"shelf-stock.harness\"\nsupply s 5 V 1 A\nlamp a of ruby resistor 180 ohm from s\n"
        );
        assert_eq!(
            found[0].1["shelf-stock.harness"],
            "led ruby drops 2 V at 20 mA colour red\n"
        );
    }

    #[test]
    fn where_it_cannot_be_done_it_says_why() {
        let why = |text: &str, words: &str, may: bool| {
            let a = analysed(text, &BTreeMap::new());
            let start = text.find(words).unwrap();
            let asked = Asked {
                span: Span::between(start, start + words.len()),
                may_create: &|_, _| may,
                ..ASKED
            };
            extract_stock(&a, &asked).unwrap_err()
        };
        assert!(why(PLAN, "fuse F1", true).starts_with("Only stock"));
        assert!(why(PLAN, "green\n\nsupply", true).starts_with("Only stock"));
        assert!(why(PLAN, "A shelf.", true).starts_with("Only stock"));
        assert!(why(PLAN, "led ruby", false).starts_with("The editor cannot"));
        let stock = "led ruby drops 2 V at 20 mA colour red\n";
        assert!(why(stock, "led", true).starts_with("This file holds nothing but"));
    }
}
