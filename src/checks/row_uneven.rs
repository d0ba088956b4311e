//! # `row-uneven`: lights of one kind that do not look alike
//!
//! **Hint** when of lights of the same stock in the same zone one has more than one and a half times the current of another, in a scene that has
//! both on, and it is the wire that makes the difference.
//!
//! ## Why it matters
//!
//! One window alone may be a little dim, nobody knows. In a row of equal windows the eye compares, and the last one on the long thin wire looks
//! like a fault.
//!
//! ## The limit
//!
//! One and a half, plainly seen side by side (common practice, as in `zone-uneven`). Compared are typical currents, of strips for each group, of lights that are meant
//! alike: the same tape or led, as many in series, the same resistor and `runs at`, from the same supply, regulator or output, behind the same resistors and
//! diodes. Strips that say `dimmed` are left out, and so is one that is told as `drop-too-large` or `tape-starved`.
//!
//! ## Shown
//!
//! ```harness
//! harness "Terrace" max-drop 6 %
//! wire hook gauge 24 AWG insulation pvc outer 1.3 mm colours red, black
//! wire hair gauge 38 AWG insulation enamel colours red, green
//! tape warm group 3 lamps long 25 mm works 8.5 V to 10.5 V draws 18 mA at 9.6 V colour warm-white
//! zone row
//!
//! supply adapter 9.6 V 1 A tolerance 2 %
//! fuse F1 200 mA from adapter
//! joint street from F1 over 600 mm of hook in row
//! strip first of warm 12 lamps from street over 200 mm of hook
//! strip last of warm 12 lamps from street over 2400 mm of hair
//! #     ^^^^ row-uneven
//! ```
//!
//! ## Mended
//!
//! ```harness
//! harness "Terrace" max-drop 6 %
//! wire hook gauge 24 AWG insulation pvc outer 1.3 mm colours red, black
//! tape warm group 3 lamps long 25 mm works 8.5 V to 10.5 V draws 18 mA at 9.6 V colour warm-white
//! zone row
//!
//! supply adapter 9.6 V 1 A tolerance 2 %
//! fuse F1 200 mA from adapter
//! joint street from F1 over 600 mm of hook in row
//! strip first of warm 12 lamps from street over 200 mm of hook
//! strip last of warm 12 lamps from street over 2400 mm of hook
//! ```
//!
//! Offered are thicker wire from the plan's stock and, for a light that is chained through another, a branch of its own.

use rustc_hash::FxHashMap;

use super::lamps::way_to_source;
use super::page::page;
use super::supplies::judged;
use super::tape_figures::strips;
use super::words::in_scene;
use super::{Check, Context, Finding, Mend, drop_too_large, tape_starved};
use crate::circuit::ItemFigures;
use crate::numbers::{show, three_digits};
use crate::plan::{ItemId, LedId, Part, Point, Severity, TapeId, ZoneId};
use crate::rewrites::thicker_wire::fed_with;
use crate::rewrites::{branch_chain, thicken_wire};
use crate::syntax::tree::Name;
use crate::units::{ElectricCurrent, amps};

/// Lights of one kind that do not look alike.
pub const CHECK: Check = Check {
    name: "row-uneven",
    severities: &[Severity::Hint],
    page: page!("row_uneven.rs"),
    check,
    mends: Some(mends),
};

/// By what factor lights that are to look alike may differ.
const ALIKE: f64 = 1.5;

/// What lights are of.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
enum Kind {
    Tape(TapeId),
    /// So many in series, with the bits of the resistance and of the wanted current.
    Led(LedId, u32, Option<u64>, Option<u64>),
}

/// What lights have in common that are meant to look alike.
#[derive(PartialEq, Eq, Hash)]
struct Row {
    zone: ZoneId,
    kind: Kind,
    source: Point,
    /// The resistors and diodes on the way from there.
    behind: Vec<ItemId>,
}

