//! First messages as real editors send them (recorded from Neovim 0.11.4, Helix 25.01.1 and Eglot 1.17.30; that of VS Code is
//! put around the capabilities that pytest-lsp 1.0.1 has recorded of it; that of Kate is not recorded, but written down after
//! `addons/lspclient/lspclientserver.cpp` of KDE/kate, commit 00f6233f, `initialize`), with members that nobody knows and values of other
//! types put in: the builder has a server all the same.

use serde_json::{Value, json};

use super::every_message::{change, odd};
use crate::dice::Dice;
use crate::tidy::root;
use crate::wire::client::Client;

/// So many changed messages of each editor.
const EACH: usize = 40;

fn recorded() -> Vec<(String, Value)> {
    let folder = root().join("tests/hostile/initialize");
    let mut all: Vec<(String, Value)> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| {
            let path = entry.unwrap().path();
            let name = path.file_stem().unwrap().to_string_lossy().into_owned();
            let text = std::fs::read_to_string(&path).unwrap();
            (name, serde_json::from_str(&text).unwrap())
        })
        .collect();
    all.sort_by(|a, b| a.0.cmp(&b.0));
    assert!(all.len() >= 5);
    all
}

/// Adds a member that nobody knows to every object.
fn with_unknown(value: &mut Value, dice: &mut Dice) {
    match value {
        Value::Object(members) => {
            members
                .values_mut()
                .for_each(|value| with_unknown(value, dice));
            members.insert("madeUp".to_owned(), odd(&mut |limit| dice.below(limit)));
        }
        Value::Array(items) => items.iter_mut().for_each(|item| with_unknown(item, dice)),
        _ => {}
    }
}

/// The session begins, and a fault is found; by whichever way this client is told.
fn serves(params: Value, what: &str) {
    let mut client = Client::silent();
    let answer = client.request("initialize", params.clone());
    assert!(
        answer["error"].is_null() && answer["result"]["capabilities"].is_object(),
        "{what}: {answer}\n{params}"
    );
    client.notify("initialized", json!({}));
    let uri = "file:///models/ferry/plan.harness";
    client.open(uri, 1, "zone a\n@@\n");
    let found = match answer["result"]["capabilities"]["diagnosticProvider"].is_object() {
        true => {
            let params = json!({"textDocument": {"uri": uri}});
            client.result("textDocument/diagnostic", params)["items"].clone()
        }
        false => Value::Array(client.findings(uri, 1)),
    };
    assert_eq!(
        found[0]["range"]["start"]["line"], 1,
        "{what}: {found}\n{params}"
    );
    client.end();
}

#[test]
fn as_recorded() {
    for (name, params) in recorded() {
        serves(params, &name);
    }
}

#[test]
fn with_members_that_nobody_knows() {
    let mut dice = Dice::seeded(11);
    for (name, params) in recorded() {
        for _ in 0..3 {
            let mut params = params.clone();
            with_unknown(&mut params, &mut dice);
            serves(params, &name);
        }
    }
}

#[test]
fn with_values_of_other_types() {
    for (name, params) in recorded() {
        let mut dice = Dice::seeded(name.len() as u64);
        for nth in 0..EACH {
            let mut params = params.clone();
            for _ in 0..1 + nth % 4 {
                change(&mut params, &mut |limit| dice.below(limit));
            }
            // A message that names a process which is not there ends the session, as it should.
            if params.is_object() {
                params["processId"] = Value::Null;
            }
            serves(params, &format!("{name}, {nth}"));
        }
    }
}

/// Kate's session after its source (as above; `write`, `shutdown`): JSON on many lines, an address with blanks and letters as they
/// are, `shutdown` with parameters but without an id, and no wait for its answer.
#[test]
fn from_the_first_word_to_the_last_as_kate_has_it() {
    let (_, params) = recorded().remove(2);
    assert_eq!(params["rootUri"], "file:///models/two ferries é");
    let mut client = Client::silent();
    let tell = |client: &mut Client, message: Value| {
        client.body(&serde_json::to_string_pretty(&message).unwrap());
    };
    tell(
        &mut client,
        json!({"jsonrpc": "2.0", "id": 1, "method": "initialize", "params": params}),
    );
    assert!(client.answer(1)["result"]["capabilities"].is_object());
    tell(
        &mut client,
        json!({"jsonrpc": "2.0", "method": "initialized", "params": {}}),
    );
    let uri = "file:///models/two%20ferries%20%C3%A9/plan.harness";
    client.open(uri, 1, "zone a\n@@\n");
    assert_eq!(client.findings(uri, 1)[0]["range"]["start"]["line"], 1);
    for method in ["shutdown", "exit"] {
        tell(
            &mut client,
            json!({"jsonrpc": "2.0", "method": method, "params": {}}),
        );
    }
    // LSP 3.17, "Exit Notification": 1 where no request came to shut down; what matters is that it ends.
    assert_eq!(client.status().code(), Some(1));
}
