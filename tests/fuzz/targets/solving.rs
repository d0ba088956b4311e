//! Whatever plan is read or written by dice: its figures are numbers, what flows into a node flows out of it (Kirchhoff's
//! current law, summed up here from the figures of the legs alone), and a second time every digit is the same.
#![no_main]

#[path = "../written.rs"]
mod written;

use glimloom::checks::Analysis;
use glimloom::circuit::{Figure, Figures};
use glimloom::plan::{Alone, FileKey, Part, Plan, RegulatorWay};
use glimloom::units::ElectricCurrent;
use libfuzzer_sys::fuzz_target;

/// The solver leaves 2e-7 A and a billionth of the largest current at a node; some nodes of ours are several of its.
fn slack(most: f64) -> f64 {
    2e-6 + 1e-7 * most
}

fn at(figure: &Figure<ElectricCurrent>) -> f64 {
    figure.typical.value
}

fn is_in_balance(plan: &Plan, figures: &Figures, text: &str) {
    // What flows out of each item's point through legs and links, in plus and minus.
    let mut out = vec![(0.0, 0.0); plan.items.len()];
    // The figures of what is off are zero, though one of its legs may be part of a ring: there nothing is summed up.
    let mut is_known = vec![true; plan.items.len()];
    let mut most: f64 = 0.0;
    for (item, own) in plan.items.iter().zip(figures.items.iter()) {
        for figure in [&own.amps, &own.passes, &own.returns, &own.gives] {
            for amps in [figure.typical, figure.low, figure.high] {
                assert!(amps.value.is_finite(), "{} in\n{text}", item.name.0);
                most = most.max(amps.value.abs());
            }
        }
        for figure in [&own.volts, &own.drop, &own.hands_on] {
            for volts in [figure.typical, figure.low, figure.high] {
                assert!(volts.value.is_finite(), "{} in\n{text}", item.name.0);
            }
        }
        assert!(own.watts.high.value.is_finite());
        if let Some(feed) = &item.feed {
            if !own.reached {
                is_known[feed.from.item.0] = false;
                is_known[feed.minus().item.0] = false;
            }
            out[feed.from.item.0].0 += at(&own.passes);
            out[feed.minus().item.0].1 += at(&own.returns);
        }
    }
    for (link, (plus, minus)) in plan.links.iter().zip(figures.links.iter()) {
        for (point, sign) in [(link.ends.0, 1.0), (link.ends.1, -1.0)] {
            out[point.item.0].0 += sign * at(plus);
            out[point.item.0].1 -= sign * at(minus);
        }
    }
    for (((item, own), (plus, minus)), is_known) in
        (plan.items.iter().zip(figures.items.iter()).zip(out)).zip(is_known)
    {
        if !own.reached || !is_known {
            continue;
        }
        let same = |what: &str, is: f64, should: f64| {
            let off = (is - should).abs();
            assert!(
                off <= slack(most),
                "{} of {}: {is} A, should be {should} A in\n{text}",
                what,
                item.name.0
            );
        };
        match &item.part {
            Part::Supply(_) => {
                same("what the supply gives", at(&own.passes), plus);
                same("what comes back to the supply", at(&own.passes), minus);
            }
            // What they take is not what they give.
            Part::Rectifier { .. }
            | Part::Regulator {
                way: RegulatorWay::Switching { .. },
                ..
            } => {
                same("what comes out", at(&own.gives), plus);
            }
            _ => {
                same("plus", at(&own.passes), at(&own.amps) + plus);
                same("minus", at(&own.returns), at(&own.amps) + minus);
            }
        }
    }
}

fuzz_target!(|bytes: &[u8]| {
    let text = match bytes.split_first() {
        Some((0x80.., dice)) => written::plan(&mut written::Dice(dice)),
        _ => String::from_utf8_lossy(bytes).into_owned(),
    };
    let analyse = || Analysis::of(FileKey::new("p"), text.as_str().into(), &Alone, &|| false);
    let one = analyse();
    for state in one.solution.states() {
        if let Ok(figures) = &state.outcome {
            assert_eq!(figures.items.len(), one.plan.items.len());
            is_in_balance(&one.plan, figures, &text);
        }
    }
    let two = analyse();
    assert_eq!(format!("{:?}", one.solution), format!("{:?}", two.solution));
    assert_eq!(format!("{:?}", one.findings), format!("{:?}", two.findings));
});