fn row(context: &Context, light: ItemId) -> Option<Row> {
    let plan = context.plan;
    let item = &plan.items[light.0];
    let kind = match &item.part {
        Part::Strip {
            tape,
            groups,
            dimmed: false,
            ..
        } if *groups > 0 => Kind::Tape(*tape),
        Part::Lamps {
            led,
            count,
            resistor,
            runs_at,
        } => Kind::Led(
            *led,
            *count,
            resistor.map(|r| r.ohms.value.to_bits()),
            runs_at.map(|i| i.value.to_bits()),
        ),
        _ => return None,
    };
    let takes = |i: &ItemId| {
        matches!(
            plan.items[i.0].part,
            Part::Resistor { .. } | Part::Diode { .. } | Part::Rectifier { .. }
        )
    };
    Some(Row {
        zone: item.zone?,
        kind,
        source: fed_with(plan, light)?.1,
        behind: way_to_source(context, light).filter(takes).collect(),
    })
}

/// The rows of the plan with two lights or more, in the order of their first.
fn rows(context: &Context) -> Vec<Vec<ItemId>> {
    let judged = judged(context);
    let mut places: FxHashMap<Row, usize> = FxHashMap::default();
    let mut rows: Vec<Vec<ItemId>> = Vec::new();
    for light in context.plan.lights().filter(|light| judged[light.0]) {
        let Some(row) = row(context, light) else {
            continue;
        };
        let place = *places.entry(row).or_insert(rows.len());
        match rows.get_mut(place) {
            Some(lights) => lights.push(light),
            None => rows.push(vec![light]),
        }
    }
    rows.retain(|lights| lights.len() > 1);
    rows
}

/// The typical current of a light, of a strip for each group; `None` where it is not on.
fn current(context: &Context, light: ItemId, of: &ItemFigures) -> Option<ElectricCurrent> {
    let groups = match context.plan.items[light.0].part {
        Part::Strip { groups, .. } => f64::from(groups.max(1)),
        _ => 1.0,
    };
    of.reached.then(|| of.amps.typical / groups)
}

/// The brightest and the dimmest of a row where they differ most.
struct Uneven {
    bright: (ItemId, ElectricCurrent),
    dim: (ItemId, ElectricCurrent),
    scene: Name,
}

impl Uneven {
    fn factor(&self) -> f64 {
        (self.bright.1 / self.dim.1.max(amps(1e-6))).value
    }
}

fn uneven(context: &Context, row: &[ItemId]) -> Option<Uneven> {
    let mut most: Option<Uneven> = None;
    for scene in &context.solution.scenes {
        let Ok(figures) = &scene.outcome else {
            continue;
        };
        let on = row
            .iter()
            .filter_map(|&light| Some((light, current(context, light, &figures.items[light.0])?)));
        let mut ends: Option<((ItemId, ElectricCurrent), (ItemId, ElectricCurrent))> = None;
        for light in on {
            let (bright, dim) = ends.get_or_insert((light, light));
            if light.1 > bright.1 + amps(1e-6) {
                *bright = light;
            }
            if light.1 + amps(1e-6) < dim.1 {
                *dim = light;
            }
        }
        let Some((bright, dim)) = ends else { continue };
        let here = Uneven {
            bright,
            dim,
            scene: scene.name.clone(),
        };
        if most
            .as_ref()
            .is_none_or(|m| here.factor() > m.factor() + 1e-6)
        {
            most = Some(here);
        }
    }
    most
}

/// Whether another check says already that a light has too little.
fn is_told(context: &Context, light: ItemId) -> bool {
    let starved = |strip| tape_starved::judge(context, &strip).is_some();
    drop_too_large::is_lost(context, light)
        || strips(context)
            .find(|s| s.item == light)
            .is_some_and(starved)
}

