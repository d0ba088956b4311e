//! What the user can set, wherever the client says it: among its start options, by `workspace/didChangeConfiguration`,
//! or asked by `workspace/configuration`. What is said later lies on top of the start options; what nobody says is as
//! it is at first. A value that makes no sense changes nothing, and is complained of.

use std::collections::BTreeSet;

use serde_json::{Map, Value};
use tower_lsp::lsp_types::Url;

use super::pages::Pages;
use crate::editor::hints::{self, HintKind};
use crate::editor::lenses::{self, LensKind};

/// Under this name editors keep what is ours.
pub const SECTION: &str = "glimloom";

/// All that can be set.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Settings {
    /// Where the pages of the checks are.
    pub pages: Pages,
    /// The hints that are shown.
    pub hints: hints::Kinds,
    /// The lenses that are shown.
    pub lenses: lenses::Kinds,
    /// What the start options said.
    start: Value,
}

/// The name of every setting.
fn names() -> Vec<String> {
    let hints = HintKind::ALL.map(|kind| format!("hints.{}", kind.word()));
    let lenses = LensKind::ALL.map(|kind| format!("lenses.{}", kind.word()));
    let switches = hints.into_iter().chain(lenses);
    std::iter::once("pages".to_owned())
        .chain(switches)
        .collect()
}

impl Settings {
    /// As the start options have it, and what is wrong with those.
    pub fn at_start(options: Option<&Value>) -> (Settings, Vec<String>) {
        let start = options.cloned().unwrap_or_default();
        let settings = Settings {
            pages: Pages::find(None),
            hints: HintKind::ALL
                .into_iter()
                .filter(|kind| kind.at_first())
                .collect(),
            lenses: LensKind::ALL
                .into_iter()
                .filter(|kind| kind.at_first())
                .collect(),
            start: start.clone(),
        };
        settings.and(&start)
    }

    /// As the start options and this section have it, and what is wrong with the section.
    pub fn with(&self, section: &Value) -> (Settings, Vec<String>) {
        let (start, _) = Settings::at_start(Some(&self.start));
        start.and(section)
    }

    fn and(mut self, said: &Value) -> (Settings, Vec<String>) {
        let mut wrong = Vec::new();
        match said {
            Value::Null => {}
            Value::Object(members) => self.put(members, &mut wrong),
            other => wrong.push(format!(
                "The settings of {SECTION} are {other}, but take an object, as {{\"hints\": {{\"cut\": true}}}}. They are passed over."
            )),
        }
        (self, wrong)
    }

    fn put(&mut self, members: &Map<String, Value>, wrong: &mut Vec<String>) {
        for (name, value) in members.iter().filter(|(_, value)| !value.is_null()) {
            match name.as_str() {
                "pages" => match folder(value) {
                    Some(folder) => self.pages = Pages::find(Some(&folder)),
                    None => wrong.push(stays(
                        name,
                        value,
                        "the address of a folder, as \"https://example.org/checks\"",
                    )),
                },
                "hints" => {
                    let kinds = HintKind::ALL.map(|kind| (kind.word(), kind));
                    switch(name, value, &kinds, &mut self.hints, wrong);
                }
                "lenses" => {
                    let kinds = LensKind::ALL.map(|kind| (kind.word(), kind));
                    switch(name, value, &kinds, &mut self.lenses, wrong);
                }
                name => wrong.push(unknown(name)),
            }
        }
    }
}

/// Switches of a group on and off.
fn switch<K: Copy + Ord>(
    group: &str,
    value: &Value,
    kinds: &[(&str, K)],
    on: &mut BTreeSet<K>,
    wrong: &mut Vec<String>,
) {
    let Some(members) = value.as_object() else {
        wrong.push(stays(group, value, "an object with a switch for each kind"));
        return;
    };
    for (name, value) in members.iter().filter(|(_, value)| !value.is_null()) {
        let full = format!("{group}.{name}");
        match (kinds.iter().find(|(word, _)| word == name), value) {
            (Some((_, kind)), Value::Bool(true)) => _ = on.insert(*kind),
            (Some((_, kind)), Value::Bool(false)) => _ = on.remove(kind),
            (Some(_), value) => wrong.push(stays(&full, value, "true or false")),
            (None, _) => wrong.push(unknown(&full)),
        }
    }
}

