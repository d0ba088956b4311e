//! Where the two legs of an item lead once the lights ahead of it are passed by, in the words of
//! the plan: the point, the length, the wire and the passages.
//!
//! Names are taken over as they are written, so that in the pieces of a pattern the needed words
//! stay what they are.

use super::stanza_text::{Spelling, StanzaEdits, has_comment, removal};
use crate::plan::{Edit, ItemId, Part, Plan, Point, StanzaId};
use crate::syntax::tree::{Clause, Stanza, quantities};
use crate::syntax::vocabulary::{Dimension, StanzaWord};
use crate::text::Span;
use crate::units::{Length, metres};

/// One of the two legs by which an item is fed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Leg {
    /// From the `from` point.
    Plus,
    /// Back to the `return to` point, or else to the `from` point.
    Minus,
}

/// Where a leg leads: past the lights, to the first point that is none.
#[derive(Clone, Debug, PartialEq)]
pub struct Route {
    /// The point.
    pub point: Point,
    /// Its name, as written.
    pub point_words: String,
    /// All runs on the way, and the tape of the strips.
    pub length: Length,
    /// The wire, as written: its own run's, else that of the first run ahead.
    pub wire: Option<String>,
    /// How lengths are spelt there.
    pub spelling: Spelling,
    /// The passages on the way from the point, as written.
    pub via: Vec<String>,
    /// The lights (or joints) passed by, the nearest first.
    pub lights: Vec<ItemId>,
}

/// The clause and the words of one leg, as written.
struct Written<'a> {
    point_words: &'a str,
    over: Option<&'a Clause>,
    via: Option<&'a Clause>,
}

fn written<'a>(stanza: &'a Stanza, leg: Leg) -> Option<Written<'a>> {
    let from = stanza.clause("from")?;
    let back = from.part("return");
    let (point, run) = match (leg, back) {
        (Leg::Minus, Some(back)) if back.part("over").is_some() => (back, back),
        (Leg::Minus, Some(back)) => (back, from),
        _ => (from, from),
    };
    let (_, span) = point.names().next()?;
    Some(Written {
        point_words: stanza.words(span),
        over: run.part("over"),
        via: run.part("via"),
    })
}

/// The length and the wire of an `over` clause.
fn run_words<'a>(stanza: &'a Stanza, over: &Clause) -> Option<(Length, Spelling, &'a str)> {
    let length = quantities(&over.values, Dimension::Length).next()?;
    let words = stanza.words(over.values.first()?.span);
    let spelling = Spelling::of(words).unwrap_or_else(Spelling::millimetres);
    let (_, wire) = over.names().next()?;
    Some((metres(length), spelling, stanza.words(wire)))
}

/// The length that current travels inside an item to its far end: a strip's whole groups.
pub fn tape_length(plan: &Plan, light: ItemId) -> Length {
    match plan.items[light.0].part {
        Part::Strip { tape, groups, .. } => plan.tapes[tape.0].group * f64::from(groups),
        _ => metres(0.0),
    }
}

/// The point that a leg of an item leads to.
pub fn leg_point(plan: &Plan, item: ItemId, leg: Leg) -> Option<Point> {
    let feed = plan.items.get(item.0)?.feed.as_ref()?;
    Some(match leg {
        Leg::Plus => feed.from,
        Leg::Minus => feed.minus(),
    })
}

impl Route {
    /// The way of an item's leg past all lights ahead. `None` where there is no such way: a stanza
    /// half written, or lights that feed each other.
    pub fn of(plan: &Plan, item: ItemId, leg: Leg) -> Option<Route> {
        Route::first(plan, item, leg)?.past_lights(plan, leg)
    }

    /// The way back from the far end of a light, past all lights.
    pub fn behind(plan: &Plan, light: ItemId, leg: Leg) -> Option<Route> {
        Route {
            point: Point {
                item: light,
                output: None,
            },
            point_words: String::new(),
            length: metres(0.0),
            wire: None,
            spelling: Spelling::millimetres(),
            via: Vec::new(),
            lights: Vec::new(),
        }
        .past_lights(plan, leg)
    }

    /// The way of an item's leg past this one light, where it leads to it.
    pub fn past_one(plan: &Plan, item: ItemId, leg: Leg, light: ItemId) -> Option<Route> {
        let route = Route::first(plan, item, leg)?;
        if route.point.item == light {
            route.past(plan, light, leg)
        } else {
            Some(route)
        }
    }

