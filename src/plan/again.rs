//! A plan of which hardly anything is another one than before: while one types, it is one stanza, and what all others mean stays.
//! Where that cannot be seen at once, nothing comes of it, and the whole is read. A debug build reads the whole each
//! time and compares.

use std::sync::Arc;

use super::model::*;
use super::names::split_last;
use super::of::settings;
use super::resolve::{Found, Inside, Leads, fits};
use super::wiring::{self, Draft};
use crate::syntax::tree::{Name, Stanza};
use crate::syntax::vocabulary::{Role, StanzaWord};
use crate::text::Span;

/// So many stanzas may be other ones.
const FEW: usize = 4;

/// A stanza that is another one: as it was, and as it is.
struct Other<'a> {
    id: StanzaId,
    was: &'a Arc<Stanza>,
    is: &'a Arc<Stanza>,
}

/// What an item is now.
struct Now {
    item: usize,
    part: Part,
    feed: Option<Feed>,
    /// Where its name stands.
    span: Span,
    /// The names that it says, as they come.
    references: Vec<Reference>,
}

/// What these stanzas mean, which stand in the files of `new` in its order, where they are nearly those of a plan that had
/// nothing wrong; `None` where that is to be found out by reading them all.
pub(super) fn again(before: &Plan, new: &mut Plan) -> Option<()> {
    let is_sound = |plan: &Plan| plan.problems.is_empty() && plan.left_out.is_empty();
    let listed = |plan: &Plan| plan.elsewhere.listed.clone();
    if !is_sound(before) || !is_sound(new) || listed(before) != listed(new) {
        return None;
    }
    let others = others(before, new)?;
    let now: Option<Vec<Now>> = (others.into_iter())
        .map(|other| item(before, other))
        .collect();
    let now = now?;
    // Of those that were read, who looks at a part may have put in what the rest says.
    settings(new);
    new.wires = before.wires.clone();
    new.tapes = before.tapes.clone();
    new.leds = before.leds.clone();
    new.modules = before.modules.clone();
    new.items = before.items.clone();
    new.links = before.links.clone();
    new.zones = before.zones.clone();
    new.passages = before.passages.clone();
    new.scenes = before.scenes.clone();
    new.stages = before.stages.clone();
    new.trials = before.trials.clone();
    new.names = before.names.clone();
    new.references = before.references.clone();
    new.compared = before.compared;
    for now in now {
        let item = &mut new.items[now.item];
        let references = new.references.iter_mut();
        let own = references.filter(|r| r.stanza == item.stanza);
        for (reference, now) in own.zip(now.references) {
            *reference = now;
        }
        if let Some(definition) = new.names.get_mut(&item.name) {
            definition.span = now.span;
        }
        (item.part, item.feed) = (now.part, now.feed);
    }
    Some(())
}

/// The stanzas that are other ones, as they were and as they are.
fn others<'a>(before: &'a Plan, new: &'a Plan) -> Option<Vec<Other<'a>>> {
    if before.files.len() != new.files.len() || before.order != new.order {
        return None;
    }
    let mut others = Vec::new();
    for (nth, (was, is)) in before.files.iter().zip(&new.files).enumerate() {
        if was.key != is.key || was.tree.stanzas.len() != is.tree.stanzas.len() {
            return None;
        }
        let both = was.tree.stanzas.iter().zip(&is.tree.stanzas).enumerate();
        for (index, (was, is)) in both {
            let (was, is) = (&was.stanza, &is.stanza);
            if Arc::ptr_eq(was, is) || was.text == is.text {
                continue;
            }
            if others.len() == FEW {
                return None;
            }
            let file = FileId(nth);
            let id = StanzaId { file, index };
            others.push(Other { id, was, is });
        }
    }
    Some(others)
}

