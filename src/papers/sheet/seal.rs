//! What to test before anything is closed for good: power off, first power-up, currents, leaks, warmth; then go or no-go.

use crate::checks::Analysis;
use crate::circuit::places::zones;
use crate::circuit::{SceneFigures, solve};
use crate::numbers::{between, decimals, show};
use crate::papers::page::{Block, Section, Table, Text};
use crate::plan::{
    Choice, Item, ItemId, Load, Part, Plan, Point, Scene, Severity, StanzaId, ZoneId,
};
use crate::syntax::tree::Name;
use crate::units::{amps, watts};

use super::{cautions, trials, words};

/// The section.
pub fn section(a: &Analysis) -> Section {
    let plan = &a.plan;
    let mut section = Section::new("test", "Test before sealing").on_new_page();
    if plan.items.is_empty() {
        return section;
    }
    section.heading("Power off");
    section.put(Block::Ticks(polarity(plan)));
    section.put(Block::Table(insulation(plan)));
    section.heading("First power-up");
    for block in cautions::chapter("First power-up") {
        section.put(block);
    }
    section.heading("Currents");
    section.put(Block::Table(scenes(a)));
    section.put(Block::Table(currents(a)));
    section.heading("Leak check");
    section.say(off_how(plan));
    section.put(Block::Table(leaks(plan)));
    section.heading("Warmth");
    section.say(
        "Close each zone as it will be closed, switch everything on, and stay with it for half an hour. Feel it, then measure. Where the plan states \
         no inner surface it gives no figure: measure all the same.",
    );
    section.put(Block::Table(warmth(a)));
    for zone in sealed(plan) {
        let name = words::zone_name(plan, zone);
        section.heading(
            Text::from("Go or no-go: before ")
                .and(name)
                .and(" is closed"),
        );
        section.put(Block::Ticks(go(a, Some(zone))));
    }
    if sealed(plan).is_empty() {
        section.heading("Go or no-go: before the model is closed");
        section.put(Block::Ticks(go(a, None)));
    }
    section
}

fn polarity(plan: &Plan) -> Vec<Text> {
    let mut lines: Vec<Text> = vec![
        "Every light the right way round, each lamp of a string too: its plus on the plus wire. The colours are those of the list “Solder”.".into(),
        "Every joint tugged, sleeved, and clear of its neighbours and of metal.".into(),
    ];
    for item in &plan.items {
        match item.part {
            Part::Fuse { .. } => lines.push(Text::from("Fuse ").and(&item.name).and(format!(
                ": {} is in its holder.",
                super::lists::described(plan, item)
            ))),
            Part::Supply(ref supply) if supply.either_way => lines.push(
                Text::from("The plus of ")
                    .and(&item.name)
                    .and(" may be on either rail: a rectifier is in each way from it."),
            ),
            Part::Supply(_) => lines.push(Text::from("The plus of ").and(&item.name).and(format!(
                " measured at its plug: {}.",
                super::lists::described(plan, item)
            ))),
            Part::Diode { .. } => lines.push(
                named("Diode ", item).and(": its band (the cathode) away from ").and(feeder(plan, item)).and("."),
            ),
            Part::Rectifier { .. } => lines.push(
                named("Rectifier ", item)
                    .and(": ")
                    .and(feeder(plan, item))
                    .and(" on the two ends marked ~, what hangs on it on + and −."),
            ),
            Part::Regulator { .. } => lines.push(
                named("Regulator ", item)
                    .and(": ")
                    .and(feeder(plan, item))
                    .and(" at its input, what hangs on it at its output; the pins as its data sheet has them."),
            ),
            _ => {}
        }
    }
    lines
}

fn named(kind: &str, item: &Item) -> Text {
    Text::from(kind).and(&item.name)
}

/// What feeds an item.
fn feeder(plan: &Plan, item: &Item) -> Text {
    let feed = item.feed.as_ref();
    feed.map_or(Text::none(), |feed| words::point(plan, feed.from))
}

