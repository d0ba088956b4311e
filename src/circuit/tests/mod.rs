//! Plans in, figures out: worked out by hand, and held against the laws.

mod hand;
mod laws;
mod published;
mod turns;
mod what_if;

pub(crate) use laws::random_plan;

use super::*;
use crate::plan::{Alone, FileKey, ItemId, Plan};

/// 1 ohm of copper per metre at 20 °C: 1.7241e-8 ohm m over 0.017241 mm². 560 ohm and a lamp of
/// 3.0 V make 14.2 V at 20 mA.
const STOCK: &str = "\
wire ohm1 area 0.017241 mm2
led pearl drops 3.0 V at 20 mA colour white
tape warm group 3 lamps long 25 mm works 7 V to 12.6 V draws 18 mA at 12 V
tape copper group 3 lamps long 25 mm works 7 V to 12.6 V draws 18 mA at 12 V track 40 ohm per m
";

fn plan(text: &str) -> Plan {
    let text = format!("{STOCK}{text}");
    let plan = Plan::of(FileKey::new("plan"), text.into(), &Alone);
    let problems: Vec<_> = plan.problems.iter().map(|p| &p.message).collect();
    assert!(problems.is_empty(), "{problems:?}");
    plan
}

/// A plan and its figures.
struct Solved {
    plan: Plan,
    solution: Solution,
}

fn solved(text: &str) -> Solved {
    let plan = plan(text);
    let solution = solve(&plan, &|| false);
    Solved { plan, solution }
}

impl Solved {
    fn scene(&self, scene: &str) -> &SceneFigures {
        let found = self.solution.scenes.iter().find(|s| &*s.name.0 == scene);
        found.unwrap()
    }

    fn id(&self, item: &str) -> ItemId {
        self.plan.item(item).unwrap()
    }

    /// An item's figures when everything is on.
    fn item(&self, item: &str) -> &ItemFigures {
        self.item_in("all-on", item)
    }

    fn item_in(&self, scene: &str, item: &str) -> &ItemFigures {
        let figures = self.scene(scene).outcome.as_ref().unwrap();
        &figures.items[self.id(item).0]
    }

    fn failed(&self, scene: &str) -> (&str, Corner, NoSolutionCause) {
        let no = self.scene(scene).outcome.as_ref().unwrap_err();
        (&self.plan.items[no.item.0].name.0, no.corner, no.cause)
    }
}

/// To 10 nV or 10 nA: far within the accuracy that is promised (10 µV, 1 µA).
#[track_caller]
fn close(is: f64, should: f64) {
    assert!((is - should).abs() < 1e-8, "{is} should be {should}");
}

/// What goes through a conducting diode or regulator changes its voltage by 0.1 µV per ampere.
#[track_caller]
fn volts_close(is: f64, should: f64) {
    assert!((is - should).abs() < 1e-6, "{is} should be {should}");
}
