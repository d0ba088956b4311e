//! Cases worked out by hand.

use super::*;

#[test]
fn a_lamp_at_the_end_of_a_metre() {
    // 20 mA: 3.0 V + 560 ohm · 20 mA = 14.2 V, and two legs of 1 ohm lose 40 mV.
    let s = solved(
        "supply s 14.24 V\n\
         lamp l of pearl resistor 560 ohm from s over 1 m of ohm1\n",
    );
    let l = s.item("l");
    close(l.volts.typical.value, 14.2);
    close(l.amps.typical.value, 0.02);
    close(l.passes.typical.value, 0.02);
    close(l.returns.typical.value, 0.02);
    close(l.watts.typical.value, 0.284);
    close(l.drop.typical.value, 0.04);
    let supply = s.item("s");
    close(supply.volts.typical.value, 14.24);
    close(supply.passes.typical.value, 0.02);
    close(supply.amps.typical.value, 0.0);
    close(supply.drop.typical.value, 0.0);
}

#[test]
fn where_the_resistor_sits_changes_no_figure() {
    let at = |place: &str| {
        let s = solved(&format!(
            "supply s 14.24 V\n\
             lamp l of pearl resistor 560 ohm at {place} from s over 1 m of ohm1\n\
             lamp m of pearl resistor 560 ohm from l over 1 m of ohm1\n"
        ));
        format!("{:?}", s.solution)
    };
    assert_eq!(at("start"), at("lamp"));
}

#[test]
fn groups_of_tape_side_by_side() {
    // Two groups of 18 mA at 12 V; legs of 1 ohm lose 2 · 36 mV.
    let s = solved("supply s 12.072 V\nstrip t of warm 6 lamps from s over 1 m of ohm1\n");
    let t = s.item("t");
    close(t.volts.typical.value, 12.0);
    close(t.amps.typical.value, 0.036);
    close(t.lowest_group.typical.value, 12.0);
    close(t.watts.typical.value, 0.432);
}

#[test]
fn half_a_group_of_track_is_ahead_of_the_first_group() {
    // 40 ohm per m over 12.5 mm is 0.5 ohm; at 18 mA, 9 mV.
    let s = solved(
        "supply s 12.009 V\n\
         strip t of copper 1 group from s\n\
         joint end from t\n",
    );
    let t = s.item("t");
    close(t.volts.typical.value, 12.009);
    close(t.amps.typical.value, 0.018);
    close(t.lowest_group.typical.value, 12.0);
    close(t.watts.typical.value, 12.009 * 0.018);
    // Nothing flows beyond: the far end has the group's voltage, and 9 mV are lost on the way.
    close(s.item("end").volts.typical.value, 12.0);
    close(s.item("end").drop.typical.value, 0.009);
}

#[test]
fn handed_on_current_heats_the_track() {
    // 1 group and, at its far end, a load of 0.1 A: 0.118 A through the first 0.5 ohm of track,
    // 0.1 A through the second. Group at 12 V: supply 12 + 0.059, far end 12 − 0.05.
    let s = solved(
        "supply s 12.059 V\n\
         strip t of copper 1 group from s\n\
         load l draws 100 mA from t\n",
    );
    close(s.item("t").lowest_group.typical.value, 12.0);
    close(s.item("l").volts.typical.value, 11.95);
    close(s.item("l").drop.typical.value, 0.109);
    let heat = 12.0 * 0.018 + 0.5 * 0.118 * 0.118 + 0.5 * 0.1 * 0.1;
    close(s.item("t").watts.typical.value, heat);
    close(s.item("t").passes.typical.value, 0.118);
    close(s.item("t").amps.typical.value, 0.018);
}

