//! Files that come and go, for long: opened and closed, changed, removed and made anew on the disk, folders opened and closed,
//! texts that have no file and a new name each. Every request has its one answer, what is said at the end is what a fresh start
//! says, and of what is gone nothing is held.
//!
//! `GLIMLOOM_SOAK=200000` makes it as long as `soak.rs`.

use std::collections::BTreeMap;

use serde_json::{Value, json};

use super::{everything, memory, requests_at, requests_of};
use crate::dice::Dice;
use crate::wire::client::{Client, edit};
use crate::wire::folder::Folder;

/// So many steps without being asked for more.
const STEPS: usize = 1_500;
/// From so many on it is long, and the server warm after a fifth of it.
const LONG: usize = 20_000;
/// So many documents are open at a time, so that it is not their number that is measured.
const OPEN: usize = 8;
const PLANS: usize = 12;

const STOCK: &str = "led pearl drops 3.0 V at 20 mA limit 25 mA colour white\n\
                     wire fine gauge 32 AWG insulation enamel outer 0.25 mm colours red, black\n";

fn plan(dice: &mut Dice, step: usize) -> String {
    let lamp =
        |k| format!("lamp l{k}-{step} of pearl resistor 560 ohm from s over 60 mm of fine\n");
    let lamps: String = (0..4 + dice.below(5)).map(lamp).collect();
    format!("use \"stock.harness\"\nsupply s 12 V 1 A\n{lamps}")
}

/// Someone at work in two folders.
struct Sitting<'a> {
    client: Client,
    dice: Dice,
    folders: [&'a Folder; 2],
    are_open: [bool; 2],
    /// What is open, by its address: its version, and its text.
    open: BTreeMap<String, (i64, String)>,
    asked: Vec<i64>,
    answered: usize,
}

fn begin(folders: [&Folder; 2]) -> Client {
    let mut client = Client::silent();
    let open = folders.map(|folder| json!({"uri": folder.root(), "name": "models"}));
    client.shake_hands(json!({"capabilities": everything(), "workspaceFolders": open}));
    client
}

impl Sitting<'_> {
    fn open(&mut self, uri: String, text: String) {
        if !self.open.contains_key(&uri) {
            self.client.open(&uri, 0, &text);
            self.open.insert(uri, (0, text));
        }
    }

    fn one_of_the_open(&mut self) -> String {
        let nth = self.dice.below(self.open.len());
        self.open.keys().nth(nth).cloned().unwrap_or_default()
    }

    fn step(&mut self, step: usize) {
        let folder = self.folders[self.dice.below(2)];
        let name = match self.dice.below(PLANS + 2) {
            0 => "stock.harness".to_owned(),
            n => format!("plan-{n}.harness"),
        };
        match self.dice.below(12) {
            0 => {
                let text = plan(&mut self.dice, step);
                self.open(folder.uri(&name), text);
            }
            1 => {
                let text = plan(&mut self.dice, step);
                self.open(format!("untitled:new-{step}"), text);
            }
            2 => {
                let on_disk = folder.0.join(&name);
                let kind = match self.dice.below(4) {
                    0 => std::fs::remove_file(&on_disk).map(|()| 3).unwrap_or(1),
                    _ if name == "stock.harness" => {
                        folder.write(&name, &format!("{STOCK}# {step}\n"));
                        2
                    }
                    _ => {
                        let text = plan(&mut self.dice, step);
                        folder.write(&name, &text);
                        2
                    }
                };
                let change = json!([{"uri": folder.uri(&name), "type": kind}]);
                self.client.notify(
                    "workspace/didChangeWatchedFiles",
                    json!({"changes": change}),
                );
            }
            3 if self.dice.below(8) == 0 => {
                let which = self.dice.below(2);
                self.are_open[which] ^= true;
                let it = json!([{"uri": self.folders[which].root(), "name": "models"}]);
                let (added, removed) = match self.are_open[which] {
                    true => (it, json!([])),
                    false => (json!([]), it),
                };
                let event = json!({"event": {"added": added, "removed": removed}});
                self.client
                    .notify("workspace/didChangeWorkspaceFolders", event);
            }
            4 => {
                let asked = self.client.ask("workspace/symbol", json!({"query": "l1"}));
                self.asked.push(asked);
            }
            5..=8 => {
                let uri = self.one_of_the_open();
                let Some((version, text)) = self.open.get_mut(&uri) else {
                    return;
                };
                *version += 1;
                let letter = if text.starts_with('#') { "\n" } else { "#" };
                let change = edit((0, 0), (0, 0), letter);
                text.insert_str(0, letter);
                self.client.change(&uri, *version, json!([change]));
                if text.len() > 2_000 {
                    *text = plan(&mut self.dice, step);
                    *version += 1;
                    self.client.change(&uri, *version, json!([{"text": text}]));
                }
            }
            _ => {
                let uri = self.one_of_the_open();
                let mut all = requests_of(&uri);
                let at = json!({"line": 3, "character": 6});
                for (method, mut params) in requests_at(&at, &json!({"start": at, "end": at})) {
                    params["textDocument"] = json!({"uri": uri});
                    all.push((method, params));
                }
                if !uri.is_empty() {
                    let (method, params) = all.swap_remove(self.dice.below(all.len()));
                    self.asked.push(self.client.ask(method, params));
                }
            }
        }
        while self.open.len() > OPEN {
            let uri = self.one_of_the_open();
            self.open.remove(&uri);
            self.client.close(&uri);
        }
        if self.asked.len() >= 8 {
            self.take_answers();
        }
    }

    fn take_answers(&mut self) {
        for id in std::mem::take(&mut self.asked) {
            self.client.answer(id);
            self.answered += 1;
        }
        self.client.unread();
    }

    /// What is said of all that is open, and nothing else is: once each text has a new fault of its own.
    fn said(client: &mut Client, open: &BTreeMap<String, (i64, String)>) -> Vec<Vec<Value>> {
        for (uri, (version, text)) in open {
            let text = format!("{text}\n@@\n");
            client.change(uri, version + 1, json!([{"text": text}]));
        }
        // Those of a file may be said again when another one is known.
        client.result("workspace/symbol", json!({"query": "no such name"}));
        let said = open.iter();
        said.map(|(uri, (version, _))| client.findings(uri, version + 1))
            .collect()
    }
}

