//! Other ways to wire what is under the cursor, whether or not a check complains: branches, a ring, one strip or joint as two and two
//! as one, a cut in other words, another wire. Each is solved before it is offered: no error or warning comes, and what its
//! title says holds.

use super::actions::{Action, ActionKind, Asked};
use super::write_out::same_figures;
use crate::checks::Analysis;
use crate::circuit::Stop;
use crate::circuit::fused_runs::RunOf;
use crate::circuit::{Figures, Solution, circuit_of_each};
use crate::numbers::show;
use crate::plan::{FileId, Item, ItemId, LinkId, Part, Plan, StanzaId};
use crate::rewrites::branch_chain::{lights_of_chain, written_name};
use crate::rewrites::close_ring::row;
use crate::rewrites::route::Leg;
use crate::rewrites::{
    Candidate, branch_chain, branch_string, close_row, join_joints, join_strips, keep_comments,
    second_joint, split_strip, state_cut, swap_wire,
};
use crate::syntax::tree::Clause;
use crate::syntax::vocabulary::StanzaWord;
use crate::text::Span;
use crate::units::{ElectricPotential, volts};

/// In a plan of more items, each solved anew for every offer, chains and strings are branched and no more.
const MOST_ITEMS: usize = 2000;

/// What holds of the changed plan, in words that the title ends with; `None` where what it says does not hold.
type Holds<'a> = Box<dyn Fn(&Analysis) -> Option<String> + 'a>;

/// A change of the plan with what is to be shown of it.
struct Offer<'a> {
    candidate: Candidate,
    holds: Holds<'a>,
}

/// The refactorings of the item or link whose stanza the cursor is in, or why there are none. A selection over several
/// stanzas asks for none.
pub fn refactorings(a: &Analysis, asked: &Asked) -> Result<Vec<Action>, &'static str> {
    let here = Here::at(&a.plan, asked.file, asked.span)
        .ok_or("There is no item or link under the cursor.")?;
    let offers = here.offers(a);
    let is_any = !offers.is_empty();
    let offers = offers.into_iter().take_while(|_| !(asked.stop)());
    let actions = offers.filter_map(|offer| proved(a, offer, asked.stop));
    let actions: Vec<Action> = actions.collect();
    match (actions.is_empty(), is_any) {
        (false, _) => Ok(actions),
        (true, true) => Err("Wired otherwise, the plan would have a fault that it has not now."),
        (true, false) => Err("There is no other way to wire it with the stock of this plan."),
    }
}

/// The action, if the changed plan is no worse and what it is for holds there.
fn proved(a: &Analysis, offer: Offer, stop: Stop) -> Option<Action> {
    let mut candidate = offer.candidate;
    if !keep_comments(&a.plan, &candidate.edits) {
        return None;
    }
    let after = a.changed(&candidate.edits, stop)?;
    if stop() || !a.is_no_worse(&after) {
        return None;
    }
    let holds = (offer.holds)(&after)?;
    if !holds.is_empty() {
        candidate.title = format!("{}; {holds}", candidate.title);
    }
    let candidate = candidate.told_of(&after.plan, &after.solution);
    Some(Action::of(&a.plan, ActionKind::Refactor, candidate))
}

/// What the cursor is in.
struct Here {
    stanza: StanzaId,
    of: RunOf,
    /// The legs whose wire is meant.
    legs: Vec<Leg>,
    /// In what a copy says of one of its pieces: that piece is meant, and there its run alone can be another.
    in_but: bool,
}

