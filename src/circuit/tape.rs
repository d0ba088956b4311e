//! Law 3, tape: its groups and its track.
//!
//! Group k is fed through k − ½ group lengths of track; the far end is all groups away. The track's
//! resistance is half in its plus copper and half in its minus copper. Without track all groups are
//! side by side. A tape of very many groups is taken in lumps, each at its middle.

use super::defects::Leg;
use super::lamp::Lamps;
use crate::plan::{Part, Plan, Tape};

/// The most lumps of all strips of a plan together.
const MOST_IN_A_PLAN: usize = 60_000;
/// The most lumps of one strip: 50 m of the usual tape in groups.
const MOST_IN_A_STRIP: usize = 2_000;

/// How many lumps each strip of this plan may have.
pub(crate) fn most_lumps(plan: &Plan) -> u32 {
    let strips = plan
        .items
        .iter()
        .filter(|i| matches!(i.part, Part::Strip { .. }))
        .count()
        + plan.elsewhere.strips;
    most_lumps_of(strips)
}

/// How many lumps each of so many strips may have.
pub fn most_lumps_of(strips: usize) -> u32 {
    (MOST_IN_A_PLAN / strips.max(1)).clamp(4, MOST_IN_A_STRIP) as u32
}

/// So many of its groups, side by side.
pub(crate) fn groups(tape: &Tape, times: u32) -> Lamps {
    Lamps {
        curve: tape.curve,
        count: f64::from(tape.lamps),
        ohms: tape.resistor.value,
        times: f64::from(times),
    }
}

/// How a strip is cut into lumps: the groups of each, and the track resistance of one leg ahead of
/// each lump, then behind the last. Without track it is one lump.
pub(crate) fn lumps(tape: &Tape, groups: u32, most: u32) -> (Vec<u32>, Vec<f64>) {
    let each = (tape.track * tape.group).value / 2.0;
    if each <= 0.0 || each.is_nan() || groups == 0 {
        return (vec![groups], vec![0.0, 0.0]);
    }
    let lumps = groups.min(most.max(1));
    let of = |k: u32| (u64::from(groups) * u64::from(k) / u64::from(lumps)) as u32;
    let sizes: Vec<u32> = (0..lumps).map(|k| of(k + 1) - of(k)).collect();
    let mut track = Vec::with_capacity(sizes.len() + 1);
    let mut half_before = 0.0;
    for &size in &sizes {
        let half = f64::from(size) / 2.0;
        track.push((half_before + half) * each);
        half_before = half;
    }
    track.push(half_before * each);
    (sizes, track)
}

/// The same for both tracks, plus and minus, of a strip whose copper resists more in some places: behind how many groups,
/// in which leg, and how much.
pub(crate) fn lumps_cut(
    tape: &Tape,
    groups: u32,
    most: u32,
    cuts: &[(u32, Leg, f64)],
) -> (Vec<u32>, [Vec<f64>; 2]) {
    if cuts.is_empty() {
        let (sizes, track) = lumps(tape, groups, most);
        return (sizes, [track.clone(), track]);
    }
    let mut ends: Vec<u32> = cuts.iter().map(|cut| cut.0.min(groups)).collect();
    ends.push(groups);
    ends.sort_unstable();
    ends.dedup();
    let mut sizes = Vec::new();
    // What is left of the piece before stands ahead of the first lump of the next.
    let mut tracks = [vec![0.0], vec![0.0]];
    let mut start = 0;
    for end in ends {
        let (piece, track) = lumps(tape, end - start, most);
        for (leg, all) in [Leg::Plus, Leg::Minus].into_iter().zip(&mut tracks) {
            if let (Some(last), Some((first, others))) = (all.last_mut(), track.split_first()) {
                *last += first;
                all.extend(others);
            }
            let here = cuts.iter().filter(|c| c.0.min(groups) == end && c.1 == leg);
            if let Some(last) = all.last_mut() {
                *last += here.map(|c| c.2).sum::<f64>();
            }
        }
        sizes.extend(piece);
        start = end;
    }
    (sizes, tracks)
}