#[test]
fn diode_resistor_fuse_and_contacts_in_a_row() {
    // 12 V − 0.7 V over 13 + 1 + 2·0.5 + 98 = 113 ohm: 0.1 A.
    let s = solved(
        "supply s 12 V\n\
         diode d from s\n\
         resistor r 13 ohm from d\n\
         fuse f 1 A resistance 1 ohm from r\n\
         connector c contact 0.5 ohm from f\n\
         load l resistance 98 ohm from c\n",
    );
    let watts = |item| s.item(item).watts.typical.value;
    let volts = |item| s.item(item).volts.typical.value;
    volts_close(s.item("l").amps.typical.value, 0.1);
    volts_close(volts("l"), 9.8);
    volts_close(volts("c"), 9.9);
    volts_close(volts("f"), 10.0);
    volts_close(volts("r"), 11.3);
    volts_close(volts("d"), 12.0);
    volts_close(watts("d"), 0.07);
    volts_close(watts("r"), 0.13);
    volts_close(watts("f"), 0.01);
    volts_close(watts("c"), 0.01);
    // What diode and resistor take is not lost; fuse (0.1 V) and contacts (2 · 0.05 V) are.
    volts_close(s.item("l").drop.typical.value, 0.2);
    volts_close(s.item("c").drop.typical.value, 0.1);
    volts_close(s.item("c").hands_on.typical.value, 9.8);
}

#[test]
fn a_linear_regulator_takes_what_it_gives() {
    // 5 V over 50 ohm: 0.1 A; (12 − 5) V · 0.1 A of heat. From 6 V it can give 4.5 V.
    let at = |v| {
        solved(&format!(
            "supply s {v} V\nregulator g 5 V 1 A from s\nload l resistance 50 ohm from g\n"
        ))
    };
    let s = at(12);
    volts_close(s.item("l").volts.typical.value, 5.0);
    volts_close(s.item("g").passes.typical.value, 0.1);
    volts_close(s.item("g").watts.typical.value, 0.7);
    volts_close(s.item("g").amps.typical.value, 0.0);
    volts_close(at(6).item("l").volts.typical.value, 4.5);
    // Its own voltage is nothing: it feeds nothing.
    close(at(1).item("l").volts.typical.value, 0.0);
}

#[test]
fn a_switching_regulator_takes_power() {
    // 5 V · 0.1 A / 80 % = 0.625 W: 62.5 mA at 10 V; 2 ohm lose 0.125 V.
    let s = solved(
        "supply s 10.125 V\n\
         regulator g 5 V 1 A efficiency 80 % from s over 1 m of ohm1\n\
         load l resistance 50 ohm from g\n",
    );
    volts_close(s.item("g").volts.typical.value, 10.0);
    volts_close(s.item("g").passes.typical.value, 0.0625);
    volts_close(s.item("g").watts.typical.value, 0.125);
    volts_close(s.item("l").volts.typical.value, 5.0);
}

#[test]
fn of_two_states_the_one_with_the_higher_voltage() {
    // 1 W behind 2 ohm: V² − 10.2 V + 2 = 0, so 10 V or 0.2 V.
    let s = solved("supply s 10.2 V\nload l takes 1 W from s over 1 m of ohm1\n");
    close(s.item("l").volts.typical.value, 10.0);
    close(s.item("l").amps.typical.value, 0.1);
}

#[test]
fn a_load_that_cannot_have_its_power_is_named() {
    // 12 V behind 40 ohm give at most 12²/160 = 0.9 W; dim, 11.4²/160 = 0.812 W.
    let at = |p| {
        solved(&format!(
            "supply s 12 V\nload l takes {p} W from s over 20 m of ohm1\n"
        ))
    };
    assert_eq!(
        at("0.9001").failed("all-on"),
        ("l", Corner::Typical, NoSolutionCause::Starved)
    );
    assert_eq!(
        at("0.82").failed("all-on"),
        ("l", Corner::Dim, NoSolutionCause::Starved)
    );
    // 0.81 W: V = (12 + √(144 − 160 · 0.81))/2
    let s = at("0.81");
    close(
        s.item("l").volts.typical.value,
        (12.0 + (144.0f64 - 160.0 * 0.81).sqrt()) / 2.0,
    );
}