impl Here {
    fn at(plan: &Plan, file: FileId, span: Span) -> Option<Here> {
        let stanza = plan.stanza_at(file, span.start)?;
        let tree = plan.stanza(stanza);
        let core = plan.in_file(stanza, tree.core_span());
        if span.start < core.start || core.end < span.end {
            return None;
        }
        let at = span.start - plan.in_file(stanza, Span::default()).start;
        let holds = |c: &&Clause| c.span.touches(at);
        let but = (tree.clauses.iter()).find(|c| c.word == "but" && holds(c));
        let items = (0..plan.items.len()).map(ItemId);
        let item = match but {
            Some(but) => {
                let mut copies = plan.items.iter().filter(|i| i.stanza == stanza);
                let (piece, _) = but.names().next()?;
                plan.item(&format!("{}.{}", copies.next()?.name.0, piece.0))
            }
            None => items.into_iter().find(|i| plan.items[i.0].stanza == stanza),
        };
        let link = plan.links.iter().position(|l| l.stanza == stanza);
        let of = match (item, link) {
            (Some(item), _) => RunOf::Item(item),
            (None, link) => RunOf::Link(LinkId(link?)),
        };
        let from = match but {
            Some(but) => but.part("from"),
            None => tree.clause("from"),
        };
        let back = from.and_then(|from| from.part("return"));
        let legs = match back.filter(|back| back.part("over").is_some()) {
            Some(back) if holds(&back) => vec![Leg::Minus],
            Some(_) => vec![Leg::Plus],
            None => vec![Leg::Plus, Leg::Minus],
        };
        Some(Here {
            stanza,
            of,
            legs,
            in_but: but.is_some(),
        })
    }

    fn offers<'a>(&'a self, a: &'a Analysis) -> Vec<Offer<'a>> {
        let is_large = a.plan.items.len() > MOST_ITEMS;
        let mut offers = Vec::new();
        if let RunOf::Item(item) = self.of
            && !self.in_but
        {
            offers.extend(branches(a, item));
            if is_large {
                return offers;
            }
            offers.extend(ring(a, item));
            offers.extend(splits(a, item));
            offers.extend(joins(a, item));
            offers.extend(forms(a, item));
        }
        if !is_large {
            offers.extend(self.wires(a));
        }
        offers
    }

    fn wires<'a>(&'a self, a: &'a Analysis) -> impl Iterator<Item = Offer<'a>> {
        let mut candidates = swap_wire(&a.plan, &a.solution, self.of, &self.legs);
        let is_here = |c: &Candidate| c.edits.iter().all(|e| e.stanza == self.stanza);
        candidates.retain(is_here);
        let light = most_lost(&a.plan, &a.solution, self.of);
        candidates.into_iter().map(move |candidate| Offer {
            candidate,
            holds: Box::new(move |after| {
                let Some(light) = light else {
                    return Some(String::new());
                };
                let name = &a.plan.items[light.0].name.0;
                let is_named = written_name(&a.plan, light) == &**name;
                let up_to = match self.of == RunOf::Item(light) && is_named {
                    true => String::new(),
                    false => format!(" up to {name}"),
                };
                let then = drop(&after.solution, after.plan.item(name)?)?;
                let now = drop(&a.solution, light)?;
                Some(match (show(then), show(now)) {
                    (then, now) if then == now => format!("{then} lost{up_to}, as now"),
                    (then, now) => format!("{then} lost{up_to}, not {now}"),
                })
            }),
        })
    }
}

/// A chain as branches or as a ring, a string as lamps side by side.
fn branches(a: &Analysis, item: ItemId) -> impl Iterator<Item = Offer<'_>> {
    let lights = lights_of_chain(&a.plan, item);
    let chains = branch_chain(&a.plan, &a.solution, item).into_iter();
    let chains = chains.map(move |candidate| {
        let lights = lights.clone();
        Offer {
            candidate,
            holds: Box::new(move |after| {
                let alone = lights.iter().all(|&light| dark(a, after, light) <= Some(1));
                alone.then(String::new)
            }),
        }
    });
    let strings = branch_string(&a.plan, &a.solution, item).into_iter();
    let strings = strings.map(move |candidate| Offer {
        candidate,
        holds: Box::new(move |after| {
            let Part::Lamps { count, .. } = a.plan.items[item.0].part else {
                return None;
            };
            let stanza = a.plan.items[item.0].stanza;
            let copies = a.plan.items.iter().filter(|i| i.stanza == stanza).count();
            let more = copies * (count as usize).saturating_sub(1);
            let is_so = after.plan.lights().count() == a.plan.lights().count() + more;
            is_so.then(String::new)
        }),
    });
    chains.chain(strings)
}

/// How many lights go dark in the changed plan with what is called so; `None` where nothing is.
fn dark(a: &Analysis, after: &Analysis, item: ItemId) -> Option<usize> {
    let item = after.plan.item(&a.plan.items[item.0].name.0)?;
    Some(after.breaks().darkened(item).len())
}

