//! One stanza: what its tree points at lies in it, and read by another one that is like it but for its names it is the same.
#![no_main]

#[path = "../pieces.rs"]
mod pieces;
#[path = "../sound.rs"]
mod sound;

use glimloom::syntax::{Moulds, read_stanza};
use libfuzzer_sys::fuzz_target;
use sound::is_sound;

/// Words of the language, with what may stand around them.
const PIECES: [&str; 96] = [
    "\n  ",
    " ",
    ", ",
    "\"",
    " # ",
    "é",
    "😀",
    "Ω",
    "\r\n",
    "\r",
    "\u{feff}",
    "−",
    ".",
    "1:",
    "°",
    "wire ",
    "tape ",
    "led ",
    "module ",
    "zone ",
    "passage ",
    "supply ",
    "joint ",
    "fuse ",
    "connector ",
    "resistor ",
    "diode ",
    "strip ",
    "string ",
    "regulator ",
    "rectifier ",
    "switch ",
    "board ",
    "load ",
    "pattern ",
    "lamp ",
    "copy ",
    "link ",
    "scene ",
    "harness ",
    "use ",
    " from ",
    " of ",
    " over ",
    " resistor ",
    " in ",
    " return to ",
    " between ",
    " and ",
    " off ",
    " draws ",
    " takes ",
    " resistance ",
    " drops ",
    " at ",
    " limit ",
    " colour ",
    " gives ",
    " works ",
    " gauge ",
    " AWG",
    " V",
    " mA",
    " A",
    " ohm",
    "k2",
    " mm",
    " W",
    " lamps",
    " groups",
    " Hz",
    " %",
    " degC",
    " cm2",
    " mAh",
    "\n  output ",
    "\n  turns ",
    "\n  accept single-path because \"so\"",
    " needs ",
    " where ",
    " but ",
    " sealed",
    " survives one break",
    " scale 1:87",
    " ambient ",
    "12",
    "0.5",
    "1/4",
    "1e9",
    "2026-02-29",
    "pearl",
    "Pearl",
    "keel",
    "a.b",
    " either-way",
    " to ",
];

thread_local! {
    /// Kept from input to input, as a session keeps them.
    static MOULDS: Moulds = Moulds::default();
}

fuzz_target!(|bytes: &[u8]| {
    let text = pieces::pieced(bytes, &PIECES);
    let stanza = read_stanza(text.as_str().into());
    assert_eq!(*stanza.text, *text);
    is_sound(&stanza);
    let by_mould = MOULDS.with(|moulds| moulds.read(&text, |_, _| ()));
    assert_eq!(*by_mould, stanza);
});
