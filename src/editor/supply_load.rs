//! What a supply gives, scene by scene, and how much of what it may give that is: for the lens above it, and for an
//! editor that keeps it in sight.

use crate::checks::Analysis;
use crate::circuit::{ALL_ON, SceneFigures};
use crate::numbers::{percent, show_short};
use crate::plan::{ItemId, Part};
use crate::units::ElectricCurrent;

/// What a supply gives in a scene.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Given<'a> {
    /// It is off.
    Off,
    /// The current with all values as stated, and the least and the most that it may be.
    Current {
        /// As stated.
        typical: ElectricCurrent,
        /// At the least.
        low: ElectricCurrent,
        /// At the most.
        high: ElectricCurrent,
    },
    /// The circuit has no solution, on account of this item.
    NoSolution(&'a str),
}

/// The most that a supply states to give.
pub fn limit(a: &Analysis, item: ItemId) -> Option<ElectricCurrent> {
    match &a.plan.items[item.0].part {
        Part::Supply(supply) => supply.limit,
        _ => None,
    }
}

/// What a supply gives in each scene, with the name of the scene; what is on at most first.
pub fn given(a: &Analysis, item: ItemId) -> impl Iterator<Item = (&str, Given<'_>)> {
    let scenes = &a.solution.scenes;
    let all_on = scenes.last().filter(|scene| &*scene.name.0 == ALL_ON);
    let others = scenes.len() - usize::from(all_on.is_some());
    let scenes = all_on.into_iter().chain(&scenes[..others]);
    scenes.map(move |scene| (&*scene.name.0, in_scene(a, scene, item)))
}

fn in_scene<'a>(a: &'a Analysis, scene: &SceneFigures, item: ItemId) -> Given<'a> {
    let culprit = |item: ItemId| Given::NoSolution(&a.plan.items[item.0].name.0);
    match &scene.outcome {
        Err(none) => culprit(none.item),
        Ok(figures) => match figures.items.get(item.0) {
            None => culprit(item),
            Some(own) if !own.reached => Given::Off,
            Some(own) => Given::Current {
                typical: own.passes.typical,
                low: own.passes.low,
                high: own.passes.high,
            },
        },
    }
}

/// How a load stands to what the supply may give.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fit {
    /// It says nothing of what it may give.
    Unknown,
    /// With the headroom that the plan wants.
    Fits,
    /// The headroom is used up.
    Tight,
    /// More than it may.
    Over,
}

/// The scene in which a supply gives most.
#[derive(Clone, Debug, PartialEq)]
pub struct Load {
    /// The supply.
    pub name: String,
    /// The scene.
    pub scene: String,
    /// What it gives there, with all values as stated.
    pub given: ElectricCurrent,
    /// What it may give.
    pub limit: Option<ElectricCurrent>,
    /// The one beside the other.
    pub fit: Fit,
}

impl Load {
    /// `adapter 218 mA of 1 A, 22 %`
    pub fn says(&self) -> String {
        let given = show_short(self.given);
        match self.limit {
            None => format!("{} {given}", self.name),
            Some(limit) => {
                let share = percent((self.given / limit).value);
                format!("{} {given} of {}, {share}", self.name, show_short(limit))
            }
        }
    }
}

/// The loads of all supplies of a plan that can be worked out, in its order.
pub fn loads(a: &Analysis) -> Vec<Load> {
    let items = (0..a.plan.items.len()).map(ItemId);
    let supplies = items.filter(|item| matches!(a.plan.items[item.0].part, Part::Supply(_)));
    supplies.filter_map(|item| load(a, item)).collect()
}

fn load(a: &Analysis, item: ItemId) -> Option<Load> {
    let mut most: Option<(&str, ElectricCurrent)> = None;
    for (scene, given) in given(a, item) {
        if let Given::Current { typical, .. } = given
            && most.is_none_or(|(_, most)| typical > most)
        {
            most = Some((scene, typical));
        }
    }
    let (scene, given) = most?;
    let limit = limit(a, item);
    let headroom = a.plan.settings.headroom.value;
    let fit = match limit {
        None => Fit::Unknown,
        Some(limit) if given > limit => Fit::Over,
        Some(limit) if given > limit * (1.0 - headroom) => Fit::Tight,
        Some(_) => Fit::Fits,
    };
    Some(Load {
        name: a.plan.items[item.0].name.0.to_string(),
        scene: scene.to_owned(),
        given,
        limit,
        fit,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::{Alone, FileKey};

    fn of(text: &str) -> Vec<(String, String, Fit)> {
        let a = Analysis::of(FileKey::new("plan"), text.into(), &Alone, &|| false);
        let told = loads(&a).into_iter();
        told.map(|load| (load.says(), load.scene, load.fit))
            .collect()
    }

    fn one(supply: &str) -> (String, String, Fit) {
        let plan = format!(
            "{supply}\nload fan draws 40 mA from s\nload pump draws 60 mA from s\nscene dusk off pump\n"
        );
        of(&plan).remove(0)
    }

    #[test]
    fn the_scene_with_the_most_counts() {
        let told = |says: &str, fit| (says.to_owned(), "all-on".to_owned(), fit);
        assert_eq!(
            one("supply s 12 V 1 A"),
            told("s 100 mA of 1 A, 10 %", Fit::Fits)
        );
        assert_eq!(
            one("supply s 12 V 110 mA"),
            told("s 100 mA of 110 mA, 91 %", Fit::Tight)
        );
        assert_eq!(
            one("supply s 12 V 90 mA"),
            told("s 100 mA of 90 mA, 111 %", Fit::Over)
        );
        assert_eq!(one("supply s 12 V"), told("s 100 mA", Fit::Unknown));
    }

    #[test]
    fn what_has_no_figures_has_no_load() {
        assert_eq!(of("supply s twelve\nload fan draws 40 mA from s\n"), []);
        assert_eq!(of("supply s 12 V 0 A\n"), []);
    }
}
