//! Wire: every piece that is to be cut, and the sums by kind and colour.

use super::allowances::with_waste;
use crate::circuit::fused_runs::RunOf;
use crate::numbers::three_digits;
use crate::plan::{AtHand, ItemId, LinkId, Plan, Point, Run, Wire, WireId};
use crate::syntax::tree::Name;
use crate::units::{Length, metres};

/// Which wire of a pair it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Leg {
    /// The plus.
    Plus,
    /// The minus.
    Minus,
}

/// A piece of wire that is to be cut.
#[derive(Clone, Debug)]
pub struct WirePiece {
    /// Of which stock.
    pub wire: WireId,
    /// Whose run it is.
    pub of: RunOf,
    /// Which of the pair.
    pub leg: Leg,
    /// Its colour, where the stock states any.
    pub colour: Option<Name>,
    /// The point that it comes from.
    pub from: Point,
    /// The point that it goes to, for a link; else it goes to the item.
    pub to: Option<Point>,
    /// Its way.
    pub run: Run,
    /// How long it is cut: the run, and `slack` at both its ends.
    pub cut: Length,
}

/// Every piece of wire of a plan, items first, in its order, the plus leg of each before its minus leg. A run of no
/// length is no wire.
pub fn wire_pieces(plan: &Plan) -> Vec<WirePiece> {
    let mut pieces = Vec::new();
    let mut add = |of, leg, from, to, run: &Option<Run>| {
        let Some(run) = run.as_ref().filter(|run| run.length.value > 0.0) else {
            return;
        };
        pieces.push(WirePiece {
            wire: run.wire,
            of,
            leg,
            colour: colour_of(&plan.wires[run.wire.0], leg).cloned(),
            from,
            to,
            run: run.clone(),
            cut: run.length + plan.settings.slack * 2.0,
        });
    };
    for (i, item) in plan.items.iter().enumerate() {
        if let Some(feed) = &item.feed {
            let of = RunOf::Item(ItemId(i));
            add(of, Leg::Plus, feed.from, None, &feed.run);
            add(of, Leg::Minus, feed.minus(), None, &feed.back_run);
        }
    }
    for (k, link) in plan.links.iter().enumerate() {
        for leg in [Leg::Plus, Leg::Minus] {
            let of = RunOf::Link(LinkId(k));
            add(of, leg, link.ends.0, Some(link.ends.1), &link.run);
        }
    }
    pieces
}

/// The colour of a leg: of two colours plus has the first, minus the second; one is that of both.
pub fn colour_of(wire: &Wire, leg: Leg) -> Option<&Name> {
    match leg {
        Leg::Plus => wire.colours.first(),
        Leg::Minus => wire.colours.last(),
    }
}

/// What is needed of a wire.
#[derive(Clone, Debug)]
pub struct WireList {
    /// Of which stock.
    pub wire: WireId,
    /// How many pieces.
    pub pieces: u32,
    /// How long they are together.
    pub cut: Length,
    /// By colour, in the order of the stock.
    pub colours: Vec<WireOfColour>,
    /// What is to be bought, with waste, less what is at hand; `None` where a number of pieces is at hand, which says
    /// nothing of their length.
    pub buy: Option<Length>,
}

/// What is needed of one colour of a wire.
#[derive(Clone, Debug)]
pub struct WireOfColour {
    /// The colour, where the stock states any.
    pub colour: Option<Name>,
    /// How many pieces.
    pub pieces: u32,
    /// How long they are together.
    pub cut: Length,
}

/// All wire that is used.
pub(super) fn wires(plan: &Plan) -> Vec<WireList> {
    let mut lists: Vec<WireList> = (0..plan.wires.len())
        .map(|w| WireList {
            wire: WireId(w),
            pieces: 0,
            cut: metres(0.0),
            colours: Vec::new(),
            buy: None,
        })
        .collect();
    for piece in wire_pieces(plan) {
        let list = &mut lists[piece.wire.0];
        list.pieces += 1;
        list.cut += piece.cut;
        let known = list.colours.iter().position(|c| c.colour == piece.colour);
        let at = known.unwrap_or_else(|| {
            list.colours.push(WireOfColour {
                colour: piece.colour,
                pieces: 0,
                cut: metres(0.0),
            });
            list.colours.len() - 1
        });
        list.colours[at].pieces += 1;
        list.colours[at].cut += piece.cut;
    }
    lists.retain(|list| list.pieces > 0);
    for list in &mut lists {
        let stock = &plan.wires[list.wire.0];
        let place = |c: &WireOfColour| {
            stock
                .colours
                .iter()
                .position(|s| Some(s) == c.colour.as_ref())
        };
        list.colours.sort_by_key(place);
        let wanted = with_waste(list.cut);
        list.buy = match stock.have {
            None => Some(wanted),
            Some(AtHand::Length(have)) => Some((wanted - have).max(metres(0.0))),
            Some(AtHand::Pieces(_)) => None,
        };
    }
    lists
}

/// A wire's size and insulation: `24 AWG (0.511 mm), pvc, outer 1.3 mm`.
pub fn wire_size(wire: &Wire) -> String {
    let mm = wire.copper.value * 1e3;
    let gauge = 36.0 - 39.0 * libm::log(mm / 0.127) / libm::log(92.0); // ASTM B258, turned round
    let whole = (gauge - gauge.round()).abs() < 1e-6 && (0.0..=50.0).contains(&gauge);
    let mut words = match whole {
        true => format!("{} AWG ({} mm)", gauge.round(), three_digits(mm)),
        false => format!("copper {} mm", three_digits(mm)),
    };
    if let Some(insulation) = wire.insulation {
        words += match insulation {
            "none" => ", bare",
            _ => ", ",
        };
        if insulation != "none" {
            words += insulation;
        }
    }
    if let Some(outer) = wire.outer {
        words += &format!(", outer {} mm", three_digits(outer.value * 1e3));
    }
    words
}
