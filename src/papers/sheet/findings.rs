//! What is still wrong, and what was accepted with a reason.

use crate::checks::Analysis;
use crate::papers::page::{Block, Section, Table, Text};
use crate::papers::places::Places;
use crate::plan::{Plan, Severity, StanzaId};
use crate::syntax::tree::ValueKind;

use super::words;

/// The section.
pub fn section(a: &Analysis, places: &Places) -> Section {
    let mut section = Section::new("findings", "Findings");
    let mut open = Table::of(&["", "how bad", "where", "what"]).caption("Open");
    for finding in &a.findings {
        let place = places.find(finding.stanza, finding.span);
        let whose = finding.item.as_ref().map_or(Text::none(), Text::from);
        let line =
            place.map(|place| Text::theirs(place.file).and(format!(", line {}", place.start.0)));
        open.row([
            Text::tick(format!("{} looked after", finding.check)),
            word(finding.severity).into(),
            match whose.is_empty() {
                true => line.unwrap_or_default(),
                false => whose.and(": ").and(line.unwrap_or_default()),
            },
            words::message(&finding.message),
        ]);
    }
    section.put(Block::Table(open));
    let mut accepted = Table::of(&["of", "finding", "accepted because"]).caption("Accepted");
    for &id in &a.plan.order {
        for (check, reason) in accepts(&a.plan, id) {
            let stanza = a.plan.stanza(id);
            accepted.row([
                match stanza.name() {
                    Some((name, _)) => name.into(),
                    None => Text::theirs(stanza.words(stanza.word_span)),
                },
                Text::theirs(check),
                Text::theirs(reason),
            ]);
        }
    }
    section.put(Block::Table(accepted));
    let treated = a.plan.settings.treat.iter();
    let treated = treated.map(|(check, how)| Text::theirs(check).and(format!(": {how}")));
    section.put(Block::List(treated.collect()));
    if section.blocks.is_empty() {
        section.say("None is open, and none was accepted.");
    }
    section
}

fn word(severity: Severity) -> &'static str {
    match severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
        Severity::Hint => "hint",
    }
}

/// What a stanza accepts, and why.
fn accepts(plan: &Plan, id: StanzaId) -> Vec<(String, String)> {
    let clauses = plan.stanza(id).clauses.iter();
    let accepts = clauses.filter(|clause| clause.word == "accept");
    accepts
        .filter_map(|clause| {
            let (check, _) = clause.names().next()?;
            let values = clause
                .values
                .iter()
                .chain(clause.parts.iter().flat_map(|p| &p.values));
            let reason = values.filter_map(|value| match &value.kind {
                ValueKind::Text(text) => Some(text.to_string()),
                _ => None,
            });
            Some((check.0.to_string(), reason.collect::<Vec<_>>().join(" ")))
        })
        .collect()
}
