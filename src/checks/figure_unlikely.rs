//! # `figure-unlikely`: a slip of unit or digit
//!
//! **Warning** on a figure that can be, but hardly is: a run over 3 m, or over 5 times the plan's median run and over 1 m; a supply under 10 mA or over
//! 20 A; a tape group over 100 mA, or not 3 to 100 mm long; a lamp rated over 100 mA (unless its `limit` says so); a bore over 50 mm; `drops` outside what
//! lamps of the colour have; an `ambient` over 100 degC or under -50 degC.
//!
//! ## Why it matters
//!
//! A metre for a centimetre, an ampere for a milliampere: every figure that follows is wrong, and looks as exact as the others.
//!
//! ## The limit
//!
//! What scale models have (common practice). The bands of `drops` are the spread of the usual data sheets with some room for other currents, in volts: red,
//! amber 1.5–2.6, yellow 1.6–2.8, green 1.7–3.8, blue 2.4–3.9, white and warm-white 2.4–3.8, uv 2.8–4.5, infrared 0.9–1.9. Without `colour` nothing is said of
//! `drops`.
//!
//! ## Shown
//!
//! ```harness
//! tape warm group 3 lamps long 25 cm works 7 V to 12.6 V draws 18 mA at 12 V colour warm-white
//! #                            ^^^^^ figure-unlikely
//! led pearl drops 2.0 V at 20 mA colour white
//! #               ^^^^^ figure-unlikely
//!
//! supply adapter 12 V 500 A
//! #                   ^^^^^ figure-unlikely
//! strip saloon of warm 6 lamps from adapter
//! lamp mast of pearl resistor 560 ohm from adapter
//! ```
//!
//! ## Mended
//!
//! ```harness
//! tape warm group 3 lamps long 25 mm works 7 V to 12.6 V draws 18 mA at 12 V colour warm-white
//! led pearl drops 3 V at 20 mA colour white
//!
//! supply adapter 12 V 500 mA
//! strip saloon of warm 6 lamps from adapter
//! lamp mast of pearl resistor 560 ohm from adapter
//! ```
//!
//! Offered are the same number with the unit beside it, and a usual value; for a lamp of much current also the `limit` that says it is so.

use super::facts::Fact;
use super::limits::{over, under};
use super::page::page;
use super::{Check, Context, Finding, Mend};
use crate::numbers::{length, show};
use crate::plan::curve::usual_drop;
use crate::plan::{Edit, ItemId, Opening, Part, Plan, Severity, StanzaId};
use crate::rewrites::stanza_text::Spelling;
use crate::syntax::tree::{Clause, Value, ValueKind};
use crate::syntax::vocabulary::Dimension;
use crate::text::Span;
use crate::units::{ElectricPotential, Length, amps, metres, volts};

/// A slip of unit or digit.
pub const CHECK: Check = Check {
    name: "figure-unlikely",
    severities: &[Severity::Warning],
    page: page!("figure_unlikely.rs"),
    check,
    mends: Some(mends),
};

/// A run of this length is long for any model …
const LONG_RUN: f64 = 3.0;
/// … and from this one on, where it is so many times the plan's median.
const LONGISH_RUN: f64 = 1.0;
const TIMES_MEDIAN: f64 = 5.0;
/// Currents of supplies, amperes.
const SUPPLY: (f64, f64) = (0.010, 20.0);
/// The most that a tape group or a lamp draws, amperes.
const GROUP_OR_LAMP: f64 = 0.1;
/// Lengths of tape groups, metres.
const GROUP: (f64, f64) = (0.003, 0.1);
/// The widest bore, metres.
const BORE: f64 = 0.05;

/// Temperatures around a model, kelvin: -50 and 100 degC.
const AMBIENT: (f64, f64) = (223.15, 373.15);
/// Two temperatures that differ by less are one, kelvin.
const SAME_TEMPERATURE: f64 = 1e-6;

/// Two lengths that differ by less are one, metres.
const SAME_LENGTH: f64 = 1e-9;

/// An unlikely figure.
struct Slip {
    stanza: StanzaId,
    /// The item that it is of, if any.
    item: Option<ItemId>,
    /// The quantity.
    span: Span,
    message: String,
    /// What figures of the kind are likely, in the SI unit: mends stay within.
    likely: (f64, f64),
    /// Usual values, as they are written.
    usual: Vec<String>,
}

