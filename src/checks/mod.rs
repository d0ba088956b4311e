//! One file a check: its page at the top (the `//!` comment, see [`page`]), its name, severities,
//! what it looks for, its mends, and the tests for what the page's plans do not show. A new check
//! is that file and one line of [`CHECKS`].
//!
//! [`Analysis`] is the whole pure function from text to findings.

mod accept;
pub mod analysis;
pub mod check_names;
mod context;
mod copies;
pub mod facts;
pub mod finding;
pub mod fix_all;
mod in_common;
mod in_copper;
mod lamps;
pub mod limits;
pub mod page;
mod reading;
mod remove;
mod runs;
mod scenes;
pub mod stock_use;
mod supplies;
mod tape_figures;
#[cfg(test)]
mod testing;
mod ways;
pub mod words;
mod zone_light;

mod above_low_voltage;
mod accept_idle;
mod bare_wire;
mod battery_sags;
mod battery_short;
mod board_wrong_volts;
mod bundle_jams;
mod cell_drained;
mod clause_missing;
mod clause_repeated;
mod colour_clash;
mod colour_unusual;
mod contact_overloaded;
mod cut_inside_group;
mod driven_hard_sealed;
mod drop_too_large;
mod drops_impossible;
mod fast_flash;
mod fed_in_a_circle;
mod feed_unfused;
pub mod figure_unlikely;
mod fuse_costs_volts;
mod fuse_may_not_blow;
mod fuse_not_preferred;
mod fuse_too_large;
mod fuse_too_small;
mod joint_crowded;
mod lamp_off_target;
mod lamp_over_limit;
mod lamp_without_resistor;
mod lamps_share_resistor;
mod lift_off_tied;
mod link_idle;
mod name_taken;
mod navigation_side;
mod never_fitted;
mod no_solution;
mod not_fed;
mod not_tried;
mod off_yet_lit;
mod only_stays_dark;
mod output_overloaded;
mod passage_too_tight;
mod polarity_unsure;
mod regulator_overloaded;
mod regulator_starved;
mod regulator_too_hot;
mod resistor_not_preferred;
mod resistor_softens_plastic;
mod resistor_too_hot;
mod row_uneven;
pub mod scene_dark;
pub mod scene_twice;
mod sealed_out_of_reach;
mod series_string;
mod single_path;
mod stage_impossible;
mod stock_short;
mod supplies_joined;
mod supply_no_headroom;
mod supply_over_budget;
mod syntax;
mod tape_overdriven;
mod tape_starved;
mod too_many_in_series;
mod tried_off;
mod undo;
mod unknown_name;
mod unused_stock;
mod use_failed;
mod way_broken;
mod way_missing;
mod weak_point;
mod wire_overloaded;
mod wrong_unit;
mod zone_dark;
mod zone_too_hot;
mod zone_uneven;

pub use analysis::{Analysis, Mend};
pub use context::{Context, Worst, has_errors, misses_names};
pub use finding::Finding;
pub use tried_off::trial_fits;
pub use words::{in_scene, list};

use crate::plan::Severity;

/// A check: something that can be wrong with a plan.
#[derive(Clone, Copy, Debug)]
pub struct Check {
    /// Its name in plain words, as `accept` and `treat` write it.
    pub name: &'static str,
    /// How bad its findings are, the worst first.
    pub severities: &'static [Severity],
    /// Its page, in Markdown.
    pub page: &'static str,
    /// Looks at a plan and puts down what it finds.
    pub check: fn(&Context, &mut Vec<Finding>),
    /// Proposes mends for one of its findings, the preferred one first; [`Analysis::mends`] tries
    /// them. `None`: there is nothing to propose.
    pub mends: Option<fn(&Context, &Finding) -> Vec<Mend>>,
}