/// Where an item gets its power from.
fn supply_of(plan: &Plan, id: ItemId) -> ItemId {
    let mut at = id;
    for _ in 0..plan.items.len() {
        match &plan.items[at.0].feed {
            Some(feed) => at = feed.from.item,
            None => break,
        }
    }
    at
}

fn supplies(plan: &Plan) -> impl Iterator<Item = ItemId> + '_ {
    let items = plan.items.iter().enumerate();
    items
        .filter(|(_, item)| matches!(item.part, Part::Supply(_)))
        .map(|(i, _)| ItemId(i))
}

/// No short, and no way from plus to minus but through the lights.
fn insulation(plan: &Plan) -> Table {
    let columns = ["", "between plus and minus behind", "expected", "measured"];
    let mut table =
        Table::of(&columns).caption("Insulation: unplugged, switches closed, with a meter");
    // What conducts at the little voltage of a meter: loads that are resistances.
    let mut siemens = vec![0.0; plan.items.len()];
    for (i, item) in plan.items.iter().enumerate() {
        if let Part::Load(Load::Resistance(ohms)) = item.part
            && ohms.value > 0.0
        {
            siemens[supply_of(plan, ItemId(i)).0] += 1.0 / ohms.value;
        }
    }
    for supply in supplies(plan) {
        let expected = match siemens[supply.0] {
            0.0 => "no beep, no steady low value".to_owned(),
            s => format!(
                "not under {}, that of the loads alone",
                show(crate::units::ohms(1.0 / s))
            ),
        };
        let name = &plan.items[supply.0].name;
        table.row([
            Text::tick(format!("insulation behind {} measured", name.0)),
            name.into(),
            expected.into(),
            Text::blank(format!("resistance behind {}", name.0), "ohm"),
        ]);
    }
    table
}

/// The scenes, then the turns that are on in none of them.
fn states(a: &Analysis) -> impl Iterator<Item = &SceneFigures> {
    a.solution.states()
}

/// What each scene sets, and which lights are dark then; where there is only one, nothing.
fn scenes(a: &Analysis) -> Table {
    let plan = &a.plan;
    let mut table = Table::of(&["scene", "the plan says", "lights", "note"]).caption("Scenes");
    if states(a).count() < 2 {
        return table;
    }
    for (n, state) in states(a).enumerate() {
        let own = plan.scenes.get(n).filter(|own| own.name == state.name);
        let points = |word, points: &[Point]| {
            let names = points.iter().map(|p| words::point(plan, *p));
            Text::from(word).and(Text::joined(names, ", "))
        };
        table.row([
            words::scene(&state.name),
            match own.map(|own| &own.choice) {
                None | Some(Choice::All) => "everything on".into(),
                Some(Choice::Off(off)) => points("off ", off),
                Some(Choice::Only(only)) => points("only ", only),
            },
            lights(plan, state),
            own.map_or(Text::none(), |own| words::notes(plan, own.stanza)),
        ]);
    }
    table
}

/// Which lights are lit in a state, or which are dark, whichever is told sooner.
fn lights(plan: &Plan, state: &SceneFigures) -> Text {
    let Ok(figures) = &state.outcome else {
        return "no solution".into();
    };
    let is_lit = |id: &ItemId| figures.items[id.0].amps.typical > amps(1e-6);
    let (lit, dark): (Vec<ItemId>, Vec<ItemId>) = plan.lights().partition(is_lit);
    match (lit.len(), dark.len()) {
        (_, 0) => "all lit".into(),
        (0, _) => "all dark".into(),
        (lit_too, dark_too) if lit_too < dark_too => {
            Text::from("lit: ").and(words::items(plan, &lit))
        }
        _ => Text::from("dark: ").and(words::items(plan, &dark)),
    }
}