    /// The way of an item's leg to the point that feeds it.
    pub fn first(plan: &Plan, item: ItemId, leg: Leg) -> Option<Route> {
        let stanza = plan.stanza(plan.items.get(item.0)?.stanza);
        let words = written(stanza, leg)?;
        let via = words.via.map_or_else(Vec::new, |via| {
            via.names()
                .map(|(_, s)| stanza.words(s).to_string())
                .collect()
        });
        let run = words.over.and_then(|over| run_words(stanza, over));
        let (length, spelling, wire) = match run {
            Some((length, spelling, wire)) => (length, spelling, Some(wire.to_string())),
            None => (metres(0.0), Spelling::millimetres(), None),
        };
        Some(Route {
            point: leg_point(plan, item, leg)?,
            point_words: words.point_words.to_string(),
            length,
            wire,
            spelling,
            via,
            lights: Vec::new(),
        })
    }

    fn past_lights(mut self, plan: &Plan, leg: Leg) -> Option<Route> {
        while plan.items.get(self.point.item.0)?.is_light() {
            let light = self.point.item;
            if self.lights.len() > plan.items.len() {
                return None;
            }
            self = self.past(plan, light, leg)?;
        }
        Some(self)
    }

    /// The same way without the light, or the joint, that it leads to: on to what feeds that.
    pub fn past(mut self, plan: &Plan, light: ItemId, leg: Leg) -> Option<Route> {
        let ahead = Route::first(plan, light, leg)?;
        self.length = ahead.length + tape_length(plan, light) + self.length;
        if self.wire.is_none() && ahead.wire.is_some() {
            self.wire = ahead.wire;
            self.spelling = ahead.spelling;
        }
        let mut via = ahead.via;
        via.append(&mut self.via);
        self.via = without_steps_back(via);
        self.point = ahead.point;
        self.point_words = ahead.point_words;
        self.lights.push(light);
        Some(self)
    }

    /// Makes sure that a route with a length has a wire: where none of the lights passed by has a
    /// run, that of what feeds the point, else the plan's only wire.
    pub fn with_wire(mut self, plan: &Plan) -> Option<Route> {
        if self.wire.is_some() || self.length.value == 0.0 {
            return Some(self);
        }
        let mut at = Some(self.point.item);
        for _ in 0..plan.items.len() {
            let Some(feed) = at.and_then(|i| plan.items.get(i.0)?.feed.as_ref()) else {
                break;
            };
            if let Some(run) = &feed.run {
                self.wire = Some(plan.wires.get(run.wire.0)?.name.0.to_string());
                return Some(self);
            }
            at = Some(feed.from.item);
        }
        match plan.wires.as_slice() {
            [only] => {
                self.wire = Some(only.name.0.to_string());
                Some(self)
            }
            _ => None,
        }
    }

    /// `over 160 mm of fine`, or nothing where the item sits on the point itself.
    pub fn over_words(&self) -> Option<String> {
        let wire = self.wire.as_ref()?;
        Some(format!(
            "over {} of {wire}",
            self.spelling.write_length(self.length)
        ))
    }

    /// Whether the run is the same: length, wire and passages.
    fn runs_like(&self, other: &Route) -> bool {
        self.length == other.length && self.wire == other.wire && self.via == other.via
    }
}

/// Going through a passage and straight back is not going through it at all.
fn without_steps_back(via: Vec<String>) -> Vec<String> {
    let mut kept: Vec<String> = Vec::with_capacity(via.len());
    for passage in via {
        if kept.last() == Some(&passage) {
            kept.pop();
        } else {
            kept.push(passage);
        }
    }
    kept
}

/// The zone, as written, that an item has only because a light ahead of it on its plus leg says so;
/// `None` where it keeps its zone once it is fed from `point`.
fn zone_to_add(plan: &Plan, item: ItemId, point: Point) -> Option<&str> {
    let here = &plan.items[item.0];
    if here.zone.is_none() || here.zone == plan.items[point.item.0].zone {
        return None;
    }
    let mut at = item;
    for _ in 0..plan.items.len() {
        let stanza = plan.stanza(plan.items[at.0].stanza);
        if let Some(place) = stanza.clause("in") {
            let (_, span) = place.names().next()?;
            return (at != item).then(|| stanza.words(span));
        }
        at = leg_point(plan, at, Leg::Plus)?.item;
        if at == point.item {
            break;
        }
    }
    None
}

/// Where a leg is to lead: a point's name as it is to be written, and the way.
pub struct Target<'a> {
    /// The point's name.
    pub words: &'a str,
    /// The way.
    pub route: &'a Route,
}