/// All checks, in the order of the documentation.
pub static CHECKS: &[Check] = &[
    // Reading the file
    syntax::CHECK,
    unknown_name::CHECK,
    name_taken::CHECK,
    wrong_unit::CHECK,
    clause_missing::CHECK,
    clause_repeated::CHECK,
    use_failed::CHECK,
    drops_impossible::CHECK,
    figure_unlikely::CHECK,
    unused_stock::CHECK,
    // Supply
    supply_over_budget::CHECK,
    supply_no_headroom::CHECK,
    battery_short::CHECK,
    battery_sags::CHECK,
    cell_drained::CHECK,
    above_low_voltage::CHECK,
    supplies_joined::CHECK,
    polarity_unsure::CHECK,
    // Tape and lamps
    cut_inside_group::CHECK,
    tape_starved::CHECK,
    tape_overdriven::CHECK,
    lamp_without_resistor::CHECK,
    lamp_over_limit::CHECK,
    lamp_off_target::CHECK,
    driven_hard_sealed::CHECK,
    row_uneven::CHECK,
    too_many_in_series::CHECK,
    lamps_share_resistor::CHECK,
    resistor_too_hot::CHECK,
    resistor_softens_plastic::CHECK,
    resistor_not_preferred::CHECK,
    // Wire, fuse, contacts
    feed_unfused::CHECK,
    fuse_too_large::CHECK,
    fuse_too_small::CHECK,
    fuse_may_not_blow::CHECK,
    fuse_not_preferred::CHECK,
    fuse_costs_volts::CHECK,
    wire_overloaded::CHECK,
    drop_too_large::CHECK,
    joint_crowded::CHECK,
    contact_overloaded::CHECK,
    output_overloaded::CHECK,
    regulator_overloaded::CHECK,
    board_wrong_volts::CHECK,
    regulator_too_hot::CHECK,
    regulator_starved::CHECK,
    colour_clash::CHECK,
    colour_unusual::CHECK,
    // The way the power goes
    single_path::CHECK,
    series_string::CHECK,
    sealed_out_of_reach::CHECK,
    lift_off_tied::CHECK,
    fed_in_a_circle::CHECK,
    not_fed::CHECK,
    weak_point::CHECK,
    link_idle::CHECK,
    // Places
    passage_too_tight::CHECK,
    bundle_jams::CHECK,
    bare_wire::CHECK,
    way_broken::CHECK,
    way_missing::CHECK,
    zone_dark::CHECK,
    zone_uneven::CHECK,
    zone_too_hot::CHECK,
    navigation_side::CHECK,
    fast_flash::CHECK,
    // Scenes
    scene_dark::CHECK,
    scene_twice::CHECK,
    off_yet_lit::CHECK,
    only_stays_dark::CHECK,
    // The bench
    not_tried::CHECK,
    tried_off::CHECK,
    stage_impossible::CHECK,
    never_fitted::CHECK,
    stock_short::CHECK,
    no_solution::CHECK,
    // Looks at what all the others found, so it stands last
    accept_idle::CHECK,
];

/// The check of this name.
pub fn named(name: &str) -> Option<&'static Check> {
    CHECKS.iter().find(|c| c.name == name)
}

/// The page of the check of this name.
pub fn explain(name: &str) -> Option<&'static str> {
    named(name).map(|c| c.page)
}

impl Check {
    /// What it is about, in a few words: what stands behind the name in its page's title.
    pub fn about(&self) -> &'static str {
        let title = self.page.lines().next().unwrap_or("");
        title.split_once(": ").map_or(title, |(_, about)| about)
    }
}

/// The index of the pages, in Markdown: `docs/checks/README.md`.
pub fn index() -> String {
    let mut text = String::from(
        "# The checks\n\n\
         Each has a page: what is wrong, why it matters at the bench, how the limit was chosen, a plan that \
         shows it and the same plan mended. `glimloom explain NAME` prints it.\n\n\
         In a plan, `treat NAME as off` (or `hint`, `warning`, `error`) in the `harness` stanza changes a check for the \
         whole plan; `accept NAME because \"REASON\"` silences it on one stanza.\n\n\
         | check | severity | what it finds |\n| --- | --- | --- |\n",
    );
    for check in CHECKS {
        let severities: Vec<&str> = check.severities.iter().map(|&s| severity_word(s)).collect();
        text += &format!(
            "| [`{0}`]({0}.md) | {1} | {2} |\n",
            check.name,
            severities.join(", "),
            check.about()
        );
    }
    text
}

/// A severity as lists and `treat` write it.
pub fn severity_word(severity: Severity) -> &'static str {
    match severity {
        Severity::Hint => "hint",
        Severity::Warning => "warning",
        Severity::Error => "error",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_check_stands_once_under_the_title_of_its_page() {
        for (i, check) in CHECKS.iter().enumerate() {
            assert_eq!(CHECKS.iter().position(|c| c.name == check.name), Some(i));
            let title = format!("# `{}`: ", check.name);
            assert!(check.page.starts_with(&title), "{}", check.name);
            assert!(!check.severities.is_empty());
            assert!(check.severities.windows(2).all(|s| s[0] > s[1]));
            assert_eq!(explain(check.name), Some(check.page));
        }
        assert_eq!(explain("no-such-check"), None);
    }
}