fn check(context: &Context, out: &mut Vec<Finding>) {
    for slip in slips(context) {
        let finding = match slip.item {
            Some(item) => {
                context.on_item(CHECK.name, Severity::Warning, item, slip.span, slip.message)
            }
            None => context.on_stanza(
                CHECK.name,
                Severity::Warning,
                slip.stanza,
                slip.span,
                slip.message,
            ),
        };
        out.push(finding);
    }
}

fn slips(context: &Context) -> Vec<Slip> {
    let mut slips = Vec::new();
    runs(context, &mut slips);
    supplies(context, &mut slips);
    tapes(context, &mut slips);
    leds(context, &mut slips);
    bores(context, &mut slips);
    ambient(context, &mut slips);
    slips
}

/// The first quantity of a dimension.
fn quantity(values: &[Value], dimension: Dimension) -> Option<Span> {
    let is = |v: &&Value| matches!(v.kind, ValueKind::Quantity(_, d) if d == dimension);
    values.iter().find(is).map(|v| v.span)
}

fn length_of(over: Option<&Clause>) -> Option<Span> {
    quantity(&over?.values, Dimension::Length)
}

type RunLength = (StanzaId, Option<ItemId>, Option<Span>, Length);

/// The run of a minus leg, where that says its own.
fn own_return(from: &Clause) -> Option<&Clause> {
    from.part("return")?.part("over")
}

/// Runs of items, their own returns, and links.
fn all_runs(plan: &Plan) -> Vec<RunLength> {
    let mut all: Vec<RunLength> = Vec::with_capacity(plan.items.len() + plan.links.len());
    for (i, item) in plan.items.iter().enumerate() {
        let Some(feed) = &item.feed else { continue };
        let from = plan.stanza(item.stanza).clause("from");
        if let Some(run) = &feed.run {
            let span = length_of(from.and_then(|c| c.part("over")));
            all.push((item.stanza, Some(ItemId(i)), span, run.length));
        }
        let back = from.and_then(own_return);
        if let (Some(run), Some(over)) = (&feed.back_run, back) {
            all.push((
                item.stanza,
                Some(ItemId(i)),
                length_of(Some(over)),
                run.length,
            ));
        }
    }
    for link in &plan.links {
        if let Some(run) = &link.run {
            let stanza = plan.stanza(link.stanza);
            let over = stanza
                .clause("over")
                .or_else(|| stanza.clause("between")?.part("over"));
            all.push((link.stanza, None, length_of(over), run.length));
        }
    }
    all
}

/// The lengths of all runs, metres.
pub fn run_lengths(plan: &Plan) -> Vec<f64> {
    let feeds = plan.items.iter().filter_map(|item| {
        let feed = item.feed.as_ref()?;
        let from = plan.stanza(item.stanza).clause("from");
        let has_own = from.is_some_and(|c| own_return(c).is_some());
        Some([
            feed.run.as_ref(),
            feed.back_run.as_ref().filter(|_| has_own),
        ])
    });
    let links = plan.links.iter().map(|link| link.run.as_ref());
    let runs = feeds.flatten().chain(links).flatten();
    runs.map(|run| run.length.value).collect()
}

/// Whether a run is so long that it is to be compared with the others.
pub fn is_longish(run: f64) -> bool {
    run > LONGISH_RUN + SAME_LENGTH
}

/// Runs that are long.
fn runs(context: &Context, slips: &mut Vec<Slip>) {
    let plan = context.plan;
    let all = all_runs(plan);
    // Shorter ones need no comparison.
    if !all.iter().any(|r| is_longish(r.3.value)) {
        return;
    }
    let own = || median(all.iter().map(|r| r.3.value).collect());
    let Some(median) = context.elsewhere(Fact::UsualRun).usual_run.or_else(own) else {
        return;
    };
    let longest = LONG_RUN.min((TIMES_MEDIAN * median).max(LONGISH_RUN));
    for (stanza, item, span, is) in all {
        if is.value <= longest + SAME_LENGTH {
            continue;
        }
        let limit = if is.value > LONG_RUN + SAME_LENGTH {
            format!("over {}", length(metres(LONG_RUN)))
        } else {
            format!(
                "over {TIMES_MEDIAN} times the plan's usual {}",
                length(metres(median))
            )
        };
        let span = span.unwrap_or_else(|| context.name_span(stanza));
        let tenth =
            Spelling::of(plan.stanza(stanza).words(span)).map(|s| s.write(is.value / 10.0, 4));
        slips.push(Slip {
            stanza,
            item,
            span,
            message: format!(
                "A run of {} is long for a model, {limit}. Check its unit.",
                length(is)
            ),
            likely: (0.005, longest),
            usual: Vec::from_iter(tenth),
        });
    }
}