/// What an item is by other words; `None` where more than itself hangs on these.
fn item(before: &Plan, Other { id, was, is }: Other) -> Option<Now> {
    let word = is.word.filter(|word| word.is_item())?;
    let (name, span) = is.name()?;
    let had = was.name().map(|(name, _)| name);
    // What has outputs or pieces means something to others.
    let has_more = matches!(word, StanzaWord::Copy | StanzaWord::Board);
    if has_more || was.word != Some(word) || had != Some(name) || !is.faults.is_empty() {
        return None;
    }
    let Target::Item(ItemId(item)) = before.names.get(name)?.target? else {
        return None;
    };
    let known = before.items.get(item)?;
    if known.stanza != id || known.copy.is_some() {
        return None;
    }
    let mut old = Known::of(before);
    let mut new = Known::of(before);
    let draft = |stanza: &Arc<Stanza>| Draft::new(name.clone(), word, id, stanza.clone());
    let (was, is) = (draft(was), draft(is));
    let part = wiring::part(before, &mut new, &is)?;
    if wiring::too_many_lamps(before, &part).is_some() {
        return None;
    }
    let feed = wiring::feed(before, &mut new, &is).ok()?;
    let zone = wiring::zone(before, &mut new, &is).ok()?;
    let points = |feed: &Option<Feed>| feed.as_ref().map(|feed| (feed.from, feed.back));
    // The way of the power, and where what hangs on it sits, is for all of the plan.
    if points(&feed) != points(&known.feed) || zone != wiring::zone(before, &mut old, &was).ok()? {
        return None;
    }
    let own = before.references.iter().filter(|r| r.stanza == id).count();
    if new.failed || old.failed || new.references.len() != own {
        return None;
    }
    Some(Now {
        item,
        part,
        feed,
        span,
        references: new.references,
    })
}

/// What names lead to in a plan that has been read.
struct Known<'a> {
    plan: &'a Plan,
    references: Vec<Reference>,
    /// Something leads nowhere, or not where it should.
    failed: bool,
}

impl<'a> Known<'a> {
    fn of(plan: &'a Plan) -> Known<'a> {
        Known {
            plan,
            references: Vec::new(),
            failed: false,
        }
    }

    fn fail<T>(&mut self) -> Found<T> {
        self.failed = true;
        Found::Nowhere
    }

    /// The item of this name, and the stanza that defines it.
    fn item(&self, name: &Name) -> Option<(usize, StanzaId)> {
        let definition = self.plan.names.get(name)?;
        match definition.target? {
            Target::Item(item) => Some((item.0, definition.stanza)),
            _ => None,
        }
    }

    fn refer(&mut self, (stanza, span): (StanzaId, Span), name: &Name, definition: StanzaId) {
        self.references.push(Reference {
            stanza,
            span,
            name: name.clone(),
            definition,
        });
    }
}

impl Leads for Known<'_> {
    fn definition(
        &mut self,
        _: &Plan,
        at: (StanzaId, Span),
        written: &Name,
        role: Role,
        _: Option<&Inside>,
    ) -> Found<Target> {
        let known = self.plan.names.get(written).copied();
        match known.and_then(|known| Some((known, known.target?))) {
            Some((known, target)) if fits(role, known.word) => {
                self.refer(at, written, known.stanza);
                Found::Is(target)
            }
            _ => self.fail(),
        }
    }

    fn point(
        &mut self,
        _: &Plan,
        at: (StanzaId, Span),
        written: &Name,
        role: Role,
        _: Option<&Inside>,
    ) -> Found<(usize, Option<usize>)> {
        if let Some((item, stanza)) = self.item(written) {
            let word = self.plan.items[item].word;
            let hands_on = !matches!(word, StanzaWord::Board | StanzaWord::Load);
            if role == Role::Point && !hands_on {
                return self.fail();
            }
            self.refer(at, written, stanza);
            return Found::Is((item, None));
        }
        let Some((board, output)) = split_last(written) else {
            return self.fail();
        };
        let Some((item, stanza)) = self.item(&board) else {
            return self.fail();
        };
        let Part::Board { module } = self.plan.items[item].part else {
            return self.fail();
        };
        let mut outputs = self.plan.modules[module.0].outputs.iter();
        match outputs.position(|own| own.name == output) {
            Some(index) => {
                self.refer(at, &board, stanza);
                Found::Is((item, Some(index)))
            }
            None => self.fail(),
        }
    }
}

