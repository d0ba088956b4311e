//! Items and links, the pieces of copies included: from stanzas to the feed network.

use std::collections::HashMap;
use std::sync::Arc;

use super::circles::{self, Fed};
use super::copies::{self, Clauses};
use super::model::*;
use super::names::error;
use super::resolve::{Found, Inside, Leads, Resolver};
use crate::syntax::tree::{Clause, Name, Stanza, Value, ValueKind, quantities};
use crate::syntax::vocabulary::{Dimension as D, MOST_OF_A_COUNT, Role, StanzaWord};
use crate::units::*;

/// An item on its way into the plan. While drafts are read, [`ItemId`] is the index of a draft.
pub(super) struct Draft {
    pub name: Name,
    pub word: StanzaWord,
    pub id: StanzaId,
    pub stanza: Arc<Stanza>,
    /// The draft of the copy that it is a piece of.
    pub copy: Option<usize>,
    pub inside: Option<Arc<Inside>>,
    /// The clauses that count: a copy's `but` put in place of the piece's own.
    pub clauses: Clauses,
    part: Option<Part>,
    feed: Option<Feed>,
    own_zone: Option<ZoneId>,
    /// In error, or it hangs on what is: not to be in the plan.
    out: bool,
}

impl Draft {
    pub(super) fn new(name: Name, word: StanzaWord, id: StanzaId, stanza: Arc<Stanza>) -> Draft {
        let clauses = Clauses::plain(id, stanza.clone());
        Draft {
            name,
            word,
            id,
            stanza,
            copy: None,
            inside: None,
            clauses,
            part: None,
            feed: None,
            own_zone: None,
            out: false,
        }
    }
}

/// A link on its way into the plan.
struct LinkDraft {
    name: Name,
    id: StanzaId,
    stanza: Arc<Stanza>,
    inside: Option<Arc<Inside>>,
}

/// Reads all items and links into the plan; what is in error, and what hangs on it, stays out.
/// Gives the place of each draft among the plan's items.
pub(super) fn read(plan: &mut Plan, resolver: &mut Resolver) -> Vec<Option<ItemId>> {
    let (mut drafts, link_drafts) = outline(plan, resolver);
    for (k, draft) in drafts.iter_mut().enumerate() {
        let part = part(plan, resolver, draft).filter(|p| !is_endless(plan, draft, p));
        if let Some(Part::Board { module }) = &part {
            resolver.outputs[k] = Some(
                plan.modules[module.0]
                    .outputs
                    .iter()
                    .map(|o| o.name.clone())
                    .collect(),
            );
        }
        draft.out |= part.is_none();
        draft.part = part;
    }
    for draft in &mut drafts {
        let fed = feed(plan, resolver, draft);
        let zone = zone(plan, resolver, draft);
        match fed {
            Ok(feed) => draft.feed = feed,
            Err(()) => draft.out = true,
        }
        match zone {
            Ok(zone) => draft.own_zone = zone,
            Err(()) => draft.out = true,
        }
    }
    let mut links = Vec::new();
    for draft in &link_drafts {
        links.extend(link(plan, resolver, draft));
    }
    copies::judge_patterns(plan, resolver);
    let mut fed = ways(plan, &drafts);
    circles::judge(plan, &mut fed);
    let out: Vec<bool> = fed.into_iter().map(|fed| fed.out).collect();
    for (draft, out) in drafts.iter_mut().zip(out) {
        draft.out = out;
    }
    settle(plan, drafts, links)
}

/// What the search for a way back sees of the drafts.
fn ways<'a>(plan: &Plan, drafts: &'a [Draft]) -> Vec<Fed<'a>> {
    let sink = |point: Point| {
        let Some(Part::Board { module }) = &drafts[point.item.0].part else {
            return None;
        };
        let output = plan.modules[module.0].outputs.get(point.output?)?;
        output
            .sinks
            .then(|| format!("{}.{}", drafts[point.item.0].name.0, output.name.0))
    };
    drafts
        .iter()
        .map(|d| Fed {
            name: &d.name,
            stanza: d.id,
            from_span: d
                .stanza
                .clause("from")
                .map_or(d.stanza.word_span, |c| c.span),
            plus: d.feed.as_ref().map(|f| f.from.item.0),
            minus: d.feed.as_ref().map(|f| f.minus().item.0),
            from_sink: d.feed.as_ref().and_then(|f| sink(f.from)),
            out: d.out,
        })
        .collect()
}

