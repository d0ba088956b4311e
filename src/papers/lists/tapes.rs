//! Tape: every cut, and the reels that they are cut from.

use super::reels::cutting;
use crate::plan::{AtHand, ItemId, Part, Plan, TapeId};
use crate::units::{Length, metres};

/// A cut of tape.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StripCut {
    /// The strip.
    pub item: ItemId,
    /// Of which stock.
    pub tape: TapeId,
    /// How many whole groups.
    pub groups: u32,
    /// How long it is.
    pub length: Length,
}

/// Every strip of a plan, in its order.
pub fn strip_cuts(plan: &Plan) -> Vec<StripCut> {
    let items = plan.items.iter().enumerate();
    let strips = items.filter_map(|(i, item)| match item.part {
        Part::Strip { tape, groups, .. } => Some(StripCut {
            item: ItemId(i),
            tape,
            groups,
            length: plan.tapes[tape.0].group * f64::from(groups),
        }),
        _ => None,
    });
    strips.collect()
}

/// What is needed of a tape.
#[derive(Clone, Debug)]
pub struct TapeList {
    /// Of which stock.
    pub tape: TapeId,
    /// Its cuts, in the order of the plan.
    pub cuts: Vec<StripCut>,
    /// How many groups they are together.
    pub groups: u64,
    /// How long they are together.
    pub length: Length,
    /// What is cut from what; `None` where a group is longer than a reel.
    pub from: Option<Reels>,
}

/// What the cuts of a tape are cut from.
#[derive(Clone, Debug)]
pub struct Reels {
    /// For each cut that is one piece, and for what is left of one that is longer than a reel, the new reel that it is
    /// from (from 0); `None`: from the piece at hand.
    pub from: Vec<Option<usize>>,
    /// Whole reels that go into strips longer than one, by strip: these are joined.
    pub whole: Vec<u64>,
    /// How many reels are to be bought.
    pub buy: u64,
    /// No way of cutting takes fewer.
    pub at_least: u64,
}

/// All tape that is used.
pub(super) fn tapes(plan: &Plan, reel: Length) -> Vec<TapeList> {
    let mut by_tape: Vec<Vec<StripCut>> = vec![Vec::new(); plan.tapes.len()];
    for cut in strip_cuts(plan) {
        by_tape[cut.tape.0].push(cut);
    }
    let used = by_tape
        .into_iter()
        .enumerate()
        .filter(|(_, cuts)| !cuts.is_empty());
    used.map(|(t, cuts)| {
        let stock = &plan.tapes[t];
        let groups = cuts.iter().map(|cut| u64::from(cut.groups)).sum();
        let at_hand = match stock.have {
            Some(AtHand::Length(have)) => whole_groups_of(have, stock.group),
            _ => 0,
        };
        TapeList {
            tape: TapeId(t),
            groups,
            length: cuts.iter().fold(metres(0.0), |sum, cut| sum + cut.length),
            from: reels(&cuts, whole_groups_of(reel, stock.group), at_hand),
            cuts,
        }
    })
    .collect()
}

/// How many groups a length holds; what is short by less than half a millimetre is whole.
fn whole_groups_of(length: Length, group: Length) -> u32 {
    let groups = ((length + metres(0.0005)) / group).value.floor();
    groups.clamp(0.0, f64::from(u32::MAX)) as u32
}

fn reels(cuts: &[StripCut], reel: u32, at_hand: u32) -> Option<Reels> {
    let (mut rests, mut whole) = (Vec::new(), Vec::new());
    for cut in cuts {
        let is_joined = cut.groups > reel.max(at_hand);
        let (reels, rest) = match is_joined {
            false => (0, cut.groups),
            true => (cut.groups.checked_div(reel)?, cut.groups % reel),
        };
        rests.push(rest);
        whole.push(u64::from(reels));
    }
    let way = cutting(&rests, reel, at_hand)?;
    let joined: u64 = whole.iter().sum();
    Some(Reels {
        from: way.from,
        whole,
        buy: joined + way.reels as u64,
        at_least: joined + way.at_least as u64,
    })
}