#[test]
fn a_load_that_cannot_have_its_current_is_named() {
    // 12 V behind 40 ohm give at most 0.3 A.
    let s = solved(
        "supply s 12 V\n\
         load l draws 301 mA from s over 20 m of ohm1\n\
         scene rest off l\n",
    );
    assert_eq!(
        s.failed("all-on"),
        ("l", Corner::Typical, NoSolutionCause::Starved)
    );
    assert!(s.scene("rest").outcome.is_ok());
}

#[test]
fn a_board_at_its_lower_limit_takes_what_keeps_it_there() {
    // Behind 10 ohm: from 8 V, 100 mA would leave 7.0 V; at 7.5 V it is 50 mA.
    let at = |v| {
        solved(&format!(
            "module m works 7.5 V to 13 V draws 100 mA\n\
             supply s {v} V\nboard b of m from s over 5 m of ohm1\n"
        ))
    };
    volts_close(at("8").item("b").volts.typical.value, 7.5);
    volts_close(at("8").item("b").amps.typical.value, 0.05);
    close(at("8.5").item("b").volts.typical.value, 7.5);
    close(at("8.5").item("b").amps.typical.value, 0.1);
    close(at("7").item("b").volts.typical.value, 7.0);
    close(at("7").item("b").amps.typical.value, 0.0);
    close(at("20").item("b").amps.typical.value, 0.1);
}

#[test]
fn outputs_give_hand_on_and_sink() {
    let s = solved(
        "module m works 6 V to 15 V draws 10 mA\n  output reg 5 V 100 mA\n  output on 100 mA\n  output low 100 mA sinks\n\
         supply s 12 V\n\
         board b of m from s over 1 m of ohm1\n\
         load a resistance 100 ohm from b.reg\n\
         load c draws 30 mA from b.on\n\
         load d draws 20 mA from s return to b.low\n\
         scene quiet off b.low\n\
         scene none off b\n",
    );
    // 5 V / 100 ohm = 50 mA; plus: 10 + 50 + 30 mA through 1 ohm, minus: 20 mA more.
    let b = s.item("b");
    volts_close(b.volts.typical.value, 12.0 - 0.09 - 0.11);
    volts_close(b.passes.typical.value, 0.09);
    volts_close(b.returns.typical.value, 0.11);
    volts_close(b.outputs[0].volts.typical.value, 5.0);
    volts_close(b.outputs[0].amps.typical.value, 0.05);
    volts_close(b.outputs[1].volts.typical.value, 11.8);
    volts_close(b.outputs[1].amps.typical.value, 0.03);
    volts_close(b.outputs[2].amps.typical.value, 0.02);
    // 11.8 V · 10 mA of its own, (11.8 − 5) V · 50 mA in the output.
    volts_close(b.watts.typical.value, 0.118 + 0.34);
    volts_close(s.item("d").volts.typical.value, 12.0 - 0.11);
    volts_close(s.item("d").drop.typical.value, 0.11);
    assert!(!s.item_in("quiet", "d").reached);
    close(s.item_in("none", "a").volts.typical.value, 0.0);
    close(s.item_in("none", "s").passes.typical.value, 0.0);
}

#[test]
fn of_outputs_that_take_turns_the_one_that_draws_most_is_on() {
    let s = solved(
        "module m works 6 V to 15 V draws 10 mA turns x, y, z\n  output x 100 mA\n  output y 100 mA\n  output z 100 mA\n\
         supply s 12 V\n\
         board b of m from s\n\
         load lx draws 10 mA from b.x\n\
         load ly draws 30 mA from b.y\n\
         load lz draws 30 mA from b.z\n\
         scene without off b.y\n",
    );
    let on = |scene| ["lx", "ly", "lz"].map(|i| s.item_in(scene, i).reached);
    assert_eq!(on("all-on"), [false, true, false]);
    assert_eq!(on("without"), [false, false, true]);
}