/// The middle one; of an even number of them, halfway between the two.
pub fn median(mut all: Vec<f64>) -> Option<f64> {
    all.sort_by(f64::total_cmp);
    let sorted = &all[..];
    let n = sorted.len();
    let upper = sorted.get(n / 2)?;
    match n % 2 {
        0 => Some(0.5 * (sorted.get(n / 2 - 1)? + upper)),
        _ => Some(*upper),
    }
}

fn supplies(context: &Context, slips: &mut Vec<Slip>) {
    for (i, item) in context.plan.items.iter().enumerate() {
        let Part::Supply(supply) = &item.part else {
            continue;
        };
        let Some(limit) = supply.limit else { continue };
        let message = if over(limit, amps(SUPPLY.1)) {
            format!(
                "A supply of {} is large for a model. Check its unit.",
                show(limit)
            )
        } else if under(limit, amps(SUPPLY.0)) {
            format!(
                "A supply of {} hardly lights a lamp. Check its unit.",
                show(limit)
            )
        } else {
            continue;
        };
        slips.push(Slip {
            stanza: item.stanza,
            item: Some(ItemId(i)),
            span: context.head_span(item.stanza, 2),
            message,
            likely: SUPPLY,
            usual: vec!["1 A".to_owned()],
        });
    }
}

fn tapes(context: &Context, slips: &mut Vec<Slip>) {
    for tape in &context.plan.tapes {
        let stanza = context.plan.stanza(tape.stanza);
        let mut put = |word: &str, dimension, message: String, likely, usual: &str| {
            let span = stanza
                .clause(word)
                .and_then(|c| quantity(&c.values, dimension));
            // What a metre takes is not written as what a group draws.
            let usual = span.map(|_| usual.to_owned());
            slips.push(Slip {
                stanza: tape.stanza,
                item: None,
                span: span.unwrap_or_else(|| context.clause_span(tape.stanza, word)),
                message,
                likely,
                usual: Vec::from_iter(usual),
            });
        };
        if tape.group.value < GROUP.0 - SAME_LENGTH || tape.group.value > GROUP.1 + SAME_LENGTH {
            let message = format!(
                "A group {} long is unlikely: tape is cut every 3 to 100 mm. Check its unit.",
                length(tape.group)
            );
            put("group", Dimension::Length, message, GROUP, "50 mm");
        }
        if over(tape.draws, amps(GROUP_OR_LAMP)) {
            let message = format!(
                "A group that draws {} is unlikely: groups draw up to 100 mA. Check its unit.",
                show(tape.draws)
            );
            put(
                "draws",
                Dimension::Current,
                message,
                (0.0005, GROUP_OR_LAMP),
                "18 mA",
            );
        }
        if stanza.clause("drops").is_some()
            && let Some((message, usual)) = drop_slip(tape.colour, tape.curve.stated_volts)
        {
            put("drops", Dimension::Voltage, message, (0.9, 4.5), &usual);
        }
    }
}