fn currents(a: &Analysis) -> Table {
    let mut table = Table::of(&["", "supply", "expected#", "low to high#", "measured"]);
    for state in states(a) {
        table.group(words::scene(&state.name));
        for supply in supplies(&a.plan) {
            let name = &a.plan.items[supply.0].name;
            let own = state.outcome.as_ref().ok().map(|f| &f.items[supply.0]);
            let (expected, range) = match own {
                None => (Text::from("no solution"), Text::none()),
                Some(own) if !own.reached => ("0 A".into(), Text::none()),
                Some(own) => (
                    Text::strong(show(own.passes.typical)),
                    between(own.passes.low, own.passes.high).into(),
                ),
            };
            table.row([
                Text::tick(format!("{} measured in {}", name.0, state.name.0)),
                name.into(),
                expected,
                range,
                Text::blank(format!("current of {} in {}", name.0, state.name.0), "mA"),
            ]);
        }
    }
    table
}

/// What is opened for the leak check: the switches; without any, the fuses.
fn opened(plan: &Plan) -> Vec<Point> {
    let of = |is: fn(&Part) -> bool| -> Vec<Point> {
        let items = plan.items.iter().enumerate();
        let found = items.filter(|(_, item)| is(&item.part));
        found
            .map(|(i, _)| Point {
                item: ItemId(i),
                output: None,
            })
            .collect()
    };
    let switches = of(|part| matches!(part, Part::Switch { .. }));
    match switches.is_empty() {
        true => of(|part| matches!(part, Part::Fuse { .. })),
        false => switches,
    }
}

fn off_how(plan: &Plan) -> Text {
    let opened = opened(plan);
    let names = Text::joined(opened.iter().map(|p| words::point(plan, *p)), ", ");
    let how = match opened.first().map(|p| &plan.items[p.item.0].part) {
        None => return "The plan has no switch and no fuse: take the lights off their joints one by one, down to nothing.".into(),
        Some(Part::Switch { .. }) => Text::from("Open every switch: ").and(names),
        Some(_) => Text::from("The plan has no switch. Take out every fuse: ").and(names),
    };
    how.and(". What still flows is drawn ahead of them, or leaks.")
}

/// What each supply gives with everything off that can be switched off.
fn leaks(plan: &Plan) -> Table {
    let mut table = Table::of(&["", "supply", "expected#", "measured"]);
    let off = Plan {
        scenes: vec![Scene {
            name: Name("off".into()),
            stanza: plan.order.first().copied().unwrap_or(StanzaId {
                file: crate::plan::FileId(0),
                index: 0,
            }),
            choice: Choice::Off(opened(plan)),
        }],
        ..plan.clone()
    };
    let solution = solve(&off, &|| false);
    let figures = solution
        .scenes
        .first()
        .and_then(|s| s.outcome.as_ref().ok());
    for supply in supplies(plan) {
        let name = &plan.items[supply.0].name;
        let expected = match figures {
            None => Text::from("no solution"),
            Some(figures) => Text::strong(show(figures.items[supply.0].passes.typical)),
        };
        table.row([
            Text::tick(format!("leak of {} measured", name.0)),
            name.into(),
            expected,
            Text::blank(format!("current of {} with everything off", name.0), "mA"),
        ]);
    }
    table
}

