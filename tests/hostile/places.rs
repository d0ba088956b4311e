//! Places out of the text, inside a surrogate pair, between CR and LF, and of no type.

use serde_json::{Value, json};

use super::{PLAN, is_well, requests_at, requests_of, session};

#[test]
fn places_that_are_nowhere() {
    let mut client = session();
    // `𝄞` stands at columns 46 and 47 of line 3, a CR at 48.
    let places = [
        (0u64, 0u64),
        (3, 46),
        (3, 47),
        (3, 48),
        (3, 49),
        (3, 50),
        (5, 0),
        (5, 1),
        (6, 0),
        (4_294_967_295, 0),
        (0, 4_294_967_295),
        (2_147_483_647, 2_147_483_647),
    ];
    let place = |(line, character): (u64, u64)| json!({"line": line, "character": character});
    let mut asked = Vec::new();
    for start in places {
        for end in [places[0], places[3], places[9], start] {
            // Backwards, too.
            let range = json!({"start": place(start), "end": place(end)});
            for (method, params) in requests_at(&place(start), &range) {
                asked.push((method, start, client.ask(method, params)));
            }
        }
    }
    for (method, start, id) in asked {
        let answer = client.answer(id);
        let code = answer["error"]["code"].as_i64();
        // A rename of what has no name is refused in words; nothing else is.
        let refused = matches!(method, "textDocument/rename" | "textDocument/prepareRename");
        assert!(
            code.is_none() || refused && code != Some(-32603),
            "{method} at {start:?}: {answer}"
        );
        for range in ranges(&answer["result"]) {
            assert!(
                is_in_text(range),
                "{method} at {start:?} tells of {range}, which is not in the text: {answer}"
            );
        }
    }
    is_well(client);
}

/// Everything that is a range.
fn ranges(value: &Value) -> Vec<&Value> {
    match value {
        Value::Array(all) => all.iter().flat_map(ranges).collect(),
        Value::Object(all) => {
            let own = (all.contains_key("start") && all.contains_key("end")).then_some(value);
            own.into_iter()
                .chain(all.values().flat_map(ranges))
                .collect()
        }
        _ => Vec::new(),
    }
}

fn is_in_text(range: &Value) -> bool {
    let lines: Vec<u64> = super::TEXT
        .split('\n')
        .map(|line| line.trim_end_matches('\r').encode_utf16().count() as u64)
        .collect();
    let place = |of: &Value| Some((of["line"].as_u64()?, of["character"].as_u64()?));
    let (Some(start), Some(end)) = (place(&range["start"]), place(&range["end"])) else {
        return false;
    };
    let is_in = |(line, column): (u64, u64)| lines.get(line as usize).is_some_and(|l| column <= *l);
    start <= end && is_in(start) && is_in(end)
}

#[test]
fn places_of_no_type() {
    let mut client = session();
    let odd = [
        json!(null),
        json!({}),
        json!({"line": -1, "character": 0}),
        json!({"line": 1.5, "character": 0}),
        json!({"line": 4294967296u64, "character": 0}),
        json!({"line": "1", "character": "0"}),
        json!([0, 0]),
        json!("start"),
    ];
    for place in &odd {
        let range = json!({"start": place, "end": place});
        for (method, params) in requests_at(place, &range) {
            let answer = client.request(method, params);
            let code = answer["error"]["code"].as_i64();
            // LSP 3.17, "Error codes": InvalidParams, where it cannot be read; RequestFailed, where nothing is to be renamed.
            assert!(
                matches!(code, None | Some(-32602 | -32803)),
                "{method} at {place}: {answer}"
            );
        }
    }
    for (method, _) in requests_of(PLAN) {
        for params in [
            json!(null),
            json!([]),
            json!({}),
            json!({"textDocument": null}),
            json!({"textDocument": {"uri": 5}}),
            json!(7),
        ] {
            let answer = client.request(method, params.clone());
            let code = answer["error"]["code"].as_i64();
            assert!(
                matches!(code, Some(-32602)),
                "{method} with {params}: {answer}"
            );
        }
    }
    is_well(client);
}