/// Enters every item's name, so that the order of the stanzas does not matter.
fn outline(plan: &mut Plan, resolver: &mut Resolver) -> (Vec<Draft>, Vec<LinkDraft>) {
    let mut drafts: Vec<Draft> = Vec::with_capacity(plan.order.len());
    resolver.items.reserve(plan.order.len());
    resolver.outputs.reserve(plan.order.len());
    resolver.drafts.reserve(plan.order.len());
    let mut links = Vec::new();
    for id in plan.order.clone() {
        let stanza = plan.files[id.file.0].tree.stanzas[id.index].stanza.clone();
        let (Some(word), Some((name, span))) = (stanza.word, stanza.name()) else {
            continue;
        };
        if plan.left_out.contains(&id) || name.0.contains('.') {
            continue;
        }
        if word == StanzaWord::Link {
            links.push(LinkDraft {
                name: name.clone(),
                id,
                stanza: stanza.clone(),
                inside: None,
            });
        }
        if !word.is_item() {
            continue;
        }
        let definition = Definition {
            word,
            stanza: id,
            span,
            target: None,
        };
        let name = name.clone();
        enter(
            resolver,
            &mut drafts,
            Draft::new(name, word, id, stanza.clone()),
            definition,
        );
        if word == StanzaWord::Copy {
            let copy = drafts.len() - 1;
            for piece in copies::pieces(plan, resolver, &drafts[copy], copy) {
                match piece {
                    copies::Piece::Item(draft, definition) => {
                        enter(resolver, &mut drafts, *draft, definition)
                    }
                    copies::Piece::Link {
                        name,
                        id,
                        stanza,
                        inside,
                    } => {
                        links.push(LinkDraft {
                            name,
                            id,
                            stanza,
                            inside: Some(inside),
                        });
                    }
                }
            }
            drafts[copy].out |= plan.left_out.contains(&id);
        }
    }
    (drafts, links)
}

fn enter(resolver: &mut Resolver, drafts: &mut Vec<Draft>, draft: Draft, definition: Definition) {
    resolver
        .items
        .entry(draft.name.clone())
        .or_insert(drafts.len());
    resolver.outputs.push(None);
    resolver.drafts.push((draft.word, definition));
    drafts.push(draft);
}

