//! What the protocol library does on its own (tower-lsp 0.20, measured before the server was built on it), and the tests that hold
//! each against the real process:
//!
//! | the library alone | here | held by |
//! | --- | --- | --- |
//! | edits are in order up to the first `await` of their handler, then no more | no handler of a text awaits | `twenty_thousand_edits` below, `hostile/soak.rs` |
//! | four requests that never end, and nothing is read any more | read on | `work_holds_nothing_up` and `a_client_that_never_answers` below; `server/front_door.rs` with two hundred that never end |
//! | three such requests, and a cancel is answered with -32800 | the same, of however many | `work_holds_nothing_up`, `hostile/storms.rs` |
//! | a panic in a handler is the end of the process | -32603, and on | `server/front_door.rs` and `compute.rs`: there is none in the real process to try it with |
//! | a request that waits for the client is cancelled, the client then answers: a panic, the end | passed over | `a_late_answer` below, `frames.rs` |
//! | `shutdown`, `exit`, the input left open: it never ends | ends, 0; without `shutdown` 1 | `life.rs`, `exit_codes` |
//! | the client dies while a handler waits: it never ends | ends | `a_client_that_dies_in_the_middle` below, `life.rs` |
//! | a handler computes: nothing else is read or answered | answered meanwhile | `work_holds_nothing_up` |
//! | that request is cancelled: read when it is done | stopped in the middle | `progress.rs`, `a_large_plan_is_left_in_the_middle` |
//! | four handlers wait for the client, 150 edits behind them: deadlock | all done | `a_client_that_never_answers` |
//! | one bad frame or body ends the session | answered, and on | `frames.rs`, `hostile/bodies.rs` |
//! | a request whose method begins with `$/` is passed over | -32601 | `a_request_with_a_dollar_sign` below |
//! | `"params": null` on `shutdown` is refused | accepted | `client.rs`, the end of every test |
//! | `initialize` with an unknown trace, kind of markup, an empty root is refused | accepted | `life.rs`, `what_cannot_be_read_in_initialize_is_passed_over` |
//! | an edit without a version or with an address that is none is dropped, and nobody knows | taken; logged | `documents.rs`, `an_edit_without_a_version`, `an_address_that_is_none` |
//! | the end of `main` with the input open: the process stays | ends | `life.rs`, `exit_codes` |

use serde_json::{Value, json};

use super::client::{Client, edit, lines};
use super::progress::{ask_for_all, harbours, is_progress, so_many_harbours};
use super::pull::{asks, in_folders};

const URI: &str = "untitled:plan";

/// LSP 3.17, "$ Notifications and Requests": the one may be passed over, the other is MethodNotFound.
#[test]
fn a_request_with_a_dollar_sign() {
    let mut client = Client::new(json!({}));
    for method in ["$/nothing", "$/setTrace", "$/cancelRequest", "$/"] {
        client.notify(method, json!({}));
        assert_eq!(client.error(method, json!({})), -32601, "{method}");
    }
    client.end();
}

#[test]
fn twenty_thousand_edits() {
    let mut client = Client::new(json!({}));
    client.open(URI, 0, "zone \n");
    // Each is of use only behind the one before: a word that grows letter by letter at its end, and is begun anew.
    let letter = |n: u64| char::from(b'a' + (n * 7 % 26) as u8);
    let mut word = String::new();
    for n in 0..20_000u64 {
        let end = word.len() as u64;
        let (from, keeps) = if end < 40 {
            (5 + end, true)
        } else {
            (5, false)
        };
        let change = edit((0, from), (0, 5 + end), &letter(n).to_string());
        client.change(URI, n as i64 + 1, json!([change]));
        if !keeps {
            word.clear();
        }
        word.push(letter(n));
    }
    client.change(URI, 20_001, json!([edit((1, 0), (1, 0), "@@\n")]));
    assert_eq!(lines(&client.findings(URI, 20_001)), [1]);
    let symbols = client.result(
        "textDocument/documentSymbol",
        json!({"textDocument": {"uri": URI}}),
    );
    assert!(
        word.len() > 20 && symbols.to_string().contains(&word),
        "{word} in {symbols}"
    );
    client.end();
}