/// Re-points both legs of an item; everything else in its stanza stays. `None` where that cannot be
/// done without losing a comment.
pub fn repoint(plan: &Plan, item: ItemId, plus: &Target, minus: &Target) -> Option<Vec<Edit>> {
    let id = plan.items[item.0].stanza;
    let stanza = plan.stanza(id);
    let from = stanza.clause("from")?;
    let back = from.part("return");
    let mut edits = StanzaEdits::of(id);
    let end = edit_leg(stanza, from, plus, true, &mut edits)?;
    let alike = minus.route.runs_like(plus.route);
    match back {
        Some(back) => {
            let own_run = back.part("over").is_some();
            edit_leg(stanza, back, minus, own_run || !alike, &mut edits)?;
        }
        None if alike && plus.words == minus.words => {}
        None => {
            edits.insert(end, &format!(" return to {}", minus.words));
            if !alike {
                if let Some(over) = minus.route.over_words() {
                    edits.insert(end, &format!(" {over}"));
                }
                if !minus.route.via.is_empty() {
                    edits.insert(end, &format!(" via {}", minus.route.via.join(", ")));
                }
            }
        }
    }
    if let Some(zone) = zone_to_add(plan, item, plus.route.point) {
        edits.insert(from.span.end, &format!(" in {zone}"));
    }
    Some(edits.into_edits(plan))
}

/// Edits the words of one leg in its clause (`from` or `return`); gives the end of the leg.
fn edit_leg(
    stanza: &Stanza,
    clause: &Clause,
    target: &Target,
    with_run: bool,
    edits: &mut StanzaEdits,
) -> Option<u32> {
    let (_, point) = clause.names().next()?;
    edits.put(point, target.words);
    let mut end = point.end;
    if !with_run {
        return Some(end);
    }
    match (clause.part("over"), target.route.over_words()) {
        (Some(over), Some(_)) => {
            let quantity = over.values.first()?.span;
            let old = quantities(&over.values, Dimension::Length).next();
            if old != Some(target.route.length.value) {
                let new = target.route.spelling.write_length(target.route.length);
                edits.put(quantity, &new);
            }
            end = over.span.end;
        }
        (None, Some(over)) => edits.insert(end, &format!(" {over}")),
        (Some(over), None) => end = over.span.end,
        (None, None) => {}
    }
    let via = &target.route.via;
    let Some(old) = clause.part("via") else {
        if !via.is_empty() {
            edits.insert(end, &format!(" via {}", via.join(", ")));
        }
        return Some(end);
    };
    let spans: Vec<Span> = old.names().map(|(_, span)| span).collect();
    let names: Vec<&str> = spans.iter().map(|&s| stanza.words(s)).collect();
    let list = spans.first()?.to(*spans.last()?);
    let ahead = via.len().checked_sub(names.len());
    match ahead {
        // The passages ahead come first, the list itself stays.
        Some(n) if via[n..] == names => {
            if n > 0 {
                edits.insert(list.start, &format!("{}, ", via[..n].join(", ")));
            }
        }
        _ if has_comment(stanza, old.span) => return None,
        _ if via.is_empty() => edits.put(removal(stanza, old.span), ""),
        _ => edits.put(list, &via.join(", ")),
    }
    Some(old.span.end)
}

/// Whether a point is a splice, at which one may branch as one likes.
pub fn is_joint(plan: &Plan, point: Point) -> bool {
    matches!(
        plan.items[point.item.0].word,
        StanzaWord::Joint | StanzaWord::Copy
    )
}

/// Whether a copy of a pattern says otherwise (`but PIECE CLAUSE`) than this piece does, with one of
/// these clauses; with any clause at all, where none is named.
pub fn is_overridden(plan: &Plan, piece: StanzaId, words: &[&str]) -> bool {
    let Some((name, _)) = plan.stanza(piece).name() else {
        return false;
    };
    let Some((pattern, tail)) = name.0.split_once('.') else {
        return false;
    };
    plan.order.iter().map(|&id| plan.stanza(id)).any(|copy| {
        copy.word == Some(StanzaWord::Copy)
            && crate::syntax::tree::names(&copy.head)
                .nth(1)
                .is_some_and(|(of, _)| &*of.0 == pattern)
            && copy.clauses.iter().any(|but| {
                but.word == "but"
                    && but.names().next().is_some_and(|(p, _)| &*p.0 == tail)
                    && (words.is_empty() || but.parts.iter().any(|p| words.contains(&p.word)))
            })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_passage_and_straight_back_is_none() {
        let cancelled = |via: &[&str]| {
            without_steps_back(via.iter().map(|v| v.to_string()).collect()).join(" ")
        };
        assert_eq!(cancelled(&["stair", "stair"]), "");
        assert_eq!(cancelled(&["a", "b", "b", "a"]), "");
        assert_eq!(cancelled(&["a", "b", "a"]), "a b a");
        assert_eq!(cancelled(&["a", "b", "b", "c"]), "a c");
    }
}