/// What an item is.
pub(super) fn part(plan: &Plan, resolver: &mut impl Leads, draft: &Draft) -> Option<Part> {
    let head = &draft.stanza.head;
    let head_of = |dimension| quantities(head, dimension).next();
    let clauses = &draft.clauses;
    let flag = |word: &str| clauses.get(word).is_some();
    let figure = |word: &str, dimension| {
        clauses
            .get(word)
            .and_then(|(_, c)| c.quantities(dimension).next())
    };
    let inside = draft.inside.as_deref();
    let mut of = |role| {
        let value = head.get(1)?;
        let ValueKind::Name(name) = &value.kind else {
            return None;
        };
        resolver
            .definition(plan, (draft.id, value.span), name, role, inside)
            .ok()
    };
    let part = match draft.word {
        StanzaWord::Supply => Part::Supply(Supply {
            volts: volts(head_of(D::Voltage)?),
            limit: head_of(D::Current).map(amps),
            resistance: ohms(figure("resistance", D::Resistance).unwrap_or(0.0)),
            tolerance: figure("tolerance", D::Percent)
                .map(ratio)
                .unwrap_or(plan.settings.tolerance),
            either_way: flag("either-way"),
            capacity: figure("capacity", D::Charge).map(coulombs),
            spent: figure("spent", D::Voltage).map(volts),
            lasts: figure("lasts", D::Time).map(seconds),
        }),
        StanzaWord::Fuse => Part::Fuse {
            rating: amps(head_of(D::Current)?),
            character: if flag("slow") {
                FuseCharacter::Slow
            } else if flag("resettable") {
                FuseCharacter::Resettable
            } else {
                FuseCharacter::Quick
            },
            resistance: ohms(figure("resistance", D::Resistance).unwrap_or(0.0)),
        },
        StanzaWord::Switch => Part::Switch {
            rated: figure("rated", D::Current).map(amps),
        },
        StanzaWord::Connector => Part::Connector {
            rated: figure("rated", D::Current).map(amps),
            contact: ohms(figure("contact", D::Resistance).unwrap_or(0.0)),
        },
        StanzaWord::Joint => Part::Joint,
        StanzaWord::Copy => {
            of(Role::Pattern)?;
            Part::Joint
        }
        StanzaWord::Resistor => Part::Resistor {
            ohms: ohms(head_of(D::Resistance)?),
            rating: head_of(D::Power).map(watts),
        },
        StanzaWord::Diode => Part::Diode {
            drops: volts(figure("drops", D::Voltage).unwrap_or(0.7)),
        },
        StanzaWord::Rectifier => Part::Rectifier {
            drops: volts(figure("drops", D::Voltage).unwrap_or(1.4)),
        },
        StanzaWord::Regulator => Part::Regulator {
            volts: volts(head_of(D::Voltage)?),
            limit: amps(head_of(D::Current)?),
            way: match figure("efficiency", D::Percent) {
                Some(efficiency) => RegulatorWay::Switching {
                    efficiency: ratio(efficiency),
                },
                None => RegulatorWay::Linear {
                    dropout: volts(figure("dropout", D::Voltage).unwrap_or(1.5)),
                },
            },
        },
        StanzaWord::Strip => {
            let Target::Tape(tape) = of(Role::Tape)? else {
                return None;
            };
            let cut = cut(head)?;
            Part::Strip {
                tape,
                groups: whole_groups(&plan.tapes[tape.0], cut),
                cut,
                dimmed: flag("dimmed"),
            }
        }
        StanzaWord::Lamp | StanzaWord::String => {
            let Target::Led(led) = of(Role::Led)? else {
                return None;
            };
            let count = head.iter().find_map(|v| {
                if let ValueKind::Count(n, _) = v.kind {
                    Some(n)
                } else {
                    None
                }
            });
            Part::Lamps {
                led,
                count: if draft.word == StanzaWord::Lamp {
                    1
                } else {
                    count?
                },
                resistor: clauses.get("resistor").and_then(|(_, c)| {
                    Some(Ballast {
                        ohms: ohms(c.quantities(D::Resistance).next()?),
                        rating: c.quantities(D::Power).next().map(watts),
                        at_lamp: c.part("at").and_then(Clause::choice) == Some("lamp"),
                    })
                }),
                runs_at: figure("runs", D::Current).map(amps),
            }
        }
        StanzaWord::Board => {
            let Target::Module(module) = of(Role::Module)? else {
                return None;
            };
            Part::Board { module }
        }
        StanzaWord::Load => Part::Load(if let Some(current) = figure("draws", D::Current) {
            Load::Draws(amps(current), figure("draws", D::Voltage).map(volts))
        } else if let Some(power) = figure("takes", D::Power) {
            Load::Takes(watts(power))
        } else {
            Load::Resistance(ohms(figure("resistance", D::Resistance)?))
        }),
        _ => return None,
    };
    Some(part)
}

/// The lamps of a strip that has more than a plan can have, where its cut does not state them.
pub(super) fn too_many_lamps<'a>(plan: &'a Plan, part: &Part) -> Option<(&'a Tape, f64)> {
    let Part::Strip { tape, cut, .. } = part else {
        return None;
    };
    let tape = &plan.tapes[tape.0];
    let lamps = match cut {
        Cut::Lamps(_) => return None, // told of any count
        Cut::Groups(n) => f64::from(*n) * f64::from(tape.lamps),
        Cut::Length(length) => (*length / tape.group).value * f64::from(tape.lamps),
    };
    (lamps > f64::from(MOST_OF_A_COUNT)).then_some((tape, lamps))
}

/// Whether a strip has more lamps than a plan can have, however its cut is stated; that is reported.
fn is_endless(plan: &mut Plan, draft: &Draft, part: &Part) -> bool {
    let Some((tape, lamps)) = too_many_lamps(plan, part) else {
        return false;
    };
    let message = format!(
        "That is {lamps:.0} lamps of `{}`. More than {MOST_OF_A_COUNT} lamps is more than this tool is for.",
        tape.name.0
    );
    let span = draft
        .stanza
        .head
        .last()
        .map_or(draft.stanza.word_span, |v| v.span);
    let known = |p: &Problem| (p.stanza, p.span) == (draft.id, span) && p.check == "syntax";
    if !plan.problems.iter().any(known) {
        error(plan, "syntax", draft.id, span, message);
    }
    true
}

