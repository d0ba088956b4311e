//! What is seen, by the names of the plan.

use super::Seen;
use crate::circuit::ALL_ON;
use crate::plan::{ItemId, Plan};

/// What is seen, as somebody writes it.
#[derive(Clone, Debug, Default)]
pub struct Named {
    /// The lights that are dark, …
    pub dark: Vec<String>,
    /// … dim …
    pub dim: Vec<String>,
    /// … and as they should be.
    pub lit: Vec<String>,
    /// The scene that is set; without it the first one, and with none everything is on.
    pub scene: Option<String>,
    /// Nobody looked at the others.
    pub others_unseen: bool,
}

impl Named {
    /// The lights and the scene of the plan; everything that is wrong with the names, one sentence each, where
    /// something is.
    pub fn in_plan(&self, plan: &Plan) -> Result<Seen, Vec<String>> {
        let mut wrong = Vec::new();
        let mut lights = |names: &[String]| -> Vec<ItemId> {
            let found = names.iter().map(|name| light(plan, name));
            let mut lights = Vec::new();
            for one in found {
                match one {
                    Ok(light) if lights.contains(&light) => {}
                    Ok(light) => lights.push(light),
                    Err(sentence) if wrong.contains(&sentence) => {}
                    Err(sentence) => wrong.push(sentence),
                }
            }
            lights
        };
        let (dark, dim, lit) = (lights(&self.dark), lights(&self.dim), lights(&self.lit));
        let twice = [
            (&dark, "dark", &dim, "dim"),
            (&dark, "dark", &lit, "lit"),
            (&dim, "dim", &lit, "lit"),
        ];
        for (these, is, those, also) in twice {
            for light in these.iter().filter(|light| those.contains(light)) {
                let name = &plan.items[light.0].name.0;
                wrong.push(format!("`{name}` cannot be {is} and {also}."));
            }
        }
        let scene = match self.scene.as_deref() {
            None if plan.scenes.is_empty() => None,
            None => Some(0),
            Some(ALL_ON) => None,
            Some(name) => {
                let found = plan.scenes.iter().position(|scene| &*scene.name.0 == name);
                if found.is_none() {
                    let scenes = plan.scenes.iter().map(|scene| &*scene.name.0);
                    let near = nearest(name, scenes.chain([ALL_ON]));
                    wrong.push(format!("No scene is named `{name}`.{near}"));
                }
                found
            }
        };
        if wrong.is_empty() && dark.is_empty() && dim.is_empty() {
            wrong.push("Name a light that is dark or dim.".to_owned());
        }
        match wrong.is_empty() {
            true => Ok(Seen {
                scene,
                dark,
                dim,
                lit,
                others_unseen: self.others_unseen,
            }),
            false => Err(wrong),
        }
    }
}

fn light(plan: &Plan, name: &str) -> Result<ItemId, String> {
    match plan.item(name) {
        Some(item) if plan.items[item.0].is_light() => Ok(item),
        Some(item) => Err(format!(
            "`{name}` is a {}, no light.",
            plan.items[item.0].kind()
        )),
        None => {
            let lights = plan.lights().map(|light| &*plan.items[light.0].name.0);
            Err(format!(
                "No light is named `{name}`.{}",
                nearest(name, lights)
            ))
        }
    }
}

/// ` Nearest name: mast.`, where one is near.
fn nearest<'a>(name: &str, known: impl Iterator<Item = &'a str>) -> String {
    let near = known
        .map(|known| (strsim::osa_distance(known, name), known))
        .min()
        .filter(|(far, _)| *far <= name.chars().count().div_ceil(2));
    near.map_or(String::new(), |(_, near)| format!(" Nearest name: {near}."))
}
