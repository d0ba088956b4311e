//! Every mend that is offered can be carried out; the changed text, read and solved from the beginning, no longer has the
//! finding, and reads no worse.
#![no_main]

#[path = "../written.rs"]
mod written;

use glimloom::checks::Analysis;
use glimloom::plan::{Alone, FileKey};
use libfuzzer_sys::fuzz_target;

fn analysed(text: &str) -> Analysis {
    Analysis::of(FileKey::new("p"), text.into(), &Alone, &|| false)
}

fn faults(of: &Analysis) -> usize {
    let stanzas = of.plan.files[0].tree.stanzas.iter();
    stanzas
        .map(|placed| {
            placed
                .stanza
                .faults
                .iter()
                .filter(|f| f.check == "syntax")
                .count()
        })
        .sum()
}

fuzz_target!(|bytes: &[u8]| {
    let (first, text) = match bytes.split_first() {
        Some((which @ 0x80.., dice)) => {
            (usize::from(*which), written::plan(&mut written::Dice(dice)))
        }
        _ => (bytes.len(), String::from_utf8_lossy(bytes).into_owned()),
    };
    let before = analysed(&text);
    let many = before.findings.len();
    // Some of each plan, other ones in each.
    for nth in 0..many.min(3) {
        let nth = (first + nth * 7) % many;
        let finding = &before.findings[nth];
        for mend in before.mends(nth) {
            assert!(!mend.title.is_empty() && !mend.edits.is_empty());
            let after = before
                .changed(&mend.edits, &|| false)
                .expect("edits that fit");
            let new = &after.plan.files[0].text;
            let fresh = analysed(new);
            assert_eq!(
                format!("{:?}", fresh.findings),
                format!("{:?}", after.findings),
                "{} in {text}",
                mend.title
            );
            let is_it =
                |f: &&glimloom::checks::Finding| f.check == finding.check && f.item == finding.item;
            let count = |of: &Analysis| of.findings.iter().filter(is_it).count();
            assert!(
                count(&fresh) < count(&before),
                "{} of {} in {text} gives {new}",
                mend.title,
                finding.check
            );
            assert!(
                faults(&fresh) <= faults(&before),
                "{} in {text}",
                mend.title
            );
        }
    }
});
