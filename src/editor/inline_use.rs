//! The stanzas of a used file in the place of the line that uses it, with all comments. The file itself stays. Offered only
//! where nothing else uses it, and the plan says the same afterwards.

use super::actions::{Action, ActionKind, Asked};
use super::definition::used_file;
use super::same::same_plan;
use super::stock_file::{changed, folder_and_name};
use crate::checks::Analysis;
use crate::numbers::count;
use crate::plan::{FileId, Plan, StanzaId};
use crate::rewrites::stanza_text::line_end;
use crate::syntax::tree::{TokenKind, ValueKind};
use crate::syntax::vocabulary::StanzaWord;
use crate::text::Span;

/// The used file in the place of the `use` that the cursor is in; else why not.
pub fn inline_use(a: &Analysis, asked: &Asked) -> Result<Action, &'static str> {
    let plan = &a.plan;
    let (id, used) = use_at(plan, asked).ok_or("There is no used file under the cursor.")?;
    if !plan.stanza(id).clauses.is_empty() {
        return Err("The `use` has a note or an `accept` that would be lost.");
    }
    let is_of_it = |other: &StanzaId| used_file(plan, *other).is_some_and(|(file, _)| file == used);
    if plan.order.iter().filter(|id| is_of_it(id)).count() > 1 {
        return Err("The plan uses this file in more than one place.");
    }
    if (asked.used_by_others)(used) {
        return Err("Another plan that is open uses this file, too.");
    }
    let (Some(own), Some(other)) = (plan.files.get(id.file.0), plan.files.get(used.0)) else {
        return Err("There is no used file under the cursor.");
    };
    // Its own paths are read from where the plan stands.
    let mut led_to = Vec::new();
    for index in 0..other.tree.stanzas.len() {
        let stanza = plan.stanza(StanzaId { file: used, index });
        let path = stanza
            .head
            .first()
            .filter(|_| stanza.word == Some(StanzaWord::Use));
        if let Some(ValueKind::Text(path)) = path.map(|value| &value.kind) {
            if folder_and_name(&own.key).0 != folder_and_name(&other.key).0 {
                return Err("The file uses other files, from another folder.");
            }
            let key = plan.uses.get(&(other.key.clone(), path.clone()));
            let Some(Ok(key)) = key else {
                return Err("A file that this file uses cannot be read.");
            };
            led_to.push((own.key.clone(), path.clone(), key.clone()));
        }
    }
    let edits = vec![in_place(plan, id, &other.text)];
    let texts = changed(plan, &edits).ok_or("There is no used file under the cursor.")?;
    let after = a.with_files(texts, &led_to, asked.stop);
    if (asked.stop)() || !after.is_some_and(|after| same_plan(a, &after)) {
        return Err("With the stanzas in this place, the plan would not say the same.");
    }
    let stanzas = other.tree.stanzas.iter();
    let stanzas = stanzas.filter(|placed| !placed.stanza.core_span().is_empty());
    Ok(Action {
        title: format!(
            "put the {} of {} in the place of this line; every figure stays",
            count(stanzas.count(), "stanza"),
            folder_and_name(&other.key).1
        ),
        kind: ActionKind::Inline,
        edits,
        ..Action::default()
    })
}

/// The `use` that holds the cursor, and the file that it brings in.
fn use_at(plan: &Plan, asked: &Asked) -> Option<(StanzaId, FileId)> {
    let id = plan.stanza_at(asked.file, asked.span.start)?;
    let core = plan.in_file(id, plan.stanza(id).core_span());
    let (used, _) = used_file(plan, id)?;
    let is_here = core.start <= asked.span.start && asked.span.end <= core.end;
    is_here.then_some((id, used))
}

