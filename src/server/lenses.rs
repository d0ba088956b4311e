//! Code lenses, and the commands behind them. A list says only where lenses are; what each says is worked out when the
//! client is about to show it. A click is a command of ours, told in words that any editor can show; where the client
//! can, the cursor goes to the place.

use serde::{Deserialize, Serialize};
use serde_json::Value;
use tower_lsp::lsp_types::*;

use super::convert;
use super::in_parts;
use super::keys::key_of;
use super::plans::Here;
use super::session::Snapshot;
use crate::editor::lenses::{self, Lens, LensKind, NO_BREAK};
use crate::parts::Stop;

/// In a longer plan the worst break is worked out only when somebody clicks for it.
pub(super) const LONG: usize = 2000;

/// What a lens, and its command, is about.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct About {
    uri: Url,
    /// The kind of a lens; a command tells it by its own name.
    #[serde(default)]
    kind: String,
    /// The item; none of the whole plan's.
    name: Option<String>,
    /// Where its name stands, and in which version of the text. Who calls a command by hand need not know.
    #[serde(default)]
    at: u32,
    version: Option<i32>,
}

/// The command of a kind of lens.
fn command_of(kind: LensKind) -> &'static str {
    match kind {
        LensKind::Budget => "glimloom.budget",
        LensKind::Feeds => "glimloom.feeds",
        LensKind::Worst => "glimloom.worstBreak",
    }
}

/// All commands.
pub fn commands() -> Vec<String> {
    LensKind::ALL
        .map(|kind| command_of(kind).to_owned())
        .to_vec()
}

/// The lenses of a document.
pub fn list(snapshot: &Snapshot, uri: &Url) -> Option<Vec<CodeLens>> {
    let world = &snapshot.world;
    let document = &world.documents.get(&key_of(uri))?.document;
    let (text, lines) = (document.text().ok()?, document.lines().ok()?);
    let found = lenses::lenses(text, &world.settings.lenses).into_iter();
    let lens = |lens: Lens| CodeLens {
        range: convert::range(lines, lens.span, world.client.encoding),
        command: None,
        data: serde_json::to_value(About {
            uri: uri.clone(),
            kind: lens.kind.word().to_owned(),
            name: lens.name,
            at: lens.span.start,
            version: document.version(),
        })
        .ok(),
    };
    Some(found.map(lens).collect())
}

/// What a lens is about; `None` for one that is not ours.
pub fn about(data: Option<&Value>) -> Option<(Url, LensKind, About)> {
    let about = About::deserialize(data?).ok()?;
    let kind = LensKind::ALL
        .into_iter()
        .find(|kind| kind.word() == about.kind)?;
    Some((about.uri.clone(), kind, about))
}

/// What a command is about; `None` for one that is not ours.
pub fn asked(command: &str, arguments: &[Value]) -> Option<(Url, LensKind, About)> {
    let about = About::deserialize(arguments.first()?).ok()?;
    let mut kinds = LensKind::ALL.into_iter();
    let kind = kinds.find(|kind| command_of(*kind) == command)?;
    let is_whole = (about.name.is_none()) == (kind == LensKind::Worst);
    is_whole.then(|| (about.uri.clone(), kind, about))
}

/// The command of a lens, and with it what the lens says.
pub fn command(here: &Here, kind: LensKind, about: About, stop: Stop) -> Option<Command> {
    let title = match &about.name {
        None if here.plan.lines(here.file).count() > LONG => "find the worst break".to_owned(),
        None => match in_parts::worst(here, stop) {
            Some(worst) => worst.title(),
            None => NO_BREAK.to_lowercase().trim_end_matches('.').to_owned(),
        },
        Some(name) => {
            let title = of_item(here, kind, name, &about, &|a| lenses::title(a, kind, name));
            title.unwrap_or_else(|| "no figures: an error here, or in what feeds it".to_owned())
        }
    };
    Some(Command {
        title,
        command: command_of(kind).to_owned(),
        arguments: Some(vec![serde_json::to_value(about).ok()?]),
    })
}

/// What a click tells, and where it leads.
pub fn clicked(
    here: &Here,
    kind: LensKind,
    about: &About,
    stop: Stop,
) -> (String, Option<Location>) {
    let Some(name) = &about.name else {
        let world = &here.snapshot.world;
        return match in_parts::worst(here, stop) {
            Some(worst) => {
                let place = convert::location(world, &here.plan, worst.file, worst.span);
                (worst.message(), place)
            }
            None => (NO_BREAK.to_owned(), None),
        };
    };
    let told = of_item(here, kind, name, about, &|a| lenses::message(a, kind, name));
    (
        told.unwrap_or_else(|| {
            format!(
                "There are no figures of `{name}`: it is not in the plan, or an error keeps it out."
            )
        }),
        None,
    )
}

/// Asks the part that the lens of an item stands in.
fn of_item(
    here: &Here,
    kind: LensKind,
    name: &str,
    about: &About,
    say: &dyn Fn(&crate::checks::Analysis) -> Option<String>,
) -> Option<String> {
    let world = &here.snapshot.world;
    let document = &world.documents.get(here.plan.key(here.file))?.document;
    let at = match about.version.is_some() && document.version() == about.version {
        true => about.at,
        false => {
            let mut all = lenses::lenses(document.text().ok()?, &[kind].into()).into_iter();
            let lens = all.find(|lens| lens.name.as_deref() == Some(name))?;
            lens.span.start
        }
    };
    in_parts::of_lens(here, at as usize, say)
}
