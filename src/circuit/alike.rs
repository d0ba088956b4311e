//! Whether two plans come to the same equations: then they have the same figures, digit for digit, and these need not be
//! worked out again. A note, a place, a name or a limit is no part of the equations.

use super::tape::most_lumps;
use crate::plan::{Ballast, Led, Module, Part, Plan, Supply, Tape};

/// Whether all that the figures of a plan hang on is the same in another.
pub fn are_alike(a: &Plan, b: &Plan) -> bool {
    let scenes = |plan: &Plan| plan.scenes.len();
    scenes(a) == scenes(b)
        && a.settings.ambient == b.settings.ambient
        && most_lumps(a) == most_lumps(b)
        && each(&a.items, &b.items, |a, b| {
            a.word == b.word && a.feed == b.feed && parts(&a.part, &b.part)
        })
        && each(&a.links, &b.links, |a, b| {
            (a.ends, &a.run) == (b.ends, &b.run)
        })
        && each(&a.scenes, &b.scenes, |a, b| {
            (&a.name, &a.choice) == (&b.name, &b.choice)
        })
        && each(&a.wires, &b.wires, |a, b| a.copper == b.copper)
        && each(&a.tapes, &b.tapes, tapes)
        && each(&a.leds, &b.leds, |a: &Led, b: &Led| a.curve == b.curve)
        && each(&a.modules, &b.modules, modules)
}

fn each<T>(a: &[T], b: &[T], same: impl Fn(&T, &T) -> bool) -> bool {
    a.len() == b.len() && a.iter().zip(b).all(|(a, b)| same(a, b))
}

/// What a part may carry or give, and how it is written, is for the checks.
fn parts(a: &Part, b: &Part) -> bool {
    match (a, b) {
        (Part::Supply(a), Part::Supply(b)) => {
            let of = |supply: &Supply| (supply.volts, supply.resistance, supply.tolerance);
            of(a) == of(b)
        }
        (Part::Fuse { resistance: a, .. }, Part::Fuse { resistance: b, .. }) => a == b,
        (Part::Switch { .. }, Part::Switch { .. }) => true,
        (Part::Connector { contact: a, .. }, Part::Connector { contact: b, .. }) => a == b,
        (Part::Resistor { ohms: a, .. }, Part::Resistor { ohms: b, .. }) => a == b,
        (
            Part::Regulator { volts: a, way, .. },
            Part::Regulator {
                volts: b,
                way: other,
                ..
            },
        ) => (a, way) == (b, other),
        (
            Part::Strip { tape, groups, .. },
            Part::Strip {
                tape: b, groups: n, ..
            },
        ) => (tape, groups) == (b, n),
        (
            Part::Lamps {
                led,
                count,
                resistor,
                ..
            },
            Part::Lamps {
                led: b,
                count: n,
                resistor: r,
                ..
            },
        ) => {
            let ohms = |own: &Option<Ballast>| own.map(|own| own.ohms);
            (led, count, ohms(resistor)) == (b, n, ohms(r))
        }
        (a, b) => a == b,
    }
}

fn tapes(a: &Tape, b: &Tape) -> bool {
    let of = |tape: &Tape| {
        (
            tape.lamps,
            tape.group,
            tape.curve,
            tape.resistor,
            tape.track,
        )
    };
    of(a) == of(b)
}

