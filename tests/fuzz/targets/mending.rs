//! Every mend of every finding can be carried out, and mends.
#![no_main]

use glimloom::checks::Analysis;
use glimloom::plan::{Alone, FileKey};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let text = String::from_utf8_lossy(bytes);
    let analysis = Analysis::of(FileKey::new("p"), (&*text).into(), &Alone, &|| false);
    for finding in 0..analysis.findings.len().min(4) {
        for mend in analysis.mends(finding) {
            assert!(!mend.title.is_empty());
            let after = analysis.changed(&mend.edits, &|| false).expect("edits that fit");
            let check = analysis.findings[finding].check;
            let count = |a: &Analysis| a.findings.iter().filter(|f| f.check == check).count();
            assert!(count(&after) <= count(&analysis), "{} in {text}", mend.title);
        }
    }
});