fn warmth(a: &Analysis) -> Table {
    let plan = &a.plan;
    let columns = [
        "",
        "zone",
        "heat at most#",
        "in scene",
        "warmer by#",
        "then#",
        "measured",
    ];
    let mut table = Table::of(&columns);
    let ambient = plan.settings.ambient.value - 273.15;
    let by_scene: Vec<_> = states(a)
        .filter_map(|state| Some((state, zones(plan, state.outcome.as_ref().ok()?))))
        .collect();
    for (z, zone) in plan.zones.iter().enumerate() {
        let hotter = |a: &_, b: &_| {
            let of = |(_, zones): &(&SceneFigures, Vec<crate::circuit::places::ZoneFigures>)| {
                zones[z].power
            };
            of(a).value.total_cmp(&of(b).value)
        };
        // Of scenes alike, the first.
        let Some((state, all)) = by_scene.iter().rev().max_by(|a, b| hotter(*a, *b)) else {
            continue;
        };
        let is = &all[z];
        if is.power <= watts(0.0005) {
            continue;
        }
        let rise = |say: &dyn Fn(f64) -> String, what: &str, unit| match is.rise {
            Some(rise) => say(rise.value).into(),
            None => Text::blank(format!("{what} of {}", zone.name.0), unit),
        };
        table.row([
            Text::tick(format!("warmth of {} measured", zone.name.0)),
            (&zone.name).into(),
            show(is.power).into(),
            words::scene(&state.name),
            rise(&|k| format!("{} K", decimals(k, 1)), "rise", "K"),
            rise(
                &|k| format!("{} °C", decimals(ambient + k, 0)),
                "warmth expected",
                "°C",
            ),
            Text::blank(format!("warmth measured in {}", zone.name.0), "°C"),
        ]);
    }
    if plan.zones.is_empty() {
        table.row(whole_model(a));
    }
    table
}

/// The warmth of a plan without zones.
fn whole_model(a: &Analysis) -> [Text; 7] {
    let heat = |state: &SceneFigures| {
        let figures = state.outcome.as_ref().ok()?;
        let each = figures.items.iter().map(|own| own.watts.typical.value);
        Some(watts(each.sum()))
    };
    let all = states(a).filter_map(|state| Some((state, heat(state)?)));
    let hottest = all.reduce(|one, other| if other.1 > one.1 { other } else { one });
    let blank = |what: &str, unit| Text::blank(format!("{what} of the model"), unit);
    [
        Text::tick("warmth of the model measured"),
        "the model".into(),
        hottest.map_or(Text::none(), |(_, heat)| show(heat).into()),
        hottest.map_or(Text::none(), |(state, _)| words::scene(&state.name)),
        blank("rise", "K"),
        blank("warmth expected", "°C"),
        blank("warmth measured", "°C"),
    ]
}

/// The zones that are closed for good: by themselves, or by a stage.
fn sealed(plan: &Plan) -> Vec<ZoneId> {
    let zones = (0..plan.zones.len()).map(ZoneId);
    let by_stage = |zone: &ZoneId| plan.stages.iter().any(|s| s.seals.contains(zone));
    zones
        .filter(|zone| plan.zones[zone.0].sealed || by_stage(zone))
        .collect()
}

fn go(a: &Analysis, zone: Option<ZoneId>) -> Vec<Text> {
    let plan = &a.plan;
    let inside = |item: &ItemId| zone.is_none() || plan.items[item.0].zone == zone;
    let pieces: Vec<ItemId> = (0..plan.items.len())
        .map(ItemId)
        .filter(inside)
        .filter(|id| trials::draws(plan, &plan.items[id.0].part))
        .collect();
    let open: Vec<ItemId> = pieces
        .iter()
        .copied()
        .filter(|id| trials::trials_of(plan, *id).next().is_none())
        .collect();
    let mut tried = Text::from(format!(
        "Every piece in it tried, and its current fits: {} of {} recorded",
        pieces.len() - open.len(),
        pieces.len()
    ));
    if !open.is_empty() {
        tried = tried.and("; not yet: ").and(words::items(plan, &open));
    }
    let errors = a
        .findings
        .iter()
        .filter(|f| f.severity > Severity::Hint)
        .count();
    let findings = match errors {
        0 => "No error and no warning is open in the plan.".to_owned(),
        n => format!(
            "Errors and warnings that are open in the plan are mended, or accepted with a reason: {n}."
        ),
    };
    vec![
        tried.and("."),
        "Every joint that will be out of reach is tugged, sleeved and photographed; wires are labelled.".into(),
        "The current of every scene fits; with everything off nothing leaks.".into(),
        "Warm for half an hour, nothing too hot to touch, nothing smells.".into(),
        findings.into(),
        "All of it is ticked: go. One is not: no-go.".into(),
    ]
}
