//! Whatever plan is read, it is solved within bounds, and twice to the same digits.
#![no_main]

use glimloom::checks::Analysis;
use glimloom::plan::{Alone, FileKey};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let text = String::from_utf8_lossy(bytes);
    let analyse = || Analysis::of(FileKey::new("p"), (&*text).into(), &Alone, &|| false);
    let (one, two) = (analyse(), analyse());
    assert_eq!(format!("{:?}", one.solution), format!("{:?}", two.solution));
    let said = |a: &Analysis| -> Vec<String> { a.findings.iter().map(|f| f.message.clone()).collect() };
    assert_eq!(said(&one), said(&two));
});