#[test]
fn current_divides_in_a_ring() {
    // One pole of the ring: 1 ohm one way to j, 1 + 1 ohm the other: 0.2 A and 0.1 A of 0.3 A.
    let s = solved(
        "supply s 12 V\n\
         joint j from s over 1 m of ohm1\n\
         joint k from j over 1 m of ohm1\n\
         link ring between k and s over 1 m of ohm1\n\
         load l draws 300 mA from j\n",
    );
    close(s.item("j").passes.typical.value, 0.2);
    close(s.item("k").passes.typical.value, -0.1);
    close(s.item("l").volts.typical.value, 11.6);
    close(s.item("k").volts.typical.value, 11.8);
    let links = &s.scene("all-on").outcome.as_ref().unwrap().links;
    close(links[0].0.typical.value, -0.1);
    close(links[0].1.typical.value, 0.1);
}

#[test]
fn legs_without_resistance_share_as_if_alike() {
    // Two ways from s to j without resistance: one leg, and two legs in a row: 2/3 and 1/3.
    let s = solved(
        "supply s 12 V\n\
         joint j from s\n\
         joint k from s over 0 mm of ohm1\n\
         link a between j and k\n\
         load l draws 300 mA from j\n",
    );
    close(s.item("j").passes.typical.value, 0.2);
    close(s.item("k").passes.typical.value, 0.1);
    close(s.item("l").volts.typical.value, 12.0);
}

#[test]
fn corners_stray_as_stated() {
    // 12 V ± 10 %, a resistor of 100 ohm ± 5 %, a load of 100 ohm.
    let s = solved(
        "supply s 12 V tolerance 10 %\nresistor r 100 ohm from s\nload l resistance 100 ohm from r\n",
    );
    let l = s.item("l");
    close(l.volts.typical.value, 6.0);
    close(l.volts.low.value, 10.8 * 100.0 / 205.0);
    close(l.volts.high.value, 13.2 * 100.0 / 195.0);
    // A lamp at 20 mA: 3.0 V and 560 ohm, dim 3.1 V and 588 ohm: 14.86 V is 20 mA then.
    let s = solved("supply s 14.86 V tolerance 0 %\nlamp l of pearl resistor 560 ohm from s\n");
    close(s.item("l").amps.low.value, 0.02);
}

#[test]
fn what_is_off_is_cut_but_its_point_lives_on_a_link() {
    let s = solved(
        "supply s 12 V\n\
         joint j from s over 1 m of ohm1\n\
         load far draws 100 mA from j\n\
         switch sw from s\n\
         load near draws 100 mA from sw\n\
         link l between j and s over 2 m of ohm1\n\
         scene x off j, sw\n",
    );
    // Plus of `far` comes by the link (2 ohm); minus through both: 1 ohm and 2 ohm side by side.
    let far = s.item_in("x", "far");
    close(far.volts.typical.value, 12.0 - 0.2 - 0.1 * 2.0 / 3.0);
    let j = s.item_in("x", "j");
    assert!(!j.reached);
    close(j.volts.typical.value, 0.0);
    close(j.passes.typical.value, 0.0);
    assert!(!s.item_in("x", "near").reached);
    assert!(!s.item_in("x", "sw").reached);
    assert!(s.item("near").reached);
}

#[test]
fn only_names_lights_and_what_is_no_light_takes_all_along() {
    let s = solved(
        "supply s 12 V\n\
         joint j from s\n\
         lamp a of pearl resistor 560 ohm from j\n\
         lamp b of pearl resistor 560 ohm from a\n\
         lamp c of pearl resistor 560 ohm from s\n\
         load l draws 1 mA from s\n\
         scene one only a\n\
         scene branch only j\n",
    );
    let on = |scene| ["a", "b", "c", "l"].map(|i| s.item_in(scene, i).reached);
    assert_eq!(on("one"), [true, false, false, true]);
    assert_eq!(on("branch"), [true, true, false, true]);
}