fn check(context: &Context, out: &mut Vec<Finding>) {
    for row in rows(context) {
        let Some(uneven) = uneven(context, &row) else {
            continue;
        };
        let factor = uneven.factor();
        let (dim, bright) = (uneven.dim, uneven.bright);
        if factor <= ALIKE + 1e-6 || is_told(context, dim.0) {
            continue;
        }
        let item = &context.plan.items[dim.0.0];
        let zone = item.zone.map_or("", |z| &*context.plan.zones[z.0].name.0);
        let each = match item.part {
            Part::Strip { .. } => " a group",
            _ => "",
        };
        let message = format!(
            "{} has {}{each} {}, {} has {}: {} times as much, though both are alike in `{zone}`. Take thicker wire, or feed it another way.",
            context.quoted(dim.0),
            show(dim.1),
            in_scene(&uneven.scene),
            context.quoted(bright.0),
            show(bright.1),
            three_digits(factor),
        );
        let span = context.name_span(item.stanza);
        let mut finding = context.on_item(CHECK.name, Severity::Hint, dim.0, span, message);
        finding.related = vec![context.related(bright.0, format!("has {}{each}", show(bright.1)))];
        out.push(finding);
    }
}

/// Thicker wire, branched.
fn mends(context: &Context, finding: &Finding) -> Vec<Mend> {
    let Some(&light) = finding.about.first() else {
        return Vec::new();
    };
    let mut mends = thicken_wire(context.plan, context.solution, light);
    mends.extend(branch_chain(context.plan, context.solution, light));
    mends
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, plan};
    use super::*;

    /// Two lamps on 4 V, one of them behind so much wire of 1 ohm a metre; half of the volts may be lost.
    fn said(length: &str, a: &str, b: &str, more: &str) -> Vec<String> {
        let text = format!(
            "harness \"h\" max-drop 50 %\nwire ohm1 area 0.017241 mm2\nled p drops 3.0 V at 20 mA colour white\nzone z\nzone y\nsupply s 4 V 1 A\nregulator g 4 V 1 A dropout 0 V from s\nlamp a of p {a} from s in z\nlamp b of p {b} over {length} of ohm1 in z\n{more}\n"
        );
        let findings = found(&plan(&text), CHECK.name);
        findings.into_iter().map(|f| f.message).collect()
    }

    const A: &str = "resistor 40 ohm";
    const B: &str = "resistor 40 ohm from s";

    #[test]
    fn one_and_a_half_times() {
        // By hand: 3.0 V + m·ln(x/20 mA) + 10 ohm·(x − 20 mA) + 40 ohm·x is 4 V at 23.8 mA. Two thirds of it, 15.87 mA,
        // drop 2.947 V and leave 1.053 V / 15.87 mA − 40 ohm = 26.4 ohm of wire: two legs of 13.2 m.
        assert_eq!(said("13 m", A, B, "").len(), 0);
        assert_eq!(said("13.4 m", A, B, "").len(), 1);
        let said = &said("60 m", A, B, "scene day off a\nscene night")[0];
        assert!(said.starts_with("`b` has "), "{said}");
        assert!(said.contains(" in `night`, `a` has "), "{said}");
    }

    #[test]
    fn what_is_meant_to_differ_is_not_compared() {
        assert_eq!(said("60 m", "resistor 39 ohm", B, ""), [""; 0]);
        assert_eq!(
            said("60 m", "resistor 40 ohm runs at 20 mA", B, ""),
            [""; 0]
        );
        assert_eq!(said("60 m", A, "resistor 40 ohm from g", ""), [""; 0]);
        let behind = "resistor r 1 ohm from s\n";
        assert_eq!(said("60 m", A, "resistor 40 ohm from r", behind), [""; 0]);
        assert_eq!(
            said("60 m", A, B, "scene day off a\nscene night off b").len(),
            1
        ); // all-on
    }

    #[test]
    fn strips_count_by_the_group_and_dimmed_ones_do_not() {
        let with = |dimmed: &str, lamps: u32| {
            let text = format!(
                "harness \"h\" max-drop 50 %\nwire ohm1 area 0.017241 mm2\ntape t group 1 lamps long 10 mm works 2.5 V to 5 V draws 20 mA at 4 V colour white\nzone z\nsupply s 4 V 1 A\nstrip a of t 1 lamp from s in z\nstrip b of t {lamps} lamps {dimmed} from s over 3.6 m of ohm1 in z\n"
            );
            found(&plan(&text), CHECK.name).len()
        };
        assert_eq!(with("", 1), 0);
        assert_eq!(with("", 5), 1);
        assert_eq!(with("dimmed", 5), 0);
    }
}
