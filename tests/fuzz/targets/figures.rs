//! Figures in words: whatever the number, they are short; what is in reach of a bench, read again, is the number to three digits.
#![no_main]

use glimloom::numbers::{Shown, between, show, show_and_limit, show_short, with_range};
use glimloom::syntax::read_stanza;
use glimloom::syntax::tree::ValueKind;
use glimloom::syntax::vocabulary::UNITS;
use glimloom::units::{ElectricCurrent, ElectricPotential, ElectricalResistance, Power};
use libfuzzer_sys::fuzz_target;

/// The figure of a stanza's first clause that has one.
fn read(stanza: String) -> Option<f64> {
    let stanza = read_stanza(stanza.into());
    let clauses = stanza.clauses.iter().flat_map(|clause| &clause.values);
    let mut values = stanza.head.iter().chain(clauses);
    values.find_map(|value| match value.kind {
        ValueKind::Quantity(number, _) if stanza.faults.is_empty() => Some(number),
        _ => None,
    })
}

fn held<Q: Shown>(of: [f64; 2], make: fn(f64) -> Q, stanza: fn(&str) -> String) {
    let [one, other] = of.map(make);
    let words = show(one);
    let others = [
        show_short(one),
        between(one, other),
        with_range(one, other, one),
    ];
    assert!(others.iter().chain([&words]).all(|words| !words.is_empty()));
    // A reader takes nothing from a billion on, nor under a millionth, in the unit as it is written; nor has the language all units that a
    // figure can be said in.
    let x = one.number();
    let (_, unit) = words.split_once(' ').expect("a number and a unit");
    if !(1e-6..1e8).contains(&x) || UNITS.iter().all(|known| known.word != unit) {
        return;
    }
    let off = |words: &str| match read(stanza(words)) {
        Some(back) => (back - x).abs() / x,
        None => panic!("{words} of {x} cannot be read"),
    };
    // Half of the last of three digits; a hundredth of a volt is the last one of volts.
    assert!(off(&words) <= 0.005_001, "{x} is {words}");
    assert!(words.len() <= 14, "{x} is {words}");
    let (words, limit) = show_and_limit(one, other);
    if (x - other.number()).abs() > 1e-7 * x {
        assert_ne!(words, limit, "{x} and {}", other.number());
    }
    assert!(off(&words) <= 0.005_001, "{x} is {words}");
}

fuzz_target!(|bytes: (u8, f64, f64)| {
    let (kind, one, other) = bytes;
    let some = |x: f64| match x.is_finite() {
        // All sizes come about as often.
        true => x.abs() % 10.0 * 10f64.powi(i32::from(kind >> 2) % 20 - 10),
        false => x,
    };
    let of = [some(one), some(other)];
    match kind % 4 {
        0 => held(
            of,
            |x| ElectricCurrent {
                value: x,
                ..Default::default()
            },
            |words| format!("load a draws {words} from s"),
        ),
        1 => held(
            of,
            |x| ElectricPotential {
                value: x,
                ..Default::default()
            },
            |words| format!("supply a {words}"),
        ),
        2 => held(
            of,
            |x| Power {
                value: x,
                ..Default::default()
            },
            |words| format!("load a takes {words} from s"),
        ),
        _ => held(
            of,
            |x| ElectricalResistance {
                value: x,
                ..Default::default()
            },
            |words| format!("resistor a {words} from s"),
        ),
    }
});