fn cut(head: &[Value]) -> Option<Cut> {
    head.iter().find_map(|v| match v.kind {
        ValueKind::Count(n, Some("groups" | "group")) => Some(Cut::Groups(n)),
        ValueKind::Count(n, _) => Some(Cut::Lamps(n)),
        ValueKind::Quantity(x, D::Length) => Some(Cut::Length(metres(x))),
        _ => None,
    })
}

/// A length within half a millimetre of whole groups is whole.
const CUT_TOLERANCE: f64 = 0.5e-3;

/// The whole groups in a cut; a group that is cut into does not count.
pub fn whole_groups(tape: &Tape, cut: Cut) -> u32 {
    match cut {
        Cut::Lamps(n) => n / tape.lamps.max(1),
        Cut::Groups(n) => n,
        Cut::Length(length) => {
            let groups = (length / tape.group).value;
            let nearest = groups.round();
            let whole = (nearest * tape.group.value - length.value).abs() <= CUT_TOLERANCE + 1e-12;
            (if whole { nearest } else { groups.floor() }).clamp(0.0, f64::from(u32::MAX)) as u32
        }
    }
}

/// Whether a cut falls between groups.
pub fn cut_is_whole(tape: &Tape, cut: Cut) -> bool {
    match cut {
        Cut::Lamps(n) => n % tape.lamps.max(1) == 0,
        Cut::Groups(_) => true,
        Cut::Length(length) => {
            (f64::from(whole_groups(tape, cut)) * tape.group.value - length.value).abs()
                <= CUT_TOLERANCE + 1e-12
        }
    }
}

type At<'a> = (StanzaId, &'a Clause);

fn run(
    plan: &Plan,
    resolver: &mut impl Leads,
    at: At<'_>,
    inside: Option<&Inside>,
) -> Result<(Option<Run>, Vec<PassageId>), ()> {
    let (id, clause) = at;
    let mut failed = false;
    let mut via = Vec::new();
    for (name, span) in clause.part("via").into_iter().flat_map(Clause::names) {
        match resolver.definition(plan, (id, span), name, Role::Passage, inside) {
            Found::Is(Target::Passage(passage)) => via.push(passage),
            Found::Nowhere => failed = true,
            _ => {}
        }
    }
    let mut run = None;
    if let Some(over) = clause.part("over") {
        let length = over.quantities(D::Length).next().map(metres);
        let wire = over
            .names()
            .next()
            .map(|(name, span)| resolver.definition(plan, (id, span), name, Role::Wire, inside));
        match (length, wire) {
            (Some(length), Some(Found::Is(Target::Wire(wire)))) => {
                run = Some(Run {
                    length,
                    wire,
                    via: via.clone(),
                })
            }
            _ => failed = true,
        }
    }
    if failed { Err(()) } else { Ok((run, via)) }
}

fn point(
    plan: &Plan,
    resolver: &mut impl Leads,
    at: At<'_>,
    nth: usize,
    inside: Option<&Inside>,
) -> Result<Point, ()> {
    let (name, span) = at.1.names().nth(nth).ok_or(())?;
    match resolver.point(plan, (at.0, span), name, Role::Point, inside) {
        Found::Is((draft, output)) => Ok(Point {
            item: ItemId(draft),
            output,
        }),
        _ => Err(()),
    }
}

/// How an item is fed.
pub(super) fn feed(
    plan: &Plan,
    resolver: &mut impl Leads,
    draft: &Draft,
) -> Result<Option<Feed>, ()> {
    if draft.word == StanzaWord::Supply {
        return Ok(None);
    }
    let inside = draft.inside.as_deref();
    let (id, from) = draft.clauses.get("from").ok_or(())?;
    let plus = point(plan, resolver, (id, from), 0, inside);
    let along = run(plan, resolver, (id, from), inside);
    let (mut back, mut back_run) = (Ok(None), Ok((None, Vec::new())));
    if let Some(clause) = from.part("return") {
        back = point(plan, resolver, (id, clause), 0, inside).map(Some);
        back_run = run(plan, resolver, (id, clause), inside);
    }
    let (from, (run, _), back, (own_back, back_via)) = (plus?, along?, back?, back_run?);
    let back_run = match (own_back, &run) {
        (Some(own), _) => Some(own),
        (None, Some(run)) if back.is_some() && !back_via.is_empty() => Some(Run {
            via: back_via,
            ..run.clone()
        }),
        (None, run) => run.clone(),
    };
    Ok(Some(Feed {
        from,
        run,
        back,
        back_run,
    }))
}

