//! Plans written from bytes, as by dice: every kind of stanza, ordinary figures and absurd ones, names that are there.

use std::fmt::Write;

/// Bytes as dice; zeros once they are spent.
pub struct Dice<'a>(pub &'a [u8]);

impl Dice<'_> {
    /// A number below `limit`.
    pub fn below(&mut self, limit: usize) -> usize {
        let byte = match self.0.split_first() {
            Some((byte, rest)) => {
                self.0 = rest;
                *byte
            }
            None => 0,
        };
        usize::from(byte) % limit.max(1)
    }

    /// One of these.
    pub fn one_of<'b>(&mut self, of: &[&'b str]) -> &'b str {
        of[self.below(of.len())]
    }

    fn name<'b>(&mut self, of: &'b [String]) -> &'b str {
        &of[self.below(of.len())]
    }
}

const STOCK: &str = "\
wire fine gauge 32 AWG colours red, black
wire bare diameter 0.2 mm insulation none
tape warm group 3 lamps long 25 mm works 7 V to 12.6 V draws 4 W per m at 12 V
led pearl drops 3.0 V at 20 mA, 2.8 V at 5 mA gives 900 mcd over 30 deg
led ruby drops 1.9 V at 10 mA limit 15 mA colour red
module fx works 6 V to 15 V draws 8 mA
  output reg 5 V 200 mA
  output on 300 mA
  output low 60 mA sinks flash 1 Hz duty 20 %
  turns reg, on
zone deck inside 40 cm2 sealed
zone mast
passage step between deck and mast bore 2 mm
";

const VOLTS: [&str; 10] = [
    "12 V", "5 V", "9 V", "3 V", "24 V", "1 mV", "0.5 V", "59 V", "6.3 V", "100 V",
];
const AMPS: [&str; 8] = [
    "20 mA", "100 mA", "1 A", "2 A", "5 A", "1 uA", "30 mA", "900 A",
];
const OHMS: [&str; 10] = [
    "560 ohm",
    "1 ohm",
    "0.1 ohm",
    "2k2",
    "1 Mohm",
    "0.001 ohm",
    "47R",
    "150 ohm",
    "10 kohm",
    "0.22 ohm",
];
const LONG: [&str; 8] = [
    "100 mm", "1 mm", "30 cm", "2 m", "900 m", "2 in", "1 ft", "0.1 mm",
];

fn run(d: &mut Dice) -> String {
    match d.below(4) {
        0 => String::new(),
        n => format!(" over {} of {}", d.one_of(&LONG), ["fine", "bare"][n % 2]),
    }
}

/// A plan.
pub fn plan(d: &mut Dice) -> String {
    let mut text = match d.below(3) {
        0 => String::from("harness \"x\" scale 1:87 ambient 30 degC survives one break\n"),
        _ => String::new(),
    };
    text += STOCK;
    let mut points: Vec<String> = Vec::new();
    for k in 0..=d.below(3) {
        let more = d.one_of(&[
            "",
            " 1 A",
            " resistance 0.2 ohm",
            " 2 A resistance 1 ohm",
            " either-way",
            " capacity 500 mAh spent 9 V",
        ]);
        let _ = writeln!(text, "supply s{k} {}{more}", d.one_of(&VOLTS));
        points.push(format!("s{k}"));
    }
    let mut items: Vec<String> = points.clone();
    let mut patterns = 0;
    for k in 0..1 + d.below(24) {
        let back = match d.below(9) {
            0 => format!(" return to {}{}", d.name(&points), run(d)),
            _ => String::new(),
        };
        let feed = format!("from {}{}{back}", d.name(&points), run(d));
        let name = format!("i{k}");
        let mut hands_on = true;
        let line = match d.below(20) {
            0 => format!("joint {name} {feed}"),
            1 => format!(
                "fuse {name} {} resistance {} {feed}",
                d.one_of(&AMPS),
                d.one_of(&OHMS)
            ),
            2 => format!("connector {name} contact {} {feed}", d.one_of(&OHMS)),
            3 => format!("resistor {name} {} {feed}", d.one_of(&OHMS)),
            4 => format!("diode {name} drops 0.3 V {feed}"),
            5 => format!("strip {name} of warm {} groups {feed}", 1 + d.below(9)),
            6 => format!(
                "string {name} of ruby {} lamps resistor {} {feed}",
                2 + d.below(4),
                d.one_of(&OHMS)
            ),
            7 => format!(
                "regulator {name} {} {} {feed}",
                d.one_of(&VOLTS),
                d.one_of(&AMPS)
            ),
            8 => format!(
                "regulator {name} {} {} efficiency 85 % {feed}",
                d.one_of(&VOLTS),
                d.one_of(&AMPS)
            ),
            9 => format!("rectifier {name} drops 1.4 V {feed}"),
            10 => format!("switch {name} {feed}"),
            11 => {
                points.extend(["reg", "on", "low"].map(|output| format!("{name}.{output}")));
                hands_on = false;
                format!("board {name} of fx {feed}")
            }
            12 => {
                hands_on = false;
                format!("load {name} resistance {} {feed}", d.one_of(&OHMS))
            }
            13 => {
                hands_on = false;
                format!("load {name} takes {} mW {feed}", 1 + d.below(255))
            }
            14 => {
                hands_on = false;
                format!("load {name} draws {} {feed}", d.one_of(&AMPS))
            }
            15 => {
                patterns += 1;
                let p = format!("p{patterns}");
                format!(
                    "pattern {p} needs bulb\nlamp {p}.tip of {p}.bulb resistor {} from {p}\nlamp {p}.end of ruby resistor {} from {p}{}\ncopy {name} of {p} {feed} where bulb {}",
                    d.one_of(&OHMS),
                    d.one_of(&OHMS),
                    run(d),
                    d.one_of(&["pearl", "ruby"])
                )
            }
            n => {
                let zone = d.one_of(&["", " in deck", " in mast"]);
                format!(
                    "lamp {name} of {} resistor {} {feed}{zone}",
                    ["pearl", "ruby"][n % 2],
                    d.one_of(&OHMS)
                )
            }
        };
        text += &line;
        text.push('\n');
        if hands_on {
            points.push(name.clone());
        }
        items.push(name);
    }
    for k in 0..d.below(3) {
        let _ = writeln!(
            text,
            "link l{k} between {} and {}{}",
            d.name(&points),
            d.name(&points),
            run(d)
        );
    }
    for k in 0..d.below(3) {
        let _ = writeln!(text, "scene n{k} off {}", d.name(&items));
    }
    // To look at what an input stands for.
    if std::env::var_os("GLIMLOOM_SHOW").is_some() {
        eprintln!("{text}");
    }
    text
}