/// The ring that a row of joints or chained lights is closed to, where one break on it darkens more than one light.
fn ring(a: &Analysis, item: ItemId) -> Option<Offer<'_>> {
    let plan = &a.plan;
    let is_light = |item: ItemId| plan.items[item.0].is_light();
    let members = row(plan, item);
    // A light at the end of a branch is no part of a row; one of a chain is.
    if members.iter().any(|&m| is_light(m)) && lights_of_chain(plan, item).is_empty() {
        return None;
    }
    let now = members
        .iter()
        .map(|&m| a.breaks().darkened(m).len())
        .max()?;
    let candidate = close_row(plan, item).filter(|_| now > 1)?;
    let has_lights = members.iter().any(|&m| is_light(m));
    Some(Offer {
        candidate,
        holds: Box::new(move |after| {
            let holds = |m: &ItemId| dark(a, after, *m) <= Some(usize::from(is_light(*m)));
            let words = match has_lights {
                true => format!("a break in it darkens 1 light, not {now}"),
                false => format!("a broken run in it darkens no light, not {now}"),
            };
            members.iter().all(holds).then_some(words)
        }),
    })
}

/// One strip as two, one joint as two.
fn splits(a: &Analysis, item: ItemId) -> impl Iterator<Item = Offer<'_>> {
    let strips = split_strip(&a.plan, item).into_iter();
    let strips = strips.map(move |candidate| Offer {
        candidate,
        holds: Box::new(move |after| {
            let own = a.plan.items[item.0].stanza;
            let now = least_group(a, |i| a.plan.items[i.0].stanza == own)?;
            // Its own name, or a new one.
            let is_piece = |i: ItemId| match a.plan.item(&after.plan.items[i.0].name.0) {
                Some(known) => a.plan.items[known.0].stanza == own,
                None => true,
            };
            let then = least_group(after, is_piece)?;
            let is_same = groups_lit(a) == groups_lit(after);
            is_same.then(|| match (show(now), show(then)) {
                (now, then) if now == then => format!("weakest group {then}, as now"),
                (now, then) => format!("weakest group {then}, not {now}"),
            })
        }),
    });
    let joint = second_joint(&a.plan, item).map(|candidate| Offer {
        candidate,
        holds: Box::new(move |after| changes(a, after, &[])),
    });
    strips.chain(joint)
}

/// Two strips as one, two joints as one: this one with what feeds it, or with the only one of its kind that it feeds.
fn joins(a: &Analysis, item: ItemId) -> Vec<Offer<'_>> {
    let plan = &a.plan;
    let word = plan.items[item.0].word;
    if !matches!(word, StanzaWord::Strip | StanzaWord::Joint) {
        return Vec::new();
    }
    let is_next = |i: &ItemId| {
        let it = &plan.items[i.0];
        it.word == word && it.feed.as_ref().is_some_and(|f| f.from.item == item)
    };
    let next: Vec<ItemId> = (0..plan.items.len()).map(ItemId).filter(is_next).collect();
    let next = match next[..] {
        [only] => Some(only),
        _ => None,
    };
    let offer = |second: ItemId| {
        let candidate = match word {
            StanzaWord::Joint => join_joints(plan, second),
            _ => join_strips(plan, &a.solution, second),
        }?;
        let stanza = plan.items[second.0].stanza;
        let first = plan.items[second.0].feed.as_ref()?.from.item;
        let first = plan.items[first.0].stanza;
        let both = [first, stanza];
        Some(Offer {
            candidate,
            holds: Box::new(move |after| {
                let is_same = groups_lit(a) == groups_lit(after);
                changes(a, after, &both).filter(|_| is_same)
            }),
        })
    };
    [Some(item), next]
        .into_iter()
        .flatten()
        .filter_map(offer)
        .collect()
}

/// A cut in other words.
fn forms(a: &Analysis, item: ItemId) -> impl Iterator<Item = Offer<'_>> {
    let candidates = state_cut(&a.plan, item).into_iter();
    candidates.map(move |candidate| Offer {
        candidate,
        holds: Box::new(move |after| {
            let stays = same_figures(&a.solution, &after.solution);
            stays.then(|| "every figure stays".to_owned())
        }),
    })
}

/// The figures of the scenes that have a solution, with what is asked of each.
fn solved(solution: &Solution) -> impl Iterator<Item = &Figures> {
    solution.states().filter_map(|s| s.outcome.as_ref().ok())
}