fn leds(context: &Context, slips: &mut Vec<Slip>) {
    for led in &context.plan.leds {
        let Some(drops) = context.plan.stanza(led.stanza).clause("drops") else {
            continue;
        };
        let rated = led.curve.stated_amps;
        let says_so = led.limit_stated && !over(rated, led.limit);
        let mut put = |dimension, message: String, likely, usual| {
            slips.push(Slip {
                stanza: led.stanza,
                item: None,
                span: quantity(&drops.values, dimension).unwrap_or(drops.span),
                message,
                likely,
                usual: Vec::from_iter(usual),
            });
        };
        if over(rated, amps(GROUP_OR_LAMP)) && !says_so {
            let message = format!(
                "A lamp of {} is unlikely in a model. Check its unit, or say `limit` if it is so.",
                show(rated)
            );
            let usual = Some("20 mA".to_owned());
            put(Dimension::Current, message, (0.0005, GROUP_OR_LAMP), usual);
        }
        if let Some((message, usual)) = drop_slip(led.colour, led.curve.stated_volts) {
            // With a second point the usual value would bend the curve.
            let one_point = drops.quantities(Dimension::Voltage).count() == 1;
            put(
                Dimension::Voltage,
                message,
                (0.9, 4.5),
                one_point.then_some(usual),
            );
        }
    }
}

/// What lamps of a colour drop, volts (usual data sheets, with some room).
fn band(colour: &str) -> Option<(f64, f64)> {
    Some(match colour {
        "red" | "amber" => (1.5, 2.6),
        "yellow" => (1.6, 2.8),
        "green" => (1.7, 3.8),
        "blue" => (2.4, 3.9),
        "white" | "warm-white" => (2.4, 3.8),
        "uv" => (2.8, 4.5),
        "infrared" => (0.9, 1.9),
        _ => return None,
    })
}

/// What there is to say of a drop that lamps of the colour do not have, and the usual one.
fn drop_slip(colour: Option<&str>, drop: ElectricPotential) -> Option<(String, String)> {
    let colour = colour?;
    let (low, high) = band(colour)?;
    if !under(drop, volts(low)) && !over(drop, volts(high)) {
        return None;
    }
    let usual = show(usual_drop(Some(colour)));
    Some((
        format!(
            "A {colour} lamp hardly drops {}: {low} to {high} V is usual. Check it, or the colour.",
            show(drop)
        ),
        usual,
    ))
}

fn bores(context: &Context, slips: &mut Vec<Slip>) {
    for passage in &context.plan.passages {
        let Some(Opening::Bore(bore)) = passage.opening else {
            continue;
        };
        if bore.value <= BORE + SAME_LENGTH {
            continue;
        }
        let stanza = context.plan.stanza(passage.stanza);
        let clause = stanza.clause("bore");
        let span = length_of(clause).unwrap_or_else(|| context.name_span(passage.stanza));
        let tenth = Spelling::of(stanza.words(span)).map(|s| s.write(bore.value / 10.0, 4));
        slips.push(Slip {
            stanza: passage.stanza,
            item: None,
            span,
            message: format!(
                "A bore of {} is wide for a wire. Check its unit.",
                length(bore)
            ),
            likely: (0.0003, BORE),
            usual: tenth.into_iter().chain(["2.5 mm".to_owned()]).collect(),
        });
    }
}

/// The temperature around the wires; of a clause in error nothing is known.
fn ambient(context: &Context, slips: &mut Vec<Slip>) {
    let (plan, ambient) = (context.plan, context.plan.settings.ambient.value);
    let Some(stanza) = plan.settings.stanza else {
        return;
    };
    let clause = plan.stanza(stanza).clause("ambient");
    let Some(span) = clause.and_then(|c| quantity(&c.values, Dimension::Temperature)) else {
        return;
    };
    if ambient >= AMBIENT.0 - SAME_TEMPERATURE && ambient <= AMBIENT.1 + SAME_TEMPERATURE {
        return;
    }
    slips.push(Slip {
        stanza,
        item: None,
        span,
        message: format!(
            "A model at {} is unlikely: from -50 to 100 degC is what its parts stand. Check its unit.",
            plan.stanza(stanza).quoted(span)
        ),
        likely: AMBIENT,
        usual: vec!["20 degC".to_owned()],
    });
}

/// Units that are taken for each other, the larger first.
const LADDERS: [&[&str]; 5] = [
    &["m", "cm", "mm"],
    &["ft", "inch", "mm"],
    &["V", "mV"],
    &["A", "mA", "uA"],
    &["degC", "degF"],
];

