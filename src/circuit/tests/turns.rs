//! Outputs that take turns.

use super::*;

const TWO_BOARDS: &str = "\
module three works 5 V to 14 V draws 5 mA output x 100 mA output y 100 mA output z 100 mA turns x, y, z
module two works 5 V to 14 V draws 5 mA output x 100 mA output y 100 mA turns x, y
supply s 12 V
board a of three from s
board b of two from s
load ax resistance 300 ohm from a.x
load ay resistance 200 ohm from a.y
load az resistance 400 ohm from a.z
load bx resistance 200 ohm from b.x
load by resistance 300 ohm from b.y
";

/// What is lit in each state, with its name.
fn lit(solution: &Solution, plan: &Plan) -> Vec<String> {
    let of = |state: &SceneFigures| {
        let figures = state.outcome.as_ref().unwrap();
        let on = plan.items.iter().zip(figures.items.iter());
        let on = on.filter(|(i, own)| i.name.0.len() == 2 && own.amps.typical.value > 0.0);
        let names: Vec<&str> = on.map(|(i, _)| &*i.name.0).collect();
        format!("{}: {}", state.name.0, names.join(" "))
    };
    solution.states().map(of).collect()
}

#[test]
fn every_output_has_its_turn_in_some_state() {
    let plan = plan(TWO_BOARDS);
    let solution = solve(&plan, &|| false);
    assert_eq!(solution.scenes.len(), 1);
    assert_eq!(
        lit(&solution, &plan),
        [
            "all-on: ay bx",
            "all-on, turn 2: ax by",
            "all-on, turn 3: az by"
        ]
    );
}

#[test]
fn without_turns_there_are_no_other_states() {
    let plan = plan(
        &TWO_BOARDS
            .replace(" turns x, y, z", "")
            .replace(" turns x, y", ""),
    );
    assert_eq!(solve(&plan, &|| false).turns.len(), 0);
}

/// A circuit in which it would take long to try all turns has no figures, rather than some that may not be the worst.
#[test]
fn a_circuit_with_very_many_turns_has_no_figures() {
    // Three items a board and the supply: two outputs in 1,735 items are 3,470 a board, and 2,000,000 may be tried.
    for (count, one_too_many) in [(10, None), (578, Some("a576"))] {
        let board = |k| {
            format!(
                "board a{k} of two from far\nload x{k} resistance 300 ohm from a{k}.x\nload y{k} resistance 200 ohm from a{k}.y\n"
            )
        };
        let boards: String = (0..count).map(board).collect();
        let plan = plan(&format!("{TWO_BOARDS}supply far 12 V\n{boards}"));
        let solution = solve(&plan, &|| false);
        for state in solution.states() {
            let none = state.outcome.as_ref().err();
            let said = none.map(|none| (&*plan.items[none.item.0].name.0, none.cause));
            assert_eq!(
                said,
                one_too_many.map(|name| (name, NoSolutionCause::ManyTurns))
            );
        }
    }
}

/// An output that takes current rather than gives it draws less than one on which nothing hangs.
#[test]
fn an_output_that_is_fed_from_behind_is_not_the_one_that_draws_most() {
    let plan = plan(
        "supply s 12 V\nresistor r 100 ohm from s\nmodule two works 5 V to 14 V draws 4 mA output x 100 mA output y 100 mA turns x, y\nboard b of two from r\njoint j from b.x\nlink way between j and r\n",
    );
    let solution = solve(&plan, &|| false);
    let figures = solution.scenes[0].outcome.as_ref().unwrap();
    let joint = plan
        .items
        .iter()
        .position(|item| &*item.name.0 == "j")
        .unwrap();
    // With x on, what the board takes would come by way of the link and j.
    assert!(figures.items[joint].passes.typical.value.abs() < 1e-9);
}
