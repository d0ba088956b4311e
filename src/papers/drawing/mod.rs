//! The drawing: the feed of a plan as a diagram that can be printed, in SVG.
//!
//! `tree` says what hangs on what; `pieces` cuts what is too large for a sheet; `placing` gives each node its row and column;
//! `cells` has what is drawn of it, in the `words` of the plan and the figures of one scene, with its place among `symbols`; `areas`
//! finds what lies together in a zone, `lanes` what runs beside the tree; `grid` measures rows and columns; `sheet` makes shapes
//! of all that, `legend` says what they mean; `pages` puts sheets below each other; `svg` writes the `picture` in its `style`,
//! and `letters` knows how much room words take.

mod areas;
mod cells;
mod grid;
mod lanes;
mod legend;
mod letters;
mod pages;
mod picture;
mod pieces;
mod placing;
mod sheet;
mod style;
mod svg;
mod symbols;
#[cfg(test)]
mod tests;
mod tree;
mod words;

use crate::checks::{Analysis, Finding};
use crate::circuit::ALL_ON;
use crate::plan::{FileId, Part, Plan, Target};
use crate::text::Span;

/// By day or by night.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Theme {
    /// Dark on light.
    Light,
    /// Light on dark.
    Dark,
}

/// What is wanted of a drawing.
#[derive(Clone, Debug, Default)]
pub struct Wanted<'a> {
    /// What stands in for a title that the plan does not have.
    pub name: &'a str,
    /// The scene whose figures are shown; none: with everything on.
    pub scene: Option<&'a str>,
    /// Only what sits in this zone.
    pub zone: Option<&'a str>,
    /// Only what hangs on this supply.
    pub supply: Option<&'a str>,
    /// Only this sheet, counted from 1.
    pub sheet: Option<usize>,
    /// By day or by night; none: as the reader has it.
    pub theme: Option<Theme>,
    /// It is to stand within a page that has an `item-NAME` of its own for each item: the drawing's ids are others, and its items
    /// lead there.
    pub within_a_page: bool,
}

/// A drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawing {
    /// It, as SVG.
    pub svg: String,
    /// What is in it, in the order of the plan.
    pub items: Vec<DrawnItem>,
    /// How many sheets the whole has.
    pub sheets: usize,
    /// How wide and how high it is.
    pub size: (f64, f64),
}

/// Something that a drawing shows and a plan says.
#[derive(Clone, Debug, PartialEq)]
pub struct DrawnItem {
    /// By which it is found in the drawing.
    pub id: String,
    /// Its name.
    pub name: String,
    /// The file that its stanza stands in; of a piece of a copy, the pattern's piece.
    pub file: FileId,
    /// The stanza, without the comments around it.
    pub span: Span,
    /// The name in it.
    pub name_span: Span,
    /// Which of the findings are about it, the worst first.
    pub findings: Vec<usize>,
}

/// Something that is wanted and that the plan does not have.
#[derive(Clone, Debug, PartialEq)]
pub struct NotThere {
    /// What it is: `scene`, `zone`, `supply`, `sheet`.
    pub what: &'static str,
    /// Its name.
    pub name: String,
    /// What there is instead.
    pub known: Vec<String>,
}

impl NotThere {
    /// The same for a reader.
    pub fn message(&self) -> String {
        let known = match self.known.is_empty() {
            true => format!("the plan has no {}", self.what),
            false => format!("there is {}", crate::checks::words::list(&self.known)),
        };
        format!("there is no {} `{}`; {known}", self.what, self.name)
    }
}

/// Draws a plan.
pub fn draw(a: &Analysis, wanted: &Wanted) -> Result<Drawing, NotThere> {
    pages::draw(a, wanted)
}

/// The scenes that a drawing may show.
pub fn scenes(a: &Analysis) -> Vec<String> {
    let names = a
        .solution
        .scenes
        .iter()
        .map(|scene| scene.name.0.to_string());
    names.collect()
}

/// The zones that may be drawn alone.
pub fn zones(a: &Analysis) -> Vec<String> {
    let names = a.plan.zones.iter().map(|zone| zone.name.0.to_string());
    names.collect()
}

/// The supplies that may be drawn alone.
pub fn supplies(a: &Analysis) -> Vec<String> {
    let supplies = a
        .plan
        .items
        .iter()
        .filter(|item| matches!(item.part, Part::Supply(_)));
    supplies.map(|item| item.name.0.to_string()).collect()
}

/// What a scene is called.
fn scene_words(name: &str) -> String {
    match name {
        ALL_ON => "Everything on".to_owned(),
        name => format!("Scene {}", letters::name(name, 30.0)),
    }
}

/// What findings are about: for each item and each link the numbers of those that are about it, and the others.
#[derive(Debug, Default)]
struct Told {
    items: Vec<Vec<usize>>,
    links: Vec<Vec<usize>>,
    others: Vec<usize>,
}

impl Told {
    fn of(a: &Analysis) -> Told {
        let plan = &a.plan;
        let mut told = Told {
            items: vec![Vec::new(); plan.items.len()],
            links: vec![Vec::new(); plan.links.len()],
            others: Vec::new(),
        };
        let mut of_stanza: std::collections::HashMap<_, Vec<Target>> = Default::default();
        for (nth, item) in plan.items.iter().enumerate() {
            let target = Target::Item(crate::plan::ItemId(nth));
            of_stanza.entry(item.stanza).or_default().push(target);
        }
        for (nth, link) in plan.links.iter().enumerate() {
            let target = Target::Link(crate::plan::LinkId(nth));
            of_stanza.entry(link.stanza).or_default().push(target);
        }
        for (nth, finding) in a.findings.iter().enumerate() {
            let about: Vec<Target> = match finding.about.is_empty() {
                false => finding.about.iter().map(|&id| Target::Item(id)).collect(),
                true => of_stanza.get(&finding.stanza).cloned().unwrap_or_default(),
            };
            for target in &about {
                match target {
                    Target::Item(id) => told.items[id.0].push(nth),
                    Target::Link(id) => told.links[id.0].push(nth),
                    _ => {}
                }
            }
            if about.is_empty() {
                told.others.push(nth);
            }
        }
        for findings in told.items.iter_mut().chain(&mut told.links) {
            findings.sort_by_key(|&nth| std::cmp::Reverse(a.findings[nth].severity));
        }
        told
    }
}

/// A finding as a line.
fn finding_line(plan: &Plan, finding: &Finding) -> String {
    let severity = crate::checks::severity_word(finding.severity);
    let stanza = plan.stanza(finding.stanza);
    let word = stanza.words(stanza.word_span);
    match stanza.name() {
        Some((name, _)) => format!(
            "{severity}, {} {}: {}",
            letters::shortened(word, 20.0),
            letters::shortened(&name.0, 30.0),
            finding.message
        ),
        None => format!(
            "{severity}, {}: {}",
            letters::shortened(word, 20.0),
            finding.message
        ),
    }
}