/// The next unit down that makes it likely, or up; then the usual value.
fn mends(context: &Context, finding: &Finding) -> Vec<Mend> {
    let slip = slips(context)
        .into_iter()
        .find(|s| (s.stanza, s.span) == (finding.stanza, finding.span));
    let Some(slip) = slip else {
        return Vec::new();
    };
    let words = context.plan.stanza(slip.stanza).quoted(slip.span);
    let mut texts = other_units(&words, slip.likely);
    for usual in slip.usual {
        if !texts.contains(&usual) && usual != words {
            texts.push(usual);
        }
    }
    let mends = texts.into_iter().map(|text| Mend {
        title: format!("{text} instead of {words}"),
        edits: vec![Edit {
            stanza: slip.stanza,
            span: slip.span,
            text,
        }],
        told: Vec::new(),
    });
    mends.chain(limit_said(context, slip.stanza)).collect()
}

/// That a lamp of so much current is meant: its `limit`, as much as is taken for it without.
fn limit_said(context: &Context, stanza: StanzaId) -> Option<Mend> {
    let led = context.plan.leds.iter().find(|l| l.stanza == stanza)?;
    let drops = context.plan.stanza(stanza).clause("drops")?;
    if led.limit_stated || !over(led.curve.stated_amps, amps(GROUP_OR_LAMP)) {
        return None;
    }
    let limit = format!("limit {}", show(led.limit));
    let end = drops.span.end;
    Some(Mend {
        title: format!("{limit}: it is so"),
        edits: vec![Edit {
            stanza,
            span: Span::new(end, end),
            text: format!(" {limit}"),
        }],
        told: Vec::new(),
    })
}

/// The same number with the neighbouring units, where that is likely.
fn other_units(words: &str, likely: (f64, f64)) -> Vec<String> {
    let Some(at) = words.find(|c: char| c.is_alphabetic()) else {
        return Vec::new();
    };
    let (number, unit) = words.split_at(at);
    let unit = if unit == "in" { "inch" } else { unit };
    let mut texts = Vec::new();
    for ladder in LADDERS {
        let Some(at) = ladder.iter().position(|&u| u == unit) else {
            continue;
        };
        let neighbours = [
            ladder.get(at + 1),
            at.checked_sub(1).and_then(|a| ladder.get(a)),
        ];
        for other in neighbours.into_iter().flatten() {
            let text = format!("{number}{other}");
            let is_likely = in_si(&text).is_some_and(|x| x >= likely.0 && x <= likely.1);
            if is_likely && !texts.contains(&text) {
                texts.push(text);
            }
        }
    }
    texts
}