/// The part of a client's settings that is ours: under our name, or all of them where every name is one of ours.
pub fn section_of(settings: &Value) -> Option<&Value> {
    let is_ours = |name: &String| {
        names()
            .iter()
            .any(|known| known.split('.').next() == Some(name))
    };
    settings.get(SECTION).or_else(|| {
        let members = settings.as_object()?;
        (!members.is_empty() && members.keys().all(is_ours)).then_some(settings)
    })
}

fn folder(value: &Value) -> Option<Url> {
    let address = value.as_str()?.trim_end_matches('/');
    let folder = Url::parse(&format!("{address}/")).ok()?;
    (!folder.cannot_be_a_base()).then_some(folder)
}

fn stays(name: &str, value: &Value, takes: &str) -> String {
    format!("The setting `{name}` is {value}, but takes {takes}. It is passed over.")
}

fn unknown(name: &str) -> String {
    let known = names();
    let near = known
        .iter()
        .map(|known| (strsim::osa_distance(name, known), known));
    let near = near
        .min()
        .filter(|(slips, known)| *slips <= 2.max(known.len() / 3));
    let near = near.map_or(String::new(), |(_, known)| {
        format!(" Nearest name: `{known}`.")
    });
    format!("No setting is named `{name}`.{near}")
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    const ELSEWHERE: &str = "https://example.org/checks";

    fn page(settings: &Settings) -> String {
        let page = settings.pages.of("single-path").unwrap();
        page.to_string()
    }

    #[test]
    fn what_is_said_later_lies_on_top() {
        let (start, wrong) = Settings::at_start(Some(&json!({"pages": ELSEWHERE})));
        assert_eq!(wrong, [""; 0]);
        assert_eq!(page(&start), format!("{ELSEWHERE}/single-path.md"));
        let (later, _) = start.with(&json!({"pages": "https://example.org/others/"}));
        assert_eq!(page(&later), "https://example.org/others/single-path.md");
        for nothing in [Value::Null, json!({}), json!({"pages": null})] {
            assert_eq!(later.with(&nothing), (start.clone(), vec![]));
        }
    }

    #[test]
    fn what_makes_no_sense_changes_nothing_and_is_said() {
        let (start, _) = Settings::at_start(None);
        for (section, says) in [
            (
                json!({"pages": 7}),
                "The setting `pages` is 7, but takes the address of a folder, as \"https://example.org/checks\". It is passed over.",
            ),
            (
                json!({"pages": "over there"}),
                "The setting `pages` is \"over there\", but takes the address of a folder, as \"https://example.org/checks\". It is passed over.",
            ),
            (
                json!({"page": ELSEWHERE}),
                "No setting is named `page`. Nearest name: `pages`.",
            ),
            (json!({"colour": "red"}), "No setting is named `colour`."),
            (
                json!({"hints": {"cut": 3}}),
                "The setting `hints.cut` is 3, but takes true or false. It is passed over.",
            ),
            (
                json!({"hints": {"lihgts": true}}),
                "No setting is named `hints.lihgts`. Nearest name: `hints.lights`.",
            ),
            (
                json!({"lenses": false}),
                "The setting `lenses` is false, but takes an object with a switch for each kind. It is passed over.",
            ),
            (
                json!(true),
                "The settings of glimloom are true, but take an object, as {\"hints\": {\"cut\": true}}. They are passed over.",
            ),
        ] {
            assert_eq!(start.with(&section), (start.clone(), vec![says.to_owned()]));
        }
    }

    #[test]
    fn each_kind_has_its_switch() {
        let (start, _) = Settings::at_start(Some(&json!({"hints": {"wire": true}})));
        assert_eq!(start.hints, [HintKind::Lights, HintKind::Wire].into());
        let section = json!({"hints": {"lights": false, "cut": true}, "lenses": {"feeds": true, "worst": false}});
        let (now, wrong) = start.with(&section);
        assert_eq!(wrong, [""; 0]);
        assert_eq!(now.hints, [HintKind::Cut, HintKind::Wire].into());
        assert_eq!(now.lenses, [LensKind::Budget, LensKind::Feeds].into());
    }

    #[test]
    fn our_part_of_a_clients_settings() {
        let ours = json!({"pages": ELSEWHERE});
        assert_eq!(
            section_of(&json!({"glimloom": ours, "other": 1})),
            Some(&ours)
        );
        assert_eq!(section_of(&ours), Some(&ours));
        for others in [json!({"other": 1, "pages": 2}), json!({}), Value::Null] {
            assert_eq!(section_of(&others), None);
        }
    }

    /// How each setting is at first, and what it does.
    fn rows() -> Vec<(String, &'static str, &'static str)> {
        let pages = "The address of the folder that has the pages of the checks. Without it, they are looked for beside the program.";
        let first = |at_first| if at_first { "on" } else { "off" };
        let hints = HintKind::ALL.map(|kind| {
            let name = format!("hints.{}", kind.word());
            (name, first(kind.at_first()), kind.says())
        });
        let lenses = LensKind::ALL.map(|kind| {
            let name = format!("lenses.{}", kind.word());
            (name, first(kind.at_first()), kind.says())
        });
        let pages = ("pages".to_owned(), "", pages);
        std::iter::once(pages).chain(hints).chain(lenses).collect()
    }

    /// A stretch of a file, from one mark to the next. To write it anew: `GLIMLOOM_WRITE=1 cargo test table_of_settings`.
    fn hold(file: &str, begin: &str, fresh: &str, end: &str) {
        let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join(file);
        let page = std::fs::read_to_string(&path).unwrap();
        let (ahead, rest) = page.split_once(begin).unwrap();
        let (_, behind) = rest.split_once(end).unwrap();
        let fresh = format!("{ahead}{begin}{fresh}{end}{behind}");
        if std::env::var_os("GLIMLOOM_WRITE").is_some() {
            std::fs::write(&path, fresh).unwrap();
        } else {
            assert!(
                page == fresh,
                "{file} is stale; run GLIMLOOM_WRITE=1 cargo test table_of_settings"
            );
        }
    }

    #[test]
    fn the_table_of_settings_is_fresh() {
        let mut table =
            String::from("| setting | at first | what it does |\n| --- | --- | --- |\n");
        let names_of_rows: Vec<String> = rows().into_iter().map(|(name, ..)| name).collect();
        assert_eq!(names_of_rows, names());
        for (name, first, says) in rows() {
            table += &format!("| `{name}` | {first} | {says} |\n");
        }
        hold(
            "docs/editors.md",
            "<!-- table: settings -->\n",
            &table,
            "<!-- end -->",
        );
    }

    /// The same for the extension of VS Code, which shows them with what they do.
    #[test]
    fn the_table_of_settings_of_vs_code_is_fresh() {
        let rows = rows().into_iter().enumerate();
        let rows = rows.map(|(order, (name, first, says))| {
            let takes = match first {
                "" => json!({"type": ["string", "null"], "default": null}),
                first => json!({"type": "boolean", "default": first == "on"}),
            };
            let mut takes = takes.as_object().unwrap().clone();
            takes.insert("scope".to_owned(), json!("window"));
            takes.insert("order".to_owned(), json!(order));
            takes.insert("markdownDescription".to_owned(), json!(says));
            let members = takes.iter().map(|(key, value)| {
                let value = serde_json::to_string(value).unwrap();
                format!("            \"{key}\": {value}")
            });
            let members: Vec<String> = members.collect();
            let members = members.join(",\n");
            format!("          \"{SECTION}.{name}\": {{\n{members}\n          }}")
        });
        let rows: Vec<String> = rows.collect();
        hold(
            "editors/vscode/package.json",
            "\"title\": \"What is shown\",\n        \"properties\": {\n",
            &rows.join(",\n"),
            "\n        }\n      }\n    ]\n  },\n  \"scripts\"",
        );
    }
}