/// The zone that an item says it is in.
pub(super) fn zone(
    plan: &Plan,
    resolver: &mut impl Leads,
    draft: &Draft,
) -> Result<Option<ZoneId>, ()> {
    let Some((id, clause)) = draft.clauses.get("in") else {
        return Ok(None);
    };
    let (name, span) = clause.names().next().ok_or(())?;
    match resolver.definition(plan, (id, span), name, Role::Zone, draft.inside.as_deref()) {
        Found::Is(Target::Zone(zone)) => Ok(Some(zone)),
        Found::Nowhere => Err(()),
        _ => Ok(None),
    }
}

fn link(plan: &Plan, resolver: &mut Resolver, draft: &LinkDraft) -> Option<Link> {
    let between = draft.stanza.clause("between")?;
    let inside = draft.inside.as_deref();
    let at = (draft.id, between);
    let (a, b) = (
        point(plan, resolver, at, 0, inside),
        point(plan, resolver, at, 1, inside),
    );
    let (run, _) = run(plan, resolver, at, inside).ok()?;
    Some(Link {
        name: draft.name.clone(),
        stanza: draft.id,
        ends: (a.ok()?, b.ok()?),
        run,
    })
}

/// Leaves out what hangs on what is out, and gives the rest its place in the plan.
fn settle(plan: &mut Plan, mut drafts: Vec<Draft>, links: Vec<Link>) -> Vec<Option<ItemId>> {
    let mut hanging: HashMap<usize, Vec<usize>> = HashMap::new();
    if drafts.iter().any(|d| d.out) {
        for (k, draft) in drafts.iter().enumerate() {
            for point in draft.feed.iter().flat_map(|f| [f.from, f.minus()]) {
                hanging.entry(point.item.0).or_default().push(k);
            }
        }
    }
    let mut queue: Vec<usize> = (0..drafts.len()).filter(|&k| drafts[k].out).collect();
    while let Some(k) = queue.pop() {
        for &other in hanging.get(&k).into_iter().flatten() {
            if !drafts[other].out {
                drafts[other].out = true;
                queue.push(other);
            }
        }
    }
    let mut next = 0;
    let place: Vec<Option<ItemId>> = drafts
        .iter()
        .map(|d| {
            (!d.out).then(|| {
                next += 1;
                ItemId(next - 1)
            })
        })
        .collect();
    for draft in drafts.iter().filter(|d| d.out && d.copy.is_none()) {
        plan.left_out.insert(draft.id);
    }
    let moved = |point: Point| {
        Some(Point {
            item: place[point.item.0]?,
            output: point.output,
        })
    };
    plan.items.reserve(drafts.len());
    for draft in drafts.into_iter().filter(|d| !d.out) {
        let Some(part) = draft.part else { continue };
        let feed = draft.feed.and_then(|f| {
            let back = match f.back {
                Some(back) => Some(moved(back)?),
                None => None,
            };
            Some(Feed {
                from: moved(f.from)?,
                back,
                ..f
            })
        });
        plan.items.push(Item {
            name: draft.name,
            word: draft.word,
            stanza: draft.id,
            copy: draft.copy.and_then(|c| place[c]),
            part,
            feed,
            zone: draft.own_zone,
        });
    }
    for link in links {
        match (moved(link.ends.0), moved(link.ends.1)) {
            (Some(a), Some(b)) => plan.links.push(Link {
                ends: (a, b),
                ..link
            }),
            _ => drop(plan.left_out.insert(link.stanza)),
        }
    }
    inherit_zones(plan);
    place
}

/// What says no zone of its own sits where what feeds it sits.
fn inherit_zones(plan: &mut Plan) {
    let mut way = Vec::new();
    for k in 0..plan.items.len() {
        let mut at = k;
        // No circles are left; the bound is for safety alone.
        while plan.items[at].zone.is_none() && way.len() <= plan.items.len() {
            way.push(at);
            match &plan.items[at].feed {
                Some(feed) => at = feed.from.item.0,
                None => break,
            }
        }
        let zone = plan.items[at].zone;
        for item in way.drain(..) {
            plan.items[item].zone = zone;
        }
    }
}