/// How many groups of tape there are, then how many are lit in each scene.
fn groups_lit(a: &Analysis) -> Vec<u64> {
    let count = |counts: &dyn Fn(usize) -> bool| {
        let items = a.plan.items.iter().enumerate();
        let counted = items.filter(|(i, _)| counts(*i)).map(|(_, item)| item);
        let groups = counted.map(|item| match item.part {
            Part::Strip { groups, .. } => u64::from(groups),
            _ => 0,
        });
        groups.sum()
    };
    let all = count(&|_| true);
    let lit = solved(&a.solution).map(|f| count(&|i| f.items.get(i).is_some_and(|f| f.reached)));
    std::iter::once(all).chain(lit).collect()
}

/// The least that a group of these strips has, in any scene in which it is on.
fn least_group(a: &Analysis, counts: impl Fn(ItemId) -> bool) -> Option<ElectricPotential> {
    let is_strip = |i: &ItemId| matches!(a.plan.items[i.0].part, Part::Strip { .. });
    let strips: Vec<ItemId> = (0..a.plan.items.len())
        .map(ItemId)
        .filter(|i| is_strip(i) && counts(*i))
        .collect();
    let figures = solved(&a.solution).flat_map(|f| strips.iter().filter_map(|i| f.items.get(i.0)));
    let lit = figures.filter(|f| f.reached);
    lit.map(|f| f.lowest_group.typical)
        .reduce(ElectricPotential::min)
}

/// The most that is lost on the way to an item.
fn drop(solution: &Solution, item: ItemId) -> Option<ElectricPotential> {
    let figures = solved(solution).filter_map(|f| f.items.get(item.0));
    let reached = figures.filter(|f| f.reached);
    reached
        .map(|f| f.drop.typical)
        .reduce(ElectricPotential::max)
}

/// The light behind a run on the way to which most is lost: the item itself, where it is a light; of a link, any light of its circuit.
fn most_lost(plan: &Plan, solution: &Solution, of: RunOf) -> Option<ItemId> {
    let back = |i: &ItemId| plan.items[i.0].feed.as_ref().map(|f| f.from.item);
    let circuits = circuit_of_each(plan);
    let is_behind = |light: &ItemId| match of {
        RunOf::Link(link) => circuits[light.0] == circuits[plan.links[link.0].ends.0.item.0],
        RunOf::Item(item) => {
            let mut way = std::iter::successors(Some(*light), back).take(plan.items.len());
            way.any(|at| at == item)
        }
    };
    if let RunOf::Item(item) = of
        && plan.items[item.0].is_light()
    {
        return Some(item);
    }
    let lost = plan.lights().filter(is_behind);
    let lost = lost.filter_map(|light| Some((drop(solution, light)?, light)));
    let most = lost.reduce(|most, next| if next.0 > most.0 { next } else { most });
    most.map(|(_, light)| light)
}

/// How much the volts of the lights change that are of none of these stanzas; `None` where one that was on is off, or the
/// other way about.
fn changes(a: &Analysis, after: &Analysis, but: &[StanzaId]) -> Option<String> {
    let lights = a
        .plan
        .lights()
        .filter(|l| !but.contains(&a.plan.items[l.0].stanza));
    let mut most = volts(0.0);
    for light in lights {
        let then = after.plan.item(&a.plan.items[light.0].name.0)?;
        for (before, after) in a.solution.states().zip(after.solution.states()) {
            let (Ok(before), Ok(after)) = (&before.outcome, &after.outcome) else {
                continue;
            };
            let (before, after) = (before.items.get(light.0)?, after.items.get(then.0)?);
            if before.reached != after.reached {
                return None;
            }
            most = most.max((after.volts.typical - before.volts.typical).abs());
        }
    }
    let is_light = |item: &Item| item.is_light() && but.contains(&item.stanza);
    let other = match a.plan.items.iter().any(is_light) {
        true => "other ",
        false => "",
    };
    Some(match most.value < SAME {
        true => format!("no {other}light changes"),
        false => format!("{other}lights change by {} at most", show(most)),
    })
}

/// Volts that differ by less are the same: what the solver promises (10 µV).
const SAME: f64 = 1e-5;