/// Whether two plans mean the same.
pub(super) fn mean_the_same(a: &Plan, b: &Plan) -> bool {
    let rest = |plan: &Plan| {
        let rest = Plan {
            names: ByName::default(),
            uses: Default::default(),
            ..plan.clone()
        };
        format!("{rest:?}")
    };
    a.names == b.names && rest(a) == rest(b)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::super::load::load;
    use super::super::sources::{Alone, FileKey};
    use super::*;

    const PLAN: &str = "wire fine gauge 32 AWG insulation enamel colours red, green
wire thick gauge 20 AWG
tape warm group 3 lamps long 25 mm works 7 V to 12.6 V draws 18 mA at 12 V
led pearl drops 3.0 V at 20 mA
module blinker works 6 V to 15 V draws 5 mA output a 5 V 100 mA output b 5 V 100 mA
zone hold
zone deck
passage tube between hold and deck bore 4 mm
pattern wing needs feed
joint wing.root from wing.feed
lamp wing.tip of pearl resistor 560 ohm from wing.root over 30 mm of fine
supply brick 12 V 1 A
fuse F1 500 mA from brick
joint keel from F1 over 600 mm of fine in hold
strip bow of warm 6 lamps from keel over 40 mm of fine
lamp mast of pearl resistor 560 ohm from keel over 200 mm of fine via tube in deck
lamp lee of pearl resistor 560 ohm from keel over 200 mm of fine return to F1
board fx of blinker from keel
load p resistance 1 kohm from fx.a
copy left of wing from keel where feed keel
link ring between keel and F1 over 300 mm of fine
scene dark off bow, fx.a, left.tip
";

    #[test]
    fn what_one_item_alone_says_is_read_alone() {
        let key = || FileKey::new("p");
        let before = Plan::of(key(), PLAN.into(), &Alone);
        assert!(before.problems.is_empty(), "{:?}", before.problems);
        let changes = [
            // What the item is, how far it is and over what …
            ("600 mm", "601 mm", true),
            ("6 lamps", "9 lamps", true),
            ("6 lamps", "7 lamps", true),
            ("mast of pearl resistor 560 ohm", "mast of pearl", true),
            ("mast of pearl", "mast  of\n  pearl", true),
            ("lamp mast", "lamp  mast", true),
            ("200 mm of fine via", "200 mm of thick via", true),
            ("return to F1", "return to F1 over 3 m of thick", false),
            ("12 V 1 A", "13 V 1 A tolerance 1 %", true),
            ("500 mA from", "400 mA slow from", true),
            ("1 kohm", "2 kohm", true),
            ("resistance 1 kohm", "draws 20 mA", true),
            ("in deck", "in deck # by the rail", true),
            // … and what hangs on it, or it on: that is for all of the plan.
            ("via tube in deck", "via tube in hold", false),
            ("via tube in deck", "via tube", false),
            (" via tube", "", false),
            (
                "from keel over 200 mm of fine via",
                "from F1 over 200 mm of fine via",
                false,
            ),
            ("return to F1", "", false),
            ("fx.a\n", "fx.b\n", false),
            ("mast", "boom", false),
            (
                "lamp mast of pearl resistor 560 ohm",
                "string mast of pearl 2 lamps",
                false,
            ),
            ("fx of blinker", "fx of blinker note \"left\"", false),
            (
                "resistor 560 ohm from wing.root",
                "resistor 510 ohm from wing.root",
                false,
            ),
            ("feed keel", "feed F1", false),
            ("gauge 20 AWG", "gauge 22 AWG", false),
            ("over 300 mm", "over 400 mm", false),
            ("off bow", "off mast", false),
            ("zone deck", "zone deck note \"dry\"", false),
            ("\nzone deck", "\n# a comment\nzone deck", false),
            // What is wrong.
            ("mast of pearl", "mast of perl", false),
            ("mast of pearl", "mast of fine", false),
            (
                "from keel over 200 mm of fine via",
                "from kel over 200 mm of fine via",
                false,
            ),
            ("6 lamps", "6 groups 7 lamps", false),
            ("6 lamps", "900000 groups", false),
            ("fx.a\n", "fx\n", false),
        ];
        for (from, to, expected) in changes {
            let text = PLAN.replacen(from, to, 1);
            assert_ne!(text, PLAN, "{from}");
            let mut new = load(key(), text.clone().into(), &Alone);
            let is_known = again(&before, &mut new).is_some();
            assert_eq!(is_known, expected, "{from} → {to}");
            let whole = Plan::of(key(), text.into(), &Alone);
            assert_eq!(mean_the_same(&new, &whole), expected, "{from} → {to}");
        }
    }

    #[test]
    fn beside_what_is_wrong_all_is_read() {
        let faulty = PLAN.replace("in deck", "in dek");
        let before = Plan::of(FileKey::new("p"), faulty.clone().into(), &Alone);
        let text = faulty.replace("600 mm", "601 mm");
        let mut new = load(FileKey::new("p"), text.into(), &Alone);
        assert!(again(&before, &mut new).is_none());
        let mut mended = load(FileKey::new("p"), PLAN.into(), &Alone);
        assert!(again(&before, &mut mended).is_none());
    }
}