fn modules(a: &Module, b: &Module) -> bool {
    (a.works, a.draws, &a.turns) == (b.works, b.draws, &b.turns)
        && each(&a.outputs, &b.outputs, |a, b| {
            (a.volts, a.sinks) == (b.volts, b.sinks)
        })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::solve;
    use crate::plan::{Alone, FileKey};

    const PLAN: &str = "harness \"h\" ambient 25 degC headroom 20 %
wire fine gauge 32 AWG insulation enamel colours red, green
tape warm group 3 lamps long 25 mm works 7 V to 12.6 V draws 18 mA at 12 V colour warm-white track 2 ohm per m
led pearl drops 3.0 V at 20 mA limit 25 mA colour white
module blinker works 6 V to 15 V draws 5 mA output a 5 V 100 mA output b 5 V 100 mA turns a, b
zone hold
supply brick 12 V 1 A resistance 1 ohm
fuse F1 500 mA resistance 0.2 ohm from brick
joint keel from F1 over 600 mm of fine in hold
strip bow of warm 6 lamps from keel over 40 mm of fine
lamp mast of pearl resistor 560 ohm from keel over 200 mm of fine
regulator five 5 V 1 A dropout 1.2 V from keel
load pump draws 20 mA from five
load radio takes 100 mW from keel
diode guard drops 0.6 V from keel
connector plug contact 0.02 ohm from guard
resistor r 100 ohm from plug
load coil resistance 330 ohm from r return to keel
board fx of blinker from keel
load p resistance 1 kohm from fx.a
load q resistance 2 kohm from fx.b
link ring between keel and F1 over 300 mm of fine
scene lit
scene dark off bow, pump
scene few only mast
";

    fn read(text: &str) -> Plan {
        let plan = Plan::of(FileKey::new("p"), text.into(), &Alone);
        assert!(plan.problems.is_empty(), "{:?}", plan.problems);
        plan
    }

    #[test]
    fn what_is_alike_has_the_same_digits() {
        let before = read(PLAN);
        let digits = |plan: &Plan| format!("{:?}", solve(plan, &|| false));
        let changes = [
            // No figure hangs on these …
            ("headroom 20 %", "headroom 25 %", true),
            ("\nzone hold", "\n# a comment\nzone hold", true),
            ("zone hold", "zone hold note \"dry\"", true),
            ("in hold", "", true),
            ("500 mA resistance", "400 mA resistance", true),
            ("insulation enamel", "insulation pvc", true),
            ("12 V 1 A", "12 V 2 A", true),
            ("pump", "bilge", true),
            ("five 5 V 1 A", "five 5 V 2 A", true),
            ("6 lamps", "2 groups", true),
            ("560 ohm from", "560 ohm 1/4 W at lamp from", true),
            ("r 100 ohm", "r 100 ohm 1 W", true),
            ("pearl resistor", "pearl runs at 15 mA resistor", true),
            ("plug contact", "plug rated 1 A contact", true),
            // … and on these all.
            ("25 degC", "26 degC", false),
            ("32 AWG", "33 AWG", false),
            ("25 mm works", "26 mm works", false),
            ("18 mA at", "19 mA at", false),
            ("2 ohm per m", "3 ohm per m", false),
            ("drops 3.0 V", "drops 3.1 V", false),
            ("6 V to", "7 V to", false),
            ("draws 5 mA", "draws 6 mA", false),
            ("output b 5 V", "output b 4 V", false),
            (" turns a, b", "", false),
            ("supply brick 12 V", "supply brick 13 V", false),
            ("resistance 1 ohm\n", "resistance 2 ohm\n", false),
            (
                "resistance 1 ohm\n",
                "resistance 1 ohm tolerance 1 %\n",
                false,
            ),
            ("0.2 ohm", "0.3 ohm", false),
            ("600 mm of", "601 mm of", false),
            ("6 lamps", "9 lamps", false),
            ("560 ohm", "510 ohm", false),
            (
                "resistor 560 ohm from keel",
                "resistor 560 ohm from F1",
                false,
            ),
            ("1.2 V", "1.3 V", false),
            ("dropout 1.2 V", "efficiency 90 %", false),
            ("regulator five 5 V", "regulator five 6 V", false),
            ("draws 20 mA", "draws 21 mA", false),
            ("100 mW", "101 mW", false),
            ("0.6 V", "0.7 V", false),
            ("0.02 ohm from guard", "0.03 ohm from guard", false),
            ("r 100 ohm", "r 110 ohm", false),
            ("330 ohm", "360 ohm", false),
            ("return to keel", "return to F1", false),
            ("return to keel", "", false),
            ("between keel and F1", "between keel and five", false),
            ("over 300 mm", "over 310 mm", false),
            ("off bow, pump", "off bow", false),
            ("only mast", "only bow", false),
            ("scene dark", "scene dim", false),
            ("\nscene lit", "", false),
        ];
        for (from, to, expected) in changes {
            let text = PLAN.replace(from, to);
            assert_ne!(text, PLAN, "{from}");
            let after = read(&text);
            assert_eq!(are_alike(&before, &after), expected, "{from} → {to}");
            if expected {
                assert_eq!(digits(&before), digits(&after), "{from} → {to}");
            }
        }
    }
}