#[test]
fn sources_side_by_side() {
    let joined = solved("supply s 12 V\nsupply t 12 V\nlink l between s and t\n");
    let (item, _, cause) = joined.failed("all-on");
    assert_eq!(item, "t");
    assert!(matches!(cause, NoSolutionCause::SourcesJoined(p) if p.item == joined.id("s")));
    // 12 V and 11 V behind 1 ohm each, 10 mA drawn: (12 − V) + (11 − V) = 0.01.
    let s = solved(
        "supply s 12 V resistance 1 ohm\nsupply t 11 V resistance 1 ohm\n\
         link l between s and t\nload d draws 10 mA from s\n",
    );
    close(s.item("d").volts.typical.value, 11.495);
    close(s.item("t").passes.typical.value, -0.495);
    // Behind a diode each, the higher one gives all.
    let s = solved(
        "supply s 12 V\nsupply t 11 V\ndiode a from s\ndiode b from t\n\
         link l between a and b\nload d draws 10 mA from a\n",
    );
    volts_close(s.item("d").volts.typical.value, 11.3);
    close(s.item("b").passes.typical.value, 0.0);
    volts_close(s.item("s").passes.typical.value, 0.01);
}

#[test]
fn more_than_a_kiloampere_is_no_state() {
    let s = solved("supply s 12 V\nload l resistance 0.01 ohm from s\n");
    assert_eq!(
        s.failed("all-on"),
        ("l", Corner::Typical, NoSolutionCause::TooMuchCurrent)
    );
}

#[test]
fn a_lamp_and_a_load_are_dark_where_nothing_leads() {
    let s = solved(
        "module m works 6 V to 15 V draws 10 mA\n  output low 100 mA sinks\n\
         supply s 12 V\nboard b of m from s\n\
         lamp l of pearl resistor 560 ohm from s return to b.low\n\
         scene x off b\n",
    );
    let l = s.item_in("x", "l");
    assert!(!l.reached);
    for q in [l.volts, l.drop] {
        assert_eq!((q.low.value, q.high.value), (0.0, 0.0));
    }
    assert!(s.item("l").amps.typical.value > 0.01);
}

#[test]
fn an_idle_point_has_what_a_very_small_load_would_see() {
    let s = solved("supply s 12 V\ndiode d from s\nregulator g 5 V 1 A from d\njoint j from g\n");
    volts_close(s.item("g").volts.typical.value, 11.3);
    volts_close(s.item("j").volts.typical.value, 5.0);
}

/// A leg of hardly any resistance, with the current of a thousand lamps in it: the voltages at its ends differ in their last
/// digits alone. What flows is what the lamps take.
#[test]
fn much_current_in_legs_of_hardly_any_resistance() {
    const LAMPS: usize = 1000;
    // 0.11 microhm, just over what counts as nothing, and more.
    for mm in ["0.00011", "0.001", "0.02", "1"] {
        let mut text = format!("supply a 12 V\nfuse main 60 A from a over {mm} mm of ohm1\n");
        for k in 0..LAMPS {
            if k % 20 == 0 {
                text += &format!("joint row-{k} from main over {mm} mm of ohm1\n");
            }
            let (row, over) = (k - k % 20, 50 + k % 20);
            text += &format!(
                "lamp l-{k} of pearl resistor 510 ohm from row-{row} over {over} mm of ohm1\n"
            );
        }
        let s = solved(&text);
        let main = s.item("main").passes;
        let each = (0..LAMPS).map(|k| s.item(&format!("l-{k}")).amps.typical.value);
        let all: f64 = each.sum();
        assert!(all > 17.0, "{mm}: {all}");
        // Each node on the way is held in balance to 0.2 µA.
        let nodes = (LAMPS / 20 + 1) as f64;
        let off = (main.typical.value - all).abs();
        assert!(off < 2.2e-7 * nodes, "{mm}: {main:?}, {all}");
        assert!(
            main.low < main.typical && main.typical < main.high,
            "{mm}: {main:?}"
        );
        // 20 lamps behind a joint.
        let row = s.item("row-40").passes.typical.value;
        let each = (40..60).map(|k| s.item(&format!("l-{k}")).amps.typical.value);
        assert!((row - each.sum::<f64>()).abs() < 2.2e-7, "{mm}: {row}");
    }
}