#[test]
fn files_that_come_and_go() {
    let steps: usize = match std::env::var("GLIMLOOM_SOAK") {
        Ok(steps) => steps.parse().expect("GLIMLOOM_SOAK is a number"),
        Err(_) => STEPS,
    };
    let folders = [&Folder::new("coming"), &Folder::new("going")];
    let mut dice = Dice::seeded(77);
    for folder in folders {
        folder.write("stock.harness", STOCK);
        for n in 1..=PLANS {
            folder.write(&format!("plan-{n}.harness"), &plan(&mut dice, n));
        }
    }
    let mut sitting = Sitting {
        client: begin(folders),
        dice,
        folders,
        are_open: [true; 2],
        open: BTreeMap::new(),
        asked: Vec::new(),
        answered: 0,
    };
    let mut held: Vec<u64> = Vec::new();
    for step in 0..steps {
        sitting.step(step);
        if step % (steps / 100).max(1) == 0 {
            sitting.take_answers();
            held.extend(memory::held(&sitting.client).map(|(now, _)| now));
        }
    }
    sitting.take_answers();
    assert!(sitting.answered > steps / 5, "{}", sitting.answered);
    for (folder, is_open) in folders.iter().zip(sitting.are_open) {
        if !is_open {
            let it = json!([{"uri": folder.root(), "name": "models"}]);
            let event = json!({"event": {"added": it, "removed": []}});
            let client = &mut sitting.client;
            client.notify("workspace/didChangeWorkspaceFolders", event);
        }
    }
    let said = Sitting::said(&mut sitting.client, &sitting.open);
    let mut fresh = begin(folders);
    for (uri, (version, text)) in &sitting.open {
        fresh.open(uri, *version, text);
    }
    assert_eq!(said, Sitting::said(&mut fresh, &sitting.open));
    fresh.end();
    sitting.client.end();
    let fifth = held.len() / 5;
    let most = |held: &[u64]| held.iter().max().copied().unwrap_or_default();
    let (then, now) = (
        most(&held[fifth..3 * fifth]),
        most(&held[held.len() - fifth..]),
    );
    println!(
        "{steps} steps, {} answers; once warm {then} kB at most, at the end {now} kB",
        sitting.answered
    );
    if steps >= LONG {
        assert!(now * 100 <= then * 105, "memory grows: {held:?}");
    }
}