#[test]
fn work_holds_nothing_up() {
    let folder = so_many_harbours(1000, "library-work");
    let mut client = in_folders(asks(), &[&folder]);
    let place = json!({"textDocument": {"uri": URI}, "position": {"line": 0, "character": 1}});
    client.open(URI, 1, "zone a\n");
    // What was asked for first is still not done when twenty zones have been told of. On a machine that is busy with something
    // else it may be: then more is asked for.
    let is_still_at_it = [6, 12, 24].into_iter().any(|many| {
        let begins = |n: i32| json!(format!("{many} {n}"));
        let long: Vec<i64> = (0..many)
            .map(|n| ask_for_all(&mut client, begins(n)))
            .collect();
        client.wait("the beginning", |m| is_progress(m, &begins(0), "begin"));
        for _ in 0..20 {
            assert!(client.result("textDocument/hover", place.clone())["contents"].is_object());
        }
        for id in &long {
            client.notify("$/cancelRequest", json!({"id": id}));
        }
        let mut is_cancelled = false;
        for id in long {
            let answer = client.answer(id);
            is_cancelled |= answer["error"]["code"] == -32800;
            assert!(answer["error"]["code"] == -32800 || answer["result"].is_object());
        }
        is_cancelled
    });
    assert!(is_still_at_it);
    client.end();
}

/// What this client is asked for and never answers: places for the progress of work.
fn places(client: &mut Client, many: usize) -> Vec<Value> {
    let mut asked = Vec::new();
    for _ in 0..many {
        client.ask("workspace/symbol", json!({"query": "keel"}));
    }
    for _ in 0..many {
        let create = client.wait("a place for the progress", |m| {
            m["method"] == "window/workDoneProgress/create"
        });
        asked.push(create["id"].clone());
    }
    asked
}

fn shows_progress() -> Value {
    json!({"window": {"workDoneProgress": true}})
}

#[test]
fn a_client_that_never_answers() {
    let folder = harbours("library-deaf");
    let mut client = in_folders(shows_progress(), &[&folder]);
    assert_eq!(places(&mut client, 6).len(), 6);
    client.open(URI, 0, "zone a\n");
    for version in 1..=150 {
        client.change(URI, version, json!([edit((0, 6), (0, 6), "a")]));
    }
    client.change(URI, 151, json!([edit((1, 0), (1, 0), "@@\n")]));
    assert_eq!(lines(&client.findings(URI, 151)), [1]);
    client.end();
}

#[test]
fn a_late_answer() {
    let folder = harbours("library-late");
    let mut client = in_folders(shows_progress(), &[&folder]);
    let id = client.ask("workspace/symbol", json!({"query": "keel"}));
    let create = client.wait("a place for the progress", |m| {
        m["method"] == "window/workDoneProgress/create"
    });
    client.notify("$/cancelRequest", json!({"id": id}));
    assert_eq!(client.answer(id)["error"]["code"], -32800);
    for _ in 0..2 {
        client.body(&json!({"jsonrpc": "2.0", "id": create["id"], "result": null}).to_string());
    }
    client.open(URI, 1, "zone a\n@@\n");
    assert_eq!(lines(&client.findings(URI, 1)), [1]);
    client.end();
}

#[test]
fn a_client_that_dies_in_the_middle() {
    let folder = harbours("library-dies");
    let mut client = in_folders(shows_progress(), &[&folder]);
    places(&mut client, 3);
    client.raw("Content-Length: 1000\r\n\r\n{\"jsonrpc\": \"2.0\", \"id\": ");
    client.hang_up();
    assert_eq!(client.status().code(), Some(1));
}