/// The text of the file in the place of the line; the comments of that line stand ahead.
fn in_place(plan: &Plan, id: StanzaId, text: &str) -> (FileId, Span, String) {
    let stanza = plan.stanza(id);
    let core = stanza.core_span();
    let line = &stanza.text[core.end as usize..];
    let line = line.find('\n').map_or(line.len(), |at| at + 1);
    let span = Span::new(core.start, core.end + line as u32);
    let end = line_end(plan, id);
    let comments = stanza.tokens.iter().filter(|token| {
        let is_here = span.start <= token.span.start && token.span.end <= span.end;
        token.kind == TokenKind::Comment && is_here
    });
    let mut new: String = comments
        .map(|token| format!("{}{end}", stanza.words(token.span)))
        .collect();
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    // Blank lines at both ends are those of the line.
    let words = text.len() - text.trim_start().len();
    let first = text[..words].rfind('\n').map_or(0, |at| at + 1);
    new.push_str(text[first..].trim_end());
    new.push_str(end);
    (id.file, plan.in_file(id, span), new)
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;
    use std::sync::Arc;

    use super::*;
    use crate::editor::actions::ASKED;
    use crate::plan::FileKey;

    const STOCK: &str = "\u{feff}\n# The drawer.\n\nled pearl  # bought twice\n  drops 3.0 V at 20 mA\n\n# the end\n\n";
    const PLAN: &str = "\
# the stock
use \"stock.harness\"  # counted

supply cell 12 V 1 A
fuse F1 100 mA from cell
lamp one of pearl resistor 560 ohm from F1
";

    fn inlined(text: &str, stock: &str, asked: &Asked) -> Result<(String, String), &'static str> {
        let files: BTreeMap<String, Arc<str>> = [
            ("stock.harness".to_owned(), stock.into()),
            ("more.harness".to_owned(), "zone z\n".into()),
            (
                "sub/far.harness".to_owned(),
                "use \"more.harness\"\n".into(),
            ),
        ]
        .into();
        let a = Analysis::of(FileKey::new("plan"), text.into(), &files, &|| false);
        let at = text.find("use").unwrap() + 1;
        let asked = Asked {
            span: Span::between(at, at),
            ..*asked
        };
        let action = inline_use(&a, &asked)?;
        let new = changed(&a.plan, &action.edits).unwrap();
        Ok((action.title, new[&FileKey::new("plan")].to_string()))
    }

    #[test]
    fn all_comments_are_kept() {
        let (title, text) = inlined(PLAN, STOCK, &ASKED).unwrap();
        assert_eq!(
            title,
            "put the 1 stanza of stock.harness in the place of this line; every figure stays"
        );
        assert_eq!(
            text,
            "# the stock\n# counted\n# The drawer.\n\nled pearl  # bought twice\n  drops 3.0 V at 20 mA\n\n# the end\n\nsupply cell 12 V 1 A\nfuse F1 100 mA from cell\nlamp one of pearl resistor 560 ohm from F1\n"
        );
    }

    #[test]
    fn files_that_it_uses_are_used_from_here() {
        let stock = format!("use \"more.harness\"\n{}", &STOCK[3..]);
        let (_, text) = inlined(PLAN, &stock, &ASKED).unwrap();
        assert!(text.contains("# counted\nuse \"more.harness\"\n"), "{text}");
        let plan = format!("use \"sub/far.harness\"\n{PLAN}");
        assert_eq!(
            inlined(&plan, STOCK, &ASKED),
            Err("The file uses other files, from another folder.")
        );
    }

    #[test]
    fn where_it_cannot_be_done_it_says_why() {
        let why = |text: &str, asked: &Asked| inlined(text, STOCK, asked).unwrap_err();
        let twice = format!("{PLAN}use \"stock.harness\"\n");
        assert!(why(&twice, &ASKED).starts_with("The plan uses this file in more"));
        let noted = PLAN.replace("  # counted", " note \"counted\"");
        assert!(why(&noted, &ASKED).starts_with("The `use` has a note"));
        let missing = PLAN.replace("stock.harness", "none.harness");
        assert!(why(&missing, &ASKED).starts_with("There is no used file"));
        let others = Asked {
            used_by_others: &|_| true,
            ..ASKED
        };
        assert!(why(PLAN, &others).starts_with("Another plan"));
        // Of the plan's own words there may be but one stanza.
        let title = format!("harness \"one\"\n{PLAN}");
        let stock = format!("harness \"two\"\n{}", &STOCK[3..]);
        assert!(
            inlined(&title, &stock, &ASKED)
                .unwrap_err()
                .contains("would not say the same")
        );
    }
}