/// A quantity in its SI unit.
fn in_si(words: &str) -> Option<f64> {
    let at = words.find(|c: char| c.is_alphabetic())?;
    let number: f64 = words[..at].trim().parse().ok()?;
    let unit = words[at..].trim();
    let mut units = crate::syntax::vocabulary::UNITS.iter();
    let unit = units.find(|u| u.word == unit)?;
    Some((number + unit.offset) * unit.factor)
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, mended, plan};
    use super::*;

    fn finds(text: &str) -> usize {
        found(&plan(text), CHECK.name).len()
    }

    fn runs(lengths: &[&str]) -> String {
        let mut text = "wire w gauge 24 AWG\nsupply s 12 V\n".to_owned();
        for (i, length) in lengths.iter().enumerate() {
            text += &format!("load m{i} draws 1 mA from s over {length} of w\n");
        }
        text
    }

    #[test]
    fn long_runs() {
        assert_eq!(finds(&runs(&["3 m"])), 0);
        assert_eq!(finds(&runs(&["3.01 m"])), 1);
        assert_eq!(finds(&runs(&["100 mm", "120 mm", "1 m"])), 0);
        assert_eq!(finds(&runs(&["100 mm", "120 mm", "1.1 m"])), 1);
        assert_eq!(finds(&runs(&["1.2 m", "1.3 m", "2.9 m"])), 0);
        let text = runs(&["100 mm", "120 mm", "15 m"]);
        assert_eq!(
            mended(&plan(&text), CHECK.name).unwrap(),
            text.replace("15 m ", "15 cm ")
        );
        let text = runs(&["100 mm", "120 mm", "1500mm"]);
        assert_eq!(
            mended(&plan(&text), CHECK.name).unwrap(),
            text.replace("1500mm", "150mm")
        );
    }

    #[test]
    fn supplies_groups_lamps_and_bores() {
        let supply = |i: &str| finds(&format!("supply s 12 V {i}\nload m draws 1 mA from s\n"));
        assert_eq!(
            [
                supply("10 mA"),
                supply("9.9 mA"),
                supply("20 A"),
                supply("20.1 A")
            ],
            [0, 1, 0, 1]
        );
        let tape = |group: &str, draws: &str| {
            finds(&format!(
                "tape t group 3 lamps long {group} works 7 V to 12.6 V draws {draws} at 12 V\n"
            ))
        };
        assert_eq!([tape("3 mm", "100 mA"), tape("100 mm", "1 mA")], [0, 0]);
        assert_eq!(
            [
                tape("2.9 mm", "10 mA"),
                tape("101 mm", "10 mA"),
                tape("25 mm", "101 mA")
            ],
            [1, 1, 1]
        );
        let led = |rest: &str| finds(&format!("led p drops 3 V at {rest}\n"));
        assert_eq!(
            [
                led("100 mA"),
                led("101 mA"),
                led("350 mA limit 700 mA"),
                led("350 mA limit 20 mA")
            ],
            [0, 1, 0, 1]
        );
        let bore = |d: &str| {
            finds(&format!(
                "zone a\nzone b\npassage p between a and b bore {d}\n"
            ))
        };
        assert_eq!([bore("50 mm"), bore("51 mm"), bore("2 inch")], [0, 1, 1]);
    }

    #[test]
    fn a_model_in_an_oven_or_on_the_moon() {
        let at = |ambient: &str| {
            finds(&format!(
                "harness \"h\" ambient {ambient}\nsupply s 12 V\nload m draws 1 mA from s\n"
            ))
        };
        assert_eq!([at("100 degC"), at("-50 degC"), at("212 degF")], [0, 0, 0]);
        assert_eq!(
            [at("100.1 degC"), at("-50.1 degC"), at("213 degF")],
            [1, 1, 1]
        );
        let text = "harness \"h\" ambient 120 degC\nsupply s 12 V\nload m draws 1 mA from s\n";
        let analysis = plan(text);
        let mends = analysis.mends(0);
        let titles: Vec<&str> = mends.iter().map(|m| &*m.title).collect();
        let expected = [
            "120 degF instead of 120 degC",
            "20 degC instead of 120 degC",
        ];
        assert_eq!(titles, expected);
    }

    #[test]
    fn usual_values_and_a_limit_are_offered() {
        let titles = |text: &str| -> Vec<String> {
            let analysis = plan(text);
            let at = analysis.findings.iter().position(|f| f.check == CHECK.name);
            analysis
                .mends(at.unwrap())
                .into_iter()
                .map(|m| m.title)
                .collect()
        };
        let led = "led p drops 3 V at 200 mA\n";
        assert_eq!(
            titles(led),
            ["20 mA instead of 200 mA", "limit 250 mA: it is so"]
        );
        let tape = "tape t group 3 lamps long 25 mm works 7 V to 12.6 V draws 180 mA at 12 V\n";
        assert_eq!(titles(tape), ["18 mA instead of 180 mA"]);
        let by_metre =
            "tape t group 3 lamps long 25 mm works 7 V to 12.6 V draws 96 W per m at 12 V\n";
        assert_eq!(titles(by_metre), [""; 0]);
        let bore = "zone a\nzone b\npassage p between a and b bore 60 mm\n";
        assert_eq!(
            titles(bore),
            ["6 mm instead of 60 mm", "2.5 mm instead of 60 mm"]
        );
    }

    #[test]
    fn drops_by_colour() {
        let led =
            |drops: &str, colour: &str| finds(&format!("led p drops {drops} at 20 mA {colour}\n"));
        assert_eq!(led("2 V", "colour white"), 1);
        assert_eq!(led("2 V", ""), 0);
        assert_eq!(led("3.0 V", "colour white"), 0);
        assert_eq!(led("3.0 V", "colour red"), 1);
        assert_eq!(led("2.0 V", "colour green"), 0);
        let text = "led p drops 2 V at 20 mA colour white\n";
        assert_eq!(
            mended(&plan(text), CHECK.name).unwrap(),
            text.replace("2 V", "3 V")
        );
    }
}
